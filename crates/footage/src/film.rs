//! Frames of a film in any order.

use std::collections::BTreeMap;
use std::fs::File;
use std::path::Path;

use crate::decoder::{self, Decoder, Fault, codec, guarded};
use crate::error::Error;
use crate::limits::KEPT_BYTES;
use crate::open::{Plan, coded, frames, plan};
use crate::picture::Picture;
use crate::planes::Planes;

/// An open film. Decodes from the nearest key frame and keeps the frames around the last one asked for.
pub(crate) struct Film {
    name: String,
    file: File,
    plan: Plan,
    /// Size as stored.
    size: (u32, u32),
    decoder: Option<Box<dyn Decoder>>,
    /// The sample where the decoder began, and the one that it takes next.
    begun: usize,
    next: usize,
    /// The last key frame that the decoder was given.
    key: usize,
    kept: BTreeMap<usize, Planes>,
    kept_bytes: usize,
    faults: BTreeMap<usize, Fault>,
    /// Claimed key frames that were looked at.
    keys: BTreeMap<usize, bool>,
}

impl Film {
    /// Opens the file and decodes its first frame.
    pub fn open(path: &Path) -> Result<Self, Error> {
        let name = path.display().to_string();
        let plan = plan(path, &name)?;
        let file = File::open(path).map_err(|source| Error::Read {
            file: name.clone(),
            source,
        })?;
        let mut film = Self {
            name,
            file,
            plan,
            size: (0, 0),
            decoder: None,
            begun: 0,
            next: 0,
            key: 0,
            kept: BTreeMap::new(),
            kept_bytes: 0,
            faults: BTreeMap::new(),
            keys: BTreeMap::new(),
        };
        film.begin()?;
        Ok(film)
    }

    /// Finds the first frame that can be shown, which settles the size.
    fn begin(&mut self) -> Result<(), Error> {
        let mut first = None;
        // A few key frames are tried before the film is given up.
        let mut tries: Vec<usize> = vec![0];
        let keys = (1..self.plan.order.len()).filter(|frame| self.plan.samples[self.plan.order[*frame] as usize].key);
        tries.extend(keys.take(8));
        for frame in tries {
            let sample = self.plan.order[frame] as usize;
            match self.decoded(sample) {
                Ok(planes) => {
                    let (size, colour) = ((planes.width, planes.height), planes.colour);
                    self.size = size;
                    if frame > 0 {
                        let why = first.as_ref().map(Fault::words).unwrap_or_default();
                        self.plan
                            .notes
                            .push(format!("the first {} cannot be shown: {why}", frames(frame)));
                        self.plan.order.drain(..frame);
                        self.plan.times.drain(..frame);
                    }
                    let told = self.plan.notes.iter().any(|note| note.contains("HDR"));
                    if matches!(colour.transfer, 16 | 18) && !told {
                        self.plan
                            .notes
                            .push("the film is in HDR; its colours look paler here".to_owned());
                    }
                    return Ok(());
                }
                Err(fault) => first = first.or(Some(fault)),
            }
        }
        let file = self.name.clone();
        Err(match first {
            Some(Fault::TooLarge(width, height)) => Error::too_large(&file, width, height),
            Some(Fault::Unknown(what)) => Error::Codec {
                file,
                found: format!("a film in {} with {what}", self.codec()),
            },
            fault => Error::NothingShown {
                file,
                found: fault.as_ref().map(Fault::words).unwrap_or_default(),
            },
        })
    }

