//! People who stand about, walk or spot: simple made-up motions, placed anywhere in the hall.

use super::skeleton::{Skeleton, Spot};
use super::space::V3;
use crate::body::{Body, State};
use springline_kinematics::{Joint, Point, Side};

/// Puts a joint state on the floor at a place.
fn stand(body: &Body, state: &State, origin: V3, facing: f32) -> Skeleton {
    let pose = body.pose(state, Point::origin());
    let feet = Side::BOTH.map(|side| pose.of(Joint::Toe, side).y.min(pose.of(Joint::Heel, side).y));
    let mut spot = Spot { origin, facing };
    spot.origin.y -= feet[0].min(feet[1]) as f32;
    Skeleton::new(body, &pose, false, spot)
}

/// Standing and waiting: weight shifting, arms down, looking about.
pub(crate) fn waiting(body: &Body, t: f64, phase: f64, origin: V3, facing: f32) -> Skeleton {
    let sway = (0.7 * t + phase).sin();
    let mut state = State::upright(body, 12.0 + 4.0 * sway).turned(2.0 + 1.5 * sway);
    state.0[State::HEAD] = 92.0 + 8.0 * (0.31 * t + 2.0 * phase).sin();
    for side in Side::BOTH {
        state.0[State::elbow_at(side)] = 160.0 + 8.0 * (0.5 * t + phase).cos();
    }
    let turn = 8.0 * (0.23 * t + phase).sin();
    stand(body, &state, origin, facing + turn as f32)
}

/// Walking on the spot of a moving origin: `way` is how far it has come, m.
pub(crate) fn walking(body: &Body, way: f64, origin: V3, facing: f32) -> Skeleton {
    let stride = 0.8 * body.leg_m() * 2.0;
    let phase = way / stride * std::f64::consts::TAU;
    let mut state = State::upright(body, 10.0).turned(4.0);
    for (side, phase) in [(Side::Left, phase), (Side::Right, phase + std::f64::consts::PI)] {
        let swing = phase.sin();
        let lifted = phase.cos().max(0.0);
        state.0[State::hip_at(side)] = 178.0 - 25.0 * swing - 8.0 * lifted;
        state.0[State::knee_at(side)] = 174.0 - 48.0 * lifted * lifted;
        state.0[State::shoulder_at(side)] = 6.0 - 22.0 * swing;
        state.0[State::elbow_at(side)] = 155.0;
        state.aim_foot(side, body.flat_foot() + 14.0 * (-swing).max(0.0));
    }
    stand(body, &state, origin, facing)
}

/// Spotting: leaning in, both arms reaching for the athlete. `help` of 0 waits, 1 supports.
pub(crate) fn spotting(body: &Body, t: f64, help: f64, origin: V3, facing: f32) -> Skeleton {
    let sway = (1.1 * t).sin();
    let mut state = State::upright(body, 30.0 + 42.0 * help).turned(14.0 + 10.0 * help + sway);
    state.0[State::HEAD] = 96.0 + 6.0 * help;
    for (side, more) in [(Side::Left, 10.0), (Side::Right, -6.0)] {
        state.0[State::shoulder_at(side)] += more * help;
        state.0[State::elbow_at(side)] = 128.0 + 30.0 * help;
        state.0[State::hip_at(side)] = 148.0 - 8.0 * help;
        state.0[State::knee_at(side)] = 152.0;
        state.aim_foot(side, body.flat_foot());
    }
    stand(body, &state, origin, facing)
}
