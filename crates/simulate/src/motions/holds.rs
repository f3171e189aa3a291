//! Held shapes and the fall from standing.

use super::{both_feet, through};
use crate::body::{Body, State};
use crate::curve::Curve;
use crate::error::Error;
use crate::handspring::bridge;
use crate::motion::{FootContact, HandContact, Rule};
use crate::params::Params;
use crate::stance::balance;
use crate::story::Story;
use crate::synthetic::Act;
use springline_kinematics::{Joint, Point, Side, Vector};

/// Lying on the back, held: hollow with arms and legs off the floor, or flat.
#[derive(Clone, Debug, PartialEq)]
pub struct LyingHold {
    /// Standing height, m.
    pub stature_m: f64,
    /// How long, s.
    pub hold_s: f64,
    /// Shoulder opening, degrees.
    pub shoulder: f64,
    /// Elbow angle, degrees.
    pub elbow: f64,
    /// Hip angle, degrees: below 180 the legs are raised.
    pub hip: f64,
    /// Knee angle, degrees.
    pub knee: f64,
    /// Trunk inclination: 270 lies flat, less lifts the shoulders.
    pub trunk: f64,
}

impl Default for LyingHold {
    fn default() -> Self {
        Self {
            stature_m: 1.45,
            hold_s: 4.0,
            shoulder: 168.0,
            elbow: 178.0,
            hip: 160.0,
            knee: 178.0,
            trunk: 276.0,
        }
    }
}

/// A bridge, held.
#[derive(Clone, Debug, PartialEq)]
pub struct BridgeHold {
    /// Standing height, m.
    pub stature_m: f64,
    /// How long, s.
    pub hold_s: f64,
    /// Shoulder opening, degrees.
    pub shoulder: f64,
    /// Elbow angle, degrees.
    pub elbow: f64,
    /// Hip angle, degrees.
    pub hip: f64,
    /// Knee angle, degrees.
    pub knee: f64,
}

impl Default for BridgeHold {
    fn default() -> Self {
        Self {
            stature_m: 1.45,
            hold_s: 3.5,
            shoulder: 196.0,
            elbow: 178.0,
            hip: 222.0,
            knee: 150.0,
        }
    }
}

/// A stretched fall forward from standing, until the clip ends with the toes still down.
#[derive(Clone, Debug, PartialEq)]
pub struct ForwardFall {
    /// Standing height, m.
    pub stature_m: f64,
    /// Standing before, s.
    pub stand_s: f64,
    /// How long the fall takes, s.
    pub fall_s: f64,
    /// Landing lean at the end of the clip, degrees.
    pub lean: f64,
    /// Shoulder opening, degrees.
    pub shoulder: f64,
    /// Hip angle, degrees.
    pub hip: f64,
    /// Knee angle, degrees.
    pub knee: f64,
    /// Heels over the floor, leg lengths.
    pub heel: f64,
}

impl Default for ForwardFall {
    fn default() -> Self {
        let (shoulder, hip, knee) = (176.0, 182.0, 178.0);
        Self {
            stature_m: 1.45,
            stand_s: 0.5,
            fall_s: 0.7,
            lean: 32.0,
            shoulder,
            hip,
            knee,
            heel: 0.12,
        }
    }
}

/// Half hip width of the drill figures, share of stature.
const HIPS: f64 = 0.06;

