//! A standing jump and a backward somersault: flights without hands on the floor.

use super::{both_feet, drawn, drawn_body, release_legs, through};
use crate::body::{Body, State};
use crate::curve::Curve;
use crate::error::{Error, within};
use crate::stance::balance;
use crate::story::Story;
use crate::synthetic::Act;
use rand::RngExt;
use springline_kinematics::{Joint, Point, Side, Vector};

/// Feet together, balanced with that lean.
fn stance(body: &Body, state: State, pitch: f64, lean: f64) -> Result<State, Error> {
    balance(
        body,
        state,
        Side::Left,
        pitch,
        Some((Vector::zeros(), pitch)),
        lean,
        false,
    )
}

struct Leap {
    body: Body,
    stand_s: f64,
    /// Take-off, in the air, touchdown: state, heels turned up, lean.
    off: (State, f64, f64),
    air: Vec<(f64, State)>,
    on: (State, f64, f64),
    flight_s: f64,
    travel_m: f64,
    turn: f64,
    after_s: f64,
}

impl Leap {
    fn perform(&self, title: &'static str) -> Result<Act, Error> {
        let body = self.body;
        let upright = State::upright(&body, 15.0);
        let stand = stance(&body, upright, 0.0, 3.0)?;
        let crouch = upright.turned(40.0).arms(-30.0, 165.0).legs(85.0, 95.0, 80.0);
        let crouch = stance(&body, crouch, 0.0, 5.0)?;
        let off = stance(&body, self.off.0, self.off.1, self.off.2)?;
        let on = stance(&body, self.on.0, self.on.1, self.on.2)?;
        let low = upright
            .turned(self.turn + 30.0)
            .arms(80.0, 170.0)
            .legs(105.0, 110.0, 85.0);
        let low = stance(&body, low, 0.0, 4.0)?;
        let last = stance(&body, upright.turned(self.turn), 0.0, 3.0)?;
        let down = self.stand_s;
        let jump = down + 0.75;
        let land = jump + self.flight_s;
        let end = land + 0.75 + self.after_s;
        let mut poses = vec![(0.0, stand), (down, stand), (down + 0.48, crouch), (jump, off)];
        poses.extend(
            self.air
                .iter()
                .map(|(share, state)| (jump + share * self.flight_s, *state)),
        );
        poses.extend([(land, on), (land + 0.2, low), (land + 0.75, last)]);
        let mut motion = through(body, &poses, end);
        let rise = Curve::through(&[(down + 0.48, 0.0), (jump, self.off.1)]);
        both_feet(&mut motion, (f64::NEG_INFINITY, jump), Point::origin(), &rise);
        release_legs(&mut motion, jump, 0.12);
        let toe = |pose: &crate::body::Pose| pose.of(Joint::Toe, Side::Left);
        let push = motion.launch(jump, land, toe, Some(self.travel_m), 0.0);
        within("upward push at take-off, m/s", push.y, -0.5, 4.0)?;
        let sink = Curve::through(&[(land, self.on.1), (land + 0.15, 0.0)]);
        both_feet(
            &mut motion,
            (land, f64::INFINITY),
            Point::new(self.travel_m, 0.0),
            &sink,
        );
        motion.check()?;
        Ok(Act {
            motion,
            story: Story::default(),
            title,
        })
    }
}

impl Act {
    /// A standing jump forward; no hand touches the floor.
    ///
    /// # Errors
    /// [`Error`] if no draw of this seed can be done.
    pub fn standing_jump(seed: u64) -> Result<Self, Error> {
        drawn(seed, 20, |c| {
            let body = drawn_body(c);
            let upright = State::upright(&body, 15.0);
            let air = upright
                .arms(c.random_range(90.0..170.0), 170.0)
                .legs(165.0, 160.0, 140.0)
                .turned(8.0);
            Leap {
                body,
                stand_s: c.random_range(0.1..0.8),
                off: (
                    upright.arms(150.0, 172.0).legs(182.0, 172.0, 140.0).turned(10.0),
                    45.0,
                    c.random_range(2.0..14.0),
                ),
                air: vec![(0.5, air)],
                on: (
                    upright.arms(110.0, 170.0).legs(150.0, 150.0, 120.0).turned(10.0),
                    8.0,
                    c.random_range(-14.0..0.0),
                ),
                flight_s: c.random_range(0.34..0.55),
                travel_m: c.random_range(0.0..0.9),
                turn: 0.0,
                after_s: c.random_range(0.2..0.8),
            }
            .perform("standing jump")
        })
    }

    /// A tucked backward somersault from standing; no hand touches the floor.
    ///
    /// # Errors
    /// [`Error`] if no draw of this seed can be done.
    pub fn back_somersault(seed: u64) -> Result<Self, Error> {
        drawn(seed, 21, |c| {
            let body = drawn_body(c);
            let upright = State::upright(&body, 15.0);
            let tuck = upright
                .arms(c.random_range(35.0..60.0), 150.0)
                .legs(c.random_range(55.0..85.0), 60.0, 130.0);
            let open = upright.arms(60.0, 165.0).legs(125.0, 130.0, 120.0);
            Leap {
                body,
                stand_s: c.random_range(0.1..0.8),
                off: (
                    upright.arms(172.0, 175.0).legs(186.0, 172.0, 140.0).turned(-4.0),
                    45.0,
                    c.random_range(-10.0..0.0),
                ),
                air: vec![
                    (0.32, tuck.turned(-95.0)),
                    (0.62, tuck.turned(-225.0)),
                    (0.85, open.turned(-318.0)),
                ],
                on: (
                    upright.arms(80.0, 170.0).legs(130.0, 140.0, 110.0).turned(-340.0),
                    5.0,
                    c.random_range(-6.0..6.0),
                ),
                flight_s: c.random_range(0.6..0.78),
                travel_m: c.random_range(-0.6..-0.1),
                turn: -360.0,
                after_s: c.random_range(0.2..0.8),
            }
            .perform("backward somersault")
        })
    }
}
