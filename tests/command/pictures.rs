//! A coach asks for pictures of an attempt.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, demo, names_in};

const REVIEW: [&str; 4] = ["review", "b.json", "--drill", "handspring-floor"];

fn bench() -> Bench {
    let bench = Bench::new();
    bench.put("b.json", &demo("b-hands-near-feet"));
    bench
}

/// Width, height and red, green, blue of a PNG file.
fn opened(bench: &Bench, name: &str) -> image::RgbImage {
    image::open(bench.path(name)).unwrap().to_rgb8()
}

#[test]
fn every_event_has_its_picture_and_one_has_all() {
    let bench = bench();
    let plain = bench.run(&REVIEW);
    let run = bench.run(&[&REVIEW[..], &["--pictures", "turn"]].concat());
    run.ended(0).quiet();
    assert_eq!(run.stdout, plain.stdout, "the review itself stays as it is");
    assert_eq!(
        names_in(&bench.path("turn")),
        [
            "01-push-off-foot-down.png",
            "02-hand-placement.png",
            "03-push-off-foot-leaves.png",
            "04-legs-together.png",
            "05-hand-departure.png",
            "06-inverted.png",
            "07-feet-touchdown.png",
            "08-settled.png",
            "all-events.png",
        ]
    );
    let (first, last) = (
        opened(&bench, "turn/01-push-off-foot-down.png"),
        opened(&bench, "turn/08-settled.png"),
    );
    assert_eq!(first.dimensions(), last.dimensions());
    assert_eq!(first.width(), 1000);
    assert_ne!(first.as_raw(), last.as_raw());
    assert!(opened(&bench, "turn/all-events.png").width() > 2000);

    // The same attempt gives the same bytes.
    bench.run(&[&REVIEW[..], &["--pictures", "again"]].concat()).ended(0);
    for name in names_in(&bench.path("turn")) {
        let bytes = |folder: &str| std::fs::read(bench.path(&format!("{folder}/{name}"))).unwrap();
        assert!(bytes("turn") == bytes("again"), "{name}");
    }
}

#[test]
fn pictures_that_are_there_are_kept_without_force() {
    let bench = bench();
    bench.put("turn/02-hand-placement.png", b"mine");
    let into = [&REVIEW[..], &["--pictures", "turn"]].concat();
    bench.run(&into).failed(
        "error: turn/02-hand-placement.png: found a file that is there already, expected a new file\n\
         hint: another name, or --force to write over it\n",
    );
    assert_eq!(bench.get("turn/02-hand-placement.png"), "mine");
    assert_eq!(names_in(&bench.path("turn")).len(), 1, "nothing else was written");
    bench.run(&[&into[..], &["--force"]].concat()).ended(0).quiet();
    assert_eq!(opened(&bench, "turn/02-hand-placement.png").width(), 1000);
    assert_eq!(names_in(&bench.path("turn")).len(), 9);
}

#[test]
fn a_folder_that_cannot_be_is_one_error() {
    let bench = bench();
    for (folder, error) in [
        (
            "b.json",
            "error: b.json: found a file, expected a folder\nhint: another name with --pictures\n",
        ),
        (
            "nowhere/turn",
            "error: nowhere/turn: cannot be written: No such file or directory (os error 2)\n",
        ),
    ] {
        bench
            .run(&[&REVIEW[..], &["--pictures", folder]].concat())
            .failed(error);
        bench
            .run(&[&REVIEW[..], &["--pictures", folder, "--force"]].concat())
            .failed(error);
    }
    assert_eq!(bench.names(), ["b.json"]);
    assert_eq!(bench.get("b.json").as_bytes(), demo("b-hands-near-feet"));
}

#[test]
fn without_an_event_there_is_no_picture() {
    let bench = Bench::new();
    let frame = r#"{"points": [[300, 200], [300, 100], [310, 300], [320, 400]]}"#;
    let still = format!(
        r#"{{"format": "springline-attempt", "version": 1, "rate_hz": 60,
            "points": ["left_hip", "left_shoulder", "left_knee", "left_ankle"],
            "given": {{"facing": "right"}}, "frames": [{}]}}"#,
        vec![frame; 30].join(",")
    );
    bench.put("still.json", still.as_bytes());
    let run = bench.run(&[
        "review",
        "still.json",
        "--drill",
        "handspring-floor",
        "--pictures",
        "still",
    ]);
    run.failed("error: still.json: found no event to make a picture of, expected one at least\n");
    assert_eq!(bench.names(), ["still.json"]);
}
