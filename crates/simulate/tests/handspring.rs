//! The figure keeps its promises over many drawn handsprings.

use springline_kinematics::{EventKind, Joint, Landmark, Measure, Point, Side};
use springline_simulate::{Act, Fault, Params, Pose, Truth};
use std::sync::OnceLock;

#[path = "../../../examples/make_demo.rs"]
mod make_demo;

const SEEDS: u64 = 200;

fn drawn() -> &'static [(u64, Params, Truth)] {
    static DRAWN: OnceLock<Vec<(u64, Params, Truth)>> = OnceLock::new();
    DRAWN.get_or_init(|| {
        let draw = |seed| {
            let params = Params::random(seed);
            let truth = Act::handspring(&params).expect("a draw is possible").truth();
            (seed, params, truth)
        };
        (0..SEEDS).map(draw).collect()
    })
}

fn instants(truth: &Truth, step: f64) -> impl Iterator<Item = f64> {
    let (start, end) = truth.span();
    let count = ((end - start) / step) as usize;
    (0..=count).map(move |i| start + i as f64 * step)
}

/// Clockwise angle from one direction to another, 0 to 360: the tests' own.
fn clockwise(from: Point, at: Point, to: Point) -> f64 {
    let angle = |p: Point| (p.y - at.y).atan2(p.x - at.x);
    (angle(from) - angle(to)).to_degrees().rem_euclid(360.0)
}

#[test]
fn limbs_keep_their_length() {
    for (seed, _, truth) in drawn() {
        let body = truth.body();
        for t in instants(truth, 0.01) {
            let pose = truth.pose(t);
            let trunk = (pose.middle(Joint::Shoulder) - pose.middle(Joint::Hip)).norm();
            assert!((trunk - body.trunk_m).abs() < 1e-9, "seed {seed} at {t}");
            for side in Side::BOTH {
                let long = |a, b| (pose.of(a, side) - pose.of(b, side)).norm();
                for (found, wanted) in [
                    (long(Joint::Shoulder, Joint::Elbow), body.upper_arm_m),
                    (long(Joint::Elbow, Joint::Wrist), body.forearm_m),
                    (long(Joint::Wrist, Joint::Fingertip), body.hand_m),
                    (long(Joint::Hip, Joint::Knee), body.thigh_m),
                    (long(Joint::Knee, Joint::Ankle), body.shank_m),
                    (long(Joint::Heel, Joint::Toe), body.foot_m),
                ] {
                    assert!((found - wanted).abs() < 1e-9, "seed {seed} at {t}");
                }
                let across = Landmark::of(Joint::Shoulder, side).index();
                let half = (pose.points[across] - pose.middle(Joint::Shoulder)).norm();
                let half = half.hypot(pose.depth[across]);
                assert!((half - body.half_shoulders_m).abs() < 1e-9, "seed {seed} at {t}");
            }
        }
    }
}

#[test]
fn contacts_dont_slide() {
    for (seed, _, truth) in drawn() {
        for side in Side::BOTH {
            for (on, off) in truth.foot_contacts(side) {
                let toe = |t: f64| truth.pose(t).of(Joint::Toe, side);
                let first = toe(on);
                assert!(first.y.abs() < 1e-9, "seed {seed}: toe {first} at {on}");
                for i in 0..100 {
                    let t = on + (off - on) * f64::from(i) / 100.0;
                    assert!((toe(t) - first).norm() < 1e-9, "seed {seed}: foot at {t}");
                }
            }
            for (on, off) in truth.hand_contacts(side) {
                let first = truth.pose(on);
                for i in 0..100 {
                    let pose = truth.pose(on + (off - on) * f64::from(i) / 100.0);
                    for joint in [Joint::Wrist, Joint::Fingertip] {
                        let slip = (pose.of(joint, side) - first.of(joint, side)).norm();
                        assert!(slip < 1e-9, "seed {seed}: hand slips {slip}");
                    }
                }
                assert!(first.of(Joint::Fingertip, side).y.abs() < 1e-9);
            }
        }
    }
}

