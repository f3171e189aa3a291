//! One attempt in a folder, changed in ways that matter, and its review.
#![allow(dead_code, clippy::unwrap_used)]

use serde_json::{Value, json};
use springline_report::{Review, ScaleCheck};

use crate::bench::{Bench, demo};

/// Metres per px of the demo attempts' camera.
pub const M_PER_PX: f64 = 1.0 / 350.0;

/// A demo attempt of which nothing is given but the floor line, the facing and the drill.
pub fn bare(name: &str) -> Value {
    let mut file: Value = serde_json::from_slice(&demo(name)).unwrap();
    let given = file["given"].as_object_mut().unwrap();
    for key in ["metres_per_px", "metres_per_px_sd", "stature_m"] {
        given.remove(key);
    }
    file
}

/// The points of an attempt moved up by some px that depend on the time.
pub fn lifted(mut file: Value, rise: impl Fn(f64) -> f64) -> Value {
    for frame in file["frames"].as_array_mut().unwrap() {
        let up = rise(frame["t"].as_f64().unwrap());
        for point in frame["points"].as_array_mut().unwrap() {
            if let Some(point) = point.as_array_mut() {
                point[1] = json!(point[1].as_f64().unwrap() - up);
            }
        }
    }
    file
}

/// Every so many frames of an attempt.
pub fn thinned(mut file: Value, keep: usize) -> Value {
    let frames: Vec<Value> = file["frames"]
        .as_array()
        .unwrap()
        .iter()
        .step_by(keep)
        .cloned()
        .collect();
    file["rate_hz"] = json!(60.0 / keep as f64);
    file["frames"] = json!(frames);
    file
}

pub fn put(bench: &Bench, file: &Value) {
    bench.put("turn.json", file.to_string().as_bytes());
}

/// The review of `turn.json` with these options.
#[track_caller]
pub fn review(bench: &Bench, options: &[&str]) -> Review {
    let mut arguments = vec!["review", "turn.json", "--format", "json"];
    arguments.extend(options);
    let run = bench.run(&arguments);
    run.ended(0).quiet();
    springline_report::from_json(&run.stdout).unwrap()
}

pub fn against<'a>(review: &'a Review, name: &str) -> &'a ScaleCheck {
    let checks = &review.body.scale_checks;
    checks
        .iter()
        .find(|check| check.against == name)
        .unwrap_or_else(|| panic!("{checks:?}"))
}

pub fn time_of(review: &Review, id: &str) -> Option<f64> {
    review
        .events
        .iter()
        .find(|event| event.event == id)
        .map(|event| event.time_s)
}
