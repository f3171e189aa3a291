//! Fuzz targets: one for each importer of keypoint files, and one for layout files. See `README.md` beside this file.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

mod harness;

use std::path::{Path, PathBuf};

use harness::{Dialect, Target, files, fuzz};
use springline_keypoints::{
    Attempt, CameraSetup, Error, Facing, Given, ImportOptions, Importer, Layout, SETUP_EXAMPLE, SdChoice, import,
    import_bytes,
};
use springline_kinematics::{Landmark, Side, TemporalError};

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints")
}

/// Good files by name, then the bad ones with the same ending.
fn corpus(good: &[&str], bad: &[&str]) -> Vec<Vec<u8>> {
    let all = files(&fixtures(), &[""]);
    let good: Vec<_> = good
        .iter()
        .map(|name| {
            all.iter()
                .find(|(path, _)| path.ends_with(&format!("good/{name}")))
                .expect("it is there")
        })
        .collect();
    let bad = all
        .iter()
        .filter(|(path, _)| path.contains("/bad/") && bad.iter().any(|ending| path.ends_with(ending)));
    // Good ones three times, so that most changes are made to them.
    good.iter()
        .copied()
        .chain(good.iter().copied())
        .chain(good.iter().copied())
        .chain(bad)
        .map(|(_, bytes)| bytes.clone())
        .collect()
}

/// Options of an import, drawn from the input itself, so that a kept input meets the same again.
fn options(bytes: &[u8]) -> ImportOptions {
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    let bit = |place: u32| hash >> (20 + place) & 1 == 1;
    let rare = |place: u32| bit(place) && bit(place + 1) && bit(place + 2);
    ImportOptions {
        layout: None,
        rate_hz: (!rare(0)).then_some(60.0),
        picture: rare(3).then_some((1920.0, 1080.0)),
        person: rare(6).then_some(2),
        keep_sides: rare(9),
        min_score: if rare(12) { 0.9 } else { 0.05 },
        sd: match (rare(15), bit(18)) {
            (false, _) => None,
            (true, false) => Some(SdChoice::Clicked),
            (true, true) => Some(SdChoice::Px(2.0)),
        },
        error: rare(31).then_some(TemporalError::Correlated(0.6)),
        given: Given {
            facing: rare(19).then_some(Facing::Left),
            near_side: rare(19).then_some(Side::Left),
            stature_m: rare(22).then_some(1.4),
            ..Given::default()
        },
        setup: rare(34).then(|| CameraSetup::from_toml("hall.toml", SETUP_EXAMPLE).unwrap()),
        from_s: rare(25).then_some(0.02),
        to_s: rare(28).then_some(0.1),
    }
}

/// Whatever was accepted is sound; whatever was refused is refused in one plain piece of text.
fn judge(result: Result<Attempt, Error>) -> String {
    let attempt = match result {
        Ok(attempt) => attempt,
        Err(error) => {
            let words = error.to_string();
            assert!(!words.is_empty(), "an error without words");
            assert!(words.len() < 4_000, "an error of {} bytes", words.len());
            let control = words.chars().find(|c| c.is_control() && *c != '\n');
            assert!(control.is_none(), "control character {control:?} in a message");
            return words;
        }
    };
    let tracks = &attempt.tracks;
    assert!(!tracks.is_empty(), "no frames");
    assert!(tracks.times.iter().all(|time| time.is_finite()), "times are numbers");
    assert!(
        tracks.times.windows(2).all(|pair| pair[1] > pair[0]),
        "times go forward"
    );
    for landmark in Landmark::ALL {
        let track = tracks.track(landmark);
        assert!(
            track.positions.is_empty() || track.positions.len() == tracks.len(),
            "frames of a track"
        );
        assert_eq!(track.positions.len(), track.sd.len());
        for (point, sd) in track.positions.iter().zip(&track.sd) {
            assert!(
                point.is_none_or(|point| point.x.is_finite() && point.y.is_finite()),
                "points are numbers"
            );
            assert!(sd.is_finite() && *sd >= 0.0, "sd {sd}");
        }
        assert!(
            track.mean_confidence.is_none_or(|mean| (0.0..=1.0).contains(&mean)),
            "confidence"
        );
    }
    assert!(
        attempt.originals.iter().all(|(_, frame, _)| *frame < tracks.len()),
        "originals lie in the clip"
    );
    format!("{}; {}", attempt.recognised, attempt.remarks.join("; "))
}

fn from_memory(bytes: &[u8]) -> String {
    judge(import_bytes("input", bytes, &options(bytes)))
}

fn json(name: &'static str, good: &[&str]) {
    fuzz(Target {
        name,
        dialect: Dialect::Json,
        corpus: corpus(good, &[".json"]),
        run: &mut from_memory,
    });
}

