//! The frames of an attempt file as they are read: in the block of memory that the clip lies in afterwards.
//!
//! The names of the points may come after the frames, so what is wrong is kept until they are known.

use std::fmt;

use serde::de::{Deserialize, Deserializer, Error as _, SeqAccess, Visitor};

use crate::attempt_file::FrameEntry;
use crate::error::Error;
use crate::limits;
use crate::origin::Mark;
use crate::sheet::{Record, Sheet, Spot};

/// Frames, each with as many points as the first one, as far as they are sound.
#[derive(Debug, Default)]
pub(crate) struct PackedFrames {
    records: Vec<Record>,
    /// Points of each frame.
    stride: usize,
    spots: Vec<Option<Spot>>,
    /// Sds that frames give, as many as spots; empty if no frame gives any.
    sds: Vec<Option<f32>>,
    /// Origins and doubts that frames tell, as many as spots; empty if no frame tells any.
    marks: Vec<Mark>,
    /// The first fault; what comes after it is only read past.
    fault: Option<Fault>,
}

#[derive(Debug)]
struct Fault {
    frame: usize,
    what: What,
}

#[derive(Debug)]
enum What {
    Count { key: &'static str, found: usize },
    Score { slot: usize, found: f64 },
    Sd { slot: usize, found: f64 },
}

/// A standard uncertainty that a point can have, px.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn sd_in_range(px: f64) -> Option<f32> {
    (px.is_finite() && (0.0..=10_000.0).contains(&px)).then_some(px as f32)
}

impl PackedFrames {
    fn push(&mut self, frame: &FrameEntry) {
        if self.records.is_empty() {
            self.stride = frame.points.len();
        }
        if self.fault.is_none()
            && let Err(what) = self.points(frame)
        {
            let frame = self.records.len();
            self.fault = Some(Fault { frame, what });
        }
        self.records.push(Record {
            frame: i64::try_from(self.records.len()).unwrap_or(i64::MAX),
            time: frame.t,
            person: None,
        });
    }

    fn points(&mut self, frame: &FrameEntry) -> Result<(), What> {
        let counts = [
            ("points", Some(frame.points.len())),
            ("sd", frame.sd.as_ref().map(Vec::len)),
            ("score", frame.score.as_ref().map(Vec::len)),
            ("from", frame.from.as_ref().map(Vec::len)),
            ("doubtful", frame.doubtful.as_ref().map(Vec::len)),
        ];
        for (key, count) in counts {
            if let Some(found) = count.filter(|count| *count != self.stride) {
                return Err(What::Count { key, found });
            }
        }
        if frame.sd.is_some() {
            // Frames before this one gave none.
            self.sds.resize(self.spots.len(), None);
        }
        if frame.from.is_some() || frame.doubtful.is_some() {
            self.marks.resize(self.spots.len(), Mark::default());
        }
        let with_marks = frame.from.is_some() || frame.doubtful.is_some() || !self.marks.is_empty();
        let with_sds = frame.sd.is_some() || !self.sds.is_empty();
        for (slot, point) in frame.points.iter().enumerate() {
            let score = frame.score.as_ref().and_then(|scores| scores[slot]);
            if let Some(found) = score.filter(|score| !(0.0..=1.0).contains(score)) {
                return Err(What::Score { slot, found });
            }
            if with_sds {
                let sd = match frame.sd.as_ref().and_then(|sds| sds[slot]) {
                    Some(found) => Some(sd_in_range(found).ok_or(What::Sd { slot, found })?),
                    None => None,
                };
                self.sds.push(sd);
            }
            if with_marks {
                let origin = frame.from.as_ref().and_then(|from| from[slot]);
                let doubtful = frame.doubtful.as_ref().is_some_and(|doubtful| doubtful[slot]);
                self.marks.push(Mark::new(origin, doubtful));
            }
            #[allow(clippy::cast_possible_truncation)]
            self.spots.push(point.map(|[x, y]| Spot {
                x,
                y,
                score: score.map(|score| score as f32),
            }));
        }
        Ok(())
    }

    /// Hands over to a sheet whose slots are known. `file_sds`: the sd of each slot as the file gives it.
    pub(crate) fn fill(self, file: &str, sheet: &mut Sheet, file_sds: Option<&[Option<f32>]>) -> Result<(), Error> {
        let stride = sheet.slots.len();
        let first = (!self.records.is_empty() && self.stride != stride).then_some(Fault {
            frame: 0,
            what: What::Count {
                key: "points",
                found: self.stride,
            },
        });
        if let Some(fault) = first.or(self.fault) {
            return Err(fault.error(file, sheet));
        }
        sheet.records = self.records;
        sheet.spots = self.spots;
        sheet.sds = self.sds;
        sheet.marks = self.marks;
        let Some(file_sds) = file_sds else { return Ok(()) };
        if sheet.sds.is_empty() {
            if let [Some(one), rest @ ..] = file_sds
                && rest.iter().all(|sd| sd.as_ref() == Some(one))
            {
                sheet.every_sd = Some(*one);
                return Ok(());
            }
            sheet.sds = vec![None; sheet.spots.len()];
        }
        for (index, sd) in sheet.sds.iter_mut().enumerate() {
            *sd = sd.or(file_sds[index % stride]);
        }
        Ok(())
    }
}

impl Fault {
    fn error(&self, file: &str, sheet: &Sheet) -> Error {
        let frame = self.frame;
        let point = |slot: usize| format!("frame {frame}, {}", sheet.slots[slot].id());
        let file = file.to_owned();
        match self.what {
            What::Count { key, found } => Error::PointCount {
                file,
                place: format!("frame {frame}, {key}"),
                found: found.to_string(),
                expected: format!("{}, as many as names in points", sheet.slots.len()),
            },
            What::Score { slot, found } => Error::ScoreRange {
                file,
                place: point(slot),
                found,
                low: 0.0,
                high: 1.0,
                hint: crate::sheet::score_hint(found, 1.0),
            },
            What::Sd { slot, found } => Error::Shape {
                file,
                place: format!("{}, sd", point(slot)),
                found: format!("an sd of {found} px"),
                expected: "0 to 10000 px".to_owned(),
            },
        }
    }
}

impl<'de> Deserialize<'de> for PackedFrames {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct List;
        impl<'de> Visitor<'de> for List {
            type Value = PackedFrames;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a list of frames")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<PackedFrames, A::Error> {
                let mut frames = PackedFrames::default();
                let mut points = 0;
                while let Some(frame) = seq.next_element::<FrameEntry>()? {
                    points += frame.points.len();
                    if frames.records.len() == limits::FRAMES || points > limits::POINTS {
                        return Err(A::Error::custom(
                            "more frames than an attempt can have, expected at most 2000000",
                        ));
                    }
                    frames.push(&frame);
                }
                Ok(frames)
            }
        }
        from.deserialize_seq(List)
    }
}
