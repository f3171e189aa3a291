//! Film of a synthetic attempt: the same from the same seed, joints inside the drawn body, labelled.

#![allow(clippy::unwrap_used)]

use springline_kinematics::{EventKind, Joint, Landmark, Side};
use springline_simulate::film::{Film, FilmSettings, JointTruth, Plan, Seen};
use springline_simulate::{Act, Camera, Cartwheel, Facing, Params, Recording};

fn small() -> FilmSettings {
    FilmSettings {
        size: (480, 270),
        sub_frames: 1,
        shutter: 0.0,
        others: 0,
        noise: 0.0,
        seed: 3,
        ..FilmSettings::default()
    }
}

fn handspring(settings: FilmSettings) -> Film {
    let act = Act::handspring(&Params::clean()).unwrap();
    Film::of_act(&act, Camera::pinhole(), settings).unwrap()
}

#[test]
fn the_same_seed_films_the_same_and_another_does_not() {
    let settings = FilmSettings {
        noise: 2.0,
        others: 1,
        shake_px: 1.5,
        sub_frames: 2,
        ..small()
    };
    let frame = |settings: &FilmSettings| handspring(settings.clone()).frame(40);
    let first = frame(&settings);
    assert!(first == frame(&settings));
    let alone = FilmSettings {
        threads: 1,
        ..settings.clone()
    };
    assert!(first == frame(&alone), "threads change the picture");
    let other = FilmSettings { seed: 4, ..settings };
    assert!(first != frame(&other));
}

/// Difference of a pixel from the empty hall, levels of 255 summed over the colours.
fn drawn(film: &Film, frame: usize, joint: &JointTruth, pictures: &(Vec<u8>, Vec<u8>)) -> i32 {
    let (w, _) = film.settings().size;
    let (x, y) = (joint.place.x.floor() as usize, joint.place.y.floor() as usize);
    let at = (y * w as usize + x) * 3;
    assert!(at + 3 <= pictures.0.len(), "frame {frame}");
    (0..3)
        .map(|c| (i32::from(pictures.0[at + c]) - i32::from(pictures.1[at + c])).abs())
        .sum()
}

#[test]
fn every_joint_in_sight_lies_inside_the_drawn_body() {
    for (seed, facing) in [(3, Facing::Right), (8, Facing::Left)] {
        let settings = FilmSettings { seed, ..small() };
        let act = Act::handspring(&Params::clean()).unwrap();
        let film = Film::of_act(&act, Camera::pinhole().facing(facing), settings).unwrap();
        let (mut inside, mut all, mut hidden) = (0, 0, 0);
        for frame in (0..film.frames()).step_by(9) {
            let pictures = (film.frame(frame), film.empty(frame));
            for joint in film.joints(frame) {
                // The tips of fingers and toes are thinner than a pixel here.
                let tip = matches!(
                    joint.landmark.joint(),
                    Some(Joint::Fingertip | Joint::Toe | Joint::Heel)
                );
                match joint.seen {
                    Seen::Plain if !tip => {
                        all += 1;
                        inside += i32::from(drawn(&film, frame, &joint, &pictures) > 6);
                    }
                    Seen::Hidden => hidden += 1,
                    _ => {}
                }
            }
        }
        assert!(all > 100 && hidden > 60, "{all} in sight, {hidden} hidden");
        // A body may have the colour of what is behind it in a pixel or two.
        assert!(f64::from(inside) > 0.97 * f64::from(all), "{inside} of {all}");
    }
}

#[test]
fn the_near_side_is_in_sight_and_the_far_side_often_hidden() {
    let film = handspring(small());
    let share = |side: Side| {
        let frames = (0..film.frames()).step_by(5);
        let all: Vec<bool> = frames
            .flat_map(|frame| film.joints(frame))
            .filter(|joint| joint.landmark.side() == Some(side))
            .map(|joint| joint.seen == Seen::Plain)
            .collect();
        all.iter().filter(|seen| **seen).count() as f64 / all.len() as f64
    };
    let (near, far) = (share(Side::Right), share(Side::Left));
    assert!(near > 0.8, "near {near}");
    assert!(far < 0.6, "far {far}");
}

