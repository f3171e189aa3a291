//! The frames at the size that drafting needs, decoded once and kept while there is room.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use springline_footage::{Clip, Error as FilmError, Picture};

use crate::error::Error;

/// Film to draft on.
pub trait Film: Send {
    /// Width and height of the picture, px.
    fn size(&self) -> (u32, u32);
    /// Times of the frames, s.
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
        self.times()
    }

    fn reduced(&mut self, frame: usize, factor: u32) -> Result<Picture, FilmError> {
        self.reduced(frame, factor)
    }
}

/// Frames that are decoded together, so that going backward costs no more than going forward.
const BLOCK: usize = 30;
/// Room for pictures, bytes.
const ROOM: usize = 400 << 20;
/// The same for film larger than 1080 rows, whose decoder takes more itself.
const LESS_ROOM: usize = 240 << 20;
/// Least height of the reduced picture, px. A body fills a third of it or more, the model sees it at 256.
const ROWS: u32 = 540;

/// Frames `first` to `last` of a film, reduced.
pub(crate) struct Reel<'a> {
    store: Mutex<Store<'a>>,
    times: Vec<f64>,
    /// Size of the film's picture, px.
    pub size: (u32, u32),
    /// Film px per px of the reduced pictures.
    pub scale: f64,
    pub first: usize,
    pub last: usize,
}

struct Store<'a> {
    film: &'a mut dyn Film,
    factor: u32,
    blocks: BTreeMap<usize, (u64, Vec<Arc<Picture>>)>,
    room: usize,
    clock: u64,
}

impl<'a> Reel<'a> {
    pub fn new(film: &'a mut dyn Film, first: usize, last: usize) -> Self {
        let size = film.size();
        let factor = (size.0.min(size.1) / ROWS).max(1);
        let times = film.times().to_vec();
        Self {
            size,
            times,
            scale: f64::from(factor),
            first,
            last,
            store: Mutex::new(Store {
                film,
                factor,
                blocks: BTreeMap::new(),
                room: if size.0.min(size.1) > 1088 { LESS_ROOM } else { ROOM },
                clock: 0,
            }),
        }
    }

    pub fn time(&self, frame: usize) -> f64 {
        self.times[frame]
    }

    /// Median interval of the frames, s.
    pub fn interval(&self) -> f64 {
        let times = &self.times[self.first..=self.last];
        let mut steps: Vec<f64> = times.windows(2).map(|two| two[1] - two[0]).collect();
        steps.sort_by(f64::total_cmp);
        steps.get(steps.len() / 2).copied().unwrap_or(1.0 / 30.0).max(1e-4)
    }

    pub fn get(&self, frame: usize) -> Result<Arc<Picture>, Error> {
        let mut store = self.store.lock().unwrap_or_else(PoisonError::into_inner);
        let store = &mut *store;
        store.clock += 1;
        let block = frame / BLOCK;
        if let Some((used, pictures)) = store.blocks.get_mut(&block) {
            *used = store.clock;
            return Ok(pictures[frame - (block * BLOCK).max(self.first)].clone());
        }
        let frames = (block * BLOCK).max(self.first)..=((block + 1) * BLOCK - 1).min(self.last);
        let start = *frames.start();
        let mut pictures = Vec::with_capacity(BLOCK);
        for frame in frames {
            pictures.push(Arc::new(store.film.reduced(frame, store.factor)?));
        }
        let bytes: usize = pictures.iter().map(|picture| picture.rgb().len()).sum();
        while !store.blocks.is_empty() && (store.blocks.len() + 1) * bytes > store.room {
            let oldest = store.blocks.iter().min_by_key(|(_, (used, _))| *used);
            let Some((&oldest, _)) = oldest else { break };
            store.blocks.remove(&oldest);
        }
        let picture = pictures[frame - start].clone();
        store.blocks.insert(block, (store.clock, pictures));
        Ok(picture)
    }
}
