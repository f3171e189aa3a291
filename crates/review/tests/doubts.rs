//! A clip that contradicts its drill or a given event is told so, and is not called good.

#![allow(clippy::unwrap_used)]

use std::path::Path;

use springline_drills::Catalogue;
use springline_kinematics::EventKind;
use springline_report::Review;
use springline_review::{Reviewer, Settings};

fn clean(drill: &str, events: &[(EventKind, f64)]) -> Review {
    let catalogue = Catalogue::shipped();
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    reviewer.settings_mut().import.given.events = events.to_vec();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/demo/a-clean.json");
    reviewer.review(&file, catalogue.drill(drill).unwrap()).unwrap().record
}

fn told(review: &Review, words: &str) -> bool {
    review.attempt.remarks.iter().any(|remark| remark.contains(words))
}

#[test]
fn a_floor_handspring_is_no_kick_to_handstand_and_none_off_a_block() {
    for (drill, words) in [
        (
            "lunge-kick-to-handstand",
            "looks like a turn over the hands, not this drill",
        ),
        ("handspring-off-block", "looks like hands on the floor, not this drill"),
    ] {
        let review = clean(drill, &[]);
        assert_eq!(review.outcome.word, "not this skill", "{drill}");
        assert!(review.outcome.why[0].contains(words), "{:?}", review.outcome.why);
        assert!(
            review.attempt.remarks[0].contains(words),
            "{:?}",
            review.attempt.remarks
        );
    }
    let floor = clean("handspring-floor", &[]);
    assert_eq!(floor.outcome.word, "good");
    assert!(!told(&floor, "not this drill") && !told(&floor, "can't be seen from points"));
}

#[test]
fn what_points_cannot_show_of_the_set_up_is_told() {
    for drill in ["handspring-raised-mats", "handspring-board", "handspring-off-block"] {
        assert!(
            told(&clean(drill, &[]), "can't be seen from points; you chose this drill"),
            "{drill}"
        );
    }
}

#[test]
fn a_given_event_far_from_the_found_one_is_told_with_both() {
    let far = clean("handspring-floor", &[(EventKind::HandPlacement, 0.45)]);
    assert!(
        told(&far, "hand placement was given at 0.450 s and is found at 1.066 s"),
        "{:?}",
        far.attempt.remarks
    );
    let near = clean("handspring-floor", &[(EventKind::HandPlacement, 1.05)]);
    assert!(!told(&near, "was given at"), "{:?}", near.attempt.remarks);
}

#[test]
fn a_handspring_too_quick_or_too_slow_for_a_body_asks_for_the_frame_rate() {
    let catalogue = Catalogue::shipped();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/demo/a-clean.json");
    for (stretch, asked) in [(0.5, true), (1.0, false), (4.0, true)] {
        let mut attempt: serde_json::Value = serde_json::from_slice(&std::fs::read(&file).unwrap()).unwrap();
        let rate = attempt["rate_hz"].as_f64().unwrap() / stretch;
        attempt["rate_hz"] = rate.into();
        for frame in attempt["frames"].as_array_mut().unwrap() {
            if let Some(t) = frame.get("t").and_then(serde_json::Value::as_f64) {
                frame["t"] = (t * stretch).into();
            }
        }
        let mut reviewer = Reviewer::new(&catalogue, Settings::default());
        let drill = catalogue.drill("handspring-floor").unwrap();
        let bytes = attempt.to_string();
        let review = reviewer.review_bytes("a.json", bytes.as_bytes(), drill).unwrap().record;
        assert_eq!(
            told(&review, "is the frame rate right?"),
            asked,
            "{stretch}: {:?} {:?}",
            review.events,
            review.attempt.remarks
        );
    }
}
