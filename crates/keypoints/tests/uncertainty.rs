//! Where point sds come from, and how large they are.

#![allow(clippy::unwrap_used)]

mod figure;

use serde_json::{Value, json};
use springline_keypoints::{
    Attempt, AttemptFile, Given, ImportOptions, SdChoice, SdKind, SurfaceAt, import_bytes, oks_sigma,
};
use springline_kinematics::{Landmark, TemporalError};

/// A still figure, upright for three frames and upside down for two, as an attempt file.
fn file() -> Value {
    let upright = figure::pose([900.0, 500.0], 0.0, [0.0, 0.0], [0.0, 0.0]);
    let inverted = figure::pose([900.0, 500.0], 180.0, [180.0, 180.0], [0.0, 0.0]);
    let clip = [upright, upright, upright, inverted, inverted];
    serde_json::to_value(figure::attempt_file(&figure::seen(&clip, 0.0, 0.0, 1), 50.0)).unwrap()
}

fn imported(file: &Value, options: &ImportOptions) -> Attempt {
    import_bytes("sd.json", file.to_string().as_bytes(), options).unwrap()
}

fn sd(attempt: &Attempt, landmark: Landmark, frame: usize) -> f64 {
    attempt.tracks.sd_at(landmark, frame)
}

#[test]
fn pose_model_default_from_the_box_of_the_points() {
    let attempt = imported(&file(), &ImportOptions::default());
    assert_eq!(attempt.sd_kind, SdKind::PoseModel);
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Shared);
    // The median box is that of the upright frames.
    let places: Vec<_> = Landmark::ALL
        .iter()
        .map(|landmark| attempt.tracks.at(*landmark, 0).unwrap())
        .collect();
    let range = |axis: usize| {
        let values = || places.iter().map(|place| place[axis]);
        values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min)
    };
    let area = 0.53 * range(0) * range(1);
    for landmark in Landmark::ALL {
        let expected = oks_sigma(landmark) * area.sqrt() / 2.0_f64.sqrt();
        for frame in 0..5 {
            let factor = if frame < 3 { 1.0 } else { 1.5 };
            let found = sd(&attempt, landmark, frame);
            assert!(
                (found - factor * expected).abs() < 1e-4 * expected,
                "{landmark:?} {frame}: {found}"
            );
        }
    }
}

#[test]
fn clicked_default_from_stature() {
    let mut clicked = file();
    clicked["sd"] = json!({"kind": "clicked"});
    // Legs of 0.8 + 0.8 trunk lengths of 150 px; stature is leg length / 0.49.
    let attempt = imported(&clicked, &ImportOptions::default());
    assert_eq!(attempt.sd_kind, SdKind::Clicked);
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Independent);
    let expected = 0.005 * 1.6 * 150.0 / 0.49;
    assert!((sd(&attempt, Landmark::LeftHip, 4) - expected).abs() < 1e-4);

    clicked["given"] = json!({"stature_px": 500.0});
    assert!((sd(&imported(&clicked, &ImportOptions::default()), Landmark::Nose, 0) - 2.5).abs() < 1e-6);
    // The coach's word goes before the file's; metres and a scale do as well.
    let given = Given {
        stature_px: Some(600.0),
        ..Given::default()
    };
    let options = ImportOptions {
        given,
        ..ImportOptions::default()
    };
    assert!((sd(&imported(&clicked, &options), Landmark::Nose, 0) - 3.0).abs() < 1e-6);
    clicked["given"] = json!({"stature_m": 1.4, "metres_per_px": 0.0035});
    assert!((sd(&imported(&clicked, &ImportOptions::default()), Landmark::Nose, 0) - 2.0).abs() < 1e-6);
}

#[test]
fn given_for_all_for_each_and_frame_by_frame() {
    let mut given = file();
    given["sd"] = json!({"kind": "given", "px": 3.0});
    given["error"] = json!({"kind": "correlated", "rho": 0.6});
    let attempt = imported(&given, &ImportOptions::default());
    assert_eq!(attempt.sd_kind, SdKind::Given);
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Correlated(0.6));
    assert!((sd(&attempt, Landmark::LeftKnee, 4) - 3.0).abs() < 1e-6);

    given["sd"] = json!({"kind": "given", "px": {"left_knee": 4.0}});
    let mut own = vec![Value::Null; 23];
    own[Landmark::LeftKnee.index()] = json!(7.5);
    given["frames"][1]["sd"] = json!(own);
    let attempt = imported(&given, &ImportOptions::default());
    assert!((sd(&attempt, Landmark::LeftKnee, 0) - 4.0).abs() < 1e-6);
    assert!((sd(&attempt, Landmark::LeftKnee, 1) - 7.5).abs() < 1e-6);
    // What the file leaves out gets the pose-model default.
    assert!(sd(&attempt, Landmark::RightKnee, 0) > 5.0);

    // Without an error kind, given sds are shared.
    given.as_object_mut().unwrap().remove("error");
    let attempt = imported(&given, &ImportOptions::default());
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Shared);
}

