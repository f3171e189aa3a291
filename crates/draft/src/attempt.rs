//! The draft as an attempt file.

use springline_keypoints::{AttemptFile, ErrorKind, FormatName, FrameEntry, Frames, Origin, PictureSize, PointSd};
use springline_kinematics::Landmark;

use crate::points::{Draft, DraftedPoint};

impl Draft {
    /// The attempt file: every point with its sd, and which frames want a look. Places are rounded to a hundredth of a px.
    #[must_use]
    pub fn attempt_file(&self) -> AttemptFile {
        let entry = |(t, frame): (&f64, &Option<crate::DraftedFrame>)| {
            let points: &[DraftedPoint] = frame.as_ref().map_or(&[], |frame| &frame.points);
            let of = |landmark: Landmark| points.iter().find(|point| point.landmark == landmark);
            let all = |value: &dyn Fn(&DraftedPoint) -> f64| {
                Landmark::ALL
                    .into_iter()
                    .map(|landmark| of(landmark).map(|point| hundredth(value(point))))
                    .collect::<Vec<_>>()
            };
            let place = |landmark| of(landmark).map(|point| [hundredth(point.x), hundredth(point.y)]);
            let doubtful = frame.as_ref().is_some_and(|frame| frame.doubtful);
            FrameEntry {
                t: Some((t * 1e6).round() / 1e6),
                points: Landmark::ALL.into_iter().map(place).collect(),
                sd: Some(all(&|point| point.sd.max(0.01))),
                score: Some(all(&|point| point.seen)),
                doubtful: doubtful.then(|| vec![true; Landmark::COUNT]),
                from: None,
            }
        };
        AttemptFile {
            format: FormatName::SpringlineAttempt,
            version: 1,
            synthetic: false,
            seed: None,
            note: (!self.notes.is_empty()).then(|| self.notes.join("; ")),
            picture: Some(PictureSize {
                width: f64::from(self.size.0),
                height: f64::from(self.size.1),
            }),
            layout: Some("points-33".to_owned()),
            points: Landmark::ALL
                .into_iter()
                .map(|landmark| landmark.id().to_owned())
                .collect(),
            rate_hz: None,
            sd: Some(PointSd::Given { px: None }),
            error: Some(ErrorKind::Shared),
            given: springline_keypoints::GivenFile::default(),
            from: Some(Origin::Drafted),
            frames: Frames(self.times.iter().zip(&self.frames).map(entry).collect()),
        }
    }
}

fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DraftedFrame;
    use springline_keypoints::{ImportOptions, import_bytes};

    #[test]
    fn the_file_is_read_back_with_sds_origins_and_doubts() {
        let frame = |doubtful| {
            let point = |landmark| DraftedPoint {
                landmark,
                x: 100.125 + 7.0 * f64::from(landmark as u8),
                y: 50.0,
                sd: 4.5,
                seen: 0.9,
            };
            Some(DraftedFrame {
                points: Landmark::ALL.into_iter().map(point).collect(),
                doubtful,
            })
        };
        let draft = Draft {
            size: (640, 360),
            first: 0,
            times: vec![0.0, 0.04, 0.08],
            frames: vec![frame(false), None, frame(true)],
            stature_px: 200.0,
            notes: Vec::new(),
        };
        let json = serde_json::to_vec(&draft.attempt_file()).expect("plain data");
        let attempt = import_bytes("turn.json", &json, &ImportOptions::default()).expect("our own file");
        assert_eq!(attempt.tracks.times, draft.times);
        assert!(attempt.tracks.at(Landmark::LeftHip, 1).is_none());
        let hip = attempt.tracks.at(Landmark::LeftHip, 2).expect("drafted");
        assert!((hip.x - 100.13 - 7.0 * f64::from(Landmark::LeftHip as u8)).abs() < 0.01);
        assert!((attempt.tracks.sd_at(Landmark::LeftHip, 2) - 4.5).abs() < 1e-6);
        assert_eq!(attempt.origin(Landmark::LeftHip, 2), Some(Origin::Drafted));
        assert!(attempt.is_doubtful(Landmark::LeftHip, 2) && !attempt.is_doubtful(Landmark::LeftHip, 0));
    }
}
