//! Where the points came from and which want a second look, as the record tells it.

use springline_keypoints::{Origin, Origins};
use springline_kinematics::{Landmark, Tracks};
use springline_report::{OriginEntry, millionth};

/// How many points each origin has, and the frames with doubtful ones.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn origin_entries(origins: &Origins, tracks: &Tracks) -> (Vec<OriginEntry>, Vec<[usize; 2]>) {
    let mut points = [0_usize; Origin::ALL.len()];
    let mut doubtful = [0_usize; Origin::ALL.len()];
    let mut frames: Vec<[usize; 2]> = Vec::new();
    for frame in 0..tracks.len() {
        for landmark in Landmark::ALL {
            if tracks.at(landmark, frame).is_none() {
                continue;
            }
            let origin = origins.of(landmark, frame) as usize;
            points[origin] += 1;
            if !origins.is_doubtful(landmark, frame) {
                continue;
            }
            doubtful[origin] += 1;
            match frames.last_mut() {
                Some([_, last]) if *last + 1 >= frame => *last = frame,
                _ => frames.push([frame, frame]),
            }
        }
    }
    let all: usize = points.iter().sum();
    let entries = Origin::ALL
        .into_iter()
        .filter(|origin| points[*origin as usize] > 0)
        .map(|origin| OriginEntry {
            from: origin.id().to_owned(),
            points: points[origin as usize],
            share: millionth(points[origin as usize] as f64 / all as f64),
            doubtful: doubtful[origin as usize],
        })
        .collect();
    (entries, frames)
}
