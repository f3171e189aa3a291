//! Cards and sheets of figures whose place is known.

#![allow(clippy::unwrap_used)]

use springline_kinematics::series::Pose;
use springline_kinematics::{EventKind, Joint, Landmark, Measure, Point, Side};
use springline_picture::{Drawn, Floor, Known, Label, Mark, Scene, draw, draw_all, draw_sheet};

/// The plain field behind the figure.
const FIELD: Option<[u8; 3]> = Some([255, 255, 255]);

fn known() -> Known {
    Known {
        near: Side::Right,
        leg: 100.0,
        mirrored: false,
        frontal: false,
        push_off: Some(Side::Left),
        landed_first: None,
    }
}

/// A lunge facing +X: right leg behind, left leg in front with a bent knee, arms overhead.
const LUNGE: [(Joint, [(f64, f64); 2]); 10] = [
    (Joint::Ear, [(32.0, 168.0), (30.0, 168.0)]),
    (Joint::Shoulder, [(20.0, 145.0), (18.0, 145.0)]),
    (Joint::Elbow, [(34.0, 172.0), (32.0, 173.0)]),
    (Joint::Wrist, [(48.0, 196.0), (46.0, 197.0)]),
    (Joint::Fingertip, [(56.0, 210.0), (54.0, 211.0)]),
    (Joint::Hip, [(0.0, 95.0), (-2.0, 95.0)]),
    (Joint::Knee, [(42.0, 68.0), (-34.0, 56.0)]),
    (Joint::Ankle, [(36.0, 8.0), (-72.0, 24.0)]),
    (Joint::Heel, [(30.0, 3.0), (-80.0, 26.0)]),
    (Joint::Toe, [(56.0, 2.0), (-66.0, 2.0)]),
];

fn lunge() -> Pose {
    let mut points = [None; Landmark::COUNT];
    for (joint, sides) in LUNGE {
        for (side, (x, y)) in Side::BOTH.into_iter().zip(sides) {
            points[Landmark::of(joint, side).index()] = Some(Point::new(x, y));
        }
    }
    points[Landmark::Nose.index()] = Some(Point::new(43.0, 165.0));
    Pose::new(0.7, points, [1.0; Landmark::COUNT])
}

fn label(shown: Option<Measure>, side: Option<Side>, value: f64, mark: Mark) -> Label {
    Label {
        shown,
        side,
        value: Some(value),
        number: format!("{value:.1} ± 1.2°"),
        title: "Something about the body".to_owned(),
        details: "1.0 ± 0.1 degrees; at least 2".to_owned(),
        word: "fault, medium".to_owned(),
        mark,
    }
}

/// A lunge with every kind of thing on its card.
fn full() -> Scene {
    let mut scene = Scene::new(EventKind::PushOffFootDown, lunge(), known());
    scene.labels = vec![
        label(Some(Measure::ShoulderOpening), Some(Side::Right), 170.0, Mark::Disc),
        label(Some(Measure::KneeAngle), Some(Side::Left), 105.0, Mark::Diamond),
        label(Some(Measure::HipAngle), Some(Side::Right), 172.0, Mark::HalfDisc),
        label(Some(Measure::LungeLength), None, 1.2, Mark::Disc),
        label(None, None, 0.4, Mark::Ring),
    ];
    scene.floor = vec![Floor::Level(0.0)];
    scene.down = vec![Landmark::LeftToe];
    scene.time = "0.700 ± 0.010 s (found)".to_owned();
    scene.title = "Front handspring, floor to floor".to_owned();
    scene.whose = "K-01".to_owned();
    scene.sides = "dark: right arm and leg, nearer to the camera; light: left".to_owned();
    scene.caution = "Measures inform a qualified coach.".to_owned();
    scene
}

fn at(drawn: &Drawn, x: f64, y: f64) -> Option<[u8; 3]> {
    drawn.picture.at(drawn.place(Point::new(x, y)))
}

#[test]
fn limbs_are_where_the_points_are() {
    let drawn = draw(&Scene::new(EventKind::PushOffFootDown, lunge(), known())).unwrap();
    let halfway = |a: (f64, f64), b: (f64, f64)| (0.5 * (a.0 + b.0), 0.5 * (a.1 + b.1));
    let of = |joint: Joint| LUNGE.into_iter().find(|(other, _)| *other == joint).unwrap().1;
    let mut shades = Vec::new();
    for (one, other) in [
        (Joint::Hip, Joint::Knee),
        (Joint::Knee, Joint::Ankle),
        (Joint::Elbow, Joint::Wrist),
        (Joint::Wrist, Joint::Fingertip),
    ] {
        for side in 0..2 {
            let (x, y) = halfway(of(one)[side], of(other)[side]);
            assert_ne!(at(&drawn, x, y), FIELD, "{one:?} to {other:?}");
            if one == Joint::Knee {
                shades.push(at(&drawn, x, y));
            }
        }
    }
    assert_ne!(shades[0], shades[1], "the far side has another shade");
    // A limb is as wide as one: beside it is the ground.
    for (x, y) in [
        (39.0 + 14.0, 38.0),
        (39.0 - 14.0, 38.0),
        (-53.0, 40.0 + 18.0),
        (0.0, 30.0),
        (-60.0, 150.0),
    ] {
        assert_eq!(at(&drawn, x, y), FIELD, "{x} {y}");
    }
    // Head, around the ears.
    assert_ne!(at(&drawn, 24.0, 172.0), FIELD);
}