#[test]
fn native() {
    json("native", &["attempt.json"]);
}

#[test]
fn coco_annotations() {
    json("coco_annotations", &["coco-annotations-17.json"]);
}

#[test]
fn coco_results() {
    json(
        "coco_results",
        &[
            "coco-results-17.json",
            "coco-results-133.json",
            "coco-results-two-people.json",
            "outside-the-picture.json",
        ],
    );
}

#[test]
fn frame_lists() {
    json(
        "frame_lists",
        &[
            "frames-33-shares.json",
            "frames-named.json",
            "bom.json",
            "bare-nan.json",
        ],
    );
}

#[test]
fn described() {
    let layout = Layout::read(&fixtures().join("good/odd-tool.layout.toml")).unwrap();
    let mut run = |bytes: &[u8]| {
        let options = ImportOptions {
            layout: Some(layout.clone()),
            ..options(bytes)
        };
        judge(import_bytes("input", bytes, &options))
    };
    let corpus = corpus(&["odd-tool.json"], &[".json"]);
    fuzz(Target {
        name: "described",
        dialect: Dialect::Json,
        corpus,
        run: &mut run,
    });
}

#[test]
fn frame_folder() {
    let frame = |number: u32| format!("frames-25/take2_{number:012}_points.json");
    let whole: Vec<Vec<u8>> = corpus(&[&frame(7), &frame(8), &frame(9), &frame(10)], &[])[..4].to_vec();
    let folder = tempfile::tempdir().unwrap();
    let place = |number: usize| folder.path().join(format!("f_{number}.json"));
    for (number, bytes) in whole.iter().enumerate() {
        std::fs::write(place(number), bytes).unwrap();
    }
    let mut importer = Importer::new();
    // One frame is changed, the first or a later one; the others stay good.
    let mut run = |bytes: &[u8]| {
        let number = bytes.len() % whole.len();
        std::fs::write(place(number), bytes).unwrap();
        let answer = judge(importer.import(folder.path(), &options(bytes)));
        std::fs::write(place(number), &whole[number]).unwrap();
        answer.replace(&folder.path().display().to_string(), "")
    };
    let corpus = corpus(
        &[&frame(7), &frame(8)],
        &["f_0.json", "f_1.json", "f_001.json", "a.json"],
    );
    fuzz(Target {
        name: "frame_folder",
        dialect: Dialect::Json,
        corpus,
        run: &mut run,
    });
}

#[test]
fn long_csv() {
    let corpus = corpus(&["long.csv"], &[".csv"]);
    fuzz(Target {
        name: "long_csv",
        dialect: Dialect::Table,
        corpus,
        run: &mut from_memory,
    });
}

#[test]
fn wide_csv() {
    let corpus = corpus(&["wide-semicolon.csv"], &[".csv", ".txt"]);
    fuzz(Target {
        name: "wide_csv",
        dialect: Dialect::Table,
        corpus,
        run: &mut from_memory,
    });
}

#[test]
fn layout_file() {
    let tool = fixtures().join("good/odd-tool.json");
    // A layout that is accepted is used at once, on the file that it was made for and on a table.
    let mut run = |bytes: &[u8]| {
        let Ok(text) = std::str::from_utf8(bytes) else {
            return "not text".to_owned();
        };
        match Layout::from_toml("input", text) {
            Ok(layout) => {
                let options = ImportOptions {
                    layout: Some(layout),
                    ..options(bytes)
                };
                judge(import(&tool, &options));
                judge(import(&fixtures().join("good/long.csv"), &options));
                judge(import(&tool, &options)).replace(&fixtures().display().to_string(), "")
            }
            Err(error) => judge(Err(error)),
        }
    };
    let corpus = corpus(&["odd-tool.layout.toml"], &[".toml"]);
    fuzz(Target {
        name: "layout_file",
        dialect: Dialect::Toml,
        corpus,
        run: &mut run,
    });
}

#[test]
fn setup_file() {
    let tool = fixtures().join("good/long.csv");
    // A set-up that is accepted is used at once.
    let mut run = |bytes: &[u8]| {
        let Ok(text) = std::str::from_utf8(bytes) else {
            return "not text".to_owned();
        };
        match CameraSetup::from_toml("input", text) {
            Ok(setup) => {
                let options = ImportOptions {
                    rate_hz: Some(50.0),
                    setup: Some(setup),
                    ..ImportOptions::default()
                };
                judge(import(&tool, &options)).replace(&fixtures().display().to_string(), "")
            }
            Err(error) => judge(Err(error)),
        }
    };
    let setups = files(&fixtures().join("../setups"), &[".toml"]);
    let corpus = setups.into_iter().map(|(_, bytes)| bytes).collect();
    fuzz(Target {
        name: "setup_file",
        dialect: Dialect::Toml,
        corpus,
        run: &mut run,
    });
}
