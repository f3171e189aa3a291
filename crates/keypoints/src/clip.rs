//! The athlete's points, frame after frame, in one block of memory.

use springline_kinematics::{Joint, Landmark, Point, Side, TemporalError, Tracks};

use crate::frames::Frames;
use crate::origin::Mark;
use crate::sheet::{Sheet, Spot};

/// Frames that are turned into tracks at once.
const FRAMES_AT_ONCE: usize = 1 << 14;

/// The points of one athlete: `spots[frame * slots.len() + slot]`.
#[derive(Clone, Debug)]
pub(crate) struct Clip {
    pub slots: Vec<Landmark>,
    pub times: Vec<f64>,
    pub spots: Vec<Option<Spot>>,
    /// Sd of each spot as the file gives it, px: as many as `spots`, or none at all.
    pub sds: Vec<Option<f32>>,
    /// Sd of every spot alike as the file gives it, px.
    pub every_sd: Option<f32>,
    /// Origin and doubt of each spot: as many as `spots`, or none at all.
    pub marks: Vec<Mark>,
    /// Sd of each slot where the file gives none, px.
    pub usual_sds: Vec<f32>,
    /// Factor on the usual sds while the trunk is past 90°.
    pub inverted_factor: f32,
}

impl Clip {
    /// Takes one person's records from the sheet; `records` holds one entry a frame.
    pub(crate) fn take(sheet: Sheet, frames: Frames, records: &[Option<u32>]) -> Clip {
        let stride = sheet.slots.len();
        let as_they_lie = records.len() * stride == sheet.spots.len()
            && records
                .iter()
                .enumerate()
                .all(|(frame, record)| record.is_some_and(|record| record as usize == frame));
        let (spots, sds, marks) = if as_they_lie {
            (sheet.spots, sheet.sds, sheet.marks)
        } else {
            let mut spots = vec![None; records.len() * stride];
            let mut sds = if sheet.sds.is_empty() {
                Vec::new()
            } else {
                vec![None; spots.len()]
            };
            let mut marks = if sheet.marks.is_empty() {
                Vec::new()
            } else {
                vec![Mark::default(); spots.len()]
            };
            for (frame, record) in records.iter().enumerate() {
                let Some(record) = record.map(|record| record as usize) else {
                    continue;
                };
                let (to, from) = (
                    frame * stride..(frame + 1) * stride,
                    record * stride..(record + 1) * stride,
                );
                spots[to.clone()].copy_from_slice(&sheet.spots[from.clone()]);
                if !sds.is_empty() {
                    sds[to.clone()].copy_from_slice(&sheet.sds[from.clone()]);
                }
                if !marks.is_empty() {
                    marks[to].copy_from_slice(&sheet.marks[from]);
                }
            }
            (spots, sds, marks)
        };
        let usual_sds = vec![0.0; stride];
        Clip {
            slots: sheet.slots,
            times: frames.times,
            spots,
            sds,
            every_sd: sheet.every_sd,
            marks,
            usual_sds,
            inverted_factor: 1.0,
        }
    }

    /// Every point that is seen.
    pub(crate) fn seen(&self) -> impl Iterator<Item = Point> {
        self.spots.iter().flatten().map(|spot| Point::new(spot.x, spot.y))
    }

    /// The spots of one frame.
    pub(crate) fn frame(&self, frame: usize) -> &[Option<Spot>] {
        let stride = self.slots.len();
        &self.spots[frame * stride..(frame + 1) * stride]
    }

    /// Where a landmark stands among the spots of a frame.
    pub(crate) fn slot(&self, landmark: Landmark) -> Option<usize> {
        self.slots.iter().position(|slot| *slot == landmark)
    }

    /// Middle of the left and right landmark of a joint, or the one that is seen.
    pub(crate) fn middle(&self, joint: Joint, frame: usize) -> Option<[f64; 2]> {
        let spots = self.frame(frame);
        let at = |side| self.slot(Landmark::of(joint, side)).and_then(|slot| spots[slot]);
        match (at(Side::Left), at(Side::Right)) {
            (Some(a), Some(b)) => Some([f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y)]),
            (a, b) => a.or(b).map(|spot| [spot.x, spot.y]),
        }
    }

    /// Whether the trunk is past 90° from upright: mid-shoulder lower in the picture than mid-hip.
    pub(crate) fn inverted(&self, frame: usize) -> bool {
        match (self.middle(Joint::Shoulder, frame), self.middle(Joint::Hip, frame)) {
            (Some(shoulder), Some(hip)) => shoulder[1] > hip[1],
            _ => false,
        }
    }

    /// The tracks; landmarks that no frame shows stay empty.
    ///
    /// Points move over from the end, a block of frames at a time, and their memory is given back: an hour of film is not
    /// held twice.
    pub(crate) fn into_tracks(mut self, temporal_error: TemporalError) -> Tracks {
        let stride = self.slots.len();
        let count = self.times.len();
        let factors: Vec<f32> = (0..count)
            .map(|frame| {
                if self.inverted(frame) {
                    self.inverted_factor
                } else {
                    1.0
                }
            })
            .collect();
        let mut tracks = Tracks::new(std::mem::take(&mut self.times), temporal_error);
        let mut seen = Vec::new();
        for (slot, landmark) in self.slots.iter().enumerate() {
            let spots = || self.spots[slot..].iter().step_by(stride);
            if spots().all(Option::is_none) {
                continue;
            }
            seen.push((slot, *landmark));
            let track = tracks.track_mut(*landmark);
            track.positions.reserve_exact(count);
            track.sd.reserve_exact(count);
            let (mut sum, mut scores) = (0.0, 0.0_f64);
            for score in spots().flatten().filter_map(|spot| spot.score) {
                sum += f64::from(score);
                scores += 1.0;
            }
            track.mean_confidence = (scores > 0.0).then(|| sum / scores);
        }
        let mut end = count;
        while end > 0 {
            let start = end.saturating_sub(FRAMES_AT_ONCE);
            for (slot, landmark) in seen.iter().copied() {
                let track = tracks.track_mut(landmark);
                for frame in (start..end).rev() {
                    let place = frame * stride + slot;
                    track
                        .positions
                        .push(self.spots[place].map(|spot| Point::new(spot.x, spot.y)));
                    let own = self.sds.get(place).copied().flatten();
                    track.sd.push(own.unwrap_or(self.usual_sds[slot] * factors[frame]));
                }
            }
            end = start;
            self.spots.truncate(end * stride);
            self.sds.truncate(end * stride);
            if count > FRAMES_AT_ONCE {
                self.spots.shrink_to_fit();
                self.sds.shrink_to_fit();
            }
        }
        for (_, landmark) in seen {
            let track = tracks.track_mut(landmark);
            track.positions.reverse();
            track.sd.reverse();
        }
        tracks
    }
}
