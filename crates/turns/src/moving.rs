//! What moves in the picture, seen small: against the still part of the hall, and against a moment before.

/// Levels of 255 by which a px that moves differs.
const DIFFERS: u8 = 20;
/// A patch covers this share of the picture at least.
const LEAST_SHARE: f64 = 0.001;
/// Patches that are looked at in one picture.
const MOST: usize = 6;

/// Brightness of a small picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Small {
    pub width: usize,
    pub height: usize,
    pub grey: Vec<u8>,
}

/// The still part of the picture: the median of what each px was, following slow changes of light.
pub(crate) struct Still {
    grey: Vec<u8>,
}

/// Something that moves. Small px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Patch {
    pub left: usize,
    pub right: usize,
    pub top: usize,
    pub bottom: usize,
    /// Px that differ from the still picture.
    pub area: usize,
    /// How many px within its bounds changed since the moment before, for one of its own: a body that turns over leaves and
    /// comes everywhere at once, one that walks changes at its edges.
    pub change: f64,
    /// Middle of its px.
    pub middle: (f64, f64),
    /// How far its long axis lies from upright, degrees, 0 to 90.
    pub lean: f64,
    /// How much longer it is than broad.
    pub long: f64,
}

impl Still {
    /// Of pictures taken here and there in the film, all of one size.
    pub fn new(looks: &[Small]) -> Self {
        let count = looks.len();
        let mut levels = vec![0; count];
        let length = looks.first().map_or(0, |look| look.grey.len());
        let median = |i: usize| {
            for (level, look) in levels.iter_mut().zip(looks) {
                *level = look.grey[i];
            }
            levels.sort_unstable();
            levels[count / 2]
        };
        Self {
            grey: (0..length).map(median).collect(),
        }
    }

    /// One level nearer to the picture, where it differs.
    pub fn follow(&mut self, now: &Small) {
        for (still, &level) in self.grey.iter_mut().zip(&now.grey) {
            *still = match level.cmp(still) {
                std::cmp::Ordering::Less => *still - 1,
                std::cmp::Ordering::Equal => *still,
                std::cmp::Ordering::Greater => *still + 1,
            };
        }
    }

    /// Whether a px is not what is there when nobody is.
    pub fn differs(&self, now: &Small, x: usize, y: usize) -> bool {
        let at = y * now.width + x;
        now.grey[at].abs_diff(self.grey[at]) > DIFFERS
    }

    /// What moves, the largest first.
    pub fn patches(&self, now: &Small, before: &Small) -> Vec<Patch> {
        let (wide, high) = (now.width, now.height);
        let differs: Vec<bool> = now
            .grey
            .iter()
            .zip(&self.grey)
            .map(|(a, b)| a.abs_diff(*b) > DIFFERS)
            .collect();
        let changed = |at: usize| now.grey[at].abs_diff(before.grey[at]) > DIFFERS;
        let least = (LEAST_SHARE * (wide * high) as f64).ceil() as usize;
        let mut seen = vec![false; differs.len()];
        let mut patches = Vec::new();
        let mut open = Vec::new();
        for start in 0..differs.len() {
            if seen[start] || !differs[start] {
                continue;
            }
            seen[start] = true;
            open.push(start);
            let mut patch = Patch {
                left: wide,
                right: 0,
                top: high,
                bottom: 0,
                area: 0,
                change: 0.0,
                middle: (0.0, 0.0),
                lean: 0.0,
                long: 1.0,
            };
            let mut sums = Sums::default();
            while let Some(at) = open.pop() {
                let (x, y) = (at % wide, at / wide);
                (patch.left, patch.right) = (patch.left.min(x), patch.right.max(x));
                (patch.top, patch.bottom) = (patch.top.min(y), patch.bottom.max(y));
                patch.area += 1;
                sums.add(x as f64, y as f64);
                // Px that lie within two of one another are one body.
                for j in y.saturating_sub(2)..=(y + 2).min(high - 1) {
                    for i in x.saturating_sub(2)..=(x + 2).min(wide - 1) {
                        let next = j * wide + i;
                        if differs[next] && !seen[next] {
                            seen[next] = true;
                            open.push(next);
                        }
                    }
                }
            }
            if patch.area >= least {
                let px = (patch.top..=patch.bottom).flat_map(|y| (patch.left..=patch.right).map(move |x| y * wide + x));
                patch.change = px.filter(|&at| changed(at)).count() as f64 / patch.area as f64;
                (patch.middle, patch.lean, patch.long) = sums.axis();
                patches.push(patch);
            }
        }
        patches.sort_by(|a, b| b.area.cmp(&a.area).then(a.left.cmp(&b.left)));
        patches.truncate(MOST);
        patches
    }
}