#[test]
fn the_coach_can_override_them() {
    let mut given = file();
    given["sd"] = json!({"kind": "given", "px": 3.0});
    for (choice, kind, px) in [
        (SdChoice::Px(1.25), SdKind::Given, 1.25),
        (SdChoice::Clicked, SdKind::Clicked, 0.005 * 1.6 * 150.0 / 0.49),
    ] {
        let options = ImportOptions {
            sd: Some(choice),
            ..ImportOptions::default()
        };
        let attempt = imported(&given, &options);
        assert_eq!(attempt.sd_kind, kind);
        assert!((sd(&attempt, Landmark::LeftElbow, 2) - px).abs() < 1e-4);
    }
    let options = ImportOptions {
        sd: Some(SdChoice::PoseModel),
        ..ImportOptions::default()
    };
    assert!(sd(&imported(&given, &options), Landmark::LeftHip, 0) > 5.0);
}

#[test]
fn the_coach_can_say_how_errors_go_from_frame_to_frame() {
    let mut given = file();
    given["sd"] = json!({"kind": "given", "px": 3.0});
    given["error"] = json!({"kind": "independent"});
    for error in [TemporalError::Correlated(0.4), TemporalError::Shared] {
        let options = ImportOptions {
            error: Some(error),
            ..ImportOptions::default()
        };
        assert_eq!(imported(&given, &options).tracks.temporal_error, error);
    }
}

#[test]
fn lengths_and_surfaces_come_through() {
    let mut file = file();
    file["given"] = json!({
        "metres_per_px": 0.003, "scale_by_gravity": true,
        "known_length": {"m": 1.2, "ends": [[300, 880], [700, 880]], "sd_px": 2},
        "hand_surface_m": 0.45, "foot_surface_at": [1500, 820]
    });
    let attempt = imported(&file, &ImportOptions::default());
    let given = &attempt.given;
    // A scale without an uncertainty is not taken for exact.
    assert_eq!(given.metres_per_px, Some((0.003, 0.01)));
    assert!(given.scale_by_gravity);
    let known = given.known_length.unwrap();
    assert_eq!(
        (known.metres, known.ends[1], known.sd_px),
        (1.2, (700.0, 880.0), Some(2.0))
    );
    assert_eq!(given.hand_surface, Some(SurfaceAt::OverFloorM(0.45)));
    assert_eq!(given.foot_surface, Some(SurfaceAt::Marked((1500.0, 820.0))));

    // Written out and read again, it is the same.
    let again = serde_json::to_value(AttemptFile::from_attempt(&attempt)).unwrap();
    assert_eq!(&imported(&again, &ImportOptions::default()).given, given);

    // Gravity and metres per px are one entry: the coach's word replaces the file's.
    let with = |other: Given| {
        let options = ImportOptions {
            given: other,
            ..ImportOptions::default()
        };
        imported(&file, &options).given
    };
    let gravity = with(Given {
        scale_by_gravity: true,
        hand_surface: Some(SurfaceAt::Marked((800.0, 700.0))),
        ..Given::default()
    });
    assert_eq!((gravity.metres_per_px, gravity.scale_by_gravity), (None, true));
    assert_eq!(gravity.hand_surface, Some(SurfaceAt::Marked((800.0, 700.0))));
    let number = with(Given {
        metres_per_px: Some((0.002, 0.01)),
        ..Given::default()
    });
    assert_eq!(
        (number.metres_per_px, number.scale_by_gravity),
        (Some((0.002, 0.01)), false)
    );

    // A marked length tells how tall the athlete is in px: 1.4 m at 0.003 m per px, 0.5 % of it.
    file["sd"] = json!({"kind": "clicked"});
    file["given"] = json!({"stature_m": 1.4, "known_length": {"m": 1.2, "ends": [[300, 880], [700, 880]]}});
    let expected = 0.005 * 1.4 / 0.003;
    assert!((sd(&imported(&file, &ImportOptions::default()), Landmark::Nose, 0) - expected).abs() < 1e-5);
}

#[test]
fn given_facts_come_through() {
    let mut file = file();
    file["given"] = json!({
        "athlete": "A-01", "date": "2026-03-14", "drill": "handspring-floor",
        "floor_line": [[0, 900], [1920, 905]], "floor_line_sd_px": 2, "facing": "right", "near_side": "left",
        "metres_per_px": 0.00286, "metres_per_px_sd": 0.0000286, "stature_m": 1.4, "stature_px": 490,
        "spotted": true, "events": {"hand_placement": 0.06, "push_off_foot_down": 0.02}
    });
    let attempt = imported(&file, &ImportOptions::default());
    let given = &attempt.given;
    assert_eq!(given.drill.as_deref(), Some("handspring-floor"));
    let (scale, share) = given.metres_per_px.unwrap();
    assert!((scale - 0.00286).abs() < 1e-12 && (share - 0.01).abs() < 1e-9);
    assert_eq!(given.floor_line, Some([(0.0, 900.0), (1920.0, 905.0)]));
    let times: Vec<f64> = given.events.iter().map(|event| event.1).collect();
    assert_eq!(times, [0.02, 0.06]);
    let other = Given {
        athlete: Some("B-02".to_owned()),
        events: vec![(springline_kinematics::EventKind::HandPlacement, 0.08)],
        ..Given::default()
    };
    let attempt = imported(
        &file,
        &ImportOptions {
            given: other,
            ..ImportOptions::default()
        },
    );
    assert_eq!(attempt.given.athlete.as_deref(), Some("B-02"));
    assert_eq!(attempt.given.date.as_deref(), Some("2026-03-14"));
    assert_eq!(
        attempt.given.events.iter().map(|event| event.1).collect::<Vec<_>>(),
        [0.02, 0.08]
    );
}
