//! Files cut short or changed at random are refused or imported, and never bring the program down.

#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use springline_keypoints::{Attempt, ImportOptions, Layout, import_bytes};
use springline_kinematics::Landmark;

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints")
}

fn files(folder: &str) -> Vec<(String, Vec<u8>)> {
    let mut list = Vec::new();
    let mut folders = vec![fixtures().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending != "md") {
                list.push((
                    path.file_name().unwrap().to_string_lossy().into_owned(),
                    fs::read(&path).unwrap(),
                ));
            }
        }
    }
    list.sort();
    list
}

/// Options with and without a layout file, so that every reader has its turn.
fn options() -> [ImportOptions; 2] {
    let layout = Layout::read(&fixtures().join("good/odd-tool.layout.toml")).unwrap();
    let base = ImportOptions {
        rate_hz: Some(60.0),
        ..ImportOptions::default()
    };
    [
        base.clone(),
        ImportOptions {
            layout: Some(layout),
            ..base
        },
    ]
}

/// Whatever was accepted is sound.
fn check(attempt: &Attempt) {
    let tracks = &attempt.tracks;
    assert!(!tracks.is_empty());
    assert!(tracks.times.windows(2).all(|pair| pair[1] > pair[0]));
    for landmark in Landmark::ALL {
        let track = tracks.track(landmark);
        assert!(track.positions.is_empty() || track.positions.len() == tracks.len());
        assert_eq!(track.positions.len(), track.sd.len());
        for (point, sd) in track.positions.iter().zip(&track.sd) {
            assert!(point.is_none_or(|point| point.x.is_finite() && point.y.is_finite()));
            assert!(sd.is_finite() && *sd >= 0.0);
        }
    }
}

fn try_import(name: &str, bytes: &[u8], options: &ImportOptions) -> bool {
    if name.ends_with(".toml") {
        return std::str::from_utf8(bytes).is_ok_and(|text| Layout::from_toml(name, text).is_ok());
    }
    match import_bytes(name, bytes, options) {
        Ok(attempt) => {
            check(&attempt);
            true
        }
        Err(error) => {
            assert!(!error.to_string().is_empty());
            false
        }
    }
}

#[test]
fn cut_short_at_every_byte() {
    let [plain, described] = options();
    for (name, bytes) in files("good") {
        let whole = bytes.len();
        let mut accepted = 0;
        for end in 0..whole {
            let options = if name.starts_with("odd-tool") {
                &described
            } else {
                &plain
            };
            accepted += usize::from(try_import(&name, &bytes[..end], options));
        }
        // JSON without its end is no JSON; only the closing line break may be missing.
        if name.ends_with(".json") {
            assert!(accepted <= 1, "{name}: {accepted}");
        }
    }
}

fn mutated() -> impl Strategy<Value = (String, Vec<u8>)> {
    let files: Vec<_> = files("good")
        .into_iter()
        .chain(files("bad"))
        .filter(|(_, bytes)| !bytes.is_empty())
        .collect();
    let change = (
        any::<prop::sample::Index>(),
        any::<u8>(),
        0..6_u8,
        any::<prop::sample::Index>(),
    );
    (prop::sample::select(files), prop::collection::vec(change, 1..6)).prop_map(|((name, mut bytes), changes)| {
        const WORDS: [&[u8]; 14] = [
            b"null",
            b"NaN",
            b"-1e308",
            b"1e999",
            b"[",
            b"]",
            b"{}",
            b"\"",
            b",",
            b"-0",
            b"9223372036854775807",
            b"-9223372036854775808",
            b"\"x\":[[[[",
            b"0.0000001",
        ];
        for (at, byte, kind, other) in changes {
            if bytes.is_empty() {
                break;
            }
            let at = at.index(bytes.len());
            match kind {
                0 => bytes[at] = byte,
                1 => {
                    bytes.remove(at);
                }
                2 => bytes.insert(at, byte),
                3 => bytes.truncate(at + 1),
                4 => {
                    let word = WORDS[other.index(WORDS.len())];
                    bytes.splice(at..at, word.iter().copied());
                }
                _ => {
                    let end = at + other.index(bytes.len() - at);
                    let piece = bytes[at..end].to_vec();
                    bytes.splice(at..at, piece);
                }
            }
        }
        (name, bytes)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3_000))]
    #[test]
    fn changed_at_random((name, bytes) in mutated()) {
        for options in options() {
            try_import(&name, &bytes, &options);
        }
    }
}
