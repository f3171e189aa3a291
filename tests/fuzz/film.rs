//! Fuzz target: changed films, from opening to pictures. See `README.md` beside this file.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

mod harness;

use std::path::Path;

use harness::{Dialect, Target, files, fuzz};
use springline_footage::{Clip, Error};

/// Frames that are asked for of each film.
const FRAMES: usize = 8;

/// Words without control characters, not too many.
fn plain(words: &str) -> String {
    assert!(
        !words.is_empty() && words.len() < 2_000,
        "{} bytes of words",
        words.len()
    );
    assert!(!words.contains(char::is_control), "control characters: {words:?}");
    words.to_owned()
}

/// Whatever was opened is sound; whatever was refused is refused in one plain piece of text.
fn judge(path: &Path) -> String {
    let mut clip = match Clip::open_unaided(path) {
        Ok(clip) => clip,
        Err(error) => return plain(&error.to_string().replace(&path.display().to_string(), "film")),
    };
    assert!(clip.len() > 0, "no frames");
    assert_eq!(clip.len(), clip.times().len());
    assert!(clip.times().iter().all(|time| time.is_finite()), "times are numbers");
    assert!(
        clip.times().windows(2).all(|pair| pair[1] > pair[0]),
        "times go forward"
    );
    assert!(clip.frames_per_second() >= 0.0);
    let (width, height) = (clip.width(), clip.height());
    let mut told: Vec<String> = clip.notes().iter().map(|note| plain(note)).collect();
    let last = clip.len().min(2 * FRAMES) - 1;
    // On, back, and on again.
    for frame in (0..=last.min(FRAMES)).chain([last, 0, last / 2]) {
        let factor = if u64::from(width) * u64::from(height) > 1_000_000 {
            8
        } else {
            1
        };
        match clip.reduced(frame, factor) {
            Ok(picture) => assert_eq!(
                (picture.width(), picture.height()),
                (width.div_ceil(factor), height.div_ceil(factor)),
                "size of frame {frame}"
            ),
            Err(error) => {
                assert!(matches!(error, Error::Frame { .. }), "{error}");
                told.push(plain(&error.to_string().replace(&path.display().to_string(), "film")));
            }
        }
    }
    told.dedup();
    told.join("; ")
}

#[test]
fn film() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/film");
    let corpus: Vec<Vec<u8>> = files(&fixtures, &[".mp4", ".mov"])
        .into_iter()
        .map(|(_, bytes)| bytes)
        .collect();
    assert!(corpus.len() >= 10);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("film.mp4");
    let mut run = |bytes: &[u8]| {
        std::fs::write(&path, bytes).unwrap();
        judge(&path)
    };
    fuzz(Target {
        name: "film",
        dialect: Dialect::Boxes,
        corpus,
        run: &mut run,
    });
}
