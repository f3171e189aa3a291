//! Folders of attempts for the tests of the batch command.
#![allow(dead_code, clippy::unwrap_used)]

use crate::bench::{Bench, demo};

pub const NAMES: [&str; 5] = [
    "a-clean",
    "b-hands-near-feet",
    "c-no-block",
    "d-lands-behind",
    "e-too-close",
];
pub const TABLES: [&str; 3] = ["attempts.csv", "measures.csv", "reviews.jsonl"];
pub const DRILL: [&str; 2] = ["--drill", "handspring-floor"];

/// `count` attempts in a folder, named so that their order is plain.
pub fn fill(bench: &Bench, folder: &str, count: usize) {
    for index in 0..count {
        bench.put(
            &format!("{folder}/turn-{index:02}.json"),
            &demo(NAMES[index % NAMES.len()]),
        );
    }
}

/// The clean demo attempt with a JSON file for each frame; says how many.
pub fn frames_into(bench: &Bench, folder: &str) -> usize {
    let attempt: serde_json::Value = serde_json::from_slice(&demo("a-clean")).unwrap();
    let frames = attempt["frames"].as_array().unwrap();
    for (index, frame) in frames.iter().enumerate() {
        // The 17 of COCO come first; flat x, y, score triples.
        let triples: Vec<f64> = frame["points"].as_array().unwrap()[..17]
            .iter()
            .flat_map(|point| [point[0].as_f64().unwrap(), point[1].as_f64().unwrap(), 0.9])
            .collect();
        let people = serde_json::json!({"people": [{"points": triples}]});
        bench.put(
            &format!("{folder}/frame-{index:05}.json"),
            people.to_string().as_bytes(),
        );
    }
    frames.len()
}

pub fn rows(table: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let headers = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            headers
                .iter()
                .map(str::to_owned)
                .zip(record.iter().map(str::to_owned))
                .collect()
        })
        .collect()
}