impl Act {
    /// Lying on the back, held for the whole clip.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn lying_hold(dials: &LyingHold) -> Result<Self, Error> {
        let body = Body::new(dials.stature_m, HIPS);
        let state = State::upright(&body, dials.shoulder)
            .turned(dials.trunk)
            .head_at(100.0)
            .arms(dials.shoulder, dials.elbow)
            .legs(dials.hip, dials.knee, 155.0);
        let mut motion = through(body, &[(0.0, state)], dials.hold_s);
        let at = |value| Curve::through(&[(0.0, value)]);
        let path = Rule::Path {
            x: at(0.0),
            y: at(0.065 * dials.stature_m),
        };
        motion.rules.push((f64::NEG_INFINITY, path));
        motion.check()?;
        let story = Story {
            hold: Some((0.0, dials.hold_s)),
            ..Story::default()
        };
        Ok(Self {
            motion,
            story,
            title: "lying hold",
        })
    }

    /// A bridge, held for the whole clip.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn bridge_hold(dials: &BridgeHold) -> Result<Self, Error> {
        let params = Params {
            stature_m: dials.stature_m,
            half_hips: HIPS,
            departure_shoulder: dials.shoulder,
            support_elbow: dials.elbow,
            touchdown_hip: dials.hip,
            touchdown_knee: dials.knee,
            touchdown_heel: 0.0,
            ..Params::clean()
        };
        let (state, toe, wrist) = bridge(&params)?;
        let body = params.body();
        let mut motion = through(body, &[(0.0, state)], dials.hold_s);
        let ever = (f64::NEG_INFINITY, f64::INFINITY);
        for side in Side::BOTH {
            motion.hands.push(HandContact {
                side,
                on: ever.0,
                off: ever.1,
                wrist,
                palm: body.flat_palm(),
            });
            let pitch = Curve::through(&[(0.0, 0.0)]);
            motion.feet.push(FootContact {
                side,
                on: ever.0,
                off: ever.1,
                toe,
                pitch,
            });
        }
        motion.rules.push((ever.0, Rule::Hands));
        motion.check()?;
        let story = Story {
            hold: Some((0.0, dials.hold_s)),
            ..Story::default()
        };
        Ok(Self {
            motion,
            story,
            title: "bridge hold",
        })
    }

    /// A forward fall from standing. Hold start is when the line from the ankles to the shoulders leans
    /// past 5° for good, hold end the end of the clip.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn forward_fall(dials: &ForwardFall) -> Result<Self, Error> {
        let body = Body::new(dials.stature_m, HIPS);
        let pitch = body.pitch_for_heel(dials.heel * body.leg_m());
        let shape = State::upright(&body, dials.shoulder)
            .arms(dials.shoulder, 177.0)
            .legs(dials.hip, dials.knee, 130.0);
        let both = |lean: f64| {
            balance(
                &body,
                shape,
                Side::Left,
                pitch,
                Some((Vector::zeros(), pitch)),
                lean,
                false,
            )
        };
        let (stand, fallen) = (both(1.0)?, both(dials.lean)?);
        let end = dials.stand_s + dials.fall_s;
        // Falls faster and faster: a third of the way after half the time.
        let mut part = stand;
        for (channel, value) in part.0.iter_mut().enumerate() {
            *value += 0.3 * (fallen.0[channel] - stand.0[channel]);
        }
        let middle = dials.stand_s + 0.6 * dials.fall_s;
        let beyond = end + 0.3;
        let mut far = fallen;
        far.0[State::TRUNK] += fallen.trunk() - part.trunk();
        let keys = [
            (0.0, stand),
            (dials.stand_s, stand),
            (middle, part),
            (end, fallen),
            (beyond, far),
        ];
        let mut motion = through(body, &keys, end);
        let pitch = Curve::through(&[(0.0, pitch)]);
        both_feet(&mut motion, (f64::NEG_INFINITY, f64::INFINITY), Point::origin(), &pitch);
        motion.check()?;
        let lean = |t: f64| {
            let pose = motion.pose(t);
            let line = pose.middle(Joint::Shoulder) - pose.middle(Joint::Ankle);
            crate::body::direction(line).abs() - 5.0
        };
        let mut start = end;
        while start > 0.0 && lean(start) > 0.0 {
            start -= 0.001;
        }
        let story = Story {
            hold: Some((start + 0.0005, end)),
            ..Story::default()
        };
        Ok(Self {
            motion,
            story,
            title: "forward fall from standing",
        })
    }
}
