//! The athlete's points, frame after frame, in one block of memory.

use springline_kinematics::{Joint, Landmark, Point, Side, TemporalError, Tracks};

use crate::frames::Frames;
use crate::sheet::{Sheet, Spot};

/// The points of one athlete: `spots[frame * slots.len() + slot]`.
#[derive(Debug)]
pub(crate) struct Clip {
    pub slots: Vec<Landmark>,
    pub times: Vec<f64>,
    pub spots: Vec<Option<Spot>>,
    /// Sd of each spot as the file gives it, px: as many as `spots`, or none at all.
    pub sds: Vec<Option<f32>>,
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
        let (spots, sds) = if as_they_lie {
            (sheet.spots, sheet.sds)
        } else {
            let mut spots = vec![None; records.len() * stride];
            let mut sds = if sheet.sds.is_empty() {
                Vec::new()
            } else {
                vec![None; spots.len()]
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
                    sds[to].copy_from_slice(&sheet.sds[from]);
                }
            }
            (spots, sds)
        };
        let usual_sds = vec![0.0; stride];
        Clip {
            slots: sheet.slots,
            times: frames.times,
            spots,
            sds,
            usual_sds,
            inverted_factor: 1.0,
        }
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
    pub(crate) fn into_tracks(self, temporal_error: TemporalError) -> Tracks {
        let stride = self.slots.len();
        let factors: Vec<f32> = (0..self.times.len())
            .map(|frame| {
                if self.inverted(frame) {
                    self.inverted_factor
                } else {
                    1.0
                }
            })
            .collect();
        let mut tracks = Tracks::new(self.times, temporal_error);
        for (slot, landmark) in self.slots.iter().enumerate() {
            let spots = || self.spots[slot..].iter().step_by(stride);
            if spots().all(Option::is_none) {
                continue;
            }
            let track = tracks.track_mut(*landmark);
            track.positions = spots()
                .map(|spot| spot.map(|spot| Point::new(spot.x, spot.y)))
                .collect();
            let usual = self.usual_sds[slot];
            let own = |frame: usize| self.sds.get(frame * stride + slot).copied().flatten();
            track.sd = factors
                .iter()
                .enumerate()
                .map(|(frame, factor)| own(frame).unwrap_or(usual * factor))
                .collect();
            let (mut sum, mut count) = (0.0, 0.0_f64);
            for score in spots().flatten().filter_map(|spot| spot.score) {
                sum += f64::from(score);
                count += 1.0;
            }
            track.mean_confidence = (count > 0.0).then(|| sum / count);
        }
        tracks
    }
}