#[test]
fn flight_obeys_gravity_and_nothing_is_under_the_floor() {
    let mut flights = 0;
    for (seed, params, truth) in drawn() {
        if params.flight_s > 0.02 {
            flights += 1;
            let (up, down) = (
                truth.event(EventKind::HandDeparture).expect("hands leave"),
                truth.event(EventKind::FeetTouchdown).expect("feet land"),
            );
            let h = (down - up) / 40.0;
            for i in 2..38 {
                let at = |k: i32| truth.mass_centre(up + h * f64::from(i + k));
                let bend = (at(1) - at(0)) - (at(0) - at(-1));
                assert!((bend.y / (h * h) + 9.81).abs() < 1e-4, "seed {seed}");
                assert!((bend.x / (h * h)).abs() < 1e-4, "seed {seed}");
            }
        }
        for t in instants(truth, 0.003) {
            let pose = truth.pose(t);
            for landmark in Landmark::ALL {
                let height = pose.at(landmark).y;
                assert!(height > -6e-4, "seed {seed}: {} at {t}: {height}", landmark.id());
            }
        }
    }
    assert!(flights > SEEDS / 2);
}

#[test]
fn joint_angles_agree_with_the_points() {
    for (seed, _, truth) in drawn() {
        let mut turned: Option<f64> = None;
        for t in instants(truth, 0.01) {
            let pose = truth.pose(t);
            for side in Side::BOTH {
                let at = |joint| pose.of(joint, side);
                let hip = clockwise(at(Joint::Shoulder), at(Joint::Hip), at(Joint::Knee));
                let knee = clockwise(at(Joint::Ankle), at(Joint::Knee), at(Joint::Hip));
                let shoulder = clockwise(at(Joint::Elbow), at(Joint::Shoulder), at(Joint::Hip));
                let elbow = clockwise(at(Joint::Shoulder), at(Joint::Elbow), at(Joint::Wrist));
                let ankle = clockwise(at(Joint::Knee), at(Joint::Ankle), at(Joint::Toe));
                for (measure, found) in [
                    (Measure::HipAngle, hip),
                    (Measure::KneeAngle, knee),
                    (Measure::ShoulderOpening, shoulder),
                    (Measure::ElbowAngle, elbow.min(360.0 - elbow)),
                    (Measure::AnkleAngle, ankle),
                ] {
                    let told = truth.joint_angle(measure, side, t).expect("a joint angle");
                    let miss = (found - told + 180.0).rem_euclid(360.0) - 180.0;
                    assert!(miss.abs() < 1e-6, "seed {seed} {} at {t}: {found} {told}", measure.id());
                }
                let knee = truth.joint_angle(Measure::KneeAngle, side, t).expect("a joint angle");
                assert!((15.0..=190.0).contains(&knee), "seed {seed}: knee {knee} at {t}");
            }
            let line = pose.middle(Joint::Shoulder) - pose.middle(Joint::Hip);
            let told = truth.value(Measure::TrunkInclination, None, t).expect("always there");
            let miss = (line.x.atan2(line.y).to_degrees() - told + 180.0).rem_euclid(360.0) - 180.0;
            assert!(miss.abs() < 1e-9);
            assert!(turned.is_none_or(|before| (told - before).abs() < 20.0), "unwrapped");
            turned = Some(told);
        }
        assert!(
            turned.is_some_and(|turned| (turned - 360.0).abs() < 60.0),
            "seed {seed}: {turned:?}"
        );
    }
}

#[test]
fn angles_never_jump() {
    for (seed, _, truth) in drawn() {
        let times: Vec<f64> = Side::BOTH
            .into_iter()
            .flat_map(|side| [truth.foot_contacts(side), truth.hand_contacts(side)].concat())
            .flat_map(|(on, off)| [on, off])
            .collect();
        let (start, end) = truth.span();
        for t in times.into_iter().filter(|&t| t > start && t < end) {
            for measure in [
                Measure::ShoulderOpening,
                Measure::HipAngle,
                Measure::KneeAngle,
                Measure::AnkleAngle,
            ] {
                for side in Side::BOTH {
                    let at = |t: f64| truth.joint_angle(measure, side, t).expect("a joint angle");
                    let jump = (at(t + 1e-7) - at(t - 1e-7)).abs();
                    assert!(jump < 2e-3, "seed {seed} {} jumps {jump} at {t}", measure.id());
                }
            }
            let slip = (truth.mass_centre(t + 1e-7) - truth.mass_centre(t - 1e-7)).norm();
            assert!(slip < 1e-5, "seed {seed}: the body jumps {slip} m at {t}");
        }
    }
}

