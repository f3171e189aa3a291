//! The good fixtures: made here, recognised, and imported to the points they were made from.
//!
//! With `SPRINGLINE_RENEW_FIXTURES=1` in the environment the files are written anew.

#![allow(clippy::unwrap_used)]

mod figure;

use std::fs;
use std::path::{Path, PathBuf};

use figure::{Seen, writers};
use springline_keypoints::{ImportOptions, Layout, import, recognise};
use springline_kinematics::Landmark;

fn good() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints/good")
}

/// Frames of the inverted part, with 1 px noise and some points missing.
fn clip(frames: usize) -> Seen {
    let exact = figure::film(
        |time| figure::over_the_hands(time + 0.55),
        (frames - 1) as f64 / 50.0,
        50.0,
    );
    figure::seen(&exact, 1.0, 0.04, 11)
}

fn bystander(frames: usize) -> Seen {
    figure::seen(
        &figure::film(figure::bystander, (frames - 1) as f64 / 50.0, 50.0),
        1.0,
        0.0,
        12,
    )
}

/// Name and content of every good fixture.
fn fixtures() -> Vec<(String, String)> {
    let (long, short) = (clip(8), clip(3));
    let with_bystander = [bystander(8), clip(8)];
    let mut list = vec![
        (
            "attempt.json".to_owned(),
            serde_json::to_string(&figure::attempt_file(&long, 50.0)).unwrap() + "\n",
        ),
        (
            "coco-results-17.json".to_owned(),
            writers::coco_results(&[clip(8)], true),
        ),
        (
            "coco-results-two-people.json".to_owned(),
            writers::coco_results(&with_bystander, true),
        ),
        ("coco-results-133.json".to_owned(), writers::coco_results_133(&short)),
        ("coco-annotations-17.json".to_owned(), writers::coco_annotations(&long)),
        (
            "frames-33-shares.json".to_owned(),
            writers::frames_of_objects(&clip(5), 50.0),
        ),
        ("frames-named.json".to_owned(), writers::frames_of_names(&long, 50.0)),
        ("long.csv".to_owned(), writers::long_table(&long, 50.0)),
        ("wide-semicolon.csv".to_owned(), writers::wide_table(&long)),
        ("odd-tool.json".to_owned(), writers::odd_tool(&[clip(8), bystander(8)])),
        ("odd-tool.layout.toml".to_owned(), writers::odd_layout()),
        (
            "bom.json".to_owned(),
            format!("\u{feff}{}", writers::coco_results(&[clip(3)], false)),
        ),
        (
            "bare-nan.json".to_owned(),
            writers::coco_results(&[clip(3)], false).replace("0,0,0", "NaN,NaN,NaN"),
        ),
        (
            "outside-the-picture.json".to_owned(),
            serde_json::to_string(&figure::attempt_file(
                &clip(3)
                    .into_iter()
                    .map(|frame| {
                        frame
                            .into_iter()
                            .map(|point| point.map(|[x, y]| [x, y + 500.0]))
                            .collect()
                    })
                    .collect(),
                50.0,
            ))
            .unwrap()
                + "\n",
        ),
    ];
    for frame in 0..8 {
        list.push((
            format!("frames-25/take2_{:012}_points.json", frame + 7),
            writers::people_frame(&[clip(8), bystander(8)], frame, "points-25", "body_points"),
        ));
    }
    list
}

#[test]
fn the_files_are_those_made_here() {
    let renew = std::env::var_os("SPRINGLINE_RENEW_FIXTURES").is_some();
    for (name, content) in fixtures() {
        let path = good().join(&name);
        if renew {
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(&path, &content).unwrap();
        }
        assert_eq!(fs::read_to_string(&path).unwrap(), content, "{name}");
    }
}

struct Good {
    file: &'static str,
    recognised: &'static str,
    layout: &'static str,
    frames: usize,
    /// Landmarks that the file has.
    landmarks: Vec<Landmark>,
    /// Rate that the file itself has.
    own_rate: bool,
    /// Share of px by which its digits round.
    tolerance: f64,
}

