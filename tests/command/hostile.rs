//! Input that no coach means, and that comes anyway: a clear error, nothing half-written, never a crash.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, demo};

/// Reviews a file and expects one error line that names it, a hint at most, and nothing else.
#[track_caller]
fn refused(bench: &Bench, file: &str, expected: &str) {
    let run = bench.run(&[
        "review",
        file,
        "--drill",
        "handspring-floor",
        "--rate",
        "60",
        "--out",
        "result.txt",
    ]);
    run.ended(2);
    assert_eq!(run.stdout, "");
    let mut lines = run.stderr.lines();
    let error = lines.next().unwrap();
    assert!(error.starts_with(&format!("error: {file}: ")), "{error}");
    assert!(error.contains(expected), "{error}");
    assert!(lines.all(|line| line.starts_with("hint: ")), "{}", run.stderr);
    assert!(!bench.path("result.txt").exists());
}

#[test]
fn files_that_are_no_keypoints() {
    let bench = Bench::new();
    let nest = "[".repeat(100_000) + &"]".repeat(100_000);
    bench.put("nest.json", nest.as_bytes());
    refused(&bench, "nest.json", "nesting");
    bench.put("binary.json", &[0xff, 0xfe, 0, 1, 2, 3]);
    refused(&bench, "binary.json", "expected UTF-8 text");
    bench.put("list.json", b"[]");
    refused(&bench, "list.json", "expected");
    bench.put("number.json", b"12");
    refused(&bench, "number.json", "expected");
    bench.put("escape.json", b"{\"\\u001b[2J\": 1}");
    refused(&bench, "escape.json", "expected");
    let large = std::fs::File::create(bench.path("large.json")).unwrap();
    large.set_len(2 << 30).unwrap();
    refused(
        &bench,
        "large.json",
        "found 2147483648 bytes, expected at most 1073741824",
    );
}

#[test]
fn attempts_that_were_spoiled() {
    let bench = Bench::new();
    let clean = String::from_utf8(demo("a-clean")).unwrap();
    let first = clean.find("\"frames\":[{").unwrap();
    let spoil = |from: &str, to: &str| {
        let at = clean[first..].find(from).unwrap() + first;
        format!("{}{to}{}", &clean[..at], &clean[at + from.len()..])
    };
    for (name, text, expected) in [
        (
            "text.json",
            spoil("\"points\":[[", "\"points\":[[\"left\","),
            "expected",
        ),
        ("far.json", spoil("\"points\":[[", "\"points\":[[1e9,1],["), "expected"),
        ("time.json", spoil("\"t\":0.", "\"t\":99."), "expected later than"),
        ("key.json", spoil("\"t\":", "\"time\":"), "expected"),
        (
            "version.json",
            clean.replacen("\"version\":1", "\"version\":2", 1),
            "expected 1",
        ),
        (
            "rate.json",
            clean.replacen("\"rate_hz\":60.0", "\"rate_hz\":0", 1),
            "rate",
        ),
        (
            "landmark.json",
            clean.replacen("\"left_hip\"", "\"left_hipp\"", 1),
            "left_hip",
        ),
        ("one.json", one_frame(&clean), "expected at least 5"),
    ] {
        bench.put(name, text.as_bytes());
        refused(&bench, name, expected);
    }
}

fn one_frame(attempt: &str) -> String {
    let mut attempt: serde_json::Value = serde_json::from_str(attempt).unwrap();
    attempt["frames"].as_array_mut().unwrap().truncate(1);
    attempt.to_string()
}

#[test]
fn a_good_file_cut_short_anywhere_is_an_error() {
    let bench = Bench::new();
    let clean = demo("b-hands-near-feet");
    let cuts = 40;
    for index in 1..cuts {
        bench.put(&format!("cuts/{index:02}.json"), &clean[..clean.len() * index / cuts]);
    }
    let run = bench.run(&["batch", "cuts", "--drill", "handspring-floor", "--out", "out"]);
    run.ended(3);
    let attempts = bench.get("out/attempts.csv");
    let mut reader = csv::Reader::from_reader(attempts.as_bytes());
    let error = reader
        .headers()
        .unwrap()
        .iter()
        .position(|column| column == "error")
        .unwrap();
    let errors: Vec<String> = reader.records().map(|row| row.unwrap()[error].to_owned()).collect();
    assert_eq!(errors.len(), cuts - 1);
    for (index, error) in errors.iter().enumerate() {
        assert!(
            error.starts_with(&format!("{:02}.json: line 1, column ", index + 1)),
            "{error}"
        );
        assert!(!error.contains("please report"), "{error}");
    }
}