/// The fastest that a point goes from one frame of 240 a second to the next, m/s; which one, and when, s.
fn fastest(truth: &Truth, among: &[Joint]) -> (f64, &'static str, f64) {
    let step = 1.0 / 240.0;
    let mut top = (0.0, "", 0.0);
    let mut before: Option<Pose> = None;
    for t in instants(truth, step) {
        let pose = truth.pose(t);
        for landmark in Landmark::ALL {
            let counts = landmark.joint().is_some_and(|joint| among.contains(&joint));
            let speed = before.map_or(0.0, |before| (pose.at(landmark) - before.at(landmark)).norm() / step);
            if counts && speed > top.0 {
                top = (speed, landmark.id(), t);
            }
        }
        before = Some(pose);
    }
    top
}

/// The largest step of a point over 0.2 µs at an instant at which something lands or leaves, m.
fn jump(truth: &Truth) -> f64 {
    let (start, end) = truth.span();
    Side::BOTH
        .into_iter()
        .flat_map(|side| [truth.foot_contacts(side), truth.hand_contacts(side)].concat())
        .flat_map(|(on, off)| [on, off])
        .filter(|&t| t > start && t < end)
        .flat_map(|t| {
            let (before, after) = (truth.pose(t - 1e-7), truth.pose(t + 1e-7));
            Landmark::ALL.map(|landmark| (after.at(landmark) - before.at(landmark)).norm())
        })
        .fold(0.0, f64::max)
}

const TRUNK: &[Joint] = &[Joint::Shoulder, Joint::Hip];
const HANDS: &[Joint] = &[Joint::Wrist, Joint::Fingertip];
const ALL: &[Joint] = &[
    Joint::Shoulder,
    Joint::Elbow,
    Joint::Wrist,
    Joint::Fingertip,
    Joint::Hip,
    Joint::Knee,
    Joint::Ankle,
    Joint::Heel,
    Joint::Toe,
];

#[test]
fn no_point_jumps_or_flies_off() {
    // The figure's own bounds, over what a gymnast does: joints of a draw turn at up to 1500°/s, and a toe of a tall one
    // lies a metre from the hip.
    for (seed, _, truth) in drawn() {
        for (joints, most) in [(TRUNK, 11.0), (HANDS, 27.0), (ALL, 40.0)] {
            let found = fastest(truth, joints);
            assert!(found.0 < most, "seed {seed}: {found:?}");
        }
        assert!(jump(truth) < 1e-5, "seed {seed}: {}", jump(truth));
    }
}

#[test]
fn feet_that_land_as_the_hands_leave_stay_where_they_were() {
    for flight in [0.0, -0.05, -0.1, 0.03, 0.2] {
        let params = Params::clean().with_fault(Fault::NoBlock, flight);
        let truth = Act::handspring(&params).expect("it can be done").truth();
        assert!(jump(&truth) < 1e-5, "{flight}: {}", jump(&truth));
        let found = fastest(&truth, ALL);
        assert!(found.0 < 25.0, "{flight}: {found:?}");
    }
}

#[test]
fn the_demo_attempts_move_as_a_body_does() {
    for (name, params) in make_demo::demo_figures() {
        let truth = Act::handspring(&params).expect("it can be done").truth();
        for (joints, most) in [(TRUNK, 7.0), (HANDS, 16.0), (ALL, 24.0)] {
            let found = fastest(&truth, joints);
            assert!(found.0 < most, "{name}: {found:?}");
        }
        assert!(jump(&truth) < 1e-5, "{name}: {}", jump(&truth));
    }
}

#[test]
fn what_no_body_does_is_told() {
    let act = |params: &Params| Act::handspring(params).expect("the figure can do it");
    assert!(act(&Params::clean()).human().is_ok());
    // Over from 30 degrees past vertical to the feet in a twentieth of a second: only the figure can.
    let over_at_once = Params {
        support_s: 0.42,
        departure_lean: 30.0,
        flight_s: 0.05,
        touchdown_lean: -25.0,
        ..Params::clean()
    };
    assert!(act(&over_at_once).human().is_err());
    assert!(fastest(&act(&over_at_once).truth(), ALL).0 > 50.0);
}

