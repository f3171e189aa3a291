//! A coach says what is known of the clip: scale, errors, events.

#![allow(clippy::unwrap_used)]

mod bench;
mod turn;

use bench::{Bench, demo};
use serde_json::{Value, json};
use turn::{M_PER_PX, against, bare, put, review, thinned};

#[test]
fn gravity_as_a_scale() {
    let bench = Bench::new();
    let file = bare("a-clean");
    put(&bench, &file);
    assert_eq!(review(&bench, &[]).body.metres_per_px, None);

    let by_gravity = review(&bench, &["--scale", "gravity"]);
    let scale = by_gravity.body.metres_per_px.unwrap();
    let share = scale.sd / scale.value;
    assert!((scale.value / M_PER_PX - 1.0).abs() < 0.10, "{scale:?}");
    assert!((0.05..0.10).contains(&share), "{share}");
    let from = by_gravity.body.scale_from.unwrap();
    assert!(
        from.starts_with("from gravity, ") && from.ends_with(" frames of flight"),
        "{from}"
    );

    // The same fact in the file.
    let mut own = file.clone();
    own["given"]["scale_by_gravity"] = json!(true);
    put(&bench, &own);
    assert_eq!(review(&bench, &[]).body.metres_per_px, Some(scale));

    // In words: what it is, how sure, and where from.
    let words = bench.run(&["review", "turn.json"]);
    assert!(words.stdout.contains(" mm per px, from gravity, "), "{}", words.stdout);
    assert!(
        words.stdout.contains("; scale 2.") && words.stdout.contains(" ± 0."),
        "{}",
        words.stdout
    );
}

#[test]
fn gravity_is_refused_in_one_sentence() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    let spotted = review(&bench, &["--scale", "gravity", "--spotted"]);
    assert_eq!(spotted.body.metres_per_px, None);
    assert_eq!(
        spotted.attempt.remarks,
        ["no scale from gravity: a spotter touched the athlete, so the flight is not free"]
    );

    // Hardly a frame of flight.
    put(&bench, &thinned(bare("c-no-block"), 4));
    let short = review(&bench, &["--scale", "gravity"]);
    assert_eq!(short.body.metres_per_px, None);
    assert!(
        short
            .attempt
            .remarks
            .iter()
            .any(|remark| remark.starts_with("no scale from gravity: the flight shows the centre of mass in ")),
        "{:?}",
        short.attempt.remarks
    );

    // Points known to a few px only, at 30 frames a second: too unsure for a scale, then too unsure for a check.
    put(&bench, &thinned(bare("a-clean"), 2));
    let check = review(&bench, &["--scale", "gravity", "--sd", "4"]);
    assert_eq!(check.body.metres_per_px, None);
    let why = &check.attempt.remarks[0];
    assert!(
        why.ends_with("good enough to check another scale (20 %), not to measure by (10 %)"),
        "{why}"
    );
    let checked = review(&bench, &["--scale", "0.00286", "--sd", "4"]);
    assert!(against(&checked, "gravity").agrees);
    let refused = review(&bench, &["--scale", "gravity", "--sd", "8"]);
    assert_eq!(refused.body.metres_per_px, None);
    let why = &refused.attempt.remarks[0];
    assert!(
        why.contains(" % only, expected 10 % or better; mark a known length"),
        "{why}"
    );
    let unchecked = review(&bench, &["--scale", "0.00286", "--sd", "8"]);
    assert_eq!(unchecked.body.scale_checks, []);
}

