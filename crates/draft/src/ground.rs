//! What stands still in the film, and so what moves.

use springline_footage::Picture;

use crate::body::{Body, MAIN};
use crate::error::Error;
use crate::reel::Reel;

/// Frames that the still picture is the median of.
const LOOKS: usize = 25;
/// Width of the small pictures, px.
const WIDE: u32 = 192;
/// Levels of 255 by which a px that moves differs.
const DIFFERS: u8 = 22;

/// The still part of the picture, small.
pub(crate) struct Ground {
    factor: u32,
    width: usize,
    height: usize,
    still: Vec<u8>,
    /// Film px per px of the small picture.
    scale: f64,
}

/// Where something moves in one frame.
pub(crate) struct Moves {
    width: usize,
    height: usize,
    scale: f64,
    here: Vec<bool>,
}

/// A patch that moves. Film px.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Patch {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
    /// Share of the picture that it covers.
    pub share: f64,
}

impl Ground {
    pub fn new(reel: &Reel) -> Result<Self, Error> {
        let factor = (f64::from(reel.size.0) / reel.scale / f64::from(WIDE)).round().max(1.0) as u32;
        let count = LOOKS.min(reel.last - reel.first + 1);
        let mut looks = Vec::with_capacity(count);
        let (mut width, mut height) = (0, 0);
        for i in 0..count {
            let frame = reel.first + (reel.last - reel.first) * i / (count - 1).max(1);
            let small = reel.get(frame)?.reduced(factor);
            (width, height) = (small.width() as usize, small.height() as usize);
            looks.push(small);
        }
        let mut levels = vec![0u8; count];
        let still = (0..width * height * 3)
            .map(|i| {
                for (level, look) in levels.iter_mut().zip(&looks) {
                    *level = look.rgb()[i];
                }
                levels.sort_unstable();
                levels[count / 2]
            })
            .collect();
        Ok(Self {
            factor,
            width,
            height,
            still,
            scale: reel.scale * f64::from(factor),
        })
    }

    pub fn moves(&self, picture: &Picture) -> Moves {
        let small = picture.reduced(self.factor);
        let differs = |x: usize, y: usize, i: usize, j: usize| {
            let (a, b) = (3 * (y * self.width + x), 3 * (j * self.width + i));
            (0..3)
                .map(|k| small.rgb()[a + k].abs_diff(self.still[b + k]))
                .max()
                .unwrap_or(0)
                > DIFFERS
        };
        let mut here = Vec::with_capacity(self.width * self.height);
        for y in 0..self.height {
            for x in 0..self.width {
                // A hand that holds the camera shakes by a px or so.
                let near = (y.saturating_sub(1)..=(y + 1).min(self.height - 1))
                    .all(|j| (x.saturating_sub(1)..=(x + 1).min(self.width - 1)).all(|i| differs(x, y, i, j)));
                here.push(near);
            }
        }
        Moves {
            width: self.width,
            height: self.height,
            scale: self.scale,
            here,
        }
    }
}

impl Moves {
    /// Share of the main points of a body that lie where something moves.
    pub fn share(&self, body: &Body) -> f64 {
        let on = MAIN.iter().filter(|&&point| {
            let (x, y) = body.at[point];
            let (x, y) = ((x / self.scale) as i64, (y / self.scale) as i64);
            (y - 2..=y + 2).any(|j| (x - 2..=x + 2).any(|i| self.at(i, j)))
        });
        on.count() as f64 / MAIN.len() as f64
    }

    fn at(&self, x: i64, y: i64) -> bool {
        let inside = (0..self.width as i64).contains(&x) && (0..self.height as i64).contains(&y);
        inside && self.here[y as usize * self.width + x as usize]
    }

    /// Share of the picture that moves.
    pub fn all(&self) -> f64 {
        self.here.iter().filter(|&&here| here).count() as f64 / self.here.len() as f64
    }

    /// The largest patches, each of px that lie within two px of one another.
    pub fn patches(&self) -> Vec<Patch> {
        let mut seen = vec![false; self.here.len()];
        let mut patches = Vec::new();
        for start in 0..self.here.len() {
            if seen[start] || !self.here[start] {
                continue;
            }
            seen[start] = true;
            let mut open = vec![start];
            let (mut left, mut right, mut top, mut bottom, mut count) = (self.width, 0, self.height, 0, 0usize);
            while let Some(at) = open.pop() {
                let (x, y) = (at % self.width, at / self.width);
                (left, right) = (left.min(x), right.max(x));
                (top, bottom) = (top.min(y), bottom.max(y));
                count += 1;
                for j in y.saturating_sub(2)..=(y + 2).min(self.height - 1) {
                    for i in x.saturating_sub(2)..=(x + 2).min(self.width - 1) {
                        let next = j * self.width + i;
                        if self.here[next] && !seen[next] {
                            seen[next] = true;
                            open.push(next);
                        }
                    }
                }
            }
            patches.push(Patch {
                x: (left + right + 1) as f64 / 2.0 * self.scale,
                y: (top + bottom + 1) as f64 / 2.0 * self.scale,
                width: (right + 1 - left) as f64 * self.scale,
                height: (bottom + 1 - top) as f64 * self.scale,
                share: count as f64 / self.here.len() as f64,
            });
        }
        patches.sort_by(|a, b| b.share.total_cmp(&a.share));
        patches.retain(|patch| patch.share > 0.0008);
        patches.truncate(4);
        patches
    }
}
