//! What holds the handspring up: the way to the hands, the feet, the flight, the landing.

use super::Builder;
use super::poses::{PLACE_PITCH, REAR_PITCH};
use crate::body::{State, unit};
use crate::curve::Curve;
use crate::error::{Error, within};
use crate::motion::{FootContact, JUST, Motion, Rule, leg_channels};
use springline_kinematics::{Joint, Point, Side, Vector};

const NEVER: f64 = f64::NEG_INFINITY;
const EVER: f64 = f64::INFINITY;

impl Builder<'_> {
    /// From the lunge to hand placement: the push-off leg turns over its foot, such that the hands come
    /// down at about the speed asked for.
    pub(super) fn entry(&self, motion: &Motion) -> Rule {
        let (p, plan, body) = (self.p, &self.plan, &self.body);
        let (from, to) = (plan.lunge, plan.place);
        let step = 1e-5;
        let from_hip = |t: f64| motion.wrist_from_hip(&motion.prescribed(t), Side::Left);
        let after = (from_hip(to - step) - from_hip(to + step)) / (2.0 * step);
        let hip = after + Vector::new(0.3 * p.hand_speed_m_s, -p.hand_speed_m_s);
        let pitch = self.push_pitch();
        let ankle = |t: f64| body.ankle_over(self.front_toe, pitch.at(t));
        let ankle = (ankle(to + step) - ankle(to - step)) / (2.0 * step);
        // The rates of thigh and knee that move the hip so: hip = ankle - thigh u(θ) - shank u(θ + 180 - κ).
        let (thigh, knee) = (self.place.thigh_direction(self.push), self.place.knee(self.push));
        let along = |direction: f64| unit(direction + 90.0) * 1f64.to_radians();
        let shank = body.shank_m * along(thigh + 180.0 - knee);
        let by_thigh = -body.thigh_m * along(thigh) - shank;
        let wanted = hip - ankle;
        let whole = by_thigh.x * shank.y - by_thigh.y * shank.x;
        let thigh_rate = (wanted.x * shank.y - wanted.y * shank.x) / whole;
        let span = to - from;
        let (thigh_0, knee_0) = (self.lunge.thigh_direction(self.push), self.lunge.knee(self.push));
        let turn = (thigh - thigh_0) / span;
        let thigh_rate = thigh_rate.clamp(0.0, 2.2 * turn.max(30.0));
        // The downward speed comes first.
        let knee_rate = ((wanted.y - by_thigh.y * thigh_rate) / shank.y).clamp(-150.0, 650.0);
        Rule::Over {
            side: self.push,
            knee: Curve::between((from, knee_0, -90.0), (to, knee, knee_rate)),
            thigh: Curve::between((from, thigh_0, (1.2 * turn).clamp(0.0, 150.0)), (to, thigh, thigh_rate)),
        }
    }

    /// How far the heel of the push-off foot is turned up.
    fn push_pitch(&self) -> Curve {
        let place = self.plan.place;
        Curve::through(&[(place - 0.08, 0.0), (place, PLACE_PITCH), (place + 0.075, 70.0)])
    }

    /// Feet on the floor before the flight.
    pub(super) fn push_feet(&self, motion: &mut Motion) -> Result<(), Error> {
        let (p, plan) = (self.p, &self.plan);
        let origin = Point::origin();
        let roll = Curve::through(&[(plan.step, 0.0), (plan.step + 0.4 * p.step_s, 30.0)]);
        let step_up = plan.step + 0.2 * p.step_s;
        motion.feet.push(FootContact {
            side: self.push,
            on: NEVER,
            off: step_up,
            toe: origin,
            pitch: roll,
        });
        let rear_pitch = Curve::through(&[
            (plan.step + 0.25 * p.step_s, 0.0),
            (plan.lunge, REAR_PITCH),
            (plan.lunge + 0.3, 58.0),
        ]);
        let latest = plan.lunge + 0.3 * (plan.place - plan.lunge);
        motion.feet.push(FootContact {
            side: self.rear,
            on: NEVER,
            off: latest,
            toe: origin,
            pitch: rear_pitch,
        });
        let pitch = self.push_pitch();
        let off = plan.place + p.push_off_leaves_after_s;
        motion.feet.push(FootContact {
            side: self.push,
            on: plan.lunge,
            off,
            toe: self.front_toe,
            pitch,
        });

        motion.release(&leg_channels(self.push), step_up, 0.3 * p.step_s);
        motion.lift(1, plan.lunge, 0.22, 700.0);
        if p.push_off_leaves_after_s >= 0.0 {
            motion.lift(2, plan.place, 0.16, 1200.0);
            Ok(())
        } else {
            motion.release(&leg_channels(self.push), off, 0.16);
            self.first_flight(motion, off)
        }
    }

    /// The push-off foot leaves before the hands land: free fall in between.
    fn first_flight(&self, motion: &mut Motion, from_s: f64) -> Result<(), Error> {
        // The hand that lands first.
        let side = self.push;
        let wrist = self.hands + Vector::new(self.place.shoulder_shift(side), 0.0);
        let push = motion.launch(
            from_s,
            self.plan.place,
            |pose| pose.of(Joint::Wrist, side),
            Some(wrist.x),
            wrist.y,
        );
        within("upward push at the push-off foot, m/s", push.y, 0.0, 2.5)?;
        within("forward push at the push-off foot, m/s", push.x, -2.0, 2.0)?;
        Ok(())
    }

    /// How far the heels are turned up after touchdown.
    fn heels(&self) -> Curve {
        let (p, plan) = (self.p, &self.plan);
        Curve::through(&[
            (plan.touch, self.pitch(p.touchdown_heel)),
            (plan.rest, self.pitch(p.settled_heel)),
            (plan.still, self.pitch(p.settled_heel)),
            (plan.stand, 0.0),
        ])
    }

    fn put_down(&self, motion: &mut Motion, toe: Point) {
        let plan = &self.plan;
        let (first, second) = (self.rear, self.push);
        let pitch = self.heels();
        motion.feet.push(FootContact {
            side: first,
            on: plan.touch,
            off: EVER,
            toe,
            pitch: pitch.clone(),
        });
        let toe = toe + self.second_toe();
        motion.feet.push(FootContact {
            side: second,
            on: plan.second,
            off: EVER,
            toe,
            pitch,
        });
        motion.rules.push((plan.touch.max(plan.depart), Rule::Foot(first)));
        if plan.second > plan.touch {
            motion.approach(&leg_channels(second), plan.second, plan.second - plan.touch);
        }
    }

    /// Flight and landing.
    pub(super) fn fly(&self, mut motion: Motion) -> Result<Motion, Error> {
        let plan = &self.plan;
        let hands: Vec<usize> = Side::BOTH.into_iter().map(State::hand_at).collect();
        motion.release(&hands, plan.depart, 0.66 * self.relax);
        let first = self.rear;
        let push = motion.launch(plan.depart, plan.touch, |pose| pose.of(Joint::Toe, first), None, 0.0);
        within("upward push at hand departure, m/s", push.y, 0.0, 5.5)?;
        let arrival = motion.pose(plan.touch).of(Joint::Toe, self.rear);
        self.put_down(&mut motion, Point::new(arrival.x, 0.0));
        Ok(motion)
    }

    /// Feet down with the hands down, then up from the bridge.
    pub(super) fn stand_up(&self, mut motion: Motion) -> Result<Motion, Error> {
        let plan = &self.plan;
        // Feet that land as the hands leave: at that instant nothing holds the figure yet.
        let touch = if plan.touch < plan.depart {
            plan.touch
        } else {
            plan.depart - JUST
        };
        let arrival = motion.pose(touch).of(Joint::Toe, self.rear);
        self.put_down(&mut motion, Point::new(arrival.x, 0.0));
        let hands: Vec<usize> = Side::BOTH.into_iter().map(State::hand_at).collect();
        motion.release(&hands, plan.depart, 0.4_f64.max(self.relax));
        motion.release(&leg_channels(self.rear), plan.depart, 0.3);
        Ok(motion)
    }
}
