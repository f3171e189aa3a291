//! Fuzz targets: drill specs and ladders. See `README.md` beside this file.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

mod harness;

use std::path::{Path, PathBuf};

use harness::{Dialect, Target, files, fuzz};
use springline_drills::{Catalogue, Problems, explain, read_drill, read_ladder};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Shipped and bad files whose name says that they hold a ladder, or that they don't.
fn corpus(ladders: bool) -> Vec<Vec<u8>> {
    let shipped = files(&root().join("crates/drills/shipped"), &[".toml"]);
    let bad = files(&root().join("fixtures/drills"), &[".toml"]);
    let holds_rungs = |bytes: &[u8]| bytes.windows(8).any(|piece| piece == b"[[rung]]");
    let wanted = |list: &[(String, Vec<u8>)]| -> Vec<Vec<u8>> {
        list.iter()
            .map(|(_, bytes)| bytes.clone())
            .filter(|bytes| holds_rungs(bytes) == ladders)
            .collect()
    };
    let (good, bad) = (wanted(&shipped), wanted(&bad));
    if ladders {
        [good.clone(), good.clone(), good, bad].concat()
    } else {
        [good, bad].concat()
    }
}

/// A refusal names places inside the file, in lines of text that are safe to print.
fn judge(bytes: &[u8], problems: &Problems) -> String {
    let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
    assert!(!problems.list().is_empty(), "refused without a problem");
    for problem in problems.list() {
        let words = problem.to_string();
        assert!(
            (1..=lines).contains(&problem.line) && problem.column >= 1,
            "line {}, column {}",
            problem.line,
            problem.column
        );
        assert!(!words.chars().any(char::is_control), "control characters in {words:?}");
        assert!(words.len() < 4_000, "a problem of {} bytes", words.len());
    }
    problems
        .list()
        .iter()
        .map(|problem| format!("{:?}; ", problem.kind))
        .collect()
}

#[test]
fn drill_spec() {
    let catalogue = Catalogue::shipped();
    let mut run = |bytes: &[u8]| {
        let answer = match read_drill("input.toml", bytes) {
            Ok(drill) => {
                let words = explain(&drill);
                assert!(!words.is_empty(), "nothing to explain");
                words
            }
            Err(problems) => judge(bytes, &problems),
        };
        // With the cures looked up: never more is accepted.
        if let Err(problems) = catalogue.read_drill("input.toml", bytes) {
            judge(bytes, &problems);
        } else {
            assert!(
                read_drill("input.toml", bytes).is_ok(),
                "accepted only with a catalogue"
            );
        }
        answer
    };
    fuzz(Target {
        name: "drill_spec",
        dialect: Dialect::Toml,
        corpus: corpus(false),
        run: &mut run,
    });
}

#[test]
fn ladder() {
    let catalogue = Catalogue::shipped();
    let mut run = |bytes: &[u8]| {
        catalogue
            .read_ladder("input.toml", bytes)
            .map_or_else(|problems| judge(bytes, &problems), |_| String::new());
        match read_ladder("input.toml", bytes) {
            Ok(ladder) => format!("{ladder:?}"),
            Err(problems) => judge(bytes, &problems),
        }
    };
    fuzz(Target {
        name: "ladder",
        dialect: Dialect::Toml,
        corpus: corpus(true),
        run: &mut run,
    });
}
