//! Joints that read past what joints do are told, and nothing else changes.

#![allow(clippy::unwrap_used)]

use springline_drills::Catalogue;
use springline_kinematics::{Joint, Landmark, Point, Side};
use springline_report::{ATTEMPT_COLUMNS, MEASURE_COLUMNS, Review, Style, attempt_row, measure_rows, text};
use springline_review::{Reviewer, Settings};
use springline_simulate::{
    Act, BackHandspring, Bounce, BridgeHold, Camera, Cartwheel, Facing, Facts, FlatBack, ForwardFall, Handstand, Hop,
    Layout, LyingHold, Params, Recording, Synthetic,
};

fn review(filmed: &Synthetic, drill: &str) -> Review {
    let catalogue = Catalogue::shipped();
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    let file = filmed.to_attempt_json(Layout::Named23, &Facts::measured());
    reviewer
        .review_bytes("attempt.json", file.as_bytes(), catalogue.drill(drill).unwrap())
        .unwrap()
        .record
}

/// What a review says of joints past their range.
fn told(review: &Review) -> Vec<&str> {
    let said = |remark: &&String| remark.contains(", past what ") || remark.contains("past what joints do");
    review.attempt.remarks.iter().filter(said).map(String::as_str).collect()
}

fn handspring(seed: u64) -> Act {
    let mut params = Params::clean();
    params.stature_m = 1.15 + 0.05 * (seed % 13) as f64;
    params.stand_before_s = 0.1 + 0.04 * (seed % 11) as f64;
    Act::handspring(&params).unwrap()
}

/// Moves ankle, heel and toe around the knee so that the knee reads `degrees`. Athletes face right in the picture.
fn set_knee(filmed: &mut Synthetic, side: Side, degrees: f64, frames: impl IntoIterator<Item = usize>) {
    let of = |joint| Landmark::of(joint, side);
    for frame in frames {
        let at = |joint| filmed.tracks.at(of(joint), frame).unwrap();
        let (hip, knee, ankle) = (at(Joint::Hip), at(Joint::Knee), at(Joint::Ankle));
        let up = |from: Point, to: Point| (from.y - to.y).atan2(to.x - from.x);
        let wanted = up(knee, hip) + degrees.to_radians();
        let turned = wanted - up(knee, ankle);
        // Anticlockwise with y down.
        let rotation = nalgebra::Rotation2::new(-turned);
        for joint in [Joint::Ankle, Joint::Heel, Joint::Toe] {
            let point = &mut filmed.tracks.track_mut(of(joint)).positions[frame];
            *point = point.map(|point| knee + rotation * (point - knee));
        }
    }
}

#[test]
fn clean_attempts_are_left_alone() {
    let other = |seed: u64| -> (Act, &str) {
        let act = |act: Result<Act, springline_simulate::Error>| act.unwrap();
        match seed % 8 {
            0 => (act(Act::handstand(&Handstand::default())), "handstand"),
            1 => (act(Act::handstand_hop(&Hop::default())), "handstand-hop"),
            2 => (act(Act::flat_back(&FlatBack::default())), "handstand-flat-back"),
            3 => (act(Act::forward_fall(&ForwardFall::default())), "forward-fall"),
            4 => (
                act(Act::front_support_bounce(&Bounce::default())),
                "front-support-bounce",
            ),
            5 => (act(Act::bridge_hold(&BridgeHold::default())), "bridge"),
            6 => (act(Act::back_handspring(&BackHandspring::default())), "back-handspring"),
            _ => (act(Act::lying_hold(&LyingHold::default())), "hollow-hold"),
        }
    };
    let mut with_remark = Vec::new();
    let (handsprings, others) = (120, 80);
    for seed in 0..handsprings + others {
        let (act, drill) = if seed < handsprings {
            (handspring(seed), "handspring-floor")
        } else {
            other(seed)
        };
        let rate = [30.0, 60.0, 120.0][seed as usize % 3];
        let mut recording = Recording::exact().noisy(3.0).at_rate(rate);
        if seed % 2 == 1 {
            recording.camera = Camera::square().facing(Facing::Left);
        }
        let found = review(&act.film(&recording, seed), drill);
        if !told(&found).is_empty() {
            with_remark.push((drill, seed));
        }
    }
    let all = handsprings + others;
    assert!(with_remark.len() as u64 * 100 <= all, "{with_remark:?} of {all}");
}

