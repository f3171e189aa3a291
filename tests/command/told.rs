//! What a review tells of things that were given or that are missing.

#![allow(clippy::unwrap_used)]

mod bench;
mod turn;

use bench::Bench;
use serde_json::{Value, json};
use turn::{bare, put, review};

/// The clean attempt with a body so small, or times so long, that its fall makes it a doll or a giant.
#[test]
fn a_scale_from_gravity_makes_nobody_a_doll() {
    let bench = Bench::new();
    let mut slow = bare("a-clean");
    for frame in slow["frames"].as_array_mut().unwrap() {
        frame["t"] = json!(0.5 * frame["t"].as_f64().unwrap());
    }
    put(&bench, &slow);
    let doll = review(&bench, &["--scale", "gravity"]);
    assert_eq!(doll.body.metres_per_px, None);
    let told = |words: &str| doll.attempt.remarks.iter().any(|remark| remark.contains(words));
    assert!(
        told("no scale from gravity: by it the athlete would stand about 0.3") && told("m tall, expected 0.7 to 2.2 m"),
        "{:?}",
        doll.attempt.remarks
    );
    put(&bench, &bare("a-clean"));
    let right = review(&bench, &["--scale", "gravity"]);
    assert!(right.body.metres_per_px.is_some(), "{:?}", right.attempt.remarks);
}

/// Slow motion by so little that the athlete only seems tall is told where the standing height is known.
#[test]
fn a_scale_from_gravity_is_held_against_the_standing_height() {
    let bench = Bench::new();
    let mut slow = bare("a-clean");
    for frame in slow["frames"].as_array_mut().unwrap() {
        frame["t"] = json!(1.18 * frame["t"].as_f64().unwrap());
    }
    put(&bench, &slow);
    let gravity = ["--scale", "gravity"];
    let tall = review(&bench, &gravity);
    assert!(tall.body.metres_per_px.is_some(), "{:?}", tall.attempt.remarks);
    let known = review(&bench, &["--scale", "gravity", "--stature", "1.4"]);
    assert_eq!(known.body.metres_per_px, None);
    assert!(
        known
            .attempt
            .remarks
            .iter()
            .any(|remark| remark.contains("m tall, expected about the 1.4 m given")),
        "{:?}",
        known.attempt.remarks
    );
    // At the right rate it fits, and nothing is said of a standing height without its px.
    put(&bench, &bare("a-clean"));
    let right = review(&bench, &["--scale", "gravity", "--stature", "1.4"]);
    assert!(right.body.metres_per_px.is_some());
    assert_eq!(right.attempt.remarks, [""; 0]);
}

#[test]
fn half_a_standing_height_is_told_whatever_other_scale_there_is() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    for options in [
        &["--stature", "1.4"][..],
        &["--stature", "1.4", "--scale", "0.002857"],
        &["--stature-px", "490", "--scale", "gravity"],
        &["--stature-px", "490", "--scale", "0.002857"],
    ] {
        let remarks = review(&bench, options).attempt.remarks;
        let told = |remark: &&String| remark.starts_with("no scale from the standing height: it takes both");
        assert_eq!(remarks.iter().filter(told).count(), 1, "{options:?}: {remarks:?}");
    }
    let both = review(&bench, &["--stature", "1.4", "--stature-px", "490"]);
    assert_eq!(both.body.scale_from.as_deref(), Some("from the standing height"));
}

#[test]
fn what_a_spotters_touch_forbids_is_not_laid_on_the_scale() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    for options in [&["--spotted"][..], &["--spotted", "--scale", "0.002857"]] {
        let spotted = review(&bench, options);
        let words = format!("{:?}", spotted.checks);
        assert!(!words.contains("no scale"), "{options:?}");
        assert!(words.contains("a spotter touched the athlete"), "{options:?}");
    }
    let alone = format!("{:?}", review(&bench, &[]).checks);
    assert!(alone.contains("no scale") && !alone.contains("spotter"));
}

#[test]
fn a_cutoff_that_the_rate_does_not_carry_is_told() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    let told = |cutoff: &str| {
        let remarks = review(&bench, &["--cutoff", cutoff]).attempt.remarks;
        remarks
            .iter()
            .any(|remark| remark == "smoothed at 24.0 Hz, not at 50 Hz: 60 frames a second carry no higher cut-off")
    };
    assert!(told("50"));
    assert!(!told("24") && !told("10"));
}

#[test]
fn a_picture_on_its_side_is_told() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    let told = |size: &str| {
        let remarks = review(&bench, &["--size", size]).attempt.remarks;
        remarks
            .iter()
            .any(|remark| remark.starts_with("are width and height of the picture exchanged?"))
    };
    assert!(told("1080x1920"));
    assert!(!told("1920x1080") && !told("1920x1920"));
}

