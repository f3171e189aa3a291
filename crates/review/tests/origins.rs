//! Where points came from, and which want a second look, as a review tells it.

#![allow(clippy::unwrap_used)]

use serde_json::{Value, json};
use springline_drills::Catalogue;
use springline_report::{Review, Style, text};
use springline_review::{Reviewer, Settings};

fn demo() -> Value {
    let path = format!("{}/../../fixtures/demo/a-clean.json", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

fn review(file: &Value) -> Review {
    let catalogue = Catalogue::shipped();
    let reviewed = Reviewer::new(&catalogue, Settings::default())
        .review_bytes(
            "turn.json",
            file.to_string().as_bytes(),
            catalogue.drill("handspring-floor").unwrap(),
        )
        .unwrap();
    reviewed.record
}

#[test]
fn each_origin_has_its_share_and_doubtful_points_their_frames() {
    let mut file = demo();
    let points = file["points"].as_array().unwrap().len();
    let frames = file["frames"].as_array().unwrap().len();
    file["from"] = json!("tracked");
    for frame in (0..frames).step_by(15) {
        file["frames"][frame]["from"] = json!(vec!["clicked"; points]);
    }
    for frame in (31..=36).chain([80]) {
        let mut doubtful = vec![false; points];
        doubtful[2] = true;
        file["frames"][frame]["doubtful"] = json!(doubtful);
    }
    let review = review(&file);
    let attempt = &review.attempt;
    let clicked = frames.div_ceil(15) * points;
    let [one, other] = attempt.origins.as_slice() else {
        panic!("{:?}", attempt.origins)
    };
    assert_eq!((one.from.as_str(), one.points, one.doubtful), ("clicked", clicked, 0));
    assert_eq!(
        (other.from.as_str(), other.points, other.doubtful),
        ("tracked", frames * points - clicked, 7)
    );
    assert!((one.share + other.share - 1.0).abs() < 1e-5);
    assert_eq!(attempt.want_a_look, [[31, 36], [80, 80]]);
    let page = text(&review, Style::PLAIN);
    assert!(page.contains("Points: 7 % clicked, 93 % tracked."), "{page}");
    assert!(page.contains("Want a look: frames 31-36, 80 (7 points)."), "{page}");
}

#[test]
fn points_of_one_kind_are_in_the_record_and_not_in_the_text() {
    let file = demo();
    let review = review(&file);
    let [one] = review.attempt.origins.as_slice() else {
        panic!("{:?}", review.attempt.origins)
    };
    assert_eq!((one.from.as_str(), one.share), ("imported", 1.0));
    assert!(review.attempt.want_a_look.is_empty());
    let page = text(&review, Style::PLAIN);
    assert!(!page.contains("Points:") && !page.contains("Want a look"), "{page}");
}