#[test]
fn limbs_keep_their_length_in_the_hall() {
    let act = Act::cartwheel(&Cartwheel::default()).unwrap();
    let wheel = Film::of_act(&act, Camera::pinhole(), small()).unwrap();
    for film in [handspring(small()), wheel] {
        let length = |joints: &[JointTruth], a: Landmark, b: Landmark| {
            let at = |landmark: Landmark| joints.iter().find(|joint| joint.landmark == landmark).unwrap().hall;
            let (a, b) = (at(a), at(b));
            (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
        };
        let first = film.joints(0);
        for frame in (0..film.frames()).step_by(7) {
            let joints = film.joints(frame);
            for side in Side::BOTH {
                for (a, b) in [
                    (Joint::Shoulder, Joint::Elbow),
                    (Joint::Elbow, Joint::Wrist),
                    (Joint::Hip, Joint::Knee),
                    (Joint::Knee, Joint::Ankle),
                ] {
                    let (a, b) = (Landmark::of(a, side), Landmark::of(b, side));
                    let (now, then) = (length(&joints, a, b), length(&first, a, b));
                    assert!((now - then).abs() < 1e-4, "frame {frame} {}: {now} {then}", a.id());
                }
            }
        }
    }
}

#[test]
fn points_of_the_middle_plane_are_where_the_simulator_sees_them() {
    let act = Act::handspring(&Params::clean()).unwrap();
    let settings = FilmSettings {
        size: (1920, 1080),
        ..small()
    };
    let film = Film::of_act(&act, Camera::pinhole(), settings).unwrap();
    let recording = Recording {
        camera: Camera::pinhole(),
        offset: Some(0.0),
        ..Recording::exact()
    };
    let same = act.film(&recording, 1);
    for frame in [0, 30, 60] {
        let joints = film.joints(frame);
        for landmark in [Landmark::Nose, Landmark::LeftHip, Landmark::RightAnkle] {
            let told = same.tracks.at(landmark, frame).unwrap();
            let place = joints[landmark.index()].place;
            assert!(
                (place - told).norm() < 0.01,
                "{frame} {}: {place} {told}",
                landmark.id()
            );
        }
    }
}

#[test]
fn files_and_pictures_are_labelled() {
    let film = handspring(small());
    let file: serde_json::Value =
        serde_json::from_str(&film.attempt_json(0, Some("handspring-floor")).unwrap()).unwrap();
    assert_eq!(file["synthetic"], true);
    assert!(file["note"].as_str().unwrap().starts_with("Synthetic"));
    assert_eq!(file["frames"].as_array().unwrap().len(), film.frames());
    let placed = film.turns()[0]
        .events
        .iter()
        .find(|(kind, _)| *kind == EventKind::HandPlacement);
    let told = file["given"]["events"]["hand_placement"].as_f64().unwrap();
    assert!((told - placed.unwrap().1).abs() < 1e-9);
    let story: serde_json::Value = serde_json::from_str(&film.story_json()).unwrap();
    assert_eq!(story["synthetic"], true);
    // The word in the lower left corner: white letters on a dark ground.
    let picture = film.frame(0);
    let white = |x: usize, y: usize| picture[(y * 480 + x) * 3..][..3] == [225; 3];
    let count = (0..60)
        .flat_map(|x| (255..270).map(move |y| (x, y)))
        .filter(|&(x, y)| white(x, y))
        .count();
    // Pixels of the nine letters.
    assert_eq!(count, 105);
}

#[test]
fn a_station_has_every_attempt_at_its_time() {
    let plan = Plan {
        attempts: 4,
        gymnasts: 3,
        balks: 1,
    };
    let film = Film::of_station(plan, Camera::pinhole(), small()).unwrap();
    let turns = film.turns();
    assert_eq!(turns.iter().map(|turn| turn.gymnast).collect::<Vec<_>>(), [0, 1, 2, 0]);
    for pair in turns.windows(2) {
        assert!(pair[1].start_s > pair[0].end_s + 4.0);
    }
    let mid = |turn: usize| ((turns[turn].start_s + turns[turn].end_s) / 2.0 * 60.0) as usize;
    assert!(!film.joints(mid(1)).is_empty());
    let pause = (turns[0].end_s * 60.0) as usize + 90;
    assert!(film.joints(pause).is_empty());
    // Walking and waiting people are drawn, too.
    assert!(film.frame(pause) != film.empty(pause));
}

#[test]
fn settings_out_of_range_are_refused() {
    let act = Act::handspring(&Params::clean()).unwrap();
    let refused =
        |camera: Camera, settings: FilmSettings| Film::of_act(&act, camera, settings).err().unwrap().to_string();
    let told = refused(Camera::square(), small());
    assert_eq!(
        told,
        "camera of a film: found one without perspective, expected a pinhole"
    );
    let big = FilmSettings {
        size: (100_000, 10),
        ..small()
    };
    assert!(refused(Camera::pinhole(), big).contains("width of the picture"));
    let fast = FilmSettings {
        rate_hz: 1000.0,
        ..small()
    };
    assert!(refused(Camera::pinhole(), fast).contains("frames per second"));
}