#[test]
fn events_come_in_a_physical_order() {
    for (seed, params, truth) in drawn() {
        let event = |kind| truth.event(kind).unwrap_or_else(|| panic!("seed {seed}: no {kind:?}"));
        let (lunge, place, up, touch) = (
            event(EventKind::PushOffFootDown),
            event(EventKind::HandPlacement),
            event(EventKind::HandDeparture),
            event(EventKind::FeetTouchdown),
        );
        assert!(lunge < place && place < up && place < touch, "seed {seed}");
        assert!(event(EventKind::PushOffFootLeaves) > lunge);
        let inverted = event(EventKind::Inverted);
        assert!(place < inverted && inverted < touch, "seed {seed}");
        assert!(((touch - up) - params.flight_s).abs() < 1e-9);
        assert!(((up - place) - params.support_s).abs() < 1e-9);
        if let Some(settled) = truth.event(EventKind::Settled) {
            assert!(settled >= touch, "seed {seed}");
        }
        let second = truth.foot_contacts(params.push_off);
        let second = second
            .last()
            .map(|spell| spell.0 - touch)
            .expect("the second foot lands");
        assert_eq!(
            second > 0.05,
            params.step_out,
            "seed {seed}: second foot after {second}"
        );
    }
}

#[test]
fn a_seed_draws_the_same_twice_and_the_range_is_wide() {
    assert_eq!(Params::random(11), Params::random(11));
    assert_ne!(Params::random(11), Params::random(12));
    let all: Vec<&Params> = drawn().iter().map(|drawn| &drawn.1).collect();
    let spread = |pick: fn(&Params) -> f64| {
        let values = all.iter().map(|p| pick(p));
        let low = values.clone().fold(f64::INFINITY, f64::min);
        (low, values.fold(f64::NEG_INFINITY, f64::max))
    };
    let share = |pick: fn(&Params) -> bool| all.iter().filter(|p| pick(p)).count();
    assert!(spread(|p| p.stature_m).0 < 1.05 && spread(|p| p.stature_m).1 > 1.8);
    assert!(spread(|p| p.flight_s).0 < -0.05 && spread(|p| p.flight_s).1 > 0.28);
    assert!(spread(|p| p.placement_shoulder).0 < 130.0 && spread(|p| p.placement_shoulder).1 > 183.0);
    assert!(share(|p| p.step_out) > 10 && share(|p| p.flight_s <= 0.0) > 5);
    assert!(share(|p| p.push_off_leaves_after_s < 0.0) > 20);
    assert!(share(|p| p.hands_land_apart_s > 0.02) > 10 && share(|p| p.hand_stagger.abs() > 0.1) > 10);
}

#[test]
fn every_fault_is_dialled_by_its_key_measure() {
    for &fault in Fault::ALL {
        let amounts: &[f64] = match fault {
            Fault::ShortLunge => &[0.4, 0.6, 0.8],
            Fault::HandsNearFeet => &[0.65, 0.75, 0.9],
            Fault::ChinTucked => &[110.0, 130.0, 160.0],
            Fault::ClosedShoulders => &[170.0, 155.0, 120.0],
            Fault::StaggeredHands => &[0.1, 0.2, 0.4],
            Fault::BentArms => &[170.0, 150.0, 110.0],
            Fault::ShouldersClosing => &[5.0, 20.0, 45.0],
            Fault::BentKnees => &[170.0, 150.0, 120.0],
            Fault::LegsLate => &[0.04, -0.05, -0.12],
            Fault::NoBlock => &[0.2, 0.1, 0.03, 0.0, -0.1],
            Fault::HandsPastVertical => &[10.0, 20.0, 35.0],
            Fault::OverArch => &[190.0, 205.0, 225.0],
            Fault::PikeInFlight => &[170.0, 150.0, 130.0],
            Fault::TuckedLanding => &[150.0, 130.0, 95.0],
            Fault::FeetApart => &[0.1, 0.3, 0.5],
            Fault::ArmsDropped => &[160.0, 130.0, 60.0],
            Fault::HeelsDown => &[0.1, 0.03, 0.0],
            Fault::SittingHips => &[160.0, 140.0, 110.0],
            Fault::LandingBehind => &[0.0, -8.0, -20.0],
        };
        for &amount in amounts {
            let act = Act::handspring(&Params::clean().with_fault(fault, amount));
            let act = act.unwrap_or_else(|error| panic!("{} {amount}: {error}", fault.id()));
            let found = fault.key_value(&act.truth()).expect("its key is defined");
            let slack = if amount.abs() > 3.0 { 0.05 } else { 0.001 };
            assert!((found - amount).abs() < slack, "{} {amount}: {found}", fault.id());
        }
    }
}
