//! What a good file becomes.

#![allow(clippy::unwrap_used)]

mod figure;

use springline_keypoints::{AttemptFile, Error, ImportOptions, SdKind, import_bytes};
use springline_kinematics::{Landmark, TemporalError};

fn at_60() -> ImportOptions {
    ImportOptions {
        rate_hz: Some(60.0),
        ..ImportOptions::default()
    }
}

fn truth() -> figure::Seen {
    figure::seen(&figure::film(figure::over_the_hands, 0.5, 60.0), 0.0, 0.05, 3)
}

#[test]
fn coco_results_become_tracks() {
    let truth = truth();
    let attempt = import_bytes(
        "a.json",
        figure::writers::coco_results(std::slice::from_ref(&truth), true).as_bytes(),
        &at_60(),
    )
    .unwrap();
    assert_eq!(
        attempt.recognised,
        "COCO results list, 17 points (coco-17), 1 person, 31 frames"
    );
    assert_eq!(attempt.layout, "coco-17");
    assert_eq!(attempt.sd_kind, SdKind::PoseModel);
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Shared);
    assert_eq!(attempt.tracks.len(), 31);
    assert!((attempt.tracks.times[30] - 0.5).abs() < 1e-12);
    for landmark in Landmark::ALL {
        for (frame, points) in truth.iter().enumerate() {
            let found = attempt.tracks.at(landmark, frame);
            match points[landmark.index()].filter(|_| landmark.index() < 17) {
                None => assert_eq!(found, None, "{landmark:?} {frame}"),
                Some([x, y]) => {
                    let found = found.unwrap();
                    assert!((found.x - x).abs() < 6e-3 && (found.y - y).abs() < 6e-3);
                    assert!(attempt.tracks.sd_at(landmark, frame) > 1.0);
                }
            }
        }
    }
    let confidence = attempt.tracks.track(Landmark::LeftHip).mean_confidence.unwrap();
    assert!((confidence - 0.91).abs() < 1e-6);
    assert!(!attempt.tracks.has(Landmark::LeftToe));
}

#[test]
fn an_attempt_file_comes_back_as_it_was() {
    let truth = truth();
    let text = serde_json::to_string(&figure::attempt_file(&truth, 60.0)).unwrap();
    let attempt = import_bytes("a.json", text.as_bytes(), &ImportOptions::default()).unwrap();
    assert!(attempt.synthetic);
    assert_eq!(attempt.picture, Some((1920.0, 1080.0)));
    let file = AttemptFile::from_attempt(&attempt);
    let text = serde_json::to_string(&file).unwrap();
    let again = import_bytes("a.json", text.as_bytes(), &ImportOptions::default()).unwrap();
    assert_eq!(again.sd_kind, attempt.sd_kind);
    assert_eq!(again.tracks.temporal_error, attempt.tracks.temporal_error);
    for landmark in Landmark::ALL {
        for frame in 0..truth.len() {
            let (a, b) = (attempt.tracks.at(landmark, frame), again.tracks.at(landmark, frame));
            assert_eq!(a.is_some(), b.is_some());
            if let (Some(a), Some(b)) = (a, b) {
                assert!((a - b).norm() < 1e-9);
                assert!((attempt.tracks.sd_at(landmark, frame) - again.tracks.sd_at(landmark, frame)).abs() < 1e-5);
            }
        }
    }
}

#[test]
fn no_rate_is_asked_for() {
    let text = figure::writers::coco_results(&[truth()], true);
    let error = import_bytes("a.json", text.as_bytes(), &ImportOptions::default()).unwrap_err();
    assert!(matches!(error, Error::NoRate { .. }), "{error}");
}

/// Times to a microsecond make 59.9988 frames per second of 60.
#[test]
fn a_stated_rate_is_kept_where_the_times_agree_with_it() {
    let stated = |rate_hz: Option<f64>, per_s: f64, stated: f64| {
        let mut file = figure::attempt_file(&truth(), stated);
        if let Some(rate_hz) = rate_hz {
            for (frame, entry) in file.frames.0.iter_mut().enumerate() {
                entry.t = Some((frame as f64 / rate_hz * per_s).round() / per_s);
            }
        }
        let text = serde_json::to_string(&file).unwrap();
        let attempt = import_bytes("a.json", text.as_bytes(), &ImportOptions::default()).unwrap();
        attempt.stated_rate_hz
    };
    assert_eq!(stated(Some(60.0), 1e6, 60.0), Some(60.0));
    assert_eq!(stated(Some(60.0), 1e3, 60.0), Some(60.0));
    assert_eq!(stated(Some(59.94), 1e6, 60.0), None);
    assert_eq!(stated(Some(120.0), 1e6, 60.0), None);
    assert_eq!(stated(None, 1e6, 60.0), None);
}

#[test]
fn one_point_is_told_in_the_singular() {
    let frame = |points: &str| format!(r#"{{"points": [{points}]}}"#);
    let point = "[10.0, 20.0]";
    let text = format!(
        r#"{{"format": "springline-attempt", "version": 1, "rate_hz": 60, "points": ["left_hip", "left_knee"], "frames": [{}, {}]}}"#,
        frame(&format!("{point}, {point}")),
        frame(point),
    );
    let refused = import_bytes("a.json", text.as_bytes(), &ImportOptions::default()).unwrap_err();
    assert!(refused.to_string().contains("found 1 point, expected 2"), "{refused}");
}
