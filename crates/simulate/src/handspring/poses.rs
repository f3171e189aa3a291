//! The poses that the handspring passes through.

use super::Builder;
use crate::body::{Body, State, at, direction, unit};
use crate::error::Error;
use crate::motion::{apex, reach};
use crate::params::Params;
use crate::stance::balance;
use springline_kinematics::{Joint, Point, Side, Vector};

/// Heel turned up in the lunge (rear foot) and at placement (push-off foot), degrees.
pub(super) const REAR_PITCH: f64 = 50.0;
pub(super) const PLACE_PITCH: f64 = 24.0;

/// Touchdown, rest and stand.
#[derive(Clone, Copy, Debug)]
pub(super) struct Landing {
    pub touch: State,
    pub rest: State,
    pub stand: State,
}

/// The lunge: both feet down, the front one flat.
pub(super) fn lunge(p: &Params, body: &Body, front_toe: Point) -> Result<(State, Point), Error> {
    let rear_ankle = body.ankle_over(Point::origin(), REAR_PITCH);
    let front_ankle = body.ankle_over(front_toe, 0.0);
    let (front_span, rear_span) = (body.leg_span(p.lunge_knee), body.leg_span(150.0));
    let hip = apex(rear_ankle, rear_span, front_ankle, front_span).ok_or(Error::OutOfReach {
        what: "legs in the lunge",
        time_s: 0.0,
        span_m: (front_ankle - rear_ankle).norm(),
        limit_m: rear_span + front_span,
    })?;
    let mut state = State::upright(body, p.placement_shoulder.min(165.0));
    state.0[State::TRUNK] = p.lunge_trunk;
    state.0[State::HEAD] = 85.0;
    reach(body, &mut state, p.push_off.other(), hip, Point::origin(), REAR_PITCH);
    reach(body, &mut state, p.push_off, hip, front_toe, 0.0);
    Ok((state, hip))
}

/// Hand placement: the push-off foot and the hands on the floor (the foot a little over it when it
/// leaves first).
pub(super) fn placement(p: &Params, body: &Body, front_toe: Point, hands: Point) -> Result<(State, Point), Error> {
    let mut toe = front_toe;
    if p.push_off_leaves_after_s < 0.0 {
        let early = -p.push_off_leaves_after_s;
        toe += Vector::new(0.5 * early, 0.9 * early);
    }
    let ankle = body.ankle_over(toe, PLACE_PITCH);
    let mut state = State::upright(body, p.placement_shoulder);
    state.0[State::HEAD] = p.placement_head;
    for side in Side::BOTH {
        state.0[State::elbow_at(side)] = p.support_elbow;
    }
    let arm = body.upper_arm_m * unit(state.upper_arm_direction(Side::Left))
        + body.forearm_m * unit(state.forearm_direction(Side::Left));
    let chain = Vector::new(0.0, body.trunk_m) + arm;
    let span = body.leg_span(p.placement_knee);
    let hip = apex(ankle, span, hands, chain.norm()).ok_or(Error::OutOfReach {
        what: "push-off foot to hands at placement",
        time_s: 0.0,
        span_m: (hands - ankle).norm(),
        limit_m: span + chain.norm(),
    })?;
    let (push, swing) = (p.push_off, p.push_off.other());
    state.0[State::TRUNK] = (direction(hands - hip) - direction(chain)).rem_euclid(360.0);
    let first_is_left = at(push) == 0;
    state.0[State::TWIST] = 0.5 * p.hand_stagger * body.leg_m() * if first_is_left { -1.0 } else { 1.0 };
    reach(body, &mut state, push, hip, toe, PLACE_PITCH);
    state.0[State::hip_at(swing)] = p.swing_hip;
    state.0[State::knee_at(swing)] = p.kick_knee;
    state.0[State::ankle_at(swing)] = 150.0;
    Ok((state, hip))
}