#[test]
fn gravity_checks_another_scale() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    let right = review(&bench, &["--scale", "0.002857"]);
    let ratio = against(&right, "gravity").ratio;
    assert!(
        (ratio.value - 1.0).abs() < 0.1 && (0.05..0.1).contains(&ratio.sd),
        "{ratio:?}"
    );
    assert_eq!(right.attempt.remarks, [""; 0]);

    let wrong = review(&bench, &["--scale", "0.0037"]);
    assert!(!against(&wrong, "gravity").agrees);
    let remark = &wrong.attempt.remarks[0];
    assert!(
        remark.starts_with("by the scale given the centre of mass falls with 1.")
            && remark.contains("expected 0.85 to 1.15"),
        "{remark}"
    );
    let words = bench.run(&["review", "turn.json", "--scale", "0.0037"]);
    assert!(
        words.stdout.contains("gravity does not agree (ratio 1."),
        "{}",
        words.stdout
    );

    // Slow motion whose times are those of the player falls too slowly.
    let mut slow = bare("a-clean");
    for frame in slow["frames"].as_array_mut().unwrap() {
        frame["t"] = json!(2.0 * frame["t"].as_f64().unwrap());
    }
    put(&bench, &slow);
    let slow = review(&bench, &["--scale", "0.002857"]);
    let ratio = against(&slow, "gravity").ratio.value;
    assert!((ratio - 0.25).abs() < 0.03, "{ratio}");
    assert!(
        slow.attempt
            .remarks
            .iter()
            .any(|remark| remark.starts_with("is the frame rate right? By the scale given"))
    );
    // Points too rough to check a scale by still tell a factor of four.
    let rough = review(&bench, &["--scale", "0.002857", "--sd", "pose-model"]);
    let ratio = &against(&rough, "gravity").ratio;
    assert!(ratio.sd > 0.2 * ratio.value, "{ratio:?}");
    assert!(
        rough
            .attempt
            .remarks
            .iter()
            .any(|remark| remark.contains("is the frame rate right? By the scale"))
    );
    // No check while a spotter touches.
    put(&bench, &bare("a-clean"));
    assert_eq!(
        review(&bench, &["--scale", "0.0037", "--spotted"]).body.scale_checks,
        []
    );
}

#[test]
fn a_known_length_gives_the_scale_and_others_are_held_against_it() {
    let bench = Bench::new();
    let file = bare("a-clean");
    put(&bench, &file);
    // A panel of 1.2 m is 420 px wide at 350 px to the metre.
    let panel = review(&bench, &["--known-length", "1.2=300,880,720,880"]);
    let scale = panel.body.metres_per_px.unwrap();
    assert!((scale.value / M_PER_PX - 1.0).abs() < 1e-6, "{scale:?}");
    // 3 px a click on 420 px, and 1 % for the plane.
    let share = (2.0 * (3.0f64 / 420.0).powi(2) + 0.01f64.powi(2)).sqrt();
    assert!((scale.sd / scale.value - share).abs() < 1e-5);
    assert_eq!(panel.body.scale_from.as_deref(), Some("from a known length of 1.2 m"));
    let mut own = file.clone();
    own["given"]["known_length"] = json!({"m": 1.2, "ends": [[300, 880], [720, 880]]});
    put(&bench, &own);
    assert_eq!(review(&bench, &[]).body.metres_per_px, Some(scale));
    put(&bench, &file);

    // The standing height says the same, or it does not.
    let both = review(
        &bench,
        &[
            "--known-length",
            "1.2=300,880,720,880",
            "--stature",
            "1.4",
            "--stature-px",
            "490",
        ],
    );
    let check = against(&both, "the standing height");
    assert!(check.agrees && (check.ratio.value - 1.0).abs() < 1e-6, "{check:?}");
    assert_eq!(both.body.scale_from.as_deref(), Some("from a known length of 1.2 m"));
    let apart = review(
        &bench,
        &[
            "--known-length",
            "1.2=300,880,720,880",
            "--stature",
            "1.4",
            "--stature-px",
            "430",
        ],
    );
    assert!(!against(&apart, "the standing height").agrees);
    assert_eq!(
        apart.attempt.remarks,
        [
            "two scales disagree: that from a known length of 1.2 m is 0.88 ± 0.02 times that by the standing height; one of \
          them is wrong, so doubt every length in metres"
        ]
    );
    // Half a standing height gives none, and says so.
    let half = review(&bench, &["--stature", "1.4"]);
    assert_eq!(half.body.metres_per_px, None);
    assert_eq!(
        half.attempt.remarks,
        ["no scale from the standing height: it takes both its m and its px in the picture"]
    );
    // The surest is used: a hand-wide mark is worth less than the standing height.
    let narrow = review(
        &bench,
        &[
            "--known-length",
            "0.1=300,880,335,880",
            "--stature",
            "1.4",
            "--stature-px",
            "490",
        ],
    );
    assert_eq!(narrow.body.scale_from.as_deref(), Some("from the standing height"));
    assert!(against(&narrow, "the known length of 0.1 m").agrees);
}

