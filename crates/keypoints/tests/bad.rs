//! Every bad fixture is refused with its named error, which says where, what was found and what was
//! expected.

#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use springline_keypoints::{ImportOptions, Layout, import};

fn bad() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints/bad")
}

/// File or folder, error variant, and what its message must say (after the file's name).
const BAD: &[(&str, &str, &str)] = &[
    ("absurd-place.json", "FarOutside", "frame 2, left_knee: found x 2500000"),
    (
        "attempt-far-outside.json",
        "FarOutside",
        "frame 2, left_ear: found x 6000, y 300, expected x -1920 to 3840",
    ),
    (
        "attempt-half-point.json",
        "Shape",
        "frames[2].points[3][1]: found null, expected a number",
    ),
    (
        "attempt-many-points.json",
        "Shape",
        "frames[2].points: found a longer list, expected at most 23",
    ),
    ("attempt-no-frames.json", "NoPerson", "found no person in any frame"),
    ("attempt-no-points.json", "Shape", "points: found an empty list"),
    (
        "attempt-one-number.json",
        "Shape",
        "frames[2].points[3]: found invalid length 1, expected an array of length 2",
    ),
    (
        "attempt-point-twice.json",
        "Shape",
        "points[16]: found \"nose\" a second time",
    ),
    (
        "attempt-score.json",
        "ScoreRange",
        "frame 1, right_ankle: score 55, expected 0 to 1; these look like percentages",
    ),
    (
        "attempt-sd-count.json",
        "PointCount",
        "frame 1, sd: found 3 points, expected 17",
    ),
    (
        "attempt-short-frame.json",
        "PointCount",
        "frame 2, points: found 16 points, expected 17",
    ),
    (
        "attempt-string.json",
        "Shape",
        "frames[2].points[3][0]: found string \"12\", expected a number",
    ),
    (
        "attempt-unknown-key.json",
        "Shape",
        "found unknown field `colour`, expected one of `format`",
    ),
    (
        "attempt-unknown-point.json",
        "Shape",
        "points[16]: found \"left_nkle\", expected a landmark id, such as left_ankle",
    ),
    ("attempt-version.json", "Shape", "version: found 2, expected 1"),
    ("blank.csv", "Empty", "found nothing in it"),
    (
        "categories-of-no-person.json",
        "Shape",
        "categories: found point names such as \"bumper\"",
    ),
    (
        "clicked-without-legs.json",
        "NoStature",
        "found no standing height and no leg",
    ),
    ("crowd.json", "TooMany", "frame 0: found more than 64 people"),
    ("empty-list.json", "NoPerson", "found no person in any frame"),
    ("empty.json", "Empty", "found nothing in it"),
    (
        "entry-is-number.json",
        "Shape",
        "line 1, column 285: found integer `7`, expected an entry with image_id and keypoints",
    ),
    ("folder-empty-file", "Empty", "f_1.json: found nothing in it"),
    ("folder-nobody", "NoPerson", "found no person in any frame"),
    (
        "folder-of-attempts",
        "NotRecognised",
        "turn_0.json: found an attempt file among other files",
    ),
    (
        "folder-without-json",
        "NotRecognised",
        "found a folder without .json files",
    ),
    (
        "folder-without-numbers",
        "Shape",
        "names such as \"a.json\" that don't number the frames",
    ),
    (
        "folder-wrong-count",
        "PointCount",
        "f_002.json: frame 2: found 24 points, expected 25 (points-25)",
    ),
    (
        "frame-jump.json",
        "FrameJump",
        "frame 900000: found a jump from frame 2",
    ),
    ("frame-twice.json", "DuplicateFrame", "frame 1: found the frame twice"),
    (
        "frame-without-number.json",
        "Shape",
        "frame entry 2: found no frame number",
    ),
    (
        "frames-mixed-sizes.json",
        "MixedPictures",
        "frame 2: picture of 1280 x 1080 px, expected 1920 x 1080",
    ),
    (
        "given-facing.json",
        "Shape",
        "given.facing: found unknown variant `up`, expected `left` or `right`",
    ),
    (
        "given-floor-line.json",
        "Shape",
        "given.floor_line: found the same point twice",
    ),
    (
        "given-scale-sd-alone.json",
        "Shape",
        "given.metres_per_px_sd: found no metres_per_px",
    ),
    (
        "given-scale-px-per-metre.json",
        "Shape",
        "given.metres_per_px: found 350 metres per px, expected 0.0001 to 0.1 metres per px",
    ),
    (
        "given-stature-cm.json",
        "Shape",
        "given.stature_m: found 140 m, expected 0.5 to 2.5 m",
    ),
    (
        "given-known-length-cm.json",
        "Shape",
        "given.known_length.m: found 120 m, expected 0.05 to 30 m",
    ),
    (
        "given-known-length-ends.json",
        "Shape",
        "given.known_length.ends: found the same point twice, expected two points apart",
    ),
    (
        "given-known-length-key.json",
        "Shape",
        "given.known_length.metres: found unknown field `metres`",
    ),
    (
        "given-hand-surface-both.json",
        "Shape",
        "given.hand_surface_at: found hand_surface_m as well, expected the height or a marked point, not both",
    ),
    (
        "given-foot-surface-cm.json",
        "Shape",
        "given.foot_surface_m: found 45 m, expected -3 to 3 m",
    ),
    (
        "given-stature-zero.json",
        "Shape",
        "given.stature_m: found 0 m, expected 0.5 to 2.5 m",
    ),
    (
        "given-unknown-event.json",
        "Shape",
        "given.events.hands_down: found \"hands_down\", expected one of push_off_foot_down",
    ),
    (
        "image-id-twice.json",
        "DuplicateFrame",
        "frame 0: found the picture id twice",
    ),
    (
        "image-id-without-number.json",
        "Shape",
        "entry 1, image_id: found \"first.jpg\"",
    ),
    (
        "infinity.json",
        "NotANumber",
        "frame 2, nose: found \"inf\", expected a finite number",
    ),
    (
        "landmarks-is-number.json",
        "Shape",
        "frame entry 3: found 7, expected a list or an object",
    ),
    ("latin1.json", "NotUtf8", "byte 69: found a letter of another encoding"),
    ("list-for-number.json", "NotANumber", "frame 1, left_eye: found a list"),
    (
        "mixed-sizes.json",
        "MixedPictures",
        "images[2]: picture of 1280 x 1080 px, expected 1920 x 1080",
    ),
    ("nesting-in-points.json", "TooDeep", "more than 100 levels of nesting"),
    ("nesting.json", "TooDeep", "more than 100 levels of nesting"),
    ("no-image-id.json", "Shape", "entry 1, image_id: found nothing"),
    ("no-keypoints.txt", "NotRecognised", "neither JSON nor a table"),
    ("no-rate.json", "NoRate", "give the frame rate"),
    ("nobody.json", "NoPerson", "found no person in any frame"),
    (
        "not-json.json",
        "Syntax",
        "line 1, column 33: found broken JSON (expected value), expected JSON",
    ),
    (
        "not-whole-points.json",
        "PointCount",
        "frame 2: found 50 numbers, which is no whole number of points, expected 17 (coco-17)",
    ),
    (
        "objects-and-numbers.json",
        "Shape",
        "frame entry 2, points: found numbers, lists and objects side by side",
    ),
    (
        "objects-no-x.json",
        "Shape",
        "frame entry 2, points: found a point with only one of x and y",
    ),
    (
        "objects-short-frame.json",
        "PointCount",
        "frame 2: found 32 points, expected 33 (points-33)",
    ),
    ("objects-string.json", "NotANumber", "frame 2, point 4: found \"left\""),
    (
        "overflow.json",
        "NotANumber",
        "line 1, column 49: found a number too large to hold",
    ),
    (
        "percent-scores.json",
        "ScoreRange",
        "frame 0, nose: score 87, expected 0 to 1.25; these look like percentages",
    ),
    (
        "rate-absurd.json",
        "BadRate",
        "found a frame rate of 60000 per second, expected 1 to 2000",
    ),
    ("rate-negative.json", "BadRate", "found a frame rate of -60 per second"),
    ("rate-zero.json", "BadRate", "found a frame rate of 0 per second"),
    ("rho-one.json", "Shape", "error.rho: found 1, expected 0 to below 1"),
    (
        "same-entry-twice.json",
        "DuplicateFrame",
        "frame 2: found the same points twice",
    ),
    (
        "same-person-twice.json",
        "DuplicateFrame",
        "frame 2: found person 4 twice",
    ),
    (
        "score-negative.json",
        "ScoreRange",
        "frame 2, left_knee: score -0.4, expected 0 to 1.25",
    ),
    (
        "score-too-high.json",
        "ScoreRange",
        "frame 2, left_knee: score 1.6, expected 0 to 1.25",
    ),
    (
        "sd-for-absent-point.json",
        "Shape",
        "sd.px.left_toe: found \"left_toe\"",
    ),
    ("sd-kind.json", "Shape", "sd.kind: found unknown variant `guessed`"),
    ("sd-negative.json", "Shape", "sd.px: found an sd of -3 px"),
    ("shares-without-picture.json", "NoPicture", "give the picture size"),
    (
        "string-number.json",
        "NotANumber",
        "frame 3, left_shoulder: found \"far\", expected a finite number",
    ),
    ("table-frame-word.csv", "Shape", "line 22, frame: found \"one\""),
    ("table-header-only.csv", "NoPerson", "found no person in any frame"),
    (
        "table-infinity.csv",
        "NotANumber",
        "line 22, left_ear, score: found \"inf\"",
    ),
    (
        "table-no-frames.csv",
        "Shape",
        "line 1: found no column of frames or times",
    ),
    (
        "table-other-columns.csv",
        "NotRecognised",
        "found a table with the columns date, name, marks",
    ),
    (
        "table-percent.csv",
        "ScoreRange",
        "frame 0, nose: score 90, expected 0 to 1.25; these look like percentages",
    ),
    (
        "table-point-twice.csv",
        "DuplicateFrame",
        "frame 1: found left_ear twice",
    ),
    (
        "table-ragged.csv",
        "Shape",
        "line 22: found 7 fields, expected 6 as in the header",
    ),
    (
        "table-two-times.csv",
        "Shape",
        "line 22, frame 1: found the time 0.03 s, expected 0.02 s as before",
    ),
    (
        "table-unknown-points.csv",
        "Shape",
        "point names: found p0, p1, p2, p3, p4",
    ),
    (
        "table-wide-frame-twice.csv",
        "DuplicateFrame",
        "frame 1: found the person twice",
    ),
    (
        "table-word.csv",
        "NotANumber",
        "line 22, left_ear, score: found \"high\"",
    ),
    (
        "time-backward.json",
        "TimeOrder",
        "frame 2: time 0.01 s, expected later than 0.02 s",
    ),
    (
        "time-in-ms.json",
        "BadRate",
        "found a frame rate of 0.06 per second, expected 1 to 2000; the times look like milliseconds",
    ),
    (
        "time-in-one-frame.json",
        "Shape",
        "frame 1: found no time, expected a time in every frame or in none",
    ),
    (
        "time-in-words.json",
        "NotANumber",
        "frame entry 2, time: found \"soon\"",
    ),
    (
        "time-past-reason.json",
        "Shape",
        "frame 2: found the time 1e308 s, expected at most 1e10 s",
    ),
    (
        "time-repeated.json",
        "TimeOrder",
        "frame 2: time 0.02 s, expected later than 0.02 s",
    ),
    (
        "trailing.json",
        "Syntax",
        "line 2, column 1: found broken JSON (trailing characters)",
    ),
    (
        "truncated.json",
        "CutShort",
        "line 1, column 400: found the end of the file",
    ),
    (
        "unknown-count.json",
        "PointCount",
        "frame 0, keypoints: found 39 numbers for the points",
    ),
    (
        "unknown-image.json",
        "Shape",
        "entry 1, image_id: found 77, expected the id of a picture that images lists",
    ),
    (
        "unknown-shape.json",
        "NotRecognised",
        "found JSON: an object with title, rows",
    ),
    ("utf16.json", "NotUtf8", "byte 0: found UTF-16 text"),
    (
        "visibility-3.json",
        "ScoreRange",
        "frame 1, left_eye: score 3, expected 0 to 2",
    ),
    (
        "wrong-count.json",
        "PointCount",
        "frame 2: found 16 points, expected 17 (coco-17)",
    ),
    (
        "zero-picture.json",
        "Shape",
        "images[0]: found a picture of 0 x 1080 px",
    ),
    (
        "layout-bad-path.layout.toml",
        "Shape",
        "json.frames: found `[all]`, expected `[*]` or a number",
    ),
    (
        "layout-builtin.layout.toml",
        "Shape",
        "points: found \"coco-18\", expected a list, or one of coco-17",
    ),
    (
        "layout-format.layout.toml",
        "Shape",
        "line 1, column 10: found unknown variant `layout`",
    ),
    ("layout-no-points.layout.toml", "Shape", "points: found no landmark"),
    (
        "layout-not-toml.layout.toml",
        "Shape",
        "line 10, column 6: found unclosed table",
    ),
    (
        "layout-numbers.layout.toml",
        "Shape",
        "json.numbers: found 2 entries, expected x and y once each",
    ),
    (
        "layout-pattern.layout.toml",
        "Shape",
        "table.x: found \"px\", expected a pattern with {point}",
    ),
    (
        "layout-point-twice.layout.toml",
        "Shape",
        "points[9]: found \"left_hip\" a second time",
    ),
    (
        "layout-score-range.layout.toml",
        "Shape",
        "score_range: found 100 and 0",
    ),
    (
        "layout-unknown-key.layout.toml",
        "Shape",
        "line 11, column 1: found unknown field `frmaes`, expected one of `frames`",
    ),
    (
        "layout-unknown-point.layout.toml",
        "Shape",
        "points[9]: found \"left_nee\", expected a landmark id (such as left_knee)",
    ),
    ("layout-version.layout.toml", "Shape", "version: found 3, expected 1"),
];

