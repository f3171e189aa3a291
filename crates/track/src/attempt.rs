//! What was followed as an attempt file.

use springline_keypoints::{Attempt, AttemptFile, ErrorKind, FrameEntry, Frames, PictureSize, PointSd};
use springline_kinematics::Landmark;

use crate::follow::{Point, Tracked};

impl Tracked {
    /// The attempt file: every point with its sd and where it came from, and which want a look. What else `clicked` says
    /// stays. Places are rounded to a hundredth of a px, those of clicks are not.
    #[must_use]
    pub fn attempt_file(&self, clicked: &Attempt) -> AttemptFile {
        let followed: Vec<usize> = (0..Landmark::COUNT)
            .filter(|landmark| self.points.iter().any(|points| points[*landmark].is_some()))
            .collect();
        let entry = |(t, points): (&f64, &[Option<Point>; Landmark::COUNT])| {
            let of = || followed.iter().map(|landmark| points[*landmark]);
            let doubtful: Vec<bool> = of().map(|point| point.is_some_and(|point| point.doubtful)).collect();
            FrameEntry {
                t: Some((t * 1e6).round() / 1e6),
                points: of().map(|point| point.map(place)).collect(),
                sd: Some(
                    of().map(|point| point.map(|point| hundredth(point.sd).max(0.01)))
                        .collect(),
                ),
                score: None,
                from: Some(of().map(|point| point.map(|point| point.origin)).collect()),
                doubtful: doubtful.contains(&true).then_some(doubtful),
            }
        };
        AttemptFile {
            picture: Some(PictureSize {
                width: f64::from(self.size.0),
                height: f64::from(self.size.1),
            }),
            points: followed
                .iter()
                .map(|landmark| Landmark::ALL[*landmark].id().to_owned())
                .collect(),
            rate_hz: None,
            sd: Some(PointSd::Given { px: None }),
            // A point that is off stays off until the next click.
            error: Some(ErrorKind::Shared),
            from: None,
            frames: Frames(self.times.iter().zip(&self.points).map(entry).collect()),
            ..AttemptFile::from_attempt(clicked)
        }
    }
}

fn place(point: Point) -> [f64; 2] {
    if point.clicked {
        point.place
    } else {
        point.place.map(hundredth)
    }
}

fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}
