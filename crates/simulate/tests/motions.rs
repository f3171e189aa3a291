//! The other motions keep the same promises as the handspring.

use springline_kinematics::{EventKind, Joint, Landmark, Measure, Side};
use springline_simulate::{
    Act, BackHandspring, Bounce, BridgeHold, Cartwheel, FlatBack, ForwardFall, Handstand, Hop, LyingHold, Truth,
};

type Made = Result<Act, springline_simulate::Error>;
type Seeded = fn(u64) -> Made;

fn all() -> Vec<(String, Truth)> {
    let seeded: [(&str, Seeded); 4] = [
        ("jump", Act::standing_jump),
        ("somersault", Act::back_somersault),
        ("walk", Act::walk),
        ("roll", Act::forward_roll),
    ];
    let mut acts = Vec::new();
    for seed in 0..15 {
        acts.extend(seeded.iter().map(|(name, make)| (format!("{name} {seed}"), make(seed))));
    }
    acts.push(("handstand".into(), Act::handstand(&Handstand::default())));
    acts.push(("hop".into(), Act::handstand_hop(&Hop::default())));
    acts.push(("flat back".into(), Act::flat_back(&FlatBack::default())));
    acts.push(("fall".into(), Act::forward_fall(&ForwardFall::default())));
    acts.push(("bounce".into(), Act::front_support_bounce(&Bounce::default())));
    acts.push((
        "back handspring".into(),
        Act::back_handspring(&BackHandspring::default()),
    ));
    acts.push(("cartwheel".into(), Act::cartwheel(&Cartwheel::default())));
    acts.push(("lying".into(), Act::lying_hold(&LyingHold::default())));
    acts.push(("bridge".into(), Act::bridge_hold(&BridgeHold::default())));
    let truth = |(name, act): (String, Made)| {
        let act = act.unwrap_or_else(|error| panic!("{name}: {error}"));
        (name, act.truth())
    };
    acts.into_iter().map(truth).collect()
}

#[test]
fn limbs_contacts_and_the_floor_hold_for_all() {
    for (name, truth) in all() {
        let body = truth.body();
        let (start, end) = truth.span();
        for i in 0..300 {
            let pose = truth.pose(start + (end - start) * f64::from(i) / 300.0);
            for landmark in Landmark::ALL {
                assert!(pose.at(landmark).y > -6e-4, "{name}: {}", landmark.id());
            }
            for side in Side::BOTH {
                let long = |a, b| (pose.of(a, side) - pose.of(b, side)).norm();
                assert!((long(Joint::Hip, Joint::Knee) - body.thigh_m).abs() < 1e-9, "{name}");
                assert!((long(Joint::Knee, Joint::Ankle) - body.shank_m).abs() < 1e-9, "{name}");
                assert!(
                    (long(Joint::Elbow, Joint::Wrist) - body.forearm_m).abs() < 1e-9,
                    "{name}"
                );
            }
        }
        for side in Side::BOTH {
            let feet = truth.foot_contacts(side).into_iter().map(|spell| (spell, Joint::Toe));
            let hands = truth
                .hand_contacts(side)
                .into_iter()
                .map(|spell| (spell, Joint::Fingertip));
            for ((on, off), joint) in feet.chain(hands) {
                let at = |t: f64| truth.pose(t).of(joint, side);
                let first = at(on);
                for i in 0..60 {
                    let slip = (at(on + (off - on) * f64::from(i) / 60.0) - first).norm();
                    assert!(slip < 1e-9, "{name}: {joint:?} slips {slip}");
                }
                if on > start {
                    let slip = (at(on - 1e-7) - first).norm();
                    assert!(slip < 1e-5, "{name}: {joint:?} jumps {slip} onto its place at {on}");
                }
            }
        }
    }
}

#[test]
fn bodies_move_without_jumps() {
    for (name, truth) in all() {
        let (start, end) = truth.span();
        let mut before = truth.mass_centre(start);
        let step = 0.001;
        for i in 1..((end - start) / step) as usize {
            let here = truth.mass_centre(start + i as f64 * step);
            assert!(
                (here - before).norm() < 0.009,
                "{name}: over 9 m/s or a jump at {}",
                start + i as f64 * step
            );
            before = here;
        }
    }
}

#[test]
fn clips_without_hands_have_no_hand_events() {
    for (name, truth) in all() {
        if ["jump", "somersault", "walk"].iter().any(|word| name.starts_with(word)) {
            assert!(truth.events().is_empty(), "{name}: {:?}", truth.events());
        }
    }
    let truth = Act::back_somersault(3).expect("possible").truth();
    let (_, end) = truth.span();
    let turned = truth.value(Measure::TrunkInclination, None, end).expect("always there");
    assert!((turned + 360.0).abs() < 20.0);
}

