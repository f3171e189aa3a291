//! The standing back handspring.

use super::{both_feet, release_legs, through};
use crate::body::{Body, State};
use crate::curve::Curve;
use crate::error::{Error, within};
use crate::motion::{HandContact, Rule};
use crate::stance::balance;
use crate::story::Story;
use crate::synthetic::Act;
use springline_kinematics::{Joint, Point, Side, Vector};

/// A back handspring from standing: sits back, jumps onto the hands, snaps down to the feet.
#[derive(Clone, Debug, PartialEq)]
pub struct BackHandspring {
    /// Standing height, m.
    pub stature_m: f64,
    /// Standing before, s.
    pub stand_s: f64,
    /// Hand-to-foot distance, leg lengths: negative, the hands land behind the feet.
    pub hand_to_foot: f64,
    /// Shoulder opening at hand placement, degrees.
    pub shoulder: f64,
    /// Elbow angle in support, degrees.
    pub elbow: f64,
    /// Feet leaving to hands landing, s.
    pub first_flight_s: f64,
    /// Hands on the floor, s.
    pub support_s: f64,
    /// Hands leaving to feet landing, s.
    pub flight_s: f64,
    /// Hip angle at touchdown, degrees.
    pub touchdown_hip: f64,
    /// Knee angle at touchdown, degrees.
    pub touchdown_knee: f64,
    /// Standing after, s.
    pub after_s: f64,
}

impl Default for BackHandspring {
    fn default() -> Self {
        Self {
            stature_m: 1.45,
            stand_s: 0.4,
            hand_to_foot: -1.35,
            shoulder: 168.0,
            elbow: 172.0,
            first_flight_s: 0.22,
            support_s: 0.3,
            flight_s: 0.26,
            touchdown_hip: 120.0,
            touchdown_knee: 142.0,
            after_s: 0.6,
        }
    }
}

impl Act {
    /// A standing back handspring; it travels toward -X.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn back_handspring(dials: &BackHandspring) -> Result<Self, Error> {
        let body = Body::new(dials.stature_m, 0.06);
        let upright = State::upright(&body, 150.0);
        let on_feet = |state: State, pitch: f64, lean: f64| {
            balance(
                &body,
                state,
                Side::Left,
                pitch,
                Some((Vector::zeros(), pitch)),
                lean,
                false,
            )
        };
        let stand = on_feet(upright, 0.0, 3.0)?;
        let sit = upright.turned(18.0).arms(20.0, 172.0).legs(95.0, 100.0, 90.0);
        let sit = on_feet(sit, 0.0, -14.0)?;
        let off = upright
            .turned(-42.0)
            .arms(172.0, 176.0)
            .legs(200.0, 158.0, 140.0)
            .head_at(75.0);
        let off = on_feet(off, 26.0, -46.0)?;
        let (sit_s, off_s) = (dials.stand_s + 0.5, dials.stand_s + 0.85);
        let place_s = off_s + dials.first_flight_s;
        let depart_s = place_s + dials.support_s;
        let touch_s = depart_s + dials.flight_s;
        let rest_s = touch_s + 0.35;

        let arched = upright
            .turned(-142.0)
            .arms(dials.shoulder, dials.elbow)
            .legs(212.0, 165.0, 150.0)
            .head_at(75.0);
        let over = upright
            .turned(-182.0)
            .arms(178.0, dials.elbow)
            .legs(186.0, 178.0, 155.0)
            .head_at(80.0);
        let leave = upright
            .turned(-193.0)
            .arms(174.0, dials.elbow)
            .legs(166.0, 178.0, 150.0)
            .head_at(90.0);
        let hip = dials.touchdown_hip;
        let touch = upright
            .turned(-305.0)
            .arms(140.0, 176.0)
            .legs(hip, dials.touchdown_knee, 120.0)
            .head_at(95.0);
        let touch = on_feet(touch, 14.0, 4.0)?;
        let rest = on_feet(
            upright.turned(-352.0).arms(160.0, 176.0).legs(172.0, 165.0, 105.0),
            0.0,
            2.0,
        )?;
        let poses = [
            (0.0, stand),
            (dials.stand_s, stand),
            (sit_s, sit),
            (off_s, off),
            (place_s, arched),
            (place_s + 0.55 * dials.support_s, over),
            (depart_s, leave),
            (touch_s, touch),
            (rest_s, rest),
        ];
        let mut motion = through(body, &poses, rest_s + dials.after_s);
        let rise = Curve::through(&[(sit_s + 0.15, 0.0), (off_s, 26.0)]);
        both_feet(&mut motion, (f64::NEG_INFINITY, off_s), Point::origin(), &rise);
        release_legs(&mut motion, off_s, 0.12);
        motion.rules.push((place_s, Rule::Hands));
        let tip = dials.hand_to_foot * body.leg_m();
        let wrist = Point::new(tip - body.palm_ahead(), body.wrist_height_m);
        for side in Side::BOTH {
            motion.hands.push(HandContact {
                side,
                on: place_s,
                off: depart_s,
                wrist,
                palm: body.flat_palm(),
            });
            motion.approach(&[State::hand_at(side)], place_s, 0.2);
        }
        let anchor = |pose: &crate::body::Pose| pose.of(Joint::Wrist, Side::Left);
        let push = motion.launch(off_s, place_s, anchor, Some(wrist.x), wrist.y);
        within("upward push at take-off, m/s", push.y, -0.5, 3.5)?;
        let hands: Vec<usize> = Side::BOTH.into_iter().map(State::hand_at).collect();
        motion.release(&hands, depart_s, 0.2);
        let toe = |pose: &crate::body::Pose| pose.of(Joint::Toe, Side::Left);
        let push = motion.launch(depart_s, touch_s, toe, None, 0.0);
        within("upward push at hand departure, m/s", push.y, 0.0, 3.5)?;
        let down = Point::new(motion.pose(touch_s).of(Joint::Toe, Side::Left).x, 0.0);
        let sink = Curve::through(&[(touch_s, 14.0), (touch_s + 0.15, 0.0)]);
        both_feet(&mut motion, (touch_s, f64::INFINITY), down, &sink);
        motion.check()?;
        let story = Story {
            push_off: Some(Side::Left),
            first_foot: Some(Side::Left),
            step_out: Some(false),
            ..Story::default()
        };
        Ok(Self {
            motion,
            story,
            title: "standing back handspring",
        })
    }
}
