//! Places relative to the trunk: what is left of a motion when the body's own travel and turn are
//! taken out.

use springline_kinematics::{Joint, Landmark, Side};

use crate::clip::Clip;
use crate::frames::median;

/// Where the trunk is in each frame.
pub(crate) struct BodyFrames {
    /// Median distance from mid-hip to mid-shoulder, px.
    pub trunk: f64,
    frames: Vec<Frame>,
}

/// Middle of the trunk, px, and its direction toward the head, of length 1.
#[derive(Clone, Copy, Default)]
struct Frame {
    origin: [f64; 2],
    up: [f64; 2],
}

impl BodyFrames {
    /// From shoulders and hips, bridged where they aren't seen; `None` without any trunk.
    pub(crate) fn of(clip: &Clip) -> Option<Self> {
        let slot = |joint| Side::BOTH.map(|side| clip.slot(Landmark::of(joint, side)));
        let (shoulders, hips) = (slot(Joint::Shoulder), slot(Joint::Hip));
        let count = clip.times.len();
        // A middle of two sides and one of a single side are different points, so only whole trunks
        // count, unless they are few and the sides lie on each other (a view from the side), or very few.
        let mut seen = whole_trunks(clip, shoulders, hips, true);
        let apart = seen.iter().map(|trunk| trunk.apart / trunk.length).collect();
        let flat = median(apart).is_some_and(|apart| apart < FLAT);
        if (flat && seen.len() * 2 < count) || seen.len() * 3 < count {
            seen = whole_trunks(clip, shoulders, hips, false);
        }
        let lengths = seen.iter().map(|trunk| trunk.length).collect();
        let trunk = median(lengths)?;
        let seen: Vec<(usize, Frame)> = seen.into_iter().map(|trunk| (trunk.frame, trunk.place)).collect();
        Some(Self {
            trunk,
            frames: bridged(&seen, &clip.times),
        })
    }

    /// A place in trunk lengths from the middle of the trunk: toward the head and to its side.
    #[inline]
    pub(crate) fn place(&self, frame: usize, x: f64, y: f64) -> [f64; 2] {
        let Frame { origin, up } = self.frames[frame];
        let (x, y) = ((x - origin[0]) / self.trunk, (y - origin[1]) / self.trunk);
        [x * up[0] + y * up[1], y * up[0] - x * up[1]]
    }
}

/// Left and right of shoulders and hips closer than this are a view from the side, trunk lengths.
const FLAT: f64 = 0.2;

/// The trunk in one frame.
struct Trunk {
    frame: usize,
    place: Frame,
    /// From mid-hip to mid-shoulder, px.
    length: f64,
    /// The larger distance of left from right, px.
    apart: f64,
}

/// The trunk of every frame that shows it, with both sides of shoulders and hips or with one at least.
fn whole_trunks(clip: &Clip, shoulders: [Option<usize>; 2], hips: [Option<usize>; 2], whole: bool) -> Vec<Trunk> {
    let mut seen = Vec::with_capacity(clip.times.len());
    for frame in 0..clip.times.len() {
        let (upper, lower) = (middle(clip, frame, shoulders, whole), middle(clip, frame, hips, whole));
        let (Some((upper, shoulders)), Some((lower, hips))) = (upper, lower) else {
            continue;
        };
        let (x, y) = (upper[0] - lower[0], upper[1] - lower[1]);
        let length = (x * x + y * y).sqrt();
        if length > 1.0 {
            let origin = [f64::midpoint(upper[0], lower[0]), f64::midpoint(upper[1], lower[1])];
            let place = Frame {
                origin,
                up: [x / length, y / length],
            };
            seen.push(Trunk {
                frame,
                place,
                length,
                apart: shoulders.max(hips),
            });
        }
    }
    seen
}

/// Middle of a pair and its sides' distance.
fn middle(clip: &Clip, frame: usize, pair: [Option<usize>; 2], whole: bool) -> Option<([f64; 2], f64)> {
    let spots = clip.frame(frame);
    match pair.map(|slot| slot.and_then(|slot| spots[slot])) {
        [Some(a), Some(b)] => {
            let apart = ((a.x - b.x).powi(2) + (a.y - b.y).powi(2)).sqrt();
            Some(([f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y)], apart))
        }
        [a, b] if !whole => a.or(b).map(|spot| ([spot.x, spot.y], 0.0)),
        _ => None,
    }
}

/// A frame for every time, linear between the seen ones, and held at the ends.
fn bridged(seen: &[(usize, Frame)], times: &[f64]) -> Vec<Frame> {
    let mut frames = vec![Frame::default(); times.len()];
    let (Some(first), Some(last)) = (seen.first(), seen.last()) else {
        return frames;
    };
    frames[..first.0].fill(first.1);
    frames[last.0..].fill(last.1);
    for pair in seen.windows(2) {
        let [(from, a), (to, b)] = [pair[0], pair[1]];
        frames[from] = a;
        for frame in from + 1..to {
            let share = (times[frame] - times[from]) / (times[to] - times[from]);
            let mix = |a: f64, b: f64| a + share * (b - a);
            let up = [mix(a.up[0], b.up[0]), mix(a.up[1], b.up[1])];
            let length = (up[0] * up[0] + up[1] * up[1]).sqrt();
            let up = if length > 0.1 {
                [up[0] / length, up[1] / length]
            } else {
                a.up
            };
            frames[frame] = Frame {
                origin: [mix(a.origin[0], b.origin[0]), mix(a.origin[1], b.origin[1])],
                up,
            };
        }
    }
    frames
}