impl Builder<'_> {
    /// Both legs alike; with the feet apart the first leg slants back as much as the second will slant
    /// ahead.
    fn landed(&self, trunk: f64, shoulder: f64, hip: f64, knee: f64, head: f64) -> State {
        let mut state = self.stand;
        state.0[State::TRUNK] = trunk;
        state.0[State::HEAD] = head;
        for side in Side::BOTH {
            state.0[State::shoulder_at(side)] = shoulder;
            state.0[State::elbow_at(side)] = 178.0;
            state.0[State::hip_at(side)] = hip;
            state.0[State::knee_at(side)] = knee;
            state.0[State::ankle_at(side)] = 140.0;
        }
        state
    }

    fn slanted(&self, mut state: State) -> State {
        let apart = self.second_toe().x / self.body.leg_m();
        state.0[State::hip_at(self.rear)] += (0.5 * apart).atan().to_degrees();
        state
    }

    /// From the first foot's toe to the second's when both are down, m.
    pub(super) fn second_toe(&self) -> Vector {
        let ahead = if self.p.step_out {
            self.p.step_out_stride
        } else {
            self.p.feet_apart
        };
        Vector::new(ahead * self.body.leg_m(), 0.0)
    }

    pub(super) fn pitch(&self, heel: f64) -> f64 {
        self.body.pitch_for_heel(heel * self.body.leg_m())
    }

    /// Departure with a trunk inclination.
    pub(super) fn departure(&self, trunk: f64) -> State {
        let p = self.p;
        let mut state = self.landed(
            trunk,
            p.departure_shoulder,
            p.support_hip,
            p.flight_knee,
            p.support_head,
        );
        for side in Side::BOTH {
            state.0[State::elbow_at(side)] = p.support_elbow;
            state.0[State::ankle_at(side)] = 155.0;
        }
        state.0[State::TWIST] = self.place.0[State::TWIST];
        state
    }

    /// Feet touchdown after a flight, with the landing lean asked for.
    pub(super) fn touchdown(&self) -> Result<State, Error> {
        let p = self.p;
        let first = self.rear;
        let mut touch = self.landed(
            345.0,
            p.touchdown_shoulder,
            p.touchdown_hip,
            p.touchdown_knee,
            p.landing_head,
        );
        let pitch = self.pitch(p.touchdown_heel);
        let second = if p.step_out {
            touch.0[State::hip_at(first.other())] -= p.step_out_gap;
            None
        } else {
            // The later foot is still a little over the floor.
            let lift = Vector::new(0.0, 0.8 * p.second_foot_after_s);
            touch = self.slanted(touch);
            Some((self.second_toe() + lift, pitch))
        };
        let over_first = p.step_out;
        balance(&self.body, touch, first, pitch, second, p.touchdown_lean, over_first)
    }

    /// Rest and stand after a touchdown.
    pub(super) fn landing(&self, touch: State) -> Result<Landing, Error> {
        let p = self.p;
        let first = self.rear;
        let rest = self.landed(355.0, p.settled_shoulder, p.settled_hip, p.settled_knee, 90.0);
        let rest = self.slanted(rest);
        let pitch = self.pitch(p.settled_heel);
        let second = Some((self.second_toe(), pitch));
        let rest = balance(&self.body, rest, first, pitch, second, p.settled_lean, p.step_out)?;
        let stand = self.slanted(self.landed(360.0, p.settled_shoulder, 181.0, 172.0, 90.0));
        let lean = if p.step_out { p.settled_lean } else { 4.0 };
        let second = Some((self.second_toe(), 0.0));
        let stand = balance(&self.body, stand, first, 0.0, second, lean, p.step_out)?;
        Ok(Landing { touch, rest, stand })
    }

    /// Touchdown with the hands down: the state, mid-hip and the first foot's toe.
    pub(super) fn bridge_touchdown(&self) -> Result<(State, Point, Point), Error> {
        let p = self.p;
        let first = self.rear;
        let mut touch = self.landed(
            200.0,
            p.departure_shoulder,
            p.touchdown_hip,
            p.touchdown_knee,
            p.support_head,
        );
        for side in Side::BOTH {
            touch.0[State::elbow_at(side)] = p.support_elbow;
        }
        touch.0[State::TWIST] = self.place.0[State::TWIST];
        let pitch = self.pitch(p.touchdown_heel);
        let placed = |trunk: f64| {
            let mut state = touch;
            state.0[State::TRUNK] = trunk;
            for side in Side::BOTH {
                state.aim_foot(side, self.body.flat_foot() + pitch);
            }
            let pose = self.body.pose(&state, Point::origin());
            let root = self.hands - pose.middle(Joint::Wrist).coords;
            let toe = pose.of(Joint::Toe, first) + root.coords;
            (state, Point::from(root), toe)
        };
        // Tip forward until the toe is down.
        let mut trunk = 185.0;
        while placed(trunk).2.y > 0.0 {
            trunk += 1.0;
            if trunk > 330.0 {
                return Err(Error::Implausible {
                    what: "trunk inclination when the feet land in the bridge, degrees",
                    found: trunk,
                    least: 185.0,
                    most: 330.0,
                });
            }
        }
        let (mut low, mut high) = (trunk - 1.0, trunk);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if placed(middle).2.y > 0.0 {
                low = middle
            } else {
                high = middle
            }
        }
        let (mut state, root, toe) = placed(low);
        let toe = Point::new(toe.x, 0.0);
        // The second foot: beside the first, or still a little over the floor.
        let lift = Vector::new(0.0, 0.5 * p.second_foot_after_s);
        reach(
            &self.body,
            &mut state,
            first.other(),
            root,
            toe + self.second_toe() + lift,
            pitch,
        );
        Ok((state, root, toe))
    }

    /// Hand departure from the bridge: tipped on a little, the feet where they landed.
    pub(super) fn bridge_departure(&self, touch: &(State, Point, Point)) -> Result<State, Error> {
        let p = self.p;
        let mut state = touch.0;
        let passed = self.plan.depart - self.plan.touch;
        state.0[State::TRUNK] += 130.0 * passed;
        for side in Side::BOTH {
            state.0[State::shoulder_at(side)] += 20.0 * passed;
        }
        let pose = self.body.pose(&state, Point::origin());
        let root = Point::from(self.hands - pose.middle(Joint::Wrist).coords);
        let pitch = self.pitch(p.touchdown_heel);
        for side in Side::BOTH {
            let second = if side == self.rear {
                Vector::zeros()
            } else {
                self.second_toe()
            };
            let short = reach(&self.body, &mut state, side, root, touch.2 + second, pitch);
            if short > 0.0 {
                let limit_m = self.body.leg_m();
                return Err(Error::OutOfReach {
                    what: "feet to hips in the bridge",
                    time_s: self.plan.depart,
                    span_m: limit_m + short,
                    limit_m,
                });
            }
        }
        Ok(state)
    }
}