#[test]
fn a_place_beyond_all_pictures_is_told_in_short() {
    let bench = Bench::new();
    let mut file = bare("a-clean");
    file["frames"][3]["points"][2][0] = json!(1e300);
    put(&bench, &file);
    let run = bench.run(&["review", "turn.json"]);
    run.ended(2);
    assert!(run.stderr.contains("found x 1.000e300, y "), "{}", run.stderr);
}

#[test]
fn an_undecided_facing_says_what_it_would_bring() {
    let bench = Bench::new();
    // Shoulders to ankles and the nose: of points from a pose tool that is too little to tell the facing.
    let keep = [
        "nose",
        "left_shoulder",
        "right_shoulder",
        "left_elbow",
        "right_elbow",
        "left_wrist",
        "right_wrist",
        "left_hip",
        "right_hip",
        "left_knee",
        "right_knee",
        "left_ankle",
        "right_ankle",
    ];
    let mut file = bare("a-clean");
    file["given"].as_object_mut().unwrap().remove("facing");
    file["given"].as_object_mut().unwrap().remove("near_side");
    let names: Vec<String> = serde_json::from_value(file["points"].clone()).unwrap();
    for frame in file["frames"].as_array_mut().unwrap() {
        for key in ["points", "sd", "score"] {
            if let Some(list) = frame.get_mut(key).and_then(Value::as_array_mut) {
                let kept = names
                    .iter()
                    .zip(list.iter())
                    .filter(|(name, _)| keep.contains(&name.as_str()));
                *list = kept.map(|(_, value)| value.clone()).collect();
            }
        }
    }
    let kept: Vec<&String> = names.iter().filter(|name| keep.contains(&name.as_str())).collect();
    file["points"] = json!(kept);
    file.as_object_mut().unwrap().remove("layout");
    put(&bench, &file);
    let seen = |review: &springline_report::Review| {
        let checks = review.checks.iter();
        checks
            .filter(|check| check.verdict.word != springline_report::Word::NotSeen)
            .count()
    };
    let undecided = review(&bench, &["--sd", "pose-model", "--error", "shared"]);
    let more = undecided.body.seen_with_facing;
    assert!(undecided.body.facing.is_none() && more > 0, "{:?}", undecided.body);
    let given = ["left", "right"].map(|side| {
        let given = review(&bench, &["--sd", "pose-model", "--error", "shared", "--facing", side]);
        assert_eq!(given.body.seen_with_facing, 0);
        seen(&given)
    });
    assert_eq!(given.into_iter().max(), Some(seen(&undecided) + more), "{given:?}");
    let words = bench.run(&["review", "turn.json", "--sd", "pose-model", "--error", "shared"]);
    assert_eq!(
        words.stdout.lines().nth(1),
        Some(format!("Give --facing left or right: then up to {more} more checks can be seen.").as_str()),
        "{}",
        words.stdout
    );
}

#[test]
fn a_difference_below_zero_says_what_that_means() {
    let bench = Bench::new();
    let mut below = 0;
    for name in [
        "a-clean",
        "b-hands-near-feet",
        "c-no-block",
        "d-lands-behind",
        "e-too-close",
    ] {
        put(&bench, &bare(name));
        let review = review(&bench, &[]);
        let check = review
            .checks
            .iter()
            .find(|check| check.id == "shoulders-stay-open")
            .unwrap();
        let words = "below 0: the shoulder opening is larger at hand departure than at hand placement";
        let told = check.remarks.iter().any(|remark| remark == words);
        let negative = check.measured.unwrap().value < 0.0;
        below += u32::from(negative);
        assert_eq!(told, negative, "{name}: {check:?}");
    }
    assert!(below > 0);
}

#[test]
fn numbers_of_three_hundred_digits_are_refused_in_short() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    for options in [
        ["--floor", "0,1e300,1920,900"],
        ["--hand-surface", "1e300,5"],
        ["--size", "1e300x5"],
        ["--known-length", "1=1e300,5,6,7"],
        ["--stature-px", "1e300"],
        ["--event", "hand_placement=1e300"],
        ["--from", "1e300"],
        ["--cutoff", "1e300"],
        ["--cutoff", "1e-300"],
    ] {
        let run = bench.run(&["review", "turn.json", options[0], options[1]]);
        run.ended(2);
        assert!(
            run.stdout.is_empty() && run.stderr.contains("expected"),
            "{options:?}: {}",
            run.stderr
        );
        assert!(!run.stderr.contains("00000000"), "{options:?}: {}", run.stderr);
    }
}
