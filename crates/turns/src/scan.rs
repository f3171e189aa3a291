//! One pass through the film: when a body lies across on its way over.

use springline_footage::{Clip, Error as FilmError, Picture};

use crate::colour::{Colour, of_patch};
use crate::error::Error;
use crate::moving::{Patch, Small, Still};

/// A film in which attempts are looked for.
pub trait Film {
    /// Width and height of the picture, px.
    fn size(&self) -> (u32, u32);
    /// Times of the frames, s, rising.
    fn times(&self) -> &[f64];
    /// One frame, each side divided by `factor`.
    ///
    /// # Errors
    /// When the frame can't be had.
    fn reduced(&mut self, frame: usize, factor: u32) -> Result<Picture, FilmError>;
}

impl Film for Clip {
    fn size(&self) -> (u32, u32) {
        (self.width(), self.height())
    }

    fn times(&self) -> &[f64] {
        Clip::times(self)
    }

    fn reduced(&mut self, frame: usize, factor: u32) -> Result<Picture, FilmError> {
        Clip::reduced(self, frame, factor)
    }
}

/// Frames nearer to one another than this are passed over, s: a body lies across for a quarter of a second or more.
const STEP_S: f64 = 0.08;
/// Rows of the pictures that are looked at, at least, px.
const ROWS: u32 = 180;
/// Width of the picture in which motion is looked for, px.
const WIDE: u32 = 160;
/// Pictures that the still part is the median of.
const LOOKS: usize = 25;
/// The still part follows slow changes by a level in so many pictures.
const FOLLOWS: usize = 12;
/// A body on its way over changes so many px for one that it covers, at least; one that bends or lies down less.
const LEAST_CHANGE: f64 = 0.9;
/// Its long axis lies so far from upright, at least, degrees.
const LEAST_LEAN: f64 = 35.0;
/// And it is so much longer than broad, at least: two people beside each other are not.
const LEAST_LONG: f64 = 1.4;
/// It covers this share of the picture, at least.
const LEAST_SHARE: f64 = 0.004;

/// A body that lies across, on its way over, in one picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sight {
    pub time: f64,
    /// Middle of the body, as shares of the picture's width.
    pub at: (f64, f64),
    /// How far its long axis lies from upright, degrees.
    pub lean: f64,
    /// What it wears about its middle.
    pub colour: Option<Colour>,
}

/// What a pass through the film gave.
#[derive(Clone, Debug, Default)]
pub(crate) struct Seen {
    pub sights: Vec<Sight>,
    /// Pictures that were looked at, and of those that could not be had.
    pub looked: usize,
    pub lost: usize,
}

/// Looks through the film once. `progress`: the share that is done, 0 to 1.
pub(crate) fn scan(film: &mut dyn Film, progress: &mut dyn FnMut(f64)) -> Result<Seen, Error> {
    let frames = sampled(film.times());
    let (width, height) = film.size();
    let factor = (width.min(height) / ROWS).max(1);
    let smaller = (width.div_ceil(factor) / WIDE).max(1);
    let mut still = still(film, &frames, factor, smaller)?;
    let mut before: Option<Small> = None;
    let mut seen = Seen::default();
    for (index, &frame) in frames.iter().enumerate() {
        progress(index as f64 / frames.len() as f64);
        seen.looked += 1;
        let Ok(picture) = film.reduced(frame, factor) else {
            seen.lost += 1;
            before = None;
            continue;
        };
        let small = small(&picture, smaller);
        if let Some(before) = &before {
            let time = film.times()[frame];
            for patch in still.patches(&small, before) {
                if goes_over(&patch, &small) {
                    seen.sights.push(Sight {
                        time,
                        at: (patch.middle.0 / small.width as f64, patch.middle.1 / small.width as f64),
                        lean: patch.lean,
                        colour: of_patch(&picture, smaller as usize, &patch, |x, y| still.differs(&small, x, y)),
                    });
                }
            }
        }
        if index % FOLLOWS == 0 {
            still.follow(&small);
        }
        before = Some(small);
    }
    progress(1.0);
    if seen.lost == seen.looked {
        return Err(Error::NoFrame { looked: seen.looked });
    }
    Ok(seen)
}

fn goes_over(patch: &Patch, picture: &Small) -> bool {
    patch.change >= LEAST_CHANGE
        && patch.lean >= LEAST_LEAN
        && patch.long >= LEAST_LONG
        && patch.area as f64 >= LEAST_SHARE * (picture.width * picture.height) as f64
}

/// Frames at least a step apart.
fn sampled(times: &[f64]) -> Vec<usize> {
    let mut next = f64::NEG_INFINITY;
    let mut frames = Vec::new();
    for (frame, &time) in times.iter().enumerate() {
        if time >= next {
            frames.push(frame);
            next = time + STEP_S - 1e-6;
        }
    }
    frames
}

fn small(picture: &Picture, smaller: u32) -> Small {
    let picture = picture.reduced(smaller);
    Small {
        width: picture.width() as usize,
        height: picture.height() as usize,
        grey: picture.grey(),
    }
}

fn still(film: &mut dyn Film, frames: &[usize], factor: u32, smaller: u32) -> Result<Still, Error> {
    let count = LOOKS.min(frames.len());
    let mut looks = Vec::with_capacity(count);
    for i in 0..count {
        let frame = frames[(frames.len() - 1) * i / (count - 1).max(1)];
        if let Ok(picture) = film.reduced(frame, factor) {
            looks.push(small(&picture, smaller));
        }
    }
    if looks.is_empty() {
        return Err(Error::NoFrame { looked: count });
    }
    Ok(Still::new(&looks))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pictures_are_a_step_apart_whatever_the_rate() {
        let at = |rate: f64| sampled(&(0..100).map(|i| f64::from(i) / rate).collect::<Vec<_>>());
        assert_eq!(at(10.0), (0..100).collect::<Vec<_>>());
        assert_eq!(at(12.5)[..4], [0, 1, 2, 3]);
        assert_eq!(at(25.0)[..4], [0, 2, 4, 6]);
        assert_eq!(at(60.0)[..4], [0, 5, 10, 15]);
        assert_eq!(at(240.0)[..3], [0, 20, 40]);
    }
}
