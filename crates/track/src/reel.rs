//! The part of each frame around the body, kept as far as memory allows.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::body::Places;
use crate::layers::Layers;
use crate::picture::Grey;
use crate::{Error, Frames};

/// Most bytes of kept parts.
const BUDGET: usize = 384 << 20;
/// Frames that are read at once when going backward.
const BLOCK: usize = 48;
/// The part reaches so far past the points, as a share of stature.
const MARGIN: f64 = 0.3;
/// Scales of the frames last asked for that are kept.
const KEPT_LAYERS: usize = 3;

/// A frame's part and where it starts.
#[derive(Debug)]
pub(crate) struct Part {
    pub left: usize,
    pub top: usize,
    pub grey: Grey,
}

pub(crate) struct Reel<'a> {
    frames: &'a mut dyn Frames,
    paths: &'a [Places],
    margin: f64,
    parts: BTreeMap<usize, Rc<Part>>,
    bytes: usize,
    layers: Vec<(usize, Rc<Layers>)>,
}

impl<'a> Reel<'a> {
    pub(crate) fn new(frames: &'a mut dyn Frames, paths: &'a [Places], stature_px: f64) -> Self {
        Self {
            frames,
            paths,
            margin: MARGIN * stature_px + 16.0,
            parts: BTreeMap::new(),
            bytes: 0,
            layers: Vec::new(),
        }
    }

    /// The part of a frame; `backward` says that the frames before it come next.
    pub(crate) fn part(&mut self, frame: usize, backward: bool) -> Result<Rc<Part>, Error> {
        if let Some(part) = self.parts.get(&frame) {
            return Ok(Rc::clone(part));
        }
        let first = if backward {
            frame.saturating_sub(BLOCK - 1)
        } else {
            frame
        };
        for at in first..=frame {
            if self.parts.contains_key(&at) {
                continue;
            }
            let part = self.read(at)?;
            self.bytes += part.grey.pixels().len();
            self.parts.insert(at, Rc::new(part));
            while self.bytes > BUDGET && self.parts.len() > 2 * BLOCK {
                // Forward, the oldest won't be needed soon; backward, the latest.
                let away = if backward {
                    self.parts.pop_last()
                } else {
                    self.parts.pop_first()
                };
                self.bytes -= away.map_or(0, |(_, part)| part.grey.pixels().len());
            }
        }
        match self.parts.get(&frame) {
            Some(part) => Ok(Rc::clone(part)),
            None => self.read(frame).map(Rc::new),
        }
    }

    /// The scales of a frame's part.
    pub(crate) fn layers(&mut self, frame: usize, backward: bool) -> Result<Rc<Layers>, Error> {
        if let Some((_, layers)) = self.layers.iter().find(|(kept, _)| *kept == frame) {
            return Ok(Rc::clone(layers));
        }
        let part = self.part(frame, backward)?;
        let layers = Rc::new(Layers::new(&part.grey, part.left, part.top));
        if self.layers.len() == KEPT_LAYERS {
            self.layers.remove(0);
        }
        self.layers.push((frame, Rc::clone(&layers)));
        Ok(layers)
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn read(&mut self, frame: usize) -> Result<Part, Error> {
        let grey = self.frames.grey(frame)?;
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        // Where the neighbours have it too: a step looks at both.
        let around = frame.saturating_sub(2)..(frame + 3).min(self.paths.len());
        for place in self.paths[around].iter().flatten().flatten() {
            for axis in 0..2 {
                low[axis] = low[axis].min(place[axis]);
                high[axis] = high[axis].max(place[axis]);
            }
        }
        let start = low.map(|low| (low - self.margin).max(0.0) as usize);
        let end = high.map(|high| (high + self.margin).max(0.0) as usize);
        let part = grey.part(
            start[0],
            start[1],
            end[0].saturating_sub(start[0]),
            end[1].saturating_sub(start[1]),
        );
        Ok(Part {
            left: start[0].min(grey.width() - 1),
            top: start[1].min(grey.height() - 1),
            grey: part,
        })
    }
}