#[test]
fn tables_name_the_scale_and_how_it_was_found() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    let csv = bench.run(&["review", "turn.json", "--format", "csv", "--scale", "gravity"]);
    csv.ended(0).quiet();
    let last = |text: &str| text.lines().last().unwrap().to_owned();
    assert!(
        csv.stdout
            .lines()
            .next()
            .unwrap()
            .ends_with(",metres_per_px,metres_per_px_sd,scale_from")
    );
    assert!(last(&csv.stdout).contains(",\"from gravity, "), "{}", last(&csv.stdout));
    bench.put("in/turn.json", &demo("a-clean"));
    bench
        .run(&["batch", "in", "--out", "out", "--scale", "0.0037"])
        .ended(0)
        .quiet();
    let table = bench.get("out/attempts.csv");
    let mut table = csv::Reader::from_reader(table.as_bytes());
    let columns = table.headers().unwrap().clone();
    let row = table.records().next().unwrap().unwrap();
    let field = |name: &str| row[columns.iter().position(|column| column == name).unwrap()].to_owned();
    assert_eq!(
        (field("metres_per_px"), field("metres_per_px_sd")),
        ("0.0037".into(), "0.000037".into())
    );
    assert_eq!(field("scale_from"), "given");
    assert!(field("gravity_ratio").parse::<f64>().unwrap() > 1.15);
    assert!(field("gravity_ratio_sd").parse::<f64>().unwrap() > 0.05);
    assert!(field("remarks").starts_with("by the scale given the centre of mass falls with"));
}

#[test]
fn errors_from_frame_to_frame() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    let sd = |options: &[&str]| {
        let review = review(&bench, options);
        let checks = review.checks.iter();
        let sum: f64 = checks.filter_map(|check| check.measured).map(|it| it.sd).sum();
        (review.provenance.error_over_time, sum)
    };
    let (independent, least) = sd(&["--error", "independent"]);
    let (correlated, more) = sd(&["--error", "0.6"]);
    let (shared, _) = sd(&["--error", "shared"]);
    assert_eq!(independent, "errors independent from frame to frame");
    assert_eq!(correlated, "errors correlated from frame to frame (0.6)");
    assert_eq!(shared, "errors shared by all frames");
    // Smoothing takes less out of errors that last.
    assert!(more > 1.1 * least, "{more} {least}");
}