#[test]
fn every_good_file_gives_the_figure_back() {
    let body = Landmark::ALL[..17].to_vec();
    let all = Landmark::ALL.to_vec();
    let no_fingers = Landmark::ALL[..21].to_vec();
    let limbs = Landmark::ALL[5..17].to_vec();
    let good_file = |file, recognised, layout, frames, landmarks: &Vec<Landmark>, own_rate| Good {
        file,
        recognised,
        layout,
        frames,
        landmarks: landmarks.clone(),
        own_rate,
        tolerance: 0.0051,
    };
    let list = [
        good_file(
            "attempt.json",
            "attempt file, 1 person, 8 frames",
            "named-23",
            8,
            &all,
            true,
        ),
        good_file(
            "coco-results-17.json",
            "COCO results list, 17 points (coco-17), 1 person, 8 frames",
            "coco-17",
            8,
            &body,
            false,
        ),
        good_file(
            "coco-results-two-people.json",
            "COCO results list, 17 points (coco-17), 2 people, 8 frames",
            "coco-17",
            8,
            &body,
            false,
        ),
        good_file(
            "coco-results-133.json",
            "COCO results list, 133 points (coco-wholebody-133), 1 person, 3 frames",
            "coco-wholebody-133",
            3,
            &all,
            false,
        ),
        good_file(
            "coco-annotations-17.json",
            "COCO annotation file, 17 points (coco-17), 1 person, 8 frames",
            "coco-17",
            8,
            &body,
            false,
        ),
        good_file(
            "frames-33-shares.json",
            "JSON, points at frames[*].landmarks, 33 points (points-33), in shares of the picture, 1 person, 5 frames",
            "points-33",
            5,
            &all,
            true,
        ),
        good_file(
            "frames-named.json",
            "JSON, points at [*], 23 points (named-23), 1 person, 8 frames",
            "named-23",
            8,
            &all,
            true,
        ),
        good_file(
            "long.csv",
            "long table (CSV), 17 points (named-17), 1 person, 8 frames",
            "named-17",
            8,
            &body,
            true,
        ),
        good_file(
            "wide-semicolon.csv",
            "wide table (CSV), 23 points (named-23), 1 person, 8 frames",
            "named-23",
            8,
            &all,
            false,
        ),
        good_file(
            "odd-tool.json",
            "JSON, points at samples[*].who[*].body.xy, 13 points (limbs-13), 2 people, 8 frames",
            "limbs-13",
            8,
            &limbs,
            true,
        ),
        good_file(
            "frames-25",
            "one JSON file a frame, points at people[*].body_points, 25 points (points-25), 2 people, 8 frames",
            "points-25",
            8,
            &no_fingers,
            false,
        ),
        good_file(
            "bom.json",
            "COCO results list, 17 points (coco-17), 1 person, 3 frames",
            "coco-17",
            3,
            &body,
            false,
        ),
        good_file(
            "bare-nan.json",
            "COCO results list, 17 points (coco-17), 1 person, 3 frames",
            "coco-17",
            3,
            &body,
            false,
        ),
    ];
    for good_file in list {
        let name = good_file.file;
        let path = good().join(name);
        let mut options = ImportOptions::default();
        if name.starts_with("odd-tool") {
            options.layout = Some(Layout::read(&good().join("odd-tool.layout.toml")).unwrap());
        }
        let words = recognise(&path, &options).unwrap();
        assert!(good_file.recognised.starts_with(&words), "{name}: {words}");
        if !good_file.own_rate {
            // The wide table numbers every second frame.
            options.rate_hz = Some(if name.starts_with("wide") { 100.0 } else { 50.0 });
        }
        let attempt = import(&path, &options).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(attempt.recognised, good_file.recognised, "{name}");
        assert_eq!(attempt.layout, good_file.layout, "{name}");
        assert_eq!(attempt.tracks.len(), good_file.frames, "{name}");
        for (frame, time) in attempt.tracks.times.iter().enumerate() {
            assert!((time - frame as f64 / 50.0).abs() < 1e-5, "{name}: {time}");
        }
        assert!(attempt.swaps.is_empty(), "{name}: {:?}", attempt.swaps);
        let truth = clip(good_file.frames);
        for landmark in Landmark::ALL {
            if !good_file.landmarks.contains(&landmark) {
                assert!(!attempt.tracks.has(landmark), "{name}: {landmark:?}");
                continue;
            }
            for (frame, points) in truth.iter().enumerate() {
                let found = attempt.tracks.at(landmark, frame).map(|point| [point.x, point.y]);
                match (points[landmark.index()], found) {
                    (None, None) => {}
                    (Some(a), Some(b)) => {
                        let off = (a[0] - b[0]).abs().max((a[1] - b[1]).abs());
                        assert!(off < good_file.tolerance, "{name}: {landmark:?} frame {frame}: {off}");
                    }
                    other => panic!("{name}: {landmark:?} frame {frame}: {other:?}"),
                }
            }
        }
        let crowded = good_file.recognised.contains("2 people");
        match attempt.athlete {
            Some(choice) => {
                assert!(crowded, "{name}");
                assert_eq!(choice.people, 2);
                assert!(
                    choice.why.ends_with(", the only one who turns upside down"),
                    "{name}: {}",
                    choice.why
                );
            }
            None => assert!(!crowded, "{name}"),
        }
    }
}

#[test]
fn what_lies_outside_the_picture_is_kept_and_said() {
    let attempt = import(&good().join("outside-the-picture.json"), &ImportOptions::default()).unwrap();
    assert!(
        attempt
            .remarks
            .iter()
            .any(|remark| remark.ends_with("points outside the picture are kept")),
        "{:?}",
        attempt.remarks
    );
}
