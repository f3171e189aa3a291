//! The front-support bounce: hands push off the floor and come down again, toes stay.

use super::{both_feet, through};
use crate::body::{Body, State};
use crate::curve::Curve;
use crate::error::{Error, within};
use crate::motion::HandContact;
use crate::story::Story;
use crate::synthetic::Act;
use springline_kinematics::{Joint, Point, Side};

/// A front-support bounce.
#[derive(Clone, Debug, PartialEq)]
pub struct Bounce {
    /// Standing height, m.
    pub stature_m: f64,
    /// Still in front support before, s.
    pub still_s: f64,
    /// How long the hands are off the floor, s.
    pub air_s: f64,
    /// Still after the hands have returned, s.
    pub after_s: f64,
    /// How far the elbows give before the push, degrees from straight.
    pub give: f64,
    /// Elbow angle at departure, degrees.
    pub elbow: f64,
    /// Hip angle, degrees.
    pub hip: f64,
    /// Knee angle, degrees.
    pub knee: f64,
    /// Shoulder opening in front support, degrees.
    pub shoulder: f64,
}

impl Default for Bounce {
    fn default() -> Self {
        Self {
            stature_m: 1.45,
            still_s: 0.5,
            air_s: 0.14,
            after_s: 0.5,
            give: 12.0,
            elbow: 177.0,
            hip: 180.0,
            knee: 178.0,
            shoulder: 84.0,
        }
    }
}

/// On the balls of the feet: heels turned up by this much.
const PITCH: f64 = 72.0;

impl Act {
    /// A front-support bounce: hand departure and the hands' return are its events.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn front_support_bounce(dials: &Bounce) -> Result<Self, Error> {
        within("time of the hands in the air, s", dials.air_s, 0.03, 0.4)?;
        let body = Body::new(dials.stature_m, 0.06);
        let shape = State::upright(&body, dials.shoulder)
            .head_at(80.0)
            .arms(dials.shoulder, dials.elbow)
            .legs(dials.hip, dials.knee, 100.0);
        let toe = Point::origin();
        // The trunk turned so that the wrists are at palm height.
        let placed = |trunk: f64| {
            let mut state = shape.turned(trunk);
            for side in Side::BOTH {
                state.aim_foot(side, body.flat_foot() + PITCH);
            }
            let pose = body.pose(&state, Point::origin());
            (
                state,
                pose.of(Joint::Wrist, Side::Left) - pose.of(Joint::Toe, Side::Left),
            )
        };
        let (mut low, mut high) = (30.0, 110.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if placed(middle).1.y > body.wrist_height_m {
                low = middle
            } else {
                high = middle
            }
        }
        let (mut flat, wrist) = placed(low);
        for side in Side::BOTH {
            flat.aim_hand(side, body.flat_palm());
        }
        let wrist = Point::new(wrist.x, body.wrist_height_m);

        // The body sinks, pushes and is thrown up a little: the trunk turns about the toes.
        let off = dials.still_s + 0.42;
        let back = off + dials.air_s;
        let rise = 14.0 * dials.air_s;
        let tip = |by: f64| flat.turned(flat.trunk() + by);
        let sunk = tip(0.06 * dials.give);
        let top = tip(-rise);
        let end = back + 0.3 + dials.after_s;
        let keys = [
            (0.0, flat),
            (dials.still_s, flat),
            (dials.still_s + 0.26, sunk),
            (off, flat),
            (off + 0.5 * dials.air_s, top),
            (back, flat),
            (back + 0.12, tip(0.04 * dials.give)),
            (back + 0.3, flat),
        ];
        let mut motion = through(body, &keys, end);
        let pitch = Curve::through(&[(0.0, PITCH)]);
        both_feet(&mut motion, (f64::NEG_INFINITY, f64::INFINITY), toe, &pitch);
        for side in Side::BOTH {
            for (on, off) in [(f64::NEG_INFINITY, off), (back, f64::INFINITY)] {
                motion.hands.push(HandContact {
                    side,
                    on,
                    off,
                    wrist,
                    palm: body.flat_palm(),
                });
            }
        }
        for side in Side::BOTH {
            let arm = [State::shoulder_at(side), State::elbow_at(side), State::hand_at(side)];
            motion.release(&arm, off, 0.45 * dials.air_s);
        }
        motion.check()?;
        Ok(Self {
            motion,
            story: Story::default(),
            title: "front-support bounce",
        })
    }
}