#[test]
fn wrong_values_say_what_was_expected() {
    let bench = Bench::new();
    for (option, value, expected) in [
        ("--scale", "350", "expected `gravity` or metres per px, 0.0001 to 0.1"),
        ("--scale", "-1", "expected `gravity` or metres per px, 0.0001 to 0.1"),
        ("--scale", "moon", "expected `gravity` or metres per px, 0.0001 to 0.1"),
        ("--stature", "140", "expected metres, 0.5 to 2.5"),
        ("--known-length", "1.2", "expected m=x1,y1,x2,y2: metres, 0.05 to 30"),
        (
            "--known-length",
            "120=300,880,720,880",
            "expected m=x1,y1,x2,y2: metres, 0.05 to 30",
        ),
        ("--known-length", "1.2=300,880", "such as 1.2=300,880,700,880"),
        ("--known-length", "1.2=300,880,300,880", "two different points in px"),
        ("--hand-surface", "45", "expected a height in m, -3 to 3, such as 0.45"),
        ("--hand-surface", "800,high", "or a point as x,y in px, such as 820,700"),
        ("--foot-surface", "low", "expected a height in m, -3 to 3, such as 0.45"),
        ("--error", "1", "a correlation from 0 to below 1, such as 0.6"),
        ("--error", "some", "expected `independent`, `shared`, or a correlation"),
    ] {
        for separate in [false, true] {
            let joined = format!("{option}={value}");
            let arguments: &[&str] = if separate { &[option, value] } else { &[&joined] };
            let mut all = vec!["review", "x.json"];
            all.extend(arguments);
            let run = bench.run(&all);
            run.ended(2);
            assert_eq!(run.stdout, "");
            assert!(run.stderr.contains(expected), "{joined}: {}", run.stderr);
            assert!(run.stderr.contains(value), "{joined}: {}", run.stderr);
        }
    }
}

#[test]
fn an_event_out_of_order_is_refused() {
    let bench = Bench::new();
    put(&bench, &bare("a-clean"));
    let run = bench.run(&["review", "turn.json", "--event", "hand_placement=1.5"]);
    assert_eq!(run.code, 2);
    assert!(run.stdout.is_empty(), "{}", run.stdout);
    assert!(
        run.stderr
            .contains("found hand_placement at 1.500 s, after hand_departure at")
            && run.stderr.contains("expected hand_placement before hand_departure"),
        "{}",
        run.stderr
    );
    assert!(run.stderr.trim_end().lines().count() == 1, "{}", run.stderr);
}

/// What was given wrong is named where it keeps the skill from being found.
#[test]
fn a_skill_not_found_names_what_was_given() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let remarks = |options: &[&str]| -> (String, String) {
        let review = review(&bench, options);
        (review.outcome.word.clone(), review.attempt.remarks.join("\n"))
    };
    let (word, told) = remarks(&["--floor", "0,100,1920,1500"]);
    assert_eq!(word, "not this skill");
    assert!(
        told.contains(
            "nothing is found where what was given is wrong: check the floor line (tilted by 36°), or try without"
        ),
        "{told}"
    );
    let (word, told) = remarks(&["--hand-surface", "900,200"]);
    assert_eq!(word, "not this skill");
    assert!(
        told.contains("given is wrong: check the surface under the hands, or"),
        "{told}"
    );
    let (word, told) = remarks(&[]);
    assert_eq!(word, "good");
    assert!(!told.contains("try without"), "{told}");
}

#[test]
fn a_clip_that_ends_too_early_or_begins_too_late_says_so() {
    let bench = Bench::new();
    let whole: Value = serde_json::from_slice(&demo("a-clean")).unwrap();
    let frames = whole["frames"].as_array().unwrap().clone();
    let placement = {
        bench.put("turn.json", &demo("a-clean"));
        let review = review(&bench, &[]);
        let event = review
            .events
            .iter()
            .find(|event| event.event == "hand_placement")
            .unwrap();
        event.frame
    };
    let why = |frames: &[Value]| {
        let mut part = whole.clone();
        part["frames"] = frames.into();
        put(&bench, &part);
        let review = review(&bench, &[]);
        assert_eq!(review.outcome.word, "not this skill");
        review.outcome.why.join("; ")
    };
    let early = why(&frames[..placement - 1]);
    assert!(
        early.starts_with("no hand on the floor with the trunk past ")
            && early.contains("; the clip ends with the trunk at ")
            && early.ends_with(", perhaps before the hands are down"),
        "{early}"
    );
    let upright = why(&frames[..placement / 3]);
    assert!(!upright.contains("the clip ends"), "{upright}");
}
