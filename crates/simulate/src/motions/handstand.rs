//! Handstand kicked up and held, hopped, or fallen over to the back.

use crate::body::State;
use crate::error::{Error, within};
use crate::handspring::{entry_story, handstand, onto_the_back};
use crate::motion::{HandContact, Rule};
use crate::params::Params;
use crate::story::Story;
use crate::synthetic::Act;
use springline_kinematics::{Joint, Side, Vector};

/// A handstand, kicked up from a lunge and held until the clip ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Handstand {
    /// The way in: body, step, lunge, hand placement; the dials of the support and of what follows are
    /// not used.
    pub entry: Params,
    /// Hand placement to the held pose, s.
    pub kick_s: f64,
    /// How long the pose is kept, s.
    pub hold_s: f64,
    /// Body-line lean, degrees.
    pub lean: f64,
    /// Shoulder opening, degrees.
    pub shoulder: f64,
    /// Elbow angle, degrees.
    pub elbow: f64,
    /// Hip angle of the swinging leg, degrees; the other is the leg gap less.
    pub hip: f64,
    /// Knee angle, degrees.
    pub knee: f64,
    /// Leg gap, degrees.
    pub gap: f64,
    /// Head tilt, degrees.
    pub head: f64,
}

impl Default for Handstand {
    fn default() -> Self {
        Self {
            entry: Params::clean(),
            kick_s: 0.65,
            hold_s: 3.5,
            lean: 0.0,
            shoulder: 179.0,
            elbow: 178.0,
            hip: 180.0,
            knee: 178.0,
            gap: 0.0,
            head: 82.0,
        }
    }
}

impl Handstand {
    fn params(&self) -> Params {
        Params {
            support_s: self.kick_s,
            flight_s: self.hold_s,
            departure_lean: self.lean,
            departure_shoulder: self.shoulder,
            least_shoulder: 0.5 * (self.shoulder + self.entry.placement_shoulder),
            support_elbow: self.elbow,
            support_hip: self.hip,
            flight_hip: self.hip,
            kick_knee: self.knee,
            flight_knee: self.knee,
            residual_gap: self.gap,
            legs_join_before_departure_s: 0.15,
            support_head: self.head,
            second_foot_after_s: 0.0,
            step_out: false,
            ..self.entry.clone()
        }
    }

    /// Mid-hip and mid-shoulder slower than half a leg length a second with the trunk past 150°: the
    /// longest such stretch from `from` on, s.
    fn held(act: &Act, from: f64) -> Option<(f64, f64)> {
        let motion = &act.motion;
        let step = 1e-4;
        let most = 0.5 * motion.body.leg_m();
        let still = |t: f64| {
            let (a, b) = (motion.pose(t - step), motion.pose(t + step));
            let slow = [Joint::Hip, Joint::Shoulder]
                .into_iter()
                .all(|joint| (b.middle(joint) - a.middle(joint)).norm() / (2.0 * step) < most);
            slow && motion.instant(t).state.trunk() > 150.0
        };
        let mut start = None;
        let mut t = from;
        while t < motion.end {
            match (still(t), start) {
                (true, None) => start = Some(t),
                (false, Some(_)) => start = None,
                _ => {}
            }
            t += 0.001;
        }
        Some((start?, motion.end))
    }
}

/// A handstand hop: kicked up, the hands leave the floor and come down again.
#[derive(Clone, Debug, PartialEq)]
pub struct Hop {
    /// The handstand; `hold_s` is how long it stays before the hop.
    pub handstand: Handstand,
    /// How far the shoulders close before the push, degrees.
    pub dip: f64,
    /// How long the hands are off the floor, s.
    pub air_s: f64,
    /// How far the hands travel in the air, m.
    pub travel_m: f64,
    /// After the hands have returned, s.
    pub after_s: f64,
}

impl Default for Hop {
    fn default() -> Self {
        let handstand = Handstand {
            kick_s: 0.42,
            hold_s: 0.12,
            lean: -2.0,
            ..Handstand::default()
        };
        Self {
            handstand,
            dip: 6.0,
            air_s: 0.1,
            travel_m: 0.06,
            after_s: 0.5,
        }
    }
}

