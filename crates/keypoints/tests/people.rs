//! Several people in view: the athlete is followed past others, and the choice is told.

#![allow(clippy::unwrap_used)]

mod figure;

use figure::{Pose, Seen};
use springline_keypoints::{Attempt, Error, ImportOptions, import_bytes};
use springline_kinematics::Landmark;

/// Somebody who walks the other way, behind the athlete.
fn walker(time: f64) -> Pose {
    let stride = 25.0 * (6.0 * time).sin();
    figure::pose(
        [1700.0 - 700.0 * time, 600.0],
        3.0,
        [stride, -stride],
        [stride, -stride],
    )
}

/// Somebody small who jumps on the spot.
fn jumper(time: f64) -> Pose {
    let mut pose = figure::pose(
        [300.0, 560.0 - 60.0 * (5.0 * time).sin().abs()],
        0.0,
        [30.0, -30.0],
        [5.0, -5.0],
    );
    for [x, y] in &mut pose {
        *x = 300.0 + 0.6 * (*x - 300.0);
        *y = 500.0 + 0.6 * (*y - 500.0);
    }
    pose
}

/// Leaves a person out of some frames.
fn hidden(mut clip: Seen, frames: &[std::ops::Range<usize>]) -> Seen {
    for range in frames {
        for frame in range.clone() {
            if let Some(points) = clip.get_mut(frame) {
                points.fill(None);
            }
        }
    }
    clip
}

fn imported(people: &[Seen], rate: f64, person: Option<usize>) -> Result<Attempt, Error> {
    let text = figure::writers::coco_results(people, true);
    let options = ImportOptions {
        rate_hz: Some(rate),
        person,
        keep_sides: true,
        ..ImportOptions::default()
    };
    import_bytes("people.json", text.as_bytes(), &options)
}

/// Points of the attempt that aren't where the person's are.
fn strange(attempt: &Attempt, person: &Seen) -> usize {
    let mut count = 0;
    for landmark in &Landmark::ALL[..17] {
        for (frame, points) in person.iter().enumerate() {
            let off = match (attempt.tracks.at(*landmark, frame), points[landmark.index()]) {
                (Some(found), Some([x, y])) => (found.x - x).hypot(found.y - y) > 0.02,
                (found, truth) => found.is_some() != truth.is_some(),
            };
            count += usize::from(off);
        }
    }
    count
}

#[test]
fn the_one_who_turns_over_is_followed_past_the_others() {
    for rate in [25.0, 30.0, 60.0, 120.0, 240.0] {
        for seed in 0..5 {
            let film = |motion: fn(f64) -> Pose, seed| {
                figure::seen(&figure::film(motion, figure::DURATION, rate), 3.0, 0.1, seed)
            };
            let at = |from: f64, to: f64| (from * rate) as usize..(to * rate) as usize;
            let athlete = hidden(film(figure::over_the_hands, seed), &[at(0.70, 0.80)]);
            let bystander = hidden(film(figure::bystander, seed + 100), &[at(1.0, 1.2)]);
            let others = [bystander, film(walker, seed + 200), film(jumper, seed + 300)];
            let mut people = others.to_vec();
            people.insert(seed as usize % 4, athlete.clone());
            let attempt = imported(&people, rate, None).unwrap();
            assert_eq!(strange(&attempt, &athlete), 0, "{rate} fps, seed {seed}");
            let choice = attempt.athlete.unwrap();
            assert_eq!(choice.people, 4);
            // From left to right: jumper 300, athlete 500, bystander 1250, walker 1700.
            assert_eq!(choice.chosen, 2);
            assert_eq!(
                choice.why,
                "number 2 of 4 from the left of the picture at 0.00 s, the only one who turns upside down"
            );
            assert!(attempt.recognised.contains("4 people"), "{}", attempt.recognised);

            let asked = imported(&people, rate, Some(1)).unwrap();
            assert_eq!(strange(&asked, &others[2]), 0, "{rate} fps, seed {seed}");
            assert_eq!(
                asked.athlete.unwrap().why,
                "the one farthest left in the picture at 0.00 s, asked for"
            );
        }
    }
}

#[test]
fn without_a_turn_the_one_who_moves_most_is_taken() {
    let film = |motion: fn(f64) -> Pose| figure::seen(&figure::film(motion, 1.0, 60.0), 2.0, 0.05, 4);
    let walks = film(walker);
    let attempt = imported(&[film(figure::bystander), walks.clone()], 60.0, None).unwrap();
    assert_eq!(strange(&attempt, &walks), 0);
    assert_eq!(
        attempt.athlete.unwrap().why,
        "the one farthest right in the picture at 0.00 s, nobody turns upside down; moves most"
    );
}

#[test]
fn the_person_asked_for_must_be_there() {
    let film = |motion: fn(f64) -> Pose| figure::seen(&figure::film(motion, 0.3, 60.0), 2.0, 0.05, 4);
    let error = imported(&[film(figure::bystander), film(walker)], 60.0, Some(3)).unwrap_err();
    assert!(
        matches!(
            error,
            Error::NoSuchPerson {
                asked: 3,
                people: 2,
                ..
            }
        ),
        "{error}"
    );
}

/// Numbers that the file itself gives people go before continuity.
#[test]
fn people_numbered_by_the_file_are_believed() {
    let film = |motion: fn(f64) -> Pose| figure::seen(&figure::film(motion, 0.5, 60.0), 2.0, 0.0, 4);
    let (first, second) = (film(figure::bystander), film(walker));
    let text = figure::writers::coco_results(&[first.clone(), second.clone()], true);
    // The two stand in turn in the file; the numbers follow that.
    let mut number = 0;
    let numbered: Vec<String> = text
        .split("\"category_id\"")
        .map(|part| {
            number += 1;
            format!("{part}\"track_id\":{},\"category_id\"", 70 + number % 2)
        })
        .collect();
    let joined = numbered.concat();
    let text = joined.rsplit_once("\"track_id\"").unwrap().0;
    for person in [1, 2] {
        let options = ImportOptions {
            rate_hz: Some(60.0),
            person: Some(person),
            ..ImportOptions::default()
        };
        let attempt = import_bytes("numbered.json", text.as_bytes(), &options).unwrap();
        let truth = if person == 1 { &first } else { &second };
        assert_eq!(strange(&attempt, truth), 0);
    }
}