#[test]
fn each_bad_file_has_its_error() {
    for (file, variant, says) in BAD {
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
    let mut known: Vec<String> = BAD.iter().map(|(file, ..)| (*file).to_owned()).collect();
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

#[test]
fn options_out_of_range_are_refused() {
    let good = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints/good/coco-results-17.json");
    let base = || ImportOptions {
        rate_hz: Some(50.0),
        ..ImportOptions::default()
    };
    for (options, variant) in [
        (
            ImportOptions {
                rate_hz: Some(0.0),
                ..base()
            },
            "BadRate",
        ),
        (
            ImportOptions {
                rate_hz: Some(f64::NAN),
                ..base()
            },
            "BadRate",
        ),
        (
            ImportOptions {
                picture: Some((0.0, 10.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                picture: Some((f64::NAN, 10.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                min_score: 1.5,
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                sd: Some(springline_keypoints::SdChoice::Px(-1.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                error: Some(springline_kinematics::TemporalError::Correlated(1.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                person: Some(2),
                ..base()
            },
            "NoSuchPerson",
        ),
        (
            ImportOptions {
                person: Some(0),
                ..base()
            },
            "NoSuchPerson",
        ),
        (
            ImportOptions {
                from_s: Some(5.0),
                ..base()
            },
            "NoFrames",
        ),
        (
            ImportOptions {
                from_s: Some(0.1),
                to_s: Some(0.05),
                ..base()
            },
            "NoFrames",
        ),
        (
            ImportOptions {
                from_s: Some(f64::NAN),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                layout: Layout::builtin("points-25"),
                ..base()
            },
            "PointCount",
        ),
    ] {
        let error = import(&good, &options).unwrap_err();
        assert_eq!(
            format!("{error:?}").split([' ', '{']).next().unwrap(),
            variant,
            "{error}"
        );
    }
    assert!(import(&good, &base()).is_ok());
}