    pub fn codec(&self) -> &'static str {
        codec(&self.plan.entry).unwrap_or("unknown")
    }

    /// Upright width and height.
    pub fn size(&self) -> (u32, u32) {
        self.plan.way.size(self.size.0, self.size.1)
    }

    pub fn times(&self) -> &[f64] {
        &self.plan.times
    }

    pub fn notes(&self) -> &[String] {
        &self.plan.notes
    }

    pub fn picture(&mut self, frame: usize, factor: u32) -> Result<Picture, Error> {
        let sample = self.plan.order[frame] as usize;
        let (way, size) = (self.plan.way, self.size);
        let found = match self.decoded(sample) {
            Ok(planes) if (planes.width, planes.height) != size => {
                let ((wide, high), (width, height)) = (size, (planes.width, planes.height));
                format!("found a picture of {width} x {height} px, expected {wide} x {high} px like the first")
            }
            Ok(planes) => match planes.reduced(way, factor) {
                Some(picture) => return Ok(picture),
                None => "a picture of no size".to_owned(),
            },
            Err(fault) => fault.words(),
        };
        Err(Error::Frame {
            file: self.name.clone(),
            frame,
            time_s: self.plan.times[frame],
            found,
        })
    }

    /// The planes of a sample, decoded from the nearest key frame unless they are kept.
    fn decoded(&mut self, sample: usize) -> Result<&Planes, Fault> {
        if !self.kept.contains_key(&sample) {
            if let Some(fault) = self.faults.get(&sample) {
                return Err(fault.clone());
            }
            if !self.goes_on_to(sample) {
                let start = self.start_of(sample);
                // A decoder that began later than this sample's own start lacks what the sample builds on.
                let goes_on = self.decoder.is_some() && (start..=sample).contains(&self.next) && self.begun <= start;
                if !goes_on {
                    self.restart(start)?;
                }
            }
            while self.next <= sample {
                self.step(sample)?;
            }
        }
        match self.kept.get(&sample) {
            Some(planes) => Ok(planes),
            None => Err(self
                .faults
                .get(&sample)
                .cloned()
                .unwrap_or(Fault::Damaged("nothing was decoded for it".to_owned()))),
        }
    }

    /// Whether the decoder need only go on within its group, without a look for where the group begins.
    fn goes_on_to(&self, sample: usize) -> bool {
        let samples = &self.plan.samples;
        self.decoder.is_some()
            && self.next <= sample
            && sample - self.next < 1_000
            && samples[self.key].shown <= samples[sample].shown
            && !samples[self.next..=sample].iter().any(|sample| sample.key)
    }

    /// Whether the decoder was given all that a sample of its present group builds on.
    fn is_sound(&mut self, sample: usize) -> bool {
        let samples = &self.plan.samples;
        self.begun == 0 || samples[self.key].shown <= samples[sample].shown || self.begun <= self.start_of(sample)
    }

    /// Where decoding must begin for a sample: the key frame before it, or the one before that for a frame that is shown
    /// before its key frame.
    fn start_of(&mut self, sample: usize) -> usize {
        let shown = self.plan.samples[sample].shown;
        let mut at = sample;
        loop {
            while at > 0 && !self.is_key(at) {
                at -= 1;
            }
            if at == 0 || self.plan.samples[at].shown <= shown {
                return at;
            }
            at -= 1;
        }
    }

    /// Whether a sample is a key frame, by the file's word and by its own data.
    fn is_key(&mut self, sample: usize) -> bool {
        if !self.plan.samples[sample].key {
            return false;
        }
        if let Some(known) = self.keys.get(&sample) {
            return *known;
        }
        let data = coded(&mut self.file, &self.plan.samples[sample]);
        let is = data.is_ok_and(|data| decoder::begins(&self.plan.entry, &data));
        self.keys.insert(sample, is);
        is
    }

    fn restart(&mut self, start: usize) -> Result<(), Fault> {
        self.decoder = None;
        self.decoder = Some(decoder::open(&self.plan.entry)?);
        (self.begun, self.next, self.key) = (start, start, start);
        Ok(())
    }

    /// Decodes the next sample on the way to `target`.
    fn step(&mut self, target: usize) -> Result<(), Fault> {
        let sample = self.next;
        self.next += 1;
        let data = coded(&mut self.file, &self.plan.samples[sample]);
        let result = match (data, self.decoder.as_mut()) {
            (Err(error), _) => Err(Fault::Damaged(format!("it cannot be read: {error}"))),
            (_, None) => Err(Fault::Broke),
            (Ok(data), Some(decoder)) => guarded(|| decoder.decode(&data)),
        };
        if self.is_key(sample) {
            self.key = sample;
        }
        // What is decoded from too late a start proves nothing.
        let sound = self.is_sound(sample);
        match result {
            Ok(Some(planes)) if sound => self.keep(sample, planes, target),
            Ok(Some(_)) => {}
            Ok(None) if sound => {
                let fault = Fault::Damaged("nothing was decoded for it".to_owned());
                self.faults.insert(sample, fault);
            }
            Ok(None) => {}
            Err(fault) => {
                if fault == Fault::Broke {
                    self.decoder = None;
                    self.recover(sample, target);
                }
                if sound || fault == Fault::Broke {
                    self.faults.insert(sample, fault);
                }
            }
        }
        Ok(())
    }

    /// After a decoder broke: goes on at the next key frame; the samples up to there are given up.
    fn recover(&mut self, broken: usize, target: usize) {
        let mut at = broken + 1;
        while at < self.plan.samples.len() && !self.is_key(at) {
            self.faults
                .entry(at)
                .or_insert(Fault::Damaged("it builds on damaged data".to_owned()));
            at += 1;
        }
        self.next = at;
        if at <= target
            && let Ok(decoder) = decoder::open(&self.plan.entry)
        {
            self.decoder = Some(decoder);
            (self.begun, self.key) = (at, at);
        }
    }

    /// Keeps a frame, and gives up those farthest from `target` when there are too many.
    fn keep(&mut self, sample: usize, planes: Planes, target: usize) {
        self.kept_bytes += planes.bytes();
        if let Some(old) = self.kept.insert(sample, planes) {
            self.kept_bytes -= old.bytes();
        }
        while self.kept_bytes > KEPT_BYTES && self.kept.len() > 1 {
            let (first, last) = (self.kept.keys().next().copied(), self.kept.keys().next_back().copied());
            let (Some(first), Some(last)) = (first, last) else {
                break;
            };
            let farthest = if target.abs_diff(first) >= target.abs_diff(last) {
                first
            } else {
                last
            };
            if let Some(old) = self.kept.remove(&farthest) {
                self.kept_bytes -= old.bytes();
            }
        }
    }
}