#[test]
fn an_athlete_who_faces_left_is_drawn_facing_left() {
    let right = draw(&Scene::new(EventKind::Settled, lunge(), known())).unwrap();
    let facing_left = Known {
        mirrored: true,
        ..known()
    };
    let left = draw(&Scene::new(EventKind::Settled, lunge(), facing_left)).unwrap();
    let (toe, heel) = (Point::new(56.0, 2.0), Point::new(30.0, 3.0));
    assert!(right.place(toe).x > right.place(heel).x);
    assert!(left.place(toe).x < left.place(heel).x);
    assert_eq!(right.place(toe).y, left.place(toe).y);
    assert_ne!(at(&left, 39.0, 38.0), FIELD);
}

#[test]
fn a_limb_without_an_end_is_not_drawn() {
    let mut points = Landmark::ALL.map(|landmark| lunge().at(landmark));
    points[Landmark::LeftKnee.index()] = None;
    let scene = Scene::new(
        EventKind::Settled,
        Pose::new(0.7, points, [1.0; Landmark::COUNT]),
        known(),
    );
    let drawn = draw(&scene).unwrap();
    assert_eq!(at(&drawn, 21.0, 81.0), FIELD, "no thigh");
    assert_eq!(at(&drawn, 39.0, 38.0), FIELD, "no shank");
    assert_ne!(at(&drawn, -53.0, 40.0), FIELD, "the other shank is there");
}

#[test]
fn a_doubtful_joint_is_hollow() {
    let mut scene = Scene::new(EventKind::Settled, lunge(), known());
    let plain = draw(&scene).unwrap();
    scene.hollow = vec![Landmark::RightKnee];
    let hollow = draw(&scene).unwrap();
    // Beside the middle, where a plain joint shows its limb.
    assert_ne!(at(&plain, -36.5, 56.0), FIELD);
    assert_eq!(at(&hollow, -36.5, 56.0), FIELD);
    assert_ne!(at(&hollow, -34.0, 40.0 + 8.0), at(&hollow, -36.5, 56.0));
}

#[test]
fn every_number_has_a_place_of_its_own() {
    let scene = full();
    let drawn = draw(&scene).unwrap();
    assert_eq!(drawn.numbers.len(), 4, "one for each check that is drawn");
    for (k, one) in drawn.numbers.iter().enumerate() {
        assert!(one[0] >= 0.0 && one[2] <= drawn.picture.width() as f32);
        for other in &drawn.numbers[k + 1..] {
            let apart = one[2] <= other[0] || other[2] <= one[0] || one[3] <= other[1] || other[3] <= one[1];
            assert!(apart, "{one:?} {other:?}");
        }
        for landmark in Landmark::ALL {
            let Some(joint) = scene.pose.at(landmark) else { continue };
            let place = drawn.place(joint);
            let hidden = (one[0]..=one[2]).contains(&place.x) && (one[1]..=one[3]).contains(&place.y);
            assert!(!hidden, "{} under {one:?}", landmark.id());
        }
    }
}

#[test]
fn the_same_scene_gives_the_same_bytes() {
    let scenes = [full(), full()];
    let all = draw_all(&scenes).unwrap();
    let again = draw_all(&scenes).unwrap();
    assert!(all[0].picture.png().unwrap() == again[0].picture.png().unwrap());
    assert!(
        all[0].picture.png().unwrap() != all[1].picture.png().unwrap(),
        "1 of 2, 2 of 2"
    );
    let sheet = |_| {
        draw_sheet(&scenes, &["Outcome: good".to_owned()])
            .unwrap()
            .png()
            .unwrap()
    };
    assert!(sheet(0) == sheet(1));
}

#[test]
fn cards_of_an_attempt_are_of_one_height() {
    let mut long = full();
    long.labels = vec![label(None, None, 1.0, Mark::Disc); 12];
    let cards = draw_all(&[full(), long]).unwrap();
    assert_eq!(cards[0].picture.height(), cards[1].picture.height());
    assert!(cards[1].picture.height() > draw(&full()).unwrap().picture.height());
    // However many there are, the card stays a card.
    let mut endless = full();
    endless.labels = vec![label(Some(Measure::HipAngle), None, 1.0, Mark::Disc); 400];
    assert!(draw(&endless).unwrap().picture.height() < 3500);
}

#[test]
fn a_body_that_is_not_seen_or_far_off_still_makes_a_card() {
    let nobody = Pose::new(0.0, [None; Landmark::COUNT], [0.0; Landmark::COUNT]);
    let drawn = draw(&Scene::new(EventKind::Settled, nobody.clone(), known())).unwrap();
    assert!(drawn.numbers.is_empty());
    let mut points = Landmark::ALL.map(|landmark| lunge().at(landmark));
    points[Landmark::LeftWrist.index()] = Some(Point::new(1e12, -1e12));
    let far = Scene::new(
        EventKind::Settled,
        Pose::new(0.0, points, [1.0; Landmark::COUNT]),
        known(),
    );
    let mut scenes = vec![Scene::new(EventKind::Settled, nobody, known()), far, full()];
    scenes[1].labels = full().labels;
    draw_all(&scenes).unwrap();
    draw_sheet(&scenes, &[]).unwrap();
    draw_sheet(&[], &[]).unwrap();
}
