//! A film becomes joint points and a verdict.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, root};
use serde_json::Value;

fn film() -> Vec<u8> {
    std::fs::read(root().join("fixtures/film/handspring.mp4")).unwrap()
}

#[test]
fn a_film_is_reviewed_and_its_draft_is_an_attempt() {
    let bench = Bench::new();
    bench.put("turn.mp4", &film());
    let run = bench.run(&["draft", "turn.mp4", "--out", "turn.json"]);
    run.ended(0);
    assert!(
        run.stderr.starts_with("turn.json: ") && run.stderr.contains(" of 60 frames drafted, "),
        "{}",
        run.stderr
    );
    let draft: Value = serde_json::from_str(&bench.get("turn.json")).unwrap();
    assert_eq!(draft["format"], "springline-attempt");
    assert_eq!(draft["frames"].as_array().unwrap().len(), 60);

    // The same verdict by way of the file and at once, and it says how the points came about.
    let by_file = bench.run(&["review", "turn.json", "--drill", "handspring-floor", "--format", "json"]);
    let at_once = bench.run(&["review", "turn.mp4", "--drill", "handspring-floor", "--format", "json"]);
    let (by_file, at_once): (Value, Value) = (
        serde_json::from_str(&by_file.ended(0).stdout).unwrap(),
        serde_json::from_str(&at_once.ended(0).stdout).unwrap(),
    );
    assert!(
        at_once["events"].is_object() || at_once["events"].is_array(),
        "{at_once}"
    );
    assert_eq!(by_file["events"], at_once["events"]);
    assert_eq!(by_file["checks"], at_once["checks"]);
    let told = bench.run(&["review", "turn.mp4", "--drill", "handspring-floor"]);
    assert!(told.ended(0).stdout.contains("drafted"), "{}", told.stdout);

    bench.run(&["draft", "turn.mp4", "--out", "turn.json"]).failed(
        "error: turn.json: found a file that is there already, expected a new file\n\
         hint: another name, or --force to write over it\n",
    );
    bench
        .run(&["draft", "turn.mp4", "--out", "turn.mp4", "--force"])
        .failed(
            "error: turn.mp4: found turn.mp4, which is read here, expected another file to write to\n\
             hint: another name or folder for what is written\n",
        );
    assert_eq!(bench.names(), ["turn.json", "turn.mp4"]);
}

#[test]
fn where_nobody_is_nothing_is_drafted() {
    let bench = Bench::new();
    let pattern = std::fs::read(root().join("fixtures/film/h264.mp4")).unwrap();
    bench.put("pattern.mp4", &pattern);
    let run = bench.run(&["draft", "pattern.mp4", "--out", "turn.json"]);
    assert!(run.stderr.starts_with("error: pattern.mp4: "), "{}", run.stderr);
    assert_eq!(run.code, 2);
    bench.put("turn.mp4", &film());
    let run = bench.run(&["draft", "turn.mp4", "--out", "turn.json", "--athlete-at", "10,3,3"]);
    assert!(
        run.ended(2)
            .stderr
            .starts_with("error: turn.mp4: frame 10: nobody found at 3, 3 px"),
        "{}",
        run.stderr
    );
    let run = bench.run(&["draft", "turn.mp4", "--out", "turn.json", "--athlete-at", "10,3"]);
    assert!(
        run.ended(2)
            .stderr
            .contains("expected a frame and a place as frame,x,y"),
        "{}",
        run.stderr
    );
    assert_eq!(bench.names(), ["pattern.mp4", "turn.mp4"]);
}
