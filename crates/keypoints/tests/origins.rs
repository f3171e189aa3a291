//! Where points came from, and which want a second look: read, kept and written.

#![allow(clippy::unwrap_used)]

mod figure;

use serde_json::{Value, json};
use springline_keypoints::{Attempt, AttemptFile, Error, ImportOptions, Origin, SdChoice, SdKind, import_bytes};
use springline_kinematics::{Joint, Landmark, Side, TemporalError};

const FRAMES: usize = 20;

fn file() -> Value {
    let clip: Vec<_> = (0..FRAMES)
        .map(|frame| figure::over_the_hands(frame as f64 / 60.0))
        .collect();
    serde_json::to_value(figure::attempt_file(&figure::seen(&clip, 0.0, 0.0, 1), 60.0)).unwrap()
}

fn imported(file: &Value) -> Attempt {
    import_bytes("origins.json", file.to_string().as_bytes(), &ImportOptions::default()).unwrap()
}

fn refused(file: &Value) -> Error {
    import_bytes("origins.json", file.to_string().as_bytes(), &ImportOptions::default()).unwrap_err()
}

/// Every 5th frame clicked, the left wrist bridged in frame 7, the rest tracked; some doubtful.
fn mixed() -> Value {
    let mut mixed = file();
    mixed["from"] = json!("tracked");
    for frame in (0..FRAMES).step_by(5) {
        mixed["frames"][frame]["from"] = json!(vec!["clicked"; 23]);
    }
    let mut from = vec![Value::Null; 23];
    from[Landmark::LeftWrist.index()] = json!("bridged");
    mixed["frames"][7]["from"] = json!(from);
    for frame in [11, 12] {
        let mut doubtful = vec![false; 23];
        doubtful[Landmark::RightToe.index()] = true;
        mixed["frames"][frame]["doubtful"] = json!(doubtful);
    }
    mixed
}

#[test]
fn nothing_said_is_imported_or_clicked_as_the_sds_are() {
    let mut plain = file();
    let attempt = imported(&plain);
    assert_eq!(attempt.origin(Landmark::Nose, 3), Some(Origin::Imported));
    assert!(!attempt.is_doubtful(Landmark::Nose, 3));
    assert_eq!(attempt.origins.one(), Some(Origin::Imported));
    plain["sd"] = json!({"kind": "clicked"});
    let attempt = imported(&plain);
    assert_eq!(attempt.origin(Landmark::Nose, 3), Some(Origin::Clicked));
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Independent);
    // A coach's own sd doesn't change who put the points there; the word of the coach does.
    for (sd, origin, error) in [
        (SdChoice::Px(2.0), Origin::Clicked, TemporalError::Independent),
        (SdChoice::PoseModel, Origin::Imported, TemporalError::Shared),
    ] {
        let options = ImportOptions {
            sd: Some(sd),
            ..ImportOptions::default()
        };
        let attempt = import_bytes("origins.json", plain.to_string().as_bytes(), &options).unwrap();
        assert_eq!(attempt.origins.one(), Some(origin));
        assert_eq!(attempt.tracks.temporal_error, error);
    }
}

#[test]
fn one_word_for_the_file_and_one_for_each_point() {
    let attempt = imported(&mixed());
    let origin = |landmark, frame| attempt.origin(landmark, frame).unwrap();
    assert_eq!(origin(Landmark::LeftWrist, 5), Origin::Clicked);
    assert_eq!(origin(Landmark::LeftWrist, 6), Origin::Tracked);
    assert_eq!(origin(Landmark::LeftWrist, 7), Origin::Bridged);
    assert_eq!(origin(Landmark::RightWrist, 7), Origin::Tracked);
    assert!(attempt.is_doubtful(Landmark::RightToe, 11) && attempt.is_doubtful(Landmark::RightToe, 12));
    assert!(!attempt.is_doubtful(Landmark::RightToe, 13) && !attempt.is_doubtful(Landmark::LeftToe, 11));
    // The careful one of the kinds of error.
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Shared);
}

#[test]
fn points_that_are_not_seen_have_no_origin() {
    let mut gap = mixed();
    gap["frames"][12]["points"][Landmark::RightToe.index()] = Value::Null;
    let attempt = imported(&gap);
    assert_eq!(attempt.origin(Landmark::RightToe, 12), None);
    assert!(!attempt.is_doubtful(Landmark::RightToe, 12));
    assert_eq!(attempt.origin(Landmark::RightToe, FRAMES), None);
}