/// First and second moments.
#[derive(Default)]
struct Sums {
    count: f64,
    x: f64,
    y: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

impl Sums {
    fn add(&mut self, x: f64, y: f64) {
        self.count += 1.0;
        self.x += x;
        self.y += y;
        self.xx += x * x;
        self.yy += y * y;
        self.xy += x * y;
    }

    /// The middle; how far the long axis lies from upright, degrees; length over breadth.
    fn axis(&self) -> ((f64, f64), f64, f64) {
        let n = self.count.max(1.0);
        let (x, y) = (self.x / n, self.y / n);
        let (across, down, both) = (self.xx / n - x * x, self.yy / n - y * y, self.xy / n - x * y);
        let lean = 90.0 - (0.5 * (2.0 * both).atan2(across - down)).to_degrees().abs();
        let spread = ((across - down) / 2.0).hypot(both);
        let mean = f64::midpoint(across, down);
        // A tenth of a px is as thin as anything is seen.
        let long = ((mean + spread) / (mean - spread).max(0.1)).max(1.0).sqrt();
        ((x, y), lean, long)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A hall of one grey with a block in it.
    fn hall(left: usize, top: usize, wide: usize, high: usize) -> Small {
        let mut grey = vec![90; 160 * 90];
        for y in top..top + high {
            grey[y * 160 + left..y * 160 + left + wide].fill(200);
        }
        Small {
            width: 160,
            height: 90,
            grey,
        }
    }

    #[test]
    fn a_block_that_comes_is_a_patch_and_what_changed_of_it_is_told() {
        let still = Still::new(&[hall(0, 0, 0, 0), hall(0, 0, 0, 0), hall(60, 20, 10, 30)]);
        assert!(still.patches(&hall(0, 0, 0, 0), &hall(0, 0, 0, 0)).is_empty());
        let stays = still.patches(&hall(60, 20, 10, 30), &hall(60, 20, 10, 30));
        assert_eq!(stays.len(), 1);
        assert_eq!(
            (stays[0].left, stays[0].right, stays[0].top, stays[0].bottom),
            (60, 69, 20, 49)
        );
        assert_eq!((stays[0].area, stays[0].change), (300, 0.0));
        // Moved by a tenth of its breadth, one column is new.
        let creeps = still.patches(&hall(61, 20, 10, 30), &hall(60, 20, 10, 30));
        assert!((creeps[0].change - 0.1).abs() < 1e-9);
        let leaps = still.patches(&hall(80, 40, 30, 10), &hall(60, 20, 10, 30));
        assert!((leaps[0].change - 1.0).abs() < 1e-9);
        assert!(leaps[0].lean > 89.0 && (leaps[0].long - 3.0).abs() < 0.05);
        assert!(stays[0].lean < 1.0 && (stays[0].long - 3.0).abs() < 0.05);
        assert_eq!(stays[0].middle, (64.5, 34.5));
        // A speck is nobody.
        assert!(still.patches(&hall(10, 10, 3, 3), &hall(0, 0, 0, 0)).is_empty());
    }

    #[test]
    fn what_stays_becomes_still() {
        let mut still = Still::new(&[hall(0, 0, 0, 0)]);
        let mats = hall(20, 40, 40, 20);
        assert_eq!(still.patches(&mats, &mats).len(), 1);
        for _ in 0..100 {
            still.follow(&mats);
        }
        assert!(still.patches(&mats, &mats).is_empty());
    }
}
