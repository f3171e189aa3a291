//! The joint angles of the handspring as functions of time.

use super::Builder;
use super::poses::Landing;
use crate::body::State;
use crate::curve::{Blend, Curve};
use crate::error::Error;
use crate::motion::{HandContact, Motion, Rule};
use crate::story::crossing;
use springline_kinematics::{Side, Vector};

impl Builder<'_> {
    /// Curves, hands and the feet before the flight.
    pub(super) fn assemble(&self, depart: &State, landing: &Landing) -> Result<Motion, Error> {
        let (p, plan, body) = (self.p, &self.plan, &self.body);
        let mut motion = Motion {
            body: *body,
            curves: std::array::from_fn(|channel| self.track(depart, landing, &[], channel)),
            blends: Vec::new(),
            rules: vec![(f64::NEG_INFINITY, Rule::Foot(self.rear)), (plan.place, Rule::Hands)],
            feet: Vec::new(),
            hands: Vec::new(),
            wheel: None,
            start: 0.0,
            end: plan.end,
        };
        let mut set = |channel: usize, keys: &[(f64, f64)]| {
            motion.curves[channel] = self.track(depart, landing, keys, channel);
        };
        let halfway = plan.place + 0.5 * p.support_s;
        set(State::HEAD, &[(halfway, p.support_head)]);
        set(State::TWIST, &[(plan.place - 0.05, self.place.0[State::TWIST])]);
        for side in Side::BOTH {
            set(State::shoulder_at(side), &[(halfway, p.least_shoulder)]);
            set(State::elbow_at(side), &[(halfway, p.support_elbow)]);
        }
        for side in Side::BOTH {
            let shift = Vector::new(self.place.shoulder_shift(side), 0.0);
            let later = if side == self.push { 0.0 } else { p.hands_land_apart_s };
            motion.hands.push(HandContact {
                side,
                on: plan.place + later,
                off: plan.depart,
                wrist: self.hands + shift,
                palm: body.flat_palm(),
            });
        }
        motion.rules.insert(1, (plan.lunge, self.entry(&motion)));
        self.legs(&mut motion, depart, landing);
        self.hands(&mut motion);
        self.stride(&mut motion);
        if p.hands_land_apart_s > 0.0 {
            self.late_hand(&mut motion);
        }
        self.push_feet(&mut motion)?;
        Ok(motion)
    }

    /// A channel through the main poses and further keys; a pose without a value for it is left out.
    fn track(&self, depart: &State, landing: &Landing, keys: &[(f64, f64)], channel: usize) -> Curve {
        let plan = &self.plan;
        let mut all = vec![
            (0.0, self.stand.0[channel]),
            (plan.step + 0.25 * self.p.step_s, self.stand.0[channel]),
            (plan.lunge, self.lunge.0[channel]),
            (plan.place, self.place.0[channel]),
            (plan.depart, depart.0[channel]),
            (plan.touch, landing.touch.0[channel]),
            (plan.rest, landing.rest.0[channel]),
            (plan.still, landing.rest.0[channel]),
            (plan.stand, landing.stand.0[channel]),
        ];
        all.extend_from_slice(keys);
        all.retain(|(_, value)| value.is_finite());
        Curve::through(&all)
    }

    /// Instants of the flight at which its hip and knee angles are reached and left again.
    fn aloft(&self) -> Vec<f64> {
        let (from, flight) = (self.plan.depart, self.p.flight_s);
        if flight > 0.1 {
            vec![from + 0.4 * flight, from + 0.6 * flight]
        } else if flight > 0.04 {
            vec![from + 0.5 * flight]
        } else {
            Vec::new()
        }
    }

    fn legs(&self, motion: &mut Motion, depart: &State, landing: &Landing) {
        let (p, plan) = (self.p, &self.plan);
        let (swing, push) = (self.rear, self.push);
        // Feet that land before the hands leave end the swing earlier.
        let over_by = plan.depart.min(plan.touch);
        let over = plan.place + 0.6 * (over_by - plan.place);
        let flying = |value: f64| self.aloft().into_iter().map(move |t| (t, value));
        let mut depart = *depart;
        let join = (over_by - p.legs_join_before_departure_s)
            .max(plan.place + 0.17)
            .min(plan.touch - 0.09);
        let together = join + 0.06;

        let mut keys = vec![(over, p.support_hip)];
        keys.extend(flying(p.flight_hip));
        let hip = State::hip_at(swing);
        motion.curves[hip] = self.track(&depart, landing, &keys, hip);

        let gap = |t: f64, gap: f64| (t, motion.curves[hip].at(t) - gap);
        let mut keys = vec![gap(join, p.residual_gap.max(15.0))];
        if together < plan.touch - 0.03 {
            keys.push(gap(together, p.residual_gap));
        }
        for t in self.aloft().into_iter().filter(|&t| t > together) {
            keys.push(gap(t, p.residual_gap));
        }
        let push_hip = State::hip_at(push);
        if plan.depart >= plan.touch {
            // The bridge's departure pose holds.
        } else if together <= plan.depart {
            depart.0[push_hip] -= p.residual_gap;
        } else {
            // Still joining: on the way from placement to the join.
            let (from, to) = (self.place.0[push_hip], keys[0].1);
            let share = ((plan.depart - plan.place) / (join - plan.place)).min(1.0);
            depart.0[push_hip] = if share < 1.0 {
                from + (to - from) * share
            } else {
                f64::NAN
            };
        }
        motion.curves[push_hip] = self.track(&depart, landing, &keys, push_hip);

        // Knees stay as bent as they are kicked over until the hips are over the hands.
        let early = p.flight_s > 0.0 && p.departure_lean < 30.0;
        let bent_until = if early { plan.depart } else { over };
        let held = (self.over_the_hands(motion) - plan.depart + 0.006)
            .max(0.05 * p.flight_s)
            .min(0.4 * p.flight_s.max(0.0));
        for side in [swing, push] {
            let knee = State::knee_at(side);
            let mut depart = depart;
            let mut keys = Vec::new();
            if bent_until == plan.depart {
                depart.0[knee] = p.kick_knee;
                keys.push((plan.depart + held, p.kick_knee));
                keys.push((plan.depart + held + 0.3 * p.flight_s, p.flight_knee));
            }
            keys.push((over, p.kick_knee));
            if side == push {
                keys.push((plan.place + 0.13_f64.max(0.35 * p.support_s), p.kick_knee));
            } else {
                keys.extend(flying(p.flight_knee));
            }
            motion.curves[knee] = self.track(&depart, landing, &keys, knee);
            let ankle = State::ankle_at(side);
            let mut keys = vec![(plan.place + 0.15, 150.0)];
            keys.extend(flying(152.0));
            motion.curves[ankle] = self.track(&depart, landing, &keys, ankle);
        }
    }

    /// When mid-hip passes over the fingertips, as if the hands stayed down, s.
    fn over_the_hands(&self, motion: &Motion) -> f64 {
        let (from, to) = (self.plan.place, self.plan.depart + 0.15);
        let ahead = |t: f64| {
            let reach = motion.wrist_from_hip(&motion.prescribed(t), Side::Left);
            -reach.x + motion.prescribed(t).shoulder_shift(Side::Left) - self.body.palm_ahead()
        };
        let step = (to - from) / 100.0;
        let mut t = from;
        while t < to && ahead(t + step) <= 0.0 {
            t += step;
        }
        crossing(ahead, t, t + step)
    }

    fn hands(&self, motion: &mut Motion) {
        let plan = &self.plan;
        for side in Side::BOTH {
            let flat = |t: f64| {
                let mut state = motion.prescribed(t);
                state.aim_hand(side, self.body.flat_palm());
                state.hand(side)
            };
            let (placed, left) = (flat(plan.place), flat(plan.depart));
            let keys = [
                (0.0, 0.0),
                (plan.step, 0.0),
                (plan.place - 0.05, placed + 6.0),
                (plan.place, placed),
                (plan.place - 0.25, -25.0),
                (plan.depart, left),
                (plan.depart + self.relax, -10.0),
            ];
            motion.curves[State::hand_at(side)] = Curve::through(&keys);
        }
    }

    /// The second hand comes down later: its arm is held further up until then.
    fn late_hand(&self, motion: &mut Motion) {
        let (place, later) = (self.plan.place, self.p.hands_land_apart_s);
        let channel = State::shoulder_at(self.rear);
        let rate = -210.0;
        let more = -rate * later;
        let peak = (place, more, rate);
        let from = (place - 0.2, 0.0, 0.0);
        motion.blends.push(Blend {
            channel,
            from,
            to: peak,
        });
        motion.blends.push(Blend {
            channel,
            from: peak,
            to: (place + later, 0.0, rate),
        });
        motion.approach(&[State::hand_at(self.rear)], place + later, 0.12);
    }

    /// Mid-step: the push-off foot swings forward over the floor.
    fn stride(&self, motion: &mut Motion) {
        let plan = &self.plan;
        for (channel, value, lag) in [
            (State::hip_at(self.push), 122.0, 0.0),
            (State::knee_at(self.push), 100.0, 0.08),
            (State::ankle_at(self.push), 105.0, 0.0),
        ] {
            let from = self.stand.0[channel];
            let before = Curve::through(&[
                (0.0, from),
                (plan.step + lag * self.p.step_s, from),
                (plan.step + 0.52 * self.p.step_s, value),
                (plan.lunge, self.lunge.0[channel]),
            ]);
            motion.curves[channel] = motion.curves[channel].clone().preceded_by(&before, plan.lunge);
        }
    }
}