#[test]
fn a_handstand_has_the_lean_and_the_angles_asked_for() {
    let dials = Handstand {
        lean: 7.0,
        shoulder: 160.0,
        hip: 172.0,
        gap: 12.0,
        knee: 170.0,
        ..Handstand::default()
    };
    let truth = Act::handstand(&dials).expect("possible").truth();
    let (start, end) = (truth.event(EventKind::HoldStart), truth.event(EventKind::HoldEnd));
    let (start, end) = (start.expect("held"), end.expect("held"));
    assert!(end - start > 3.5);
    let t = end - 1.0;
    let near = |measure, side, wanted: f64, slack: f64| {
        let found = truth.value(measure, side, t).expect("defined");
        assert!((found - wanted).abs() < slack, "{}: {found}", measure.id());
    };
    near(Measure::BodyLineLean, None, 7.0, 1e-4);
    near(Measure::LegGap, None, 12.0, 0.01);
    for side in Side::BOTH {
        near(Measure::ShoulderOpening, Some(side), 160.0, 1e-9);
        near(Measure::KneeAngle, Some(side), 170.0, 1e-9);
    }
    near(Measure::HipAngle, Some(Side::Right), 172.0, 1e-9);
    assert!(truth.event(EventKind::HandDeparture).is_none());
    assert!((truth.once(Measure::HoldTime).expect("held") - (end - start)).abs() < 1e-12);
}

#[test]
fn hops_and_bounces_leave_the_floor_for_the_time_asked_for() {
    for air_s in [0.06, 0.12] {
        let hop = Act::handstand_hop(&Hop {
            air_s,
            ..Hop::default()
        })
        .expect("possible")
        .truth();
        assert!((hop.once(Measure::HandFlightTime).expect("hops") - air_s).abs() < 1e-9);
        let bounce = Act::front_support_bounce(&Bounce {
            air_s,
            ..Bounce::default()
        })
        .expect("possible")
        .truth();
        assert!((bounce.once(Measure::HandFlightTime).expect("bounces") - air_s).abs() < 1e-9);
        assert!(bounce.event(EventKind::HandPlacement).is_none());
        let (up, down) = (
            bounce.event(EventKind::HandDeparture),
            bounce.event(EventKind::HandsReturn),
        );
        let middle = 0.5 * (up.expect("leaves") + down.expect("returns"));
        assert!(bounce.pose(middle).middle(Joint::Fingertip).y > 0.008);
    }
}

#[test]
fn the_back_handspring_goes_backward_over_the_hands() {
    let truth = Act::back_handspring(&BackHandspring::default())
        .expect("possible")
        .truth();
    let order = [
        EventKind::PushOffFootLeaves,
        EventKind::HandPlacement,
        EventKind::Inverted,
        EventKind::HandDeparture,
        EventKind::FeetTouchdown,
        EventKind::Settled,
    ];
    let times: Vec<f64> = order
        .iter()
        .map(|&kind| truth.event(kind).expect("it happens"))
        .collect();
    assert!(times.windows(2).all(|pair| pair[0] < pair[1]), "{times:?}");
    let found = truth.once(Measure::HandToFootDistance).expect("defined");
    assert!((found + 1.35).abs() < 1e-9);
}

#[test]
fn the_flat_back_lands_level_on_the_mat() {
    let dials = FlatBack::default();
    let truth = Act::flat_back(&dials).expect("possible").truth();
    let touch = truth.event(EventKind::BackTouchdown).expect("it lands");
    let pose = truth.pose(touch);
    let (hip, shoulder) = (pose.middle(Joint::Hip), pose.middle(Joint::Shoulder));
    assert!((hip.y - shoulder.y).abs() < 1e-9 && (hip.y - 0.4 - 0.06 * 1.45).abs() < 1e-9);
    assert!(truth.value(Measure::AnkleLead, None, touch).expect("defined") > 0.9);
    assert!(truth.event(EventKind::FeetTouchdown).is_none());
}

#[test]
fn the_cartwheel_goes_hand_hand_foot_foot() {
    for (apart, straddle) in [(0.17, 125.0), (0.12, 100.0), (0.25, 140.0)] {
        let dials = Cartwheel {
            hands_apart_s: apart,
            straddle,
            ..Cartwheel::default()
        };
        let truth = Act::cartwheel(&dials).expect("possible").truth();
        assert!(truth.is_frontal());
        let hand = |side| truth.hand_contacts(side)[0];
        let (left, right) = (hand(Side::Left), hand(Side::Right));
        assert!((right.0 - left.0 - apart).abs() < 1e-9 && (right.1 - left.1 - apart).abs() < 1e-9);
        let landed = truth.event(EventKind::FeetTouchdown).expect("it lands");
        assert!((landed - truth.foot_contacts(Side::Right)[1].0).abs() < 1e-12);
        let inverted = truth.event(EventKind::Inverted).expect("upside down");
        let gap = truth.value(Measure::LegGap, None, inverted).expect("defined");
        assert!((gap - straddle).abs() < 1.0, "{gap}");
        for side in Side::BOTH {
            let shoulder = truth
                .joint_angle(Measure::ShoulderOpening, side, inverted)
                .expect("defined");
            assert!(shoulder > 150.0, "{shoulder}");
            let elbow = truth.joint_angle(Measure::ElbowAngle, side, inverted).expect("defined");
            assert!((elbow - 177.0).abs() < 1e-6);
        }
    }
}
