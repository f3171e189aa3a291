//! Every bad fixture is refused with its named error, which says where, what was found and what was
//! expected.

#![allow(clippy::unwrap_used)]

mod attempts;
mod layouts;
mod nowhere;
mod options;
mod points;
mod tables;
mod times;
mod whole;

use std::path::{Path, PathBuf};

use springline_keypoints::{ImportOptions, Layout, import, import_bytes};

fn bad() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints/bad")
}

/// File or folder, error variant, and what its message must say (after the file's name).
type Bad = (&'static str, &'static str, &'static str);

fn all() -> impl Iterator<Item = &'static Bad> {
    [
        attempts::BAD,
        layouts::BAD,
        points::BAD,
        tables::BAD,
        times::BAD,
        whole::BAD,
    ]
    .into_iter()
    .flatten()
}

#[test]
fn each_bad_file_has_its_error() {
    for (file, variant, says) in all() {
        let path = bad().join(file);
        let error = if file.ends_with(".toml") {
            Layout::read(&path).expect_err(file)
        } else {
            let without_rate = file.starts_with("no-rate") || file.starts_with("rate-");
            let rate_hz = (!without_rate).then_some(60.0);
            import(
                &path,
                &ImportOptions {
                    rate_hz,
                    ..ImportOptions::default()
                },
            )
            .expect_err(file)
        };
        let debug = format!("{error:?}");
        assert_eq!(debug.split([' ', '{']).next().unwrap(), *variant, "{file}: {error}");
        let message = error.to_string();
        let name = path.display().to_string();
        assert!(message.starts_with(&name), "{file}: {message}");
        assert!(message[name.len()..].contains(says), "{file}: {message}");
        assert!(!message.ends_with('.'), "{message}");
    }
}

#[test]
fn no_bad_file_is_forgotten() {
    let mut files: Vec<String> = std::fs::read_dir(bad())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|file| file != "README.md")
        .collect();
    let mut known: Vec<String> = all().map(|(file, ..)| (*file).to_owned()).collect();
    files.sort();
    known.sort();
    assert_eq!(files, known);
}

#[test]
fn what_cannot_be_read_names_the_path() {
    let missing = bad().join("not-there.json");
    let error = import(&missing, &ImportOptions::default()).unwrap_err();
    assert!(matches!(error, springline_keypoints::Error::Read { .. }), "{error:?}");
    assert!(error.to_string().contains("not-there.json: cannot be read"), "{error}");
    assert!(std::error::Error::source(&error).is_some());
}

/// A sparse file of 2 GiB takes no room on the disk and must take none in memory.
#[test]
fn a_file_too_large_is_refused_before_it_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("huge.json");
    std::fs::File::create(&path).unwrap().set_len(2 << 30).unwrap();
    let error = import(&path, &ImportOptions::default()).unwrap_err();
    assert!(
        matches!(
            error,
            springline_keypoints::Error::TooLarge {
                bytes: 2_147_483_648,
                ..
            }
        ),
        "{error:?}"
    );
}

/// A terminal shall not obey what a header says.
#[test]
fn control_characters_of_a_header_are_not_shown() {
    let error = import_bytes("t.csv", b"na\x1b[2Jme,age\nA-01,8\n", &ImportOptions::default()).unwrap_err();
    assert!(
        error.to_string().contains("with the columns na\u{fffd}[2Jme, age,"),
        "{error}"
    );
}