#[test]
fn clicks_err_on_their_own_and_what_follows_them_does_not() {
    let mut clicked = file();
    clicked["from"] = json!("clicked");
    let attempt = imported(&clicked);
    assert_eq!(attempt.sd_kind, SdKind::Clicked);
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Independent);
    // With sds of its own it is independent as well.
    clicked["sd"] = json!({"kind": "given", "px": 2.0});
    let attempt = imported(&clicked);
    assert_eq!(attempt.sd_kind, SdKind::Given);
    assert_eq!(attempt.tracks.temporal_error, TemporalError::Independent);
    // One tracked point, and no longer; the file's own word goes before.
    let mut from = vec![Value::Null; 23];
    from[3] = json!("tracked");
    clicked["frames"][4]["from"] = json!(from);
    assert_eq!(imported(&clicked).tracks.temporal_error, TemporalError::Shared);
    clicked["error"] = json!({"kind": "correlated", "rho": 0.5});
    assert_eq!(imported(&clicked).tracks.temporal_error, TemporalError::Correlated(0.5));
}

#[test]
fn sides_of_clicked_points_stay_and_those_of_drafts_are_mended_with_their_origins() {
    let clip: Vec<_> = (0..60)
        .map(|frame| figure::over_the_hands(f64::from(frame) / 60.0))
        .collect();
    let mut seen = figure::seen(&clip, 0.0, 0.0, 1);
    figure::swap(&mut seen, &figure::LEGS, 20, 29);
    let mut swapped = serde_json::to_value(figure::attempt_file(&seen, 60.0)).unwrap();
    swapped["from"] = json!("drafted");
    let mut doubtful = vec![false; 23];
    doubtful[Landmark::LeftKnee.index()] = true;
    swapped["frames"][25]["doubtful"] = json!(doubtful);
    let attempt = imported(&swapped);
    assert_eq!(attempt.swaps.len(), 1);
    assert!(attempt.is_doubtful(Landmark::RightKnee, 25) && !attempt.is_doubtful(Landmark::LeftKnee, 25));
    let mut from = vec![Value::Null; 23];
    from[Landmark::of(Joint::Hip, Side::Left).index()] = json!("clicked");
    swapped["frames"][0]["from"] = json!(from);
    let attempt = imported(&swapped);
    assert!(attempt.swaps.is_empty());
    assert!(attempt.remarks.iter().any(|remark| remark.contains("look exchanged")));
}

#[test]
fn a_stretch_keeps_its_own() {
    let options = ImportOptions {
        from_s: Some(5.5 / 60.0),
        ..ImportOptions::default()
    };
    let attempt = import_bytes("origins.json", mixed().to_string().as_bytes(), &options).unwrap();
    assert_eq!(attempt.tracks.len(), FRAMES - 6);
    assert_eq!(attempt.origin(Landmark::LeftWrist, 1), Some(Origin::Bridged));
    assert_eq!(attempt.origin(Landmark::LeftWrist, 4), Some(Origin::Clicked));
    assert!(attempt.is_doubtful(Landmark::RightToe, 5) && !attempt.is_doubtful(Landmark::RightToe, 11));
}

#[test]
fn written_and_read_again_it_is_the_same() {
    for file in [file(), mixed()] {
        let attempt = imported(&file);
        let written = serde_json::to_value(AttemptFile::from_attempt(&attempt)).unwrap();
        let again = imported(&written);
        for frame in 0..FRAMES {
            for landmark in Landmark::ALL {
                assert_eq!(attempt.origin(landmark, frame), again.origin(landmark, frame));
                assert_eq!(attempt.is_doubtful(landmark, frame), again.is_doubtful(landmark, frame));
            }
        }
        assert_eq!(attempt.origins.one(), again.origins.one());
    }
}

#[test]
fn lists_of_another_length_and_other_words_are_refused() {
    let mut short = file();
    short["frames"][2]["from"] = json!(["clicked"]);
    let error = refused(&short).to_string();
    assert!(error.contains("frame 2, from") && error.contains("23"), "{error}");
    let mut short = file();
    short["frames"][2]["doubtful"] = json!([true, false]);
    let error = refused(&short).to_string();
    assert!(error.contains("frame 2, doubtful"), "{error}");
    let mut long = file();
    long["frames"][2]["from"] = json!(vec!["clicked"; 24]);
    assert!(refused(&long).to_string().contains("at most 23"));
    let mut word = file();
    word["frames"][2]["from"] = json!(vec!["guessed"; 23]);
    let error = refused(&word).to_string();
    assert!(
        error.contains("frames[2].from[0]") && error.contains("guessed"),
        "{error}"
    );
    let mut word = file();
    word["from"] = json!("guessed");
    assert!(refused(&word).to_string().contains("guessed"));
}
