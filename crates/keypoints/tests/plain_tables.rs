//! Tables as people keep them: frame numbers called times, milliseconds, misspelt points.

#![allow(clippy::unwrap_used)]

use serde_json::json;
use springline_keypoints::{Attempt, Error, ImportOptions, import_bytes};
use springline_kinematics::Landmark;

/// A wide table with those times and those names of points.
fn wide(times: &[String], points: &[&str]) -> String {
    let mut text = "time".to_owned();
    for point in points {
        text += &format!(",{point}_x,{point}_y");
    }
    for (row, time) in times.iter().enumerate() {
        text += &format!("\n{time}");
        for point in 0..points.len() {
            text += &format!(",{},{}", 500 + 9 * point + row, 300 + 70 * point);
        }
    }
    text + "\n"
}

const POINTS: [&str; 5] = ["left_wrist", "left_shoulder", "left_hip", "left_knee", "left_ankle"];

fn at(rate_hz: impl Into<Option<f64>>) -> ImportOptions {
    ImportOptions {
        rate_hz: rate_hz.into(),
        ..ImportOptions::default()
    }
}

fn read(text: &str, rate_hz: impl Into<Option<f64>>) -> Result<Attempt, Error> {
    import_bytes("t.csv", text.as_bytes(), &at(rate_hz))
}

fn counted(first: usize) -> Vec<String> {
    (first..first + 30).map(|frame| frame.to_string()).collect()
}

fn says(attempt: &Attempt, words: &str) -> bool {
    attempt.remarks.iter().any(|remark| remark.contains(words))
}

#[test]
fn frame_numbers_called_times_become_times_by_the_rate() {
    for first in [0, 1, 120] {
        let attempt = read(&wide(&counted(first), &POINTS), 60.0).unwrap();
        assert!((attempt.tracks.times[29] - 29.0 / 60.0).abs() < 1e-12, "{first}");
        assert!(
            says(&attempt, "are frame numbers, not seconds; with 60 frames per second"),
            "{:?}",
            attempt.remarks
        );
    }
    let error = read(&wide(&counted(0), &POINTS), None).unwrap_err();
    assert!(matches!(error, Error::FrameNumbers { .. }), "{error:?}");
    let says = "found the times 0, 1, 2, ..., which are frame numbers, expected seconds or a frame rate";
    assert!(error.to_string().contains(says), "{error}");
}

#[test]
fn frame_numbers_called_times_in_json_as_well() {
    let person = |t: i32| -> Vec<f64> {
        (0..17)
            .flat_map(|point| [500.0, f64::from(300 + 20 * point + t), 0.9])
            .collect()
    };
    let frames: Vec<_> = (0..10).map(|t| json!({"time": t, "keypoints": person(t)})).collect();
    let text = json!({ "frames": frames }).to_string();
    let attempt = import_bytes("t.json", text.as_bytes(), &at(50.0)).unwrap();
    assert!((attempt.tracks.times[9] - 9.0 / 50.0).abs() < 1e-12);
    let error = import_bytes("t.json", text.as_bytes(), &at(None)).unwrap_err();
    assert!(matches!(error, Error::FrameNumbers { .. }), "{error:?}");
}

#[test]
fn a_lost_frame_keeps_its_place() {
    let mut numbers = counted(0);
    numbers.remove(10);
    let attempt = read(&wide(&numbers, &POINTS), 60.0).unwrap();
    assert!((attempt.tracks.times[10] - 11.0 / 60.0).abs() < 1e-12);
}

#[test]
fn milliseconds_are_taken_as_such_and_said() {
    for (rate, decimals) in [(60.0, 2), (30.0, 0), (120.0, 1), (240.0, 3)] {
        let times: Vec<String> = (0..30)
            .map(|frame| format!("{:.decimals$}", f64::from(frame) * 1000.0 / rate))
            .collect();
        let attempt = read(&wide(&times, &POINTS), None).unwrap();
        assert!((attempt.tracks.times[29] - 29.0 / rate).abs() < 1e-3, "{rate}");
        assert!(
            says(&attempt, "the times look like milliseconds ("),
            "{:?}",
            attempt.remarks
        );
    }
    // Seconds stay seconds, slow films too, and nothing is said.
    for rate in [5.0, 30.0, 60.0] {
        let times: Vec<String> = (0..30).map(|frame| (f64::from(frame) / rate).to_string()).collect();
        let attempt = read(&wide(&times, &POINTS), None).unwrap();
        assert!((attempt.tracks.times[29] - 29.0 / rate).abs() < 1e-9);
        assert!(attempt.remarks.is_empty(), "{:?}", attempt.remarks);
    }
    // A time every 5 s is neither.
    let times: Vec<String> = (0..30).map(|frame| (2 * frame).to_string()).collect();
    assert!(matches!(read(&wide(&times, &POINTS), None), Err(Error::BadRate { .. })));
}

fn seconds() -> Vec<String> {
    (0..12).map(|frame| format!("{:.4}", f64::from(frame) / 60.0)).collect()
}

#[test]
fn misspelt_points_are_named_with_what_they_may_mean() {
    let points = [
        "left_wrist",
        "left_sholder",
        "left_hip",
        "left_knee",
        "left_ankle",
        "neck",
    ];
    let attempt = read(&wide(&seconds(), &points), None).unwrap();
    let note = "columns that are none of the points looked for were left out: left_sholder_x (did you mean \
                left_shoulder?), neck_x";
    assert!(says(&attempt, note), "{:?}", attempt.remarks);
    let mut long = "time,point,x,y\n".to_owned();
    for time in seconds() {
        for (row, point) in points.iter().enumerate() {
            long += &format!("{time},{point},500,{}\n", 300 + 70 * row);
        }
    }
    let attempt = read(&long, None).unwrap();
    assert!(
        says(&attempt, "left out: left_sholder (did you mean left_shoulder?), neck"),
        "{:?}",
        attempt.remarks
    );
}

#[test]
fn a_point_with_one_coordinate_is_named() {
    let text = wide(&seconds(), &[&POINTS[..], &["nose"]].concat()).replace("left_hip_y", "left_hip_yy");
    let attempt = read(&text, None).unwrap();
    assert!(says(
        &attempt,
        "points with one coordinate only were left out: left_hip_x without left_hip_y"
    ));
    assert!(attempt.tracks.at(Landmark::LeftHip, 0).is_none());
}

#[test]
fn one_thing_is_told_of_as_one() {
    let mut text = "frame,point,x,y,score\n".to_owned();
    for frame in (0..12).filter(|frame| *frame != 5) {
        for (row, point) in POINTS.iter().enumerate() {
            let score = if frame == 3 && row == 2 { 0.01 } else { 0.9 };
            text += &format!("{frame},{point},500,{},{score}\n", 300 + 70 * row);
        }
    }
    let attempt = read(&text, 60.0).unwrap();
    let told = [
        "1 frame left out of the file counts as a frame with nothing seen",
        "1 point with a score under 0.05 counts as not seen",
    ];
    assert_eq!(attempt.remarks, told);
}