/// A handstand fallen over to the back, stretched, on a mat.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatBack {
    /// The way in and the support: entry, placement, shoulders, elbows, hips, knees, legs, support time
    /// and departure lean are used.
    pub support: Params,
    /// Hand departure to the back's touchdown, s.
    pub fall_s: f64,
    /// Height of the mat, m.
    pub mat_m: f64,
    /// Shoulder opening as the back lands, degrees.
    pub shoulder: f64,
    /// Hip angle as the back lands, degrees.
    pub hip: f64,
    /// Knees as the back lands, degrees.
    pub knee: f64,
    /// Head tilt as the back lands, degrees.
    pub head: f64,
    /// Lying after, s.
    pub after_s: f64,
}

impl Default for FlatBack {
    fn default() -> Self {
        let support = Params {
            support_s: 0.42,
            departure_lean: 22.0,
            ..Params::clean()
        };
        Self {
            support,
            fall_s: 0.3,
            mat_m: 0.4,
            shoulder: 178.0,
            hip: 182.0,
            knee: 178.0,
            head: 92.0,
            after_s: 0.5,
        }
    }
}

impl Act {
    /// A handstand kicked up from a lunge and held. Hold start is when mid-hip and mid-shoulder have
    /// become slower than half a leg length a second for good, hold end the end of the clip.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn handstand(dials: &Handstand) -> Result<Self, Error> {
        let (motion, reached) = handstand(&dials.params())?;
        motion.check()?;
        let mut act = Self {
            motion,
            story: entry_story(&dials.entry),
            title: "handstand",
        };
        act.story.hold = Handstand::held(&act, reached - 0.8 * dials.kick_s);
        Ok(act)
    }

    /// A handstand hop.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn handstand_hop(dials: &Hop) -> Result<Self, Error> {
        within("time of the hands in the air, s", dials.air_s, 0.01, 0.5)?;
        let held = Handstand {
            hold_s: dials.handstand.hold_s + 2.0,
            ..dials.handstand.clone()
        };
        let (mut motion, reached) = handstand(&held.params())?;
        let off = reached + dials.handstand.hold_s;
        let back = off + dials.air_s;
        // The shoulders give way and push: their curves are bent down for a moment before the hop.
        for side in Side::BOTH {
            let channel = State::shoulder_at(side);
            let (from, low) = (off - 0.22, off - 0.09);
            let dip = (low, -dials.dip, 0.0);
            motion.blends.push(crate::curve::Blend {
                channel,
                from: (from, 0.0, 0.0),
                to: dip,
            });
            motion.blends.push(crate::curve::Blend {
                channel,
                from: dip,
                to: (off, 0.0, 0.0),
            });
        }
        let wrist = |hand: &HandContact| hand.wrist;
        let first = motion.hands.iter().map(wrist).next().unwrap_or_default();
        for hand in &mut motion.hands {
            hand.off = off;
        }
        let ahead = Vector::new(dials.travel_m, 0.0);
        for hand in motion.hands.clone() {
            motion.hands.push(HandContact {
                on: back,
                off: f64::INFINITY,
                wrist: hand.wrist + ahead,
                ..hand
            });
        }
        let to = first + ahead;
        motion.launch(off, back, |pose| pose.of(Joint::Wrist, Side::Left), Some(to.x), to.y);
        motion.rules.push((back, Rule::Hands));
        motion.end = back + dials.after_s;
        motion.check()?;
        Ok(Self {
            motion,
            story: entry_story(&dials.handstand.entry),
            title: "handstand hop",
        })
    }

    /// A handstand fallen over to the back.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn flat_back(dials: &FlatBack) -> Result<Self, Error> {
        let params = Params {
            flight_s: dials.fall_s,
            flight_hip: 0.5 * (dials.support.support_hip + dials.hip),
            flight_knee: dials.knee,
            stand_after_s: dials.after_s,
            second_foot_after_s: 0.0,
            step_out: false,
            ..dials.support.clone()
        };
        let body = params.body();
        let lying = State::upright(&body, dials.shoulder)
            .turned(270.0)
            .head_at(dials.head)
            .arms(dials.shoulder, 176.0)
            .legs(dials.hip, dials.knee, 150.0);
        let height = dials.mat_m + 0.06 * body.stature_m;
        let (motion, touch) = onto_the_back(&params, lying, height)?;
        let story = Story {
            back_touch_s: Some(touch),
            ..entry_story(&params)
        };
        Ok(Self {
            motion,
            story,
            title: "handstand to flat back",
        })
    }
}
