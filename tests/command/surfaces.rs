//! Hands and feet that come down on something other than the floor.

#![allow(clippy::unwrap_used)]

mod bench;
mod turn;

use bench::Bench;
use serde_json::{Value, json};
use turn::{bare, lifted, put, review, time_of};

/// The clean handspring with the hands on a block 0.45 m high: up before the hands come down, down again in the flight.
fn on_a_block() -> Value {
    let px = 0.45 * 350.0;
    lifted(bare("a-clean"), |t| {
        px * ((t - 0.75) / 0.25).clamp(0.0, 1.0) * ((1.63 - t) / 0.25).clamp(0.0, 1.0)
    })
}

#[test]
fn hands_on_a_block() {
    let bench = Bench::new();
    let on_block = on_a_block();
    put(&bench, &on_block);
    let scale = ["--scale", "0.002857"];
    let level = review(&bench, &scale);
    assert_eq!(level.outcome.word, "not this skill", "{:?}", level.outcome.why);
    let mut with_height = scale.to_vec();
    with_height.extend(["--hand-surface", "0.45"]);
    let given = review(&bench, &with_height);
    let placed = time_of(&given, "hand_placement").unwrap();
    assert!((placed - 1.07).abs() < 0.04, "{placed}");

    // A point on the block's edge does as well, and needs no scale; the floor is at 900 px.
    let at = hands_at(&on_block);
    let marked = review(&bench, &["--hand-surface", &format!("800,{at}")]);
    assert_eq!(time_of(&marked, "hand_placement"), Some(placed));
    let mut own = on_block.clone();
    own["given"]["hand_surface_at"] = json!([800, at]);
    put(&bench, &own);
    assert_eq!(time_of(&review(&bench, &[]), "hand_placement"), Some(placed));

    // A height in metres says nothing without a scale.
    put(&bench, &on_block);
    bench.run(&["review", "turn.json", "--hand-surface", "0.45"]).failed(
        "error: turn.json: found a height of 0.45 m for the surface under the hands and no scale, expected a marked length \
         or metres per px with it, or a point on the surface's edge\n\
         hint: --known-length M=X1,Y1,X2,Y2 gives a scale; --hand-surface and --foot-surface take X,Y as well\n",
    );
}

/// Height of the fingertips while the hands are down, px of the picture.
fn hands_at(file: &Value) -> f64 {
    let index = file["points"]
        .as_array()
        .unwrap()
        .iter()
        .position(|id| id == "left_fingertip")
        .unwrap();
    let frame = file["frames"]
        .as_array()
        .unwrap()
        .iter()
        .find(|frame| frame["t"].as_f64().unwrap() > 1.2)
        .unwrap();
    frame["points"][index][1].as_f64().unwrap().round()
}

#[test]
fn feet_on_a_stack_of_mats() {
    let bench = Bench::new();
    // The same handspring landing 0.45 m higher: up in the flight, and it stays up.
    let px = 0.45 * 350.0;
    let on_mats = lifted(bare("a-clean"), |t| px * ((t - 1.38) / 0.2).clamp(0.0, 1.0));
    put(&bench, &on_mats);
    let scale = ["--scale", "0.002857"];
    assert_eq!(time_of(&review(&bench, &scale), "feet_touchdown"), None);
    let mut with_height = scale.to_vec();
    with_height.extend(["--foot-surface", "0.45"]);
    let landed = time_of(&review(&bench, &with_height), "feet_touchdown").unwrap();
    assert!((landed - 1.63).abs() < 0.04, "{landed}");
    let mut own = on_mats.clone();
    own["given"]["foot_surface_m"] = json!(0.45);
    own["given"]["metres_per_px"] = json!(0.002857);
    put(&bench, &own);
    assert_eq!(time_of(&review(&bench, &[]), "feet_touchdown"), Some(landed));
}

#[test]
fn a_handspring_off_a_block_passes_as_one() {
    let bench = Bench::new();
    put(&bench, &on_a_block());
    let drill = ["--drill", "handspring-off-block", "--scale", "0.002857"];
    for height in ["0.45", "0.40"] {
        let mut arguments = drill.to_vec();
        arguments.extend(["--hand-surface", height]);
        let off_block = review(&bench, &arguments);
        assert_ne!(off_block.outcome.word, "not this skill", "{:?}", off_block.outcome.why);
        let told = |words: &str| off_block.attempt.remarks.iter().any(|remark| remark.contains(words));
        assert!(
            !told("not this drill") && !told("is it this drill?"),
            "{:?}",
            off_block.attempt.remarks
        );
    }
}

#[test]
fn a_given_height_that_is_not_the_drills_is_told() {
    let bench = Bench::new();
    put(&bench, &on_a_block());
    for (drill, surface, words) in [
        (
            "handspring-floor",
            ["--hand-surface", "0.45"],
            Some(
                "the surface under the hands was given as 0.45 m over the floor, the drill has 0 m: is it this drill?",
            ),
        ),
        (
            "handspring-off-block",
            ["--hand-surface", "1.2"],
            Some(
                "the surface under the hands was given as 1.2 m over the floor, the drill has 0.45 m: is it this drill?",
            ),
        ),
        (
            "handspring-off-block",
            ["--foot-surface", "0.6"],
            Some(
                "the surface under the feet was given as 0.6 m over the floor, the drill has 0.2 m: is it this drill?",
            ),
        ),
        // A lower block that the drill knows as well.
        ("handspring-off-block", ["--hand-surface", "0.3"], None),
        ("handspring-floor", ["--foot-surface", "0.05"], None),
    ] {
        let mut arguments = vec!["--scale", "0.002857", "--drill", drill];
        arguments.extend(surface);
        let remarks = review(&bench, &arguments).attempt.remarks;
        let told: Vec<&String> = remarks
            .iter()
            .filter(|remark| remark.contains("was given as"))
            .collect();
        assert_eq!(told, words.iter().collect::<Vec<_>>(), "{drill} {surface:?}");
    }
}
