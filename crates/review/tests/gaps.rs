//! Gaps in the points are told: what was bridged, what stayed missing, and which measures it touched.

#![allow(clippy::unwrap_used)]

use serde_json::{Value, json};
use springline_drills::Catalogue;
use springline_kinematics::Landmark;
use springline_report::{ATTEMPT_COLUMNS, MEASURE_COLUMNS, Review, Style, attempt_row, measure_rows, text};
use springline_review::{Reviewer, Settings};

const DRILL: &str = "handspring-floor";

fn demo(name: &str) -> Value {
    let path = format!("{}/../../fixtures/demo/{name}.json", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

fn review(file: &Value) -> Review {
    let catalogue = Catalogue::shipped();
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    reviewer.settings_mut().import.rate_hz = Some(60.0);
    let drill = catalogue.drill(DRILL).unwrap();
    let bytes = file.to_string();
    reviewer
        .review_bytes("turn.json", bytes.as_bytes(), drill)
        .unwrap()
        .record
}

/// Takes points out of frames.
fn without(file: &mut Value, points: &[&str], frames: impl IntoIterator<Item = usize>) {
    let names: Vec<String> = serde_json::from_value(file["points"].clone()).unwrap();
    for frame in frames {
        for point in points {
            let place = names.iter().position(|name| name == point).unwrap();
            file["frames"][frame]["points"][place] = json!(null);
        }
    }
}

/// Takes points out of the layout.
fn without_at_all(file: &mut Value, joint: &str) {
    let names: Vec<String> = serde_json::from_value(file["points"].clone()).unwrap();
    let keep: Vec<bool> = names.iter().map(|name| !name.ends_with(joint)).collect();
    let kept = |list: &Value| -> Value {
        let list = list.as_array().unwrap().iter().zip(&keep);
        list.filter(|(_, keep)| **keep).map(|(one, _)| one.clone()).collect()
    };
    file["points"] = kept(&file["points"]);
    for frame in file["frames"].as_array_mut().unwrap() {
        frame["points"] = kept(&frame["points"]);
        if frame["sd"].is_array() {
            frame["sd"] = kept(&frame["sd"]);
        }
    }
    file.as_object_mut().unwrap().remove("layout");
}

#[test]
fn bridged_and_missing_points_are_one_line_for_each_part_of_the_body() {
    let mut file = demo("a-clean");
    without(&mut file, &["left_wrist"], (60..63).chain([70]));
    without(&mut file, &["left_wrist"], 20..29);
    without(&mut file, &["left_ankle", "right_ankle"], 100..103);
    without(&mut file, &["left_ankle"], 110..111);
    let review = review(&file);
    let told = [
        "left wrist bridged in 4 frames (longest gap 3), missing in 9 frames (longest 0.15 s)",
        "both ankles bridged in up to 4 frames (longest gap 3)",
    ];
    assert_eq!(review.attempt.remarks, told);
    let words = text(&review, Style::PLAIN).replace("\n  ", " ");
    let mut row = String::new();
    attempt_row(&review, &mut row);
    let mut table = csv::ReaderBuilder::new().has_headers(false).from_reader(row.as_bytes());
    let record = table.records().next().unwrap().unwrap();
    let column = ATTEMPT_COLUMNS.iter().position(|column| column == "remarks").unwrap();
    assert_eq!(&record[column], told.join("; "));
    for line in told {
        assert!(words.contains(&format!("Note: {line}.")), "{words}");
    }
}

#[test]
fn a_measure_of_bridged_points_says_so_and_no_other() {
    let mut file = demo("a-clean");
    // In the flight.
    let drill_frames = review(&file);
    let flight = |review: &Review| {
        let knees = review
            .checks
            .iter()
            .find(|check| check.title == "Straight knees in the air");
        knees.unwrap().clone()
    };
    let [first, last] = flight(&drill_frames).frames.unwrap();
    without(&mut file, &["left_knee", "right_knee"], first + 3..first + 5);
    let review = review(&file);
    let check = flight(&review);
    let side = check.side.clone().unwrap();
    let told = format!("bridged in 2 of {} frames: {side} knee", last - first + 1);
    assert_eq!(check.remarks, [told.as_str()]);
    assert!(text(&review, Style::PLAIN).contains(&told));
    let mut rows = String::new();
    measure_rows(&review, &mut rows);
    let mut table = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(rows.as_bytes());
    let column = MEASURE_COLUMNS.iter().position(|column| *column == "remarks").unwrap();
    for (row, check) in table.records().map(Result::unwrap).zip(&review.checks) {
        assert_eq!(&row[column], check.remarks.join("; "));
        let arms = matches!(check.measure.as_deref(), Some("elbow_angle" | "shoulder_opening"));
        assert!(!(arms && row[column].contains("bridged")), "{}", check.title);
    }
}

#[test]
fn clips_without_gaps_and_points_that_the_layout_lacks_are_no_remark() {
    for name in [
        "a-clean",
        "b-hands-near-feet",
        "c-no-block",
        "d-lands-behind",
        "e-too-close",
    ] {
        assert_eq!(review(&demo(name)).attempt.remarks, [""; 0], "{name}");
    }
    let mut file = demo("a-clean");
    without_at_all(&mut file, "heel");
    without_at_all(&mut file, "fingertip");
    assert_eq!(review(&file).attempt.remarks, [""; 0]);
}

#[test]
fn a_point_that_the_layout_lacks_is_told_once_for_all_that_need_it() {
    let mut file = demo("a-clean");
    without_at_all(&mut file, "heel");
    let review = review(&file);
    let why: Vec<&str> = review
        .checks
        .iter()
        .filter_map(|check| check.verdict.why.as_deref())
        .collect();
    assert_eq!(why, ["no heel among the points of this clip"; 2]);
    let words = text(&review, Style::PLAIN);
    assert_eq!(
        words.matches("no heel among the points of this clip").count(),
        1,
        "{words}"
    );

    let mut file = demo("a-clean");
    without_at_all(&mut file, "left_ankle");
    let one = self::review(&file);
    let told = |check: &springline_report::CheckEntry| {
        check.verdict.why.as_deref() == Some("no left ankle among the points of this clip")
    };
    assert!(one.checks.iter().any(told), "{:?}", one.checks);
}

#[test]
fn a_second_turn_in_the_clip_is_told_in_the_singular() {
    let mut file = demo("a-clean");
    let frames = file["frames"].as_array().unwrap().clone();
    let length = frames.len() as f64 / 60.0;
    let later = |(turn, frame): (usize, &Value)| {
        let mut frame = frame.clone();
        let time = frame["t"].as_f64().unwrap() + turn as f64 * length;
        frame["t"] = json!(time);
        frame
    };
    for (turns, told) in [
        (
            2,
            "1 further hand support of the same kind in the clip; the first was taken",
        ),
        (
            3,
            "2 further hand supports of the same kind in the clip; the first was taken",
        ),
    ] {
        let all = (0..turns).flat_map(|turn| frames.iter().map(move |frame| (turn, frame)));
        file["frames"] = all.map(later).collect();
        assert_eq!(review(&file).attempt.remarks, [told]);
    }
}

#[test]
fn the_near_side_is_undecided_where_nothing_tells_it() {
    let mut file = demo("a-clean");
    let given = file["given"].as_object_mut().unwrap();
    given.remove("facing");
    given.remove("near_side");
    for joint in ["nose", "eye", "ear", "heel", "toe"] {
        without_at_all(&mut file, joint);
    }
    // Standing, before the run-up: knees straight, nothing that shows front or back.
    let frames = file["frames"].as_array_mut().unwrap();
    frames.truncate(12);
    file["sd"] = json!({"kind": "given", "px": 40.0});
    file["error"] = json!({"kind": "shared"});
    let undecided = review(&file);
    assert_eq!(
        (undecided.body.facing.as_deref(), undecided.body.near_side.as_str()),
        (None, "undecided")
    );
    let words = text(&undecided, Style::PLAIN).replace("\n  ", " ");
    let told = "which way the athlete faces is undecided (--facing left|right gives it); near side undecided;";
    assert!(words.contains(told), "{words}");
    file["given"]["facing"] = json!("left");
    assert_eq!(review(&file).body.near_side, "left");
}

#[test]
fn frames_without_any_point_and_points_never_seen_are_told_once() {
    let mut file = demo("a-clean");
    let names: Vec<String> = serde_json::from_value(file["points"].clone()).unwrap();
    let all: Vec<&str> = names.iter().map(String::as_str).collect();
    without(&mut file, &all, 10..13);
    without(&mut file, &all, 20..32);
    without(&mut file, &["left_elbow"], [50]);
    let empty = "no point is seen in 15 frames (longest gap 0.20 s); gaps up to 0.10 s were bridged";
    let elbow = "left elbow bridged in 1 frame (longest gap 1)";
    assert_eq!(review(&file).attempt.remarks, [empty, elbow]);

    let mut file = demo("a-clean");
    let frames = file["frames"].as_array().unwrap().len();
    without(&mut file, &["left_ear"], 0..frames);
    without(&mut file, &["nose"], 40..50);
    assert_eq!(
        review(&as_coco(&file)).attempt.remarks,
        ["nose missing in 10 frames (longest 0.17 s); left ear never seen"]
    );
}

/// The file's points as a list of COCO results: 17 points, a missing one with score 0.
fn as_coco(file: &Value) -> Value {
    let names: Vec<String> = serde_json::from_value(file["points"].clone()).unwrap();
    let place = |landmark: Landmark| names.iter().position(|name| name == landmark.id()).unwrap();
    let frames = file["frames"].as_array().unwrap().iter().enumerate();
    let result = |(number, frame): (usize, &Value)| {
        let triple = |landmark: &Landmark| match &frame["points"][place(*landmark)] {
            Value::Array(point) => [point[0].clone(), point[1].clone(), json!(0.9)],
            _ => [json!(0), json!(0), json!(0)],
        };
        let points: Vec<Value> = Landmark::ALL[..17].iter().flat_map(triple).collect();
        json!({"image_id": number + 1, "category_id": 1, "keypoints": points, "score": 0.9})
    };
    frames.map(result).collect()
}