#[test]
fn a_knee_at_230_degrees_for_five_frames_is_told_in_every_output() {
    for seed in 0..10 {
        let act = Act::handstand(&Handstand::default()).unwrap();
        let mut filmed = act.film(&Recording::exact().noisy(3.0), seed);
        let before = review(&filmed, "handstand");
        assert!(told(&before).is_empty());
        let knees = before
            .checks
            .iter()
            .find(|check| check.measure.as_deref() == Some("knee_angle"))
            .unwrap();
        let first = knees.frames.unwrap()[0] + 3;
        set_knee(&mut filmed, Side::Left, 230.0, first..first + 5);
        let found = review(&filmed, "handstand");
        let said = told(&found);
        assert_eq!(said.len(), 1, "{said:?}");
        let frames = format!(
            "in frames {first} to {}, past what a knee does (190°): check the points",
            first + 4
        );
        assert!(said[0].starts_with("left knee reads 23"), "{}", said[0]);
        assert!(said[0].contains(&frames), "{}", said[0]);

        let words = text(&found, Style::PLAIN);
        let flat = words.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(&format!("Note: {}.", said[0])), "{words}");
        // Beside the check that looked there, too.
        let looked: Vec<_> = found
            .checks
            .iter()
            .filter(|check| {
                check
                    .remarks
                    .iter()
                    .any(|remark| remark.contains("past what a knee does"))
            })
            .collect();
        assert!(!looked.is_empty());
        assert!(
            looked
                .iter()
                .all(|check| check.measure.as_deref() == Some("knee_angle"))
        );

        let column = |table: &str, columns: Vec<&str>, name: &str| -> Vec<String> {
            let k = columns.iter().position(|column| *column == name).unwrap();
            csv::ReaderBuilder::new()
                .has_headers(false)
                .from_reader(table.as_bytes())
                .records()
                .map(|record| record.unwrap()[k].to_owned())
                .collect()
        };
        let (mut attempts, mut measures) = (String::new(), String::new());
        attempt_row(&found, &mut attempts);
        measure_rows(&found, &mut measures);
        let columns = ATTEMPT_COLUMNS.iter().map(String::as_str).collect();
        assert!(column(&attempts, columns, "remarks")[0].contains(said[0]));
        let remarks = column(&measures, MEASURE_COLUMNS.to_vec(), "remarks");
        assert_eq!(
            remarks
                .iter()
                .filter(|remark| remark.contains("past what a knee does"))
                .count(),
            looked.len()
        );
    }
}

#[test]
fn no_verdict_changes() {
    // Five frames before the skill begins, where no check looks.
    for seed in 0..5 {
        let mut params = Params::clean();
        params.stand_before_s = 0.6;
        let mut filmed = Act::handspring(&params)
            .unwrap()
            .film(&Recording::exact().noisy(3.0), seed);
        let before = review(&filmed, "handspring-floor");
        set_knee(&mut filmed, Side::Right, 230.0, 2..7);
        let after = review(&filmed, "handspring-floor");
        assert_eq!(told(&after).len(), 1);
        assert_eq!(before.outcome, after.outcome);
        let verdicts = |review: &Review| review.checks.iter().map(|check| check.verdict.word).collect::<Vec<_>>();
        assert_eq!(verdicts(&before), verdicts(&after));
    }
}

#[test]
fn a_knee_within_its_uncertainty_and_single_frames_are_not() {
    let act = handspring(3);
    // 3 px at a shank of a child make about 3° at the knee: 192° is no news, 195° in two frames neither.
    for (degrees, frames) in [(192.0, 5..25), (230.0, 5..6), (230.0, 5..7)] {
        let mut filmed = act.film(&Recording::exact(), 1);
        set_knee(&mut filmed, Side::Left, degrees, frames.clone());
        for landmark in Landmark::ALL {
            filmed.tracks.track_mut(landmark).sd.fill(3.0);
        }
        let found = review(&filmed, "handspring-floor");
        assert_eq!(told(&found), Vec::<&str>::new(), "{degrees} {frames:?}");
    }
    // Wild frames between lost ones.
    let mut filmed = act.film(&Recording::exact().noisy(3.0), 1);
    set_knee(&mut filmed, Side::Left, 230.0, (5..15).step_by(2));
    for frame in (4..16).step_by(2) {
        filmed.tracks.track_mut(Landmark::LeftAnkle).positions[frame] = None;
    }
    assert_eq!(told(&review(&filmed, "handspring-floor")), Vec::<&str>::new());
}

#[test]
fn a_facing_given_wrong_shows_and_a_front_view_does_not() {
    let filmed = handspring(1).film(&Recording::exact().noisy(3.0), 1);
    let file = filmed.to_attempt_json(Layout::Named23, &Facts::measured());
    let wrong = file.replace("\"facing\":\"right\"", "\"facing\":\"left\"");
    assert_ne!(file, wrong);
    let catalogue = Catalogue::shipped();
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    let drill = catalogue.drill("handspring-floor").unwrap();
    let found = reviewer
        .review_bytes("wrong.json", wrong.as_bytes(), drill)
        .unwrap()
        .record;
    let said = told(&found);
    // Many joints at once have one cause and are told together.
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("which way the athlete faces"), "{said:?}");

    let filmed = Act::cartwheel(&Cartwheel::default())
        .unwrap()
        .film(&Recording::exact().noisy(3.0), 1);
    assert_eq!(told(&review(&filmed, "cartwheel")), Vec::<&str>::new());
}
