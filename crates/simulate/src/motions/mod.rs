//! Other motions than the front handspring: drills of the ladder, and clips that are none of them.

mod back_handspring;
mod bounce;
mod cartwheel;
mod handstand;
mod holds;
mod leaps;
mod roll;
mod walk;

pub use back_handspring::BackHandspring;
pub use bounce::Bounce;
pub use cartwheel::Cartwheel;
pub(crate) use cartwheel::Wheel;
pub use handstand::{FlatBack, Handstand, Hop};
pub use holds::{BridgeHold, ForwardFall, LyingHold};

use crate::body::{Body, State};
use crate::corrupt::source;
use crate::curve::Curve;
use crate::error::Error;
use crate::motion::{FootContact, Motion, Rule, leg_channels};
use crate::synthetic::Act;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use springline_kinematics::{Point, Side};

/// A body of drawn size.
pub(crate) fn drawn_body(chance: &mut ChaCha8Rng) -> Body {
    let stature = chance.random_range(1.1..1.8);
    Body::new(stature, chance.random_range(0.05..0.095))
}

/// Draws until the figure can do it; the same seed gives the same.
pub(crate) fn drawn(
    seed: u64,
    purpose: u64,
    make: impl Fn(&mut ChaCha8Rng) -> Result<Act, Error>,
) -> Result<Act, Error> {
    let mut chance = source(seed, purpose);
    let mut made = make(&mut chance);
    for _ in 0..50 {
        if made.is_ok() {
            break;
        }
        made = make(&mut chance);
    }
    made
}

impl State {
    /// Standing with straight legs; the shoulder opening given.
    pub(crate) fn upright(body: &Body, shoulder: f64) -> Self {
        let mut state = State([0.0; State::COUNT]);
        state.0[State::HEAD] = 90.0;
        for side in Side::BOTH {
            state.0[State::shoulder_at(side)] = shoulder;
            state.0[State::elbow_at(side)] = 174.0;
            state.0[State::hip_at(side)] = 181.0;
            state.0[State::knee_at(side)] = 178.0;
            state.aim_foot(side, body.flat_foot());
        }
        state
    }

    pub(crate) fn turned(mut self, trunk: f64) -> Self {
        self.0[State::TRUNK] = trunk;
        self
    }

    pub(crate) fn head_at(mut self, tilt: f64) -> Self {
        self.0[State::HEAD] = tilt;
        self
    }

    pub(crate) fn arms(mut self, shoulder: f64, elbow: f64) -> Self {
        for side in Side::BOTH {
            self.0[State::shoulder_at(side)] = shoulder;
            self.0[State::elbow_at(side)] = elbow;
        }
        self
    }

    pub(crate) fn legs(mut self, hip: f64, knee: f64, ankle: f64) -> Self {
        for side in Side::BOTH {
            self.0[State::hip_at(side)] = hip;
            self.0[State::knee_at(side)] = knee;
            self.0[State::ankle_at(side)] = ankle;
        }
        self
    }
}

/// A motion through poses, in order of time, without any contact yet.
pub(crate) fn through(body: Body, poses: &[(f64, State)], end: f64) -> Motion {
    let curve = |channel: usize| {
        let keys: Vec<(f64, f64)> = poses.iter().map(|(t, state)| (*t, state.0[channel])).collect();
        Curve::through(&keys)
    };
    Motion {
        body,
        curves: std::array::from_fn(curve),
        blends: Vec::new(),
        rules: Vec::new(),
        feet: Vec::new(),
        hands: Vec::new(),
        wheel: None,
        start: 0.0,
        end,
    }
}

/// Both feet side by side on the floor.
pub(crate) fn both_feet(motion: &mut Motion, spell: (f64, f64), toe: Point, pitch: &Curve) {
    for side in Side::BOTH {
        motion.feet.push(FootContact {
            side,
            on: spell.0,
            off: spell.1,
            toe,
            pitch: pitch.clone(),
        });
    }
    motion.rules.push((spell.0, Rule::Foot(Side::Left)));
    motion.rules.sort_by(|a, b| a.0.total_cmp(&b.0));
}

/// Lets both legs go.
pub(crate) fn release_legs(motion: &mut Motion, time: f64, span: f64) {
    for side in Side::BOTH {
        motion.release(&leg_channels(side), time, span);
    }
}
