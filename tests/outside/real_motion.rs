//! Real people recorded by motion capture, filmed by invented cameras: `real_motion.py` writes attempts and, beside each, the
//! true angles by NumPy from that package's own kinematics. `SPRINGLINE_REAL_MOTION` names its folder. Built only with the
//! feature `outside`.

use std::path::{Path, PathBuf};

use serde_json::Value;
use springline_drills::{Catalogue, template};
use springline_keypoints::{ImportOptions, import};
use springline_kinematics::gym_plane::FloorLine;
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::{Settings as TrialSettings, Trial};
use springline_kinematics::{Measure, Point, Side, Unit};
use springline_report::Word;
use springline_review::{Reviewer, Settings};

/// Coordinates in the files are rounded to a thousandth of a px; limbs are 60 px and more.
const TOLERANCE_DEG: f64 = 0.01;

fn attempts() -> Vec<PathBuf> {
    let folder =
        std::env::var("SPRINGLINE_REAL_MOTION").expect("SPRINGLINE_REAL_MOTION names the folder of real_motion.py");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder can be read")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            let name = name(path);
            name.ends_with(".json") && !name.ends_with(".truth.json") && name != "index.json"
        })
        .collect();
    paths.sort();
    assert!(paths.len() >= 100, "{} attempts", paths.len());
    paths
}

fn name(path: &Path) -> String {
    path.file_name().expect("a name").to_string_lossy().into_owned()
}

fn truth(path: &Path) -> Value {
    let beside = path.with_file_name(name(path).replace(".json", ".truth.json"));
    serde_json::from_str(&std::fs::read_to_string(beside).expect("the truth is beside")).expect("it is JSON")
}

#[test]
fn angles_are_those_of_the_package() {
    let mut compared = 0usize;
    let mut worst: f64 = 0.0;
    for path in attempts() {
        let truth = truth(&path);
        let right = match truth["facing"]["when_upright"].as_str() {
            Some("right") => true,
            Some("left") => false,
            _ => continue, // toward the camera: angles there are unsigned, compared in the package's own script
        };
        let attempt = import(
            &path,
            &ImportOptions {
                keep_sides: true,
                ..ImportOptions::default()
            },
        )
        .expect("imports");
        let floor = attempt.given.floor_line.map(|line| FloorLine {
            points: line.map(|(x, y)| Point::new(x, y)),
            sd: 0.5,
        });
        let settings = TrialSettings {
            smoothing: Smoothing::Off,
            floor,
            faces_right: Some(right),
            ..TrialSettings::default()
        };
        let trial = Trial::new(attempt.tracks, &settings).expect("can be measured");
        let times = trial.series().raw().times.clone();
        let signed = &truth["picture"]["signed_deg"];
        for (side, words) in [(Side::Left, "left"), (Side::Right, "right")] {
            for (measure, joint) in [
                (Measure::ShoulderOpening, "shoulder"),
                (Measure::HipAngle, "hip"),
                (Measure::KneeAngle, "knee"),
                (Measure::ElbowAngle, "elbow"),
            ] {
                let expected = &signed[format!("{words}_{joint}")];
                for (k, time) in times.iter().enumerate() {
                    let Some(expected) = expected[k].as_f64() else { continue };
                    let value = trial
                        .at(measure, side, *time, 0.0, false, Unit::Degrees)
                        .expect("seen")
                        .value;
                    let expected = if measure == Measure::ElbowAngle {
                        180.0 - (180.0 - expected).abs()
                    } else {
                        expected
                    };
                    let off = value - expected;
                    let off = (off - 360.0 * (off / 360.0).round()).abs();
                    worst = worst.max(off);
                    compared += 1;
                    assert!(
                        off < TOLERANCE_DEG,
                        "{}: {words} {joint} in frame {k}: {value}, true {expected}",
                        name(&path)
                    );
                }
            }
        }
    }
    println!("{compared} angles, largest difference {worst:.5}°");
    assert!(compared > 50_000, "{compared}");
}

#[test]
fn no_recorded_motion_passes_for_a_handspring() {
    let catalogue = Catalogue::shipped();
    let drill = catalogue.drill("handspring-floor").expect("it ships");
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    for path in attempts() {
        let record = reviewer.review(&path, drill).expect("reviews").record;
        println!("{}: {} {:?}", name(&path), record.outcome.word, record.outcome);
        assert_ne!(record.outcome.word, "good", "{}", name(&path));
        let clip = name(&path);
        if ["backflip.", "roll.", "jump.", "run.", "walk."]
            .iter()
            .any(|start| clip.starts_with(start))
        {
            assert_eq!(record.outcome.word, "not this skill", "{clip}");
        }
    }
}

#[test]
fn the_cartwheel_is_reviewed_by_its_drill() {
    let catalogue = Catalogue::shipped();
    let floor = catalogue.drill("handspring-floor").expect("it ships");
    // Ears, noses, toes and heels are not in the figure: a check that needs one is not seen.
    let head = r#"
[[check]]
id = "head-over-the-top"
title = "Head between the arms"
measure = "head_tilt"
at = "inverted"
at_most = 115
unit = "deg"
medium_beyond = 15
large_beyond = 30
weight = "note"
basis = "coach-set"
"#;
    let text = format!("{}{head}", template("cartwheel").expect("it ships"));
    let own = catalogue.read_drill("own.toml", text.as_bytes()).expect("a spec");
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    let mut reviewed = 0;
    for path in attempts()
        .iter()
        .filter(|path| name(path).starts_with("cartwheel.60.front"))
    {
        let record = reviewer.review(path, &own).expect("reviews").record;
        println!("{}: {} {:?}", name(path), record.outcome.word, record.outcome);
        assert_ne!(record.outcome.word, "not this skill", "{}", name(path));
        for check in &record.checks {
            let seen = check.verdict.word != Word::NotSeen;
            assert_eq!(
                seen,
                check.id != "head-over-the-top",
                "{}: {:?}",
                check.id,
                check.verdict
            );
        }
        // And it is no handspring.
        let record = reviewer.review(path, floor).expect("reviews").record;
        assert_eq!(record.outcome.word, "not this skill", "{}", name(path));
        reviewed += 1;
    }
    assert_eq!(reviewed, 2);
}

#[test]
fn joints_seen_from_the_side_stay_within_their_range() {
    // Those that stay in the plane of the camera; the kicks, turns and dances turn out of it and say so.
    let planar = ["walk.", "run.", "jump.", "roll.", "crawl.", "getup"];
    let (mut quiet, mut turned) = (0, 0);
    for path in attempts() {
        let clip = name(&path);
        let right = match truth(&path)["facing"]["when_upright"].as_str() {
            Some("right") => true,
            Some("left") => false,
            _ => continue,
        };
        let options = ImportOptions {
            keep_sides: true,
            ..ImportOptions::default()
        };
        let settings = TrialSettings {
            faces_right: Some(right),
            ..TrialSettings::default()
        };
        let attempt = import(&path, &options).expect("imports");
        let trial = Trial::new(attempt.tracks, &settings).expect("can be measured");
        let past = trial.past_range();
        if planar.iter().any(|start| clip.starts_with(start)) {
            assert!(past.is_empty(), "{clip}: {}", past[0]);
            quiet += 1;
        } else if ["spin.", "cartwheel."].iter().any(|start| clip.starts_with(start)) {
            assert!(!past.is_empty(), "{clip}");
            turned += 1;
        }
    }
    println!("{quiet} in the plane without a remark, {turned} turning out of it with one");
    assert!(quiet > 50 && turned > 15, "{quiet} {turned}");
}
