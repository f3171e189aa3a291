//! A newcomer runs the demo.

#![allow(clippy::unwrap_used)]

mod bench;
#[path = "../../examples/make_demo.rs"]
mod make_demo;

use bench::{Bench, demo, names_in, root};

/// Each demo attempt with what must come out: outcome, fault to fix first, further faults that must be among those found.
const INTENDED: [(&str, &str, Option<&str>, &[&str]); 5] = [
    ("a-clean", "good", None, &[]),
    (
        "b-hands-near-feet",
        "not yet",
        Some("hands-near-feet"),
        &["closed-shoulders"],
    ),
    ("c-no-block", "not yet", Some("no-block"), &[]),
    ("d-lands-behind", "not yet", Some("landing-behind-feet"), &[]),
    ("e-too-close", "not counted", None, &[]),
];

#[test]
fn one_command_reviews_everything_and_writes_it_down() {
    let bench = Bench::new();
    let run = bench.run(&["demo"]);
    run.ended(0).quiet();
    assert_eq!(bench.names(), ["springline-demo"]);
    let folder = bench.path("springline-demo");
    assert_eq!(
        names_in(&folder),
        ["ABOUT.txt", "attempts", "attempts.csv", "measures.csv", "reviews"]
    );
    for (name, outcome, first, further) in INTENDED {
        let json = bench.get(&format!("springline-demo/reviews/{name}.json"));
        let review = springline_report::from_json(&json).unwrap();
        assert_eq!(review.outcome.word, outcome, "{name}");
        assert_eq!(review.fix_first.as_deref(), first, "{name}");
        assert!(review.attempt.synthetic && review.attempt.seed.is_some(), "{name}");
        for fault in further {
            assert!(review.faults.iter().any(|found| found.id == *fault), "{name}: {fault}");
        }
        let text = bench.get(&format!("springline-demo/reviews/{name}.txt"));
        let short = springline_report::in_short(&review, springline_report::Style::PLAIN);
        assert!(run.stdout.contains(&short), "{name}");
        for check in &review.checks {
            assert!(short.contains(&check.title), "{name}: {}", check.title);
        }
        for fault in &review.faults {
            assert!(
                short.contains(&fault.name) && short.contains(&format!("\"{}\"", fault.cue)),
                "{name}"
            );
        }
        assert!(text.contains("a made-up figure, not a person"), "{name}");
        assert_eq!(
            bench.get(&format!("springline-demo/attempts/{name}.json")).as_bytes(),
            demo(name)
        );
    }
    assert!(
        run.stdout
            .contains("b-hands-near-feet   not yet         fix first: Hands too near the feet\n")
    );
    assert_eq!(
        run.stdout.matches("they do not clear anybody").count(),
        1,
        "cautions once"
    );
    assert!(run.stdout.lines().count() < 320, "{}", run.stdout.lines().count());
    for (table, rows) in [("attempts.csv", 5), ("measures.csv", 5 * 29)] {
        let text = bench.get(&format!("springline-demo/{table}"));
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        assert_eq!(reader.records().map(Result::unwrap).count(), rows, "{table}");
    }
}

#[test]
fn the_demo_does_what_review_and_batch_do() {
    let bench = Bench::new();
    bench.run(&["demo", "--out", "d"]).ended(0);
    bench
        .run(&["batch", "d/attempts", "--drill", "handspring-floor", "--out", "b"])
        .ended(0)
        .quiet();
    for table in ["attempts.csv", "measures.csv"] {
        assert_eq!(
            bench.get(&format!("d/{table}")),
            bench.get(&format!("b/{table}")),
            "{table}"
        );
    }
}

#[test]
fn nothing_foreign_is_written_over() {
    let bench = Bench::new();
    bench.put("springline-demo/measures.csv", b"my own table\n");
    for arguments in [&["demo"][..], &["demo", "--force"]] {
        let run = bench.run(arguments);
        run.ended(2);
        assert!(
            run.stderr
                .starts_with("error: springline-demo/measures.csv: found a file that is there already")
        );
        assert_eq!(bench.get("springline-demo/measures.csv"), "my own table\n");
        // Not so much as a folder was made before that was seen.
        assert_eq!(names_in(&bench.path("springline-demo")), ["measures.csv"]);
    }
    bench.run(&["demo", "--out", "other"]).ended(0).quiet();
    // A second time changes nothing and is no error; what the coach changed comes back only by --force.
    bench.run(&["demo", "--out", "other"]).ended(0).quiet();
    bench.put("other/measures.csv", b"changed\n");
    bench.run(&["demo", "--out", "other"]).ended(2);
    assert_eq!(bench.get("other/measures.csv"), "changed\n");
    bench.run(&["demo", "--out", "other", "--force"]).ended(0).quiet();
    assert!(bench.get("other/measures.csv").starts_with("file,athlete"));
    bench.put("third/reviews", b"x");
    bench
        .run(&["demo", "--out", "third"])
        .failed("error: third/reviews: found a file, expected a folder\nhint: another name with --out\n");
    assert_eq!(names_in(&bench.path("third")), ["reviews"]);
    bench.put("a-file", b"x");
    bench
        .run(&["demo", "--out", "a-file"])
        .failed("error: a-file: found a file, expected a folder\nhint: another name with --out\n");
}

#[test]
fn the_bundled_attempts_come_from_their_seeds() {
    let made = make_demo::demo_files().unwrap();
    let names: Vec<&str> = made.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names_in(&root().join("fixtures/demo")), names);
    for (name, bytes) in &made {
        let stem = name.trim_end_matches(".json");
        assert!(
            *bytes == demo(stem),
            "{name} is not what its seed makes; run the example make_demo"
        );
        assert!(bytes.len() < 200_000, "{name}: {} bytes", bytes.len());
    }
}
