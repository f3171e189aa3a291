//! The camera set-ups among the fixtures: good ones are read, bad ones say what is wrong and where.

#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use springline_keypoints::{CameraSetup, Error, ImportOptions, SetupEntry, import_bytes};

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fixtures/setups")
        .join(name)
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn good_ones_are_read() {
    for name in names(&folder("good")) {
        let setup = CameraSetup::read(&folder("good").join(&name)).unwrap_or_else(|error| panic!("{error}"));
        assert!(!setup.name.is_empty() && setup.picture.0 >= 1280.0, "{name}");
    }
    let hall = CameraSetup::read(&folder("good/hall.toml")).unwrap();
    let known = hall.known_length.unwrap();
    assert!((known.scale().unwrap().0 - 1.2 / 420.0).abs() < 1e-12);
}

#[test]
fn bad_ones_say_what_is_wrong() {
    let wanted: [(&str, &[&str]); 10] = [
        (
            "both-surfaces.toml",
            &[
                "line 6, column 19: found hand_surface_at and hand_surface_m, expected the height or a marked point, not both",
            ],
        ),
        (
            "broken.toml",
            &[
                "line 5, column 1: found no valid TOML (missing comma between key-value pairs)",
                "line 5, column 39: found no valid TOML (unclosed inline table)",
            ],
        ),
        (
            "cm.toml",
            &["line 7, column 5: found 120 m, expected a number, 0.05 to 30 m"],
        ),
        (
            "layout.toml",
            &[
                "line 1, column 1: found no picture in the file, expected the key picture",
                "found nothing marked or given in the file, expected at least one of floor_line, known_length",
                "line 1, column 10: found the text \"springline-layout\", expected \"springline-setup\"",
                "line 4, column 1: found the unknown key \"points\"",
            ],
        ),
        (
            "misspelt.toml",
            &[
                "found nothing marked",
                "line 4, column 11: found no height in picture",
                "line 4, column 27: found the unknown key \"hight\", expected a key of picture: width, height; did you mean \"height\"?",
                "did you mean \"floor_line\"?",
                "did you mean \"known_length\"?",
            ],
        ),
        ("nothing.toml", &["found nothing marked or given in the file"]),
        (
            "one-point.toml",
            &["line 5, column 14: found a list of 1 entry, expected two points as [[x, y], [x, y]], px"],
        ),
        (
            "outside.toml",
            &[
                "found the point 100, 900, expected a place in the picture, 0 to 1280 and 0 to 720 px",
                "found the point 1820, 900",
            ],
        ),
        (
            "px-per-metre.toml",
            &["found 350 metres per px, expected a number, 0.0001 to 0.1 metres per px"],
        ),
        (
            "second-alone.toml",
            &["found second_length without known_length, expected known_length with it"],
        ),
    ];
    assert_eq!(names(&folder("bad")), wanted.map(|(name, _)| name.to_owned()));
    for (name, parts) in wanted {
        let path = folder("bad").join(name);
        let Err(Error::Setup { problems }) = CameraSetup::read(&path) else {
            panic!("{name} was read");
        };
        assert_eq!(problems.len(), parts.len().max(1), "{name}: {problems:#?}");
        for (problem, part) in problems.iter().zip(parts) {
            assert!(problem.contains(part), "{name}: {problem}\n{part}");
            assert!(problem.starts_with(&path.display().to_string()), "{problem}");
        }
    }
}

#[test]
fn a_film_or_other_bytes_are_no_set_up() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("hall.toml");
    std::fs::write(&path, [0xff, 0xfe, 0x00, 0x41, 0x80]).unwrap();
    assert!(CameraSetup::read(&path).is_err());
    std::fs::write(&path, vec![b'#'; (1 << 20) + 1]).unwrap();
    assert!(matches!(CameraSetup::read(&path), Err(Error::TooLarge { .. })));
    assert!(matches!(
        CameraSetup::read(&place.path().join("none.toml")),
        Err(Error::Read { .. })
    ));
}

#[test]
fn shares_of_an_unknown_picture_are_taken_by_the_set_up() {
    let setup = CameraSetup::read(&folder("good/hall.toml")).unwrap();
    let row =
        |frame: u32| format!("{frame},left_hip,0.5,0.5\n{frame},left_knee,0.5,0.6\n{frame},left_ankle,0.5,0.75\n");
    let table = format!("frame,point,x,y\n{}{}{}", row(0), row(1), row(2));
    let mut options = ImportOptions {
        rate_hz: Some(50.0),
        ..ImportOptions::default()
    };
    let alone = import_bytes("turn.csv", table.as_bytes(), &options);
    assert!(matches!(alone, Err(Error::NoPicture { .. })), "{alone:?}");
    options.setup = Some(setup);
    let attempt = import_bytes("turn.csv", table.as_bytes(), &options).unwrap();
    let hip = attempt.tracks.at(springline_kinematics::Landmark::LeftHip, 1).unwrap();
    assert_eq!((hip.x, hip.y), (960.0, 540.0));
    assert!(
        attempt
            .remarks
            .iter()
            .any(|remark| remark == "the picture was taken to be that of the set-up, 1920 x 1080 px"),
        "{:?}",
        attempt.remarks
    );
    let used = attempt.setup.unwrap();
    assert_eq!(
        used.gave,
        [SetupEntry::FloorLine, SetupEntry::KnownLength, SetupEntry::Facing]
    );
    assert_eq!(attempt.given.floor_line_sd_px, Some(2.0));
}
