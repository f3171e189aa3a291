//! The front handspring: from the dials to a motion.
//!
//! The figure is kinematic: joint angles are given, the floor and free fall place the body. Angular
//! momentum in flight is not conserved, and the body's velocity jumps where hands and feet strike.

use crate::body::{Body, State, at, direction};
use crate::curve::Curve;
use crate::error::{Error, within};
use crate::motion::{FootContact, HandContact, Motion, Rule, apex, leg_channels, reach};
use crate::params::Params;
use crate::stance::{Stance, balance};
use crate::story::Story;
use springline_kinematics::{Joint, Point, Side, Vector};

/// The instants that the dials ask for, s.
#[derive(Clone, Copy, Debug)]
struct Plan {
    step: f64,
    lunge: f64,
    place: f64,
    depart: f64,
    touch: f64,
    second: f64,
    rest: f64,
    stand: f64,
    end: f64,
}

/// Builds the motion and says what it is.
pub(crate) fn build(params: &Params) -> Result<(Motion, Story), Error> {
    let builder = Builder::new(params)?;
    let motion = builder.run()?;
    let story = Story {
        push_off: Some(builder.push),
        lunge_s: Some(builder.plan.lunge),
        first_foot: Some(builder.rear),
        step_out: Some(params.step_out),
        ..Story::default()
    };
    Ok((motion, story))
}

struct Builder<'a> {
    p: &'a Params,
    body: Body,
    rear: Side,
    push: Side,
    front_toe: Point,
    hands: Point,
    stand: State,
    lunge: State,
    place: State,
    lunge_root: Point,
    place_root: Point,
    plan: Plan,
}

/// Heel turned up in the lunge (rear foot) and at placement (push-off foot), degrees.
const REAR_PITCH: f64 = 50.0;
const PLACE_PITCH: f64 = 24.0;

impl<'a> Builder<'a> {
    fn new(p: &'a Params) -> Result<Self, Error> {
        let body = p.body();
        let leg = body.leg_m();
        let (push, rear) = (p.push_off, p.push_off.other());
        let front_toe = Point::new(p.lunge_length * leg, 0.0);
        let stand = standing(&body, p.start_shoulder);
        let (lunge, lunge_root) = lunge_pose(p, &body, front_toe)?;
        let ahead = front_toe.x + p.hand_to_foot * leg;
        let palm = (body.hand_m.powi(2) - body.wrist_height_m.powi(2)).sqrt();
        let hands = Point::new(ahead - palm, body.wrist_height_m);
        let (place, place_root) = placement_pose(p, &body, front_toe, hands)?;
        let entry = (place_root.x - lunge_root.x) / p.travel_speed_m_s;
        within("time from lunge to hand placement, s", entry, 0.2, 1.2)?;

        let step = p.stand_before_s;
        let lunge_s = step + p.step_s;
        let place_s = lunge_s + entry;
        let depart = place_s + p.support_s;
        let touch = depart + p.flight_s;
        let rest = touch.max(depart) + p.landing_s;
        let end = rest + p.stand_after_s.max(0.3);
        let plan = Plan {
            step,
            lunge: lunge_s,
            place: place_s,
            depart,
            touch,
            second: touch + p.second_foot_after_s,
            rest,
            stand: rest + 0.7,
            end,
        };
        Ok(Self {
            p,
            body,
            rear,
            push,
            front_toe,
            hands,
            stand,
            lunge,
            place,
            lunge_root,
            place_root,
            plan,
        })
    }

    fn run(&self) -> Result<Motion, Error> {
        let landing = self.landing_stances()?;
        let mut trunk_at_departure = 180.0 + self.p.departure_lean;
        let mut lean = f64::NAN;
        for _ in 0..12 {
            let motion = self.assemble(trunk_at_departure, &landing)?;
            let pose = motion.pose(self.plan.depart);
            let line = crate::motion::mid_ankle(&pose) - pose.middle(Joint::Wrist);
            lean = direction(line);
            if (lean - self.p.departure_lean).abs() < 1e-6 {
                let motion = self.land(motion, &landing)?;
                motion.check()?;
                return Ok(motion);
            }
            trunk_at_departure += self.p.departure_lean - lean;
        }
        let least = self.p.departure_lean - 1e-6;
        Err(Error::Implausible {
            what: "body-line lean at hand departure, degrees",
            found: lean,
            least,
            most: least + 2e-6,
        })
    }

    /// Touchdown, rest and stand: each solved for its landing lean.
    fn landing_stances(&self) -> Result<[Stance; 3], Error> {
        let (p, leg) = (self.p, self.body.leg_m());
        let first = self.rear;
        let mut state = self.stand;
        for side in Side::BOTH {
            state.0[State::elbow_at(side)] = 178.0;
        }
        let second_toe = if p.step_out { p.step_out_stride } else { p.feet_apart } * leg;
        let set = |state: &mut State, trunk: f64, shoulder: f64, hip: f64, knee: f64, head: f64| {
            state.0[State::TRUNK] = trunk;
            state.0[State::HEAD] = head;
            for side in Side::BOTH {
                state.0[State::shoulder_at(side)] = shoulder;
                state.0[State::hip_at(side)] = hip;
                state.0[State::knee_at(side)] = knee;
                state.0[State::ankle_at(side)] = 140.0;
            }
        };
        let mut touch = state;
        set(
            &mut touch,
            345.0,
            p.touchdown_shoulder,
            p.touchdown_hip,
            p.touchdown_knee,
            p.landing_head,
        );
        let pitch = self.body.pitch_for_heel(p.touchdown_heel * leg);
        let second = if p.step_out {
            touch.0[State::hip_at(first.other())] -= p.step_out_gap;
            None
        } else {
            let lift = 0.8 * p.second_foot_after_s;
            Some((Vector::new(second_toe, lift), pitch))
        };
        let touch = balance(&self.body, touch, first, pitch, second, p.touchdown_lean)?;

        let mut rest = state;
        set(
            &mut rest,
            355.0,
            p.settled_shoulder,
            p.settled_hip,
            p.settled_knee,
            90.0,
        );
        let pitch = self.body.pitch_for_heel(p.settled_heel * leg);
        let second = Some((Vector::new(second_toe, 0.0), pitch));
        let rest = balance(&self.body, rest, first, pitch, second, p.settled_lean)?;

        let mut stand = state;
        set(&mut stand, 360.0, p.settled_shoulder, 181.0, 176.0, 90.0);
        let second = Some((Vector::new(second_toe, 0.0), 0.0));
        let lean = if p.step_out { p.settled_lean } else { 4.0 };
        let stand = balance(&self.body, stand, first, 0.0, second, lean)?;
        Ok([touch, rest, stand])
    }

    /// Curves and contacts up to hand departure.
    fn assemble(&self, departing: f64, landing: &[Stance; 3]) -> Result<Motion, Error> {
        let (p, plan, body) = (self.p, &self.plan, &self.body);
        let [touch, rest, stand] = landing;
        let mut curves: [Curve; State::COUNT] = std::array::from_fn(|_| Curve::constant(0.0));
        let still = plan.rest + 0.12;
        let halfway = plan.place + 0.5 * p.support_s;
        let aloft = plan.depart + 0.5 * p.flight_s;
        let track = |keys: &[(f64, f64)], channel: usize| {
            let mut all = vec![
                (0.0, self.stand.0[channel]),
                (plan.step + 0.25 * p.step_s, self.stand.0[channel]),
                (plan.lunge, self.lunge.0[channel]),
                (plan.place, self.place.0[channel]),
                (plan.touch, touch.state.0[channel]),
                (plan.rest, rest.state.0[channel]),
                (still, rest.state.0[channel]),
                (plan.stand, stand.state.0[channel]),
            ];
            all.extend_from_slice(keys);
            Curve::through(&all)
        };
        curves[State::TRUNK] = track(&[(plan.depart, departing)], State::TRUNK);
        curves[State::HEAD] = track(&[(halfway, p.support_head), (plan.depart, p.support_head)], State::HEAD);
        let turned = self.place.0[State::TWIST];
        let early = plan.place - 0.05;
        curves[State::TWIST] = track(&[(early, turned), (plan.depart, turned)], State::TWIST);
        let elbow_ends = 0.5 * (p.support_elbow + p.support_elbow.max(176.0));
        for side in Side::BOTH {
            let shoulder = [(halfway, p.least_shoulder), (plan.depart, p.departure_shoulder)];
            curves[State::shoulder_at(side)] = track(&shoulder, State::shoulder_at(side));
            let elbow = [(halfway, p.support_elbow), (plan.depart, elbow_ends)];
            curves[State::elbow_at(side)] = track(&elbow, State::elbow_at(side));
        }

        let mut motion = Motion {
            body: *body,
            curves,
            blends: Vec::new(),
            rules: vec![(f64::NEG_INFINITY, Rule::Foot(self.rear)), (plan.place, Rule::Hands)],
            feet: Vec::new(),
            hands: Vec::new(),
            start: 0.0,
            end: plan.end,
        };
        for side in Side::BOTH {
            let shift = Vector::new(self.place.shoulder_shift(side), 0.0);
            motion.hands.push(HandContact {
                side,
                on: plan.place,
                off: plan.depart,
                wrist: self.hands + shift,
                palm: body.flat_palm(),
            });
        }
        motion.rules.insert(1, (plan.lunge, self.entry(&motion)));
        let inverted = self.inverted(&motion);
        let join = (inverted - p.legs_join_before_inverted_s).max(plan.place + 0.1);
        let (swing, push) = (self.rear, self.push);
        let hip = State::hip_at(swing);
        let flying = (aloft, p.flight_hip);
        let over = plan.place + 0.6 * p.support_s;
        let keys = [(plan.depart, p.support_hip), (over, p.support_hip), flying];
        motion.curves[hip] = track(&keys, hip);
        let gap = |t: f64, gap: f64| (t, motion.curves[hip].at(t) - gap);
        let together = join + 0.06;
        let mut keys = vec![gap(join, p.residual_gap.max(15.0))];
        keys.push(gap(together, p.residual_gap));
        if together + 0.03 < plan.depart {
            keys.push(gap(plan.depart, p.residual_gap));
        }
        if together + 0.03 < aloft {
            keys.push(gap(aloft, p.residual_gap));
        }
        let push_hip = State::hip_at(push);
        motion.curves[push_hip] = track(&keys, push_hip);

        let shared = [(plan.depart, p.flight_knee), (aloft, p.flight_knee)];
        let knee = State::knee_at(swing);
        let kick = [(over, p.kick_knee), shared[0], shared[1]];
        motion.curves[knee] = track(&kick, knee);
        let knee = State::knee_at(push);
        let kick = [
            (plan.place + 0.13, p.kick_knee),
            (over, p.kick_knee),
            shared[0],
            shared[1],
        ];
        motion.curves[knee] = track(&kick, knee);
        let pointed = [(plan.place + 0.15, 150.0), (plan.depart, 155.0), (aloft, 152.0)];
        for side in Side::BOTH {
            motion.curves[State::ankle_at(side)] = track(&pointed, State::ankle_at(side));
            let hand = State::hand_at(side);
            let mut placed = motion.prescribed(plan.place);
            placed.aim_hand(side, body.flat_palm());
            let mut left = motion.prescribed(plan.depart);
            left.aim_hand(side, body.flat_palm());
            let keys = [
                (0.0, 0.0),
                (plan.step, 0.0),
                (plan.place - 0.25, -25.0),
                (plan.place - 0.05, placed.hand(side) + 6.0),
                (plan.place, placed.hand(side)),
                (plan.depart, left.hand(side)),
                (plan.touch.max(plan.depart + 0.3), -10.0),
            ];
            motion.curves[hand] = Curve::through(&keys);
        }
        // Mid-step of the push-off foot, which swings forward over the floor.
        let stride = |channel: usize, value: f64, lag: f64, motion: &mut Motion| {
            let from = self.stand.0[channel];
            let keys = [
                (0.0, from),
                (plan.step + lag * p.step_s, from),
                (plan.step + 0.45 * p.step_s, value),
                (plan.lunge, self.lunge.0[channel]),
            ];
            let after = motion.curves[channel].clone();
            let before = Curve::through(&keys);
            motion.curves[channel] = after.preceded_by(&before, plan.lunge);
        };
        stride(State::hip_at(push), 122.0, 0.0, &mut motion);
        stride(State::knee_at(push), 100.0, 0.08, &mut motion);
        stride(State::ankle_at(push), 105.0, 0.0, &mut motion);
        self.push_feet(&mut motion)?;
        Ok(motion)
    }

    /// The way of mid-hip from the lunge to hand placement, such that the hands come down at the speed
    /// asked for.
    fn entry(&self, motion: &Motion) -> Rule {
        let (p, plan) = (self.p, &self.plan);
        let step = 1e-5;
        let from_hip = |t: f64| motion.wrist_from_hip(&motion.prescribed(t), Side::Left);
        let after = (from_hip(plan.place - step) - from_hip(plan.place + step)) / (2.0 * step);
        let arrive = after + Vector::new(0.3 * p.hand_speed_m_s, -p.hand_speed_m_s);
        let (a, b) = (self.lunge_root, self.place_root);
        let mean = (b - a) / (plan.place - plan.lunge);
        let path =
            |a: f64, b: f64, leave: f64, arrive: f64| Curve::between((plan.lunge, a, leave), (plan.place, b, arrive));
        Rule::Path {
            x: path(a.x, b.x, 0.7 * mean.x, arrive.x),
            y: path(a.y, b.y, -0.3, arrive.y),
        }
    }

    /// Feet on the floor before the flight.
    fn push_feet(&self, motion: &mut Motion) -> Result<(), Error> {
        let (p, plan) = (self.p, &self.plan);
        let rear_pitch = Curve::through(&[
            (plan.step + 0.25 * p.step_s, 0.0),
            (plan.lunge, REAR_PITCH),
            (plan.lunge + 0.3, 58.0),
        ]);
        let never = f64::NEG_INFINITY;
        let origin = Point::origin();
        let roll = Curve::through(&[(plan.step, 0.0), (plan.step + 0.4 * p.step_s, 30.0)]);
        let off = plan.step + 0.2 * p.step_s;
        motion.feet.push(FootContact {
            side: self.push,
            on: never,
            off,
            toe: origin,
            pitch: roll,
        });
        let latest = plan.lunge + 0.3 * (plan.place - plan.lunge);
        motion.feet.push(FootContact {
            side: self.rear,
            on: never,
            off: latest,
            toe: origin,
            pitch: rear_pitch,
        });
        let rise = plan.place - 0.08;
        let pitch = Curve::through(&[(rise, 0.0), (plan.place, PLACE_PITCH), (plan.place + 0.075, 70.0)]);
        let off = plan.place + p.push_off_leaves_after_s;
        motion.feet.push(FootContact {
            side: self.push,
            on: plan.lunge,
            off,
            toe: self.front_toe,
            pitch,
        });
        motion.release(&leg_channels(self.push), plan.step + 0.2 * p.step_s, 0.3 * p.step_s);
        motion.lift(1, plan.lunge, 0.22)?;
        if p.push_off_leaves_after_s > 0.0 {
            motion.lift(2, plan.place, 0.16)?;
        }
        Ok(())
    }

    /// Flight and landing.
    fn land(&self, mut motion: Motion, landing: &[Stance; 3]) -> Result<Motion, Error> {
        let (p, plan, leg) = (self.p, &self.plan, self.body.leg_m());
        let first = self.rear;
        let hands: Vec<usize> = Side::BOTH.into_iter().map(State::hand_at).collect();
        motion.release(&hands, plan.depart, 0.2);
        let place = motion.pose(plan.depart - crate::motion::JUST).mass_centre();
        let before = motion.mass_velocity_before(plan.depart);
        let down = motion.body.pose(&motion.prescribed(plan.touch), Point::origin());
        let mass_over_toe = down.mass_centre().y - down.of(Joint::Toe, first).y;
        let t = p.flight_s;
        let up = (mass_over_toe - place.y) / t + 0.5 * crate::body::GRAVITY * t;
        within("upward push at hand departure, m/s", up - before.y, -0.02, 2.2)?;
        let velocity = Vector::new(before.x, up);
        motion.rules.push((
            plan.depart,
            Rule::Flight {
                from_s: plan.depart,
                place,
                velocity,
            },
        ));
        let arrival = motion.pose(plan.touch).of(Joint::Toe, first);
        let toe = Point::new(arrival.x, 0.0);
        let pitch = |heel: f64| self.body.pitch_for_heel(heel * leg);
        let heel = Curve::through(&[
            (plan.touch, pitch(p.touchdown_heel)),
            (plan.rest, pitch(p.settled_heel)),
            (plan.rest + 0.12, pitch(p.settled_heel)),
            (plan.stand, 0.0),
        ]);
        let ever = f64::INFINITY;
        motion.feet.push(FootContact {
            side: first,
            on: plan.touch,
            off: ever,
            toe,
            pitch: heel.clone(),
        });
        motion.rules.push((plan.touch, Rule::Foot(first)));
        let ahead = if p.step_out { p.step_out_stride } else { p.feet_apart } * leg;
        let second_toe = toe + Vector::new(ahead, 0.0);
        let second = first.other();
        motion.feet.push(FootContact {
            side: second,
            on: plan.second,
            off: ever,
            toe: second_toe,
            pitch: heel,
        });
        if plan.second > plan.touch {
            motion.approach(&leg_channels(second), plan.second, plan.second - plan.touch);
        }
        let _ = landing;
        Ok(motion)
    }

    /// When mid-hip passes over the hands if they stay down, s.
    fn inverted(&self, motion: &Motion) -> f64 {
        let ahead = |t: f64| {
            let state = motion.prescribed(t);
            let side = Side::Left;
            let shift = state.shoulder_shift(side);
            let wrist_from_hip = motion.wrist_from_hip(&state, side).x - shift;
            let tip = self.hands.x + (self.body.hand_m.powi(2) - self.body.wrist_height_m.powi(2)).sqrt();
            self.hands.x - wrist_from_hip - tip
        };
        let (from, to) = (self.plan.place, self.plan.depart + 0.12);
        let steps = 200;
        for i in 0..steps {
            let t = from + (to - from) * f64::from(i) / f64::from(steps);
            if ahead(t) > 0.0 {
                return t;
            }
        }
        to
    }
}

/// Standing before the skill.
fn standing(body: &Body, shoulder: f64) -> State {
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

/// The lunge: both feet down, the front one flat.
fn lunge_pose(p: &Params, body: &Body, front_toe: Point) -> Result<(State, Point), Error> {
    let rear_ankle = body.ankle_over(Point::origin(), REAR_PITCH);
    let front_ankle = body.ankle_over(front_toe, 0.0);
    let (front_span, rear_span) = (body.leg_span(p.lunge_knee), body.leg_span(165.0));
    let gap = (front_ankle - rear_ankle).norm();
    let hip = apex(rear_ankle, rear_span, front_ankle, front_span).ok_or(Error::OutOfReach {
        what: "legs in the lunge",
        time_s: 0.0,
        span_m: gap,
        limit_m: rear_span + front_span,
    })?;
    let mut state = standing(body, p.placement_shoulder.min(165.0));
    state.0[State::TRUNK] = p.lunge_trunk;
    state.0[State::HEAD] = 85.0;
    reach(body, &mut state, p.push_off.other(), hip, Point::origin(), REAR_PITCH);
    reach(body, &mut state, p.push_off, hip, front_toe, 0.0);
    Ok((state, hip))
}

/// Hand placement: the push-off foot and the hands on the floor.
fn placement_pose(p: &Params, body: &Body, front_toe: Point, hands: Point) -> Result<(State, Point), Error> {
    let mut toe = front_toe;
    if p.push_off_leaves_after_s < 0.0 {
        toe += Vector::new(0.02, 0.03);
    }
    let ankle = body.ankle_over(toe, PLACE_PITCH);
    let mut state = standing(body, p.placement_shoulder);
    state.0[State::HEAD] = p.placement_head;
    let elbow = 0.5 * (p.support_elbow + p.support_elbow.max(176.0));
    let first = p.push_off;
    for side in Side::BOTH {
        state.0[State::elbow_at(side)] = elbow;
    }
    let upper = state.forearm_direction(Side::Left);
    let arm = body.upper_arm_m * crate::body::unit(state.upper_arm_direction(Side::Left))
        + body.forearm_m * crate::body::unit(upper);
    let chain = Vector::new(0.0, body.trunk_m) + arm;
    let span = body.leg_span(p.placement_knee);
    let hip = apex(ankle, span, hands, chain.norm()).ok_or(Error::OutOfReach {
        what: "push-off foot to hands at placement",
        time_s: 0.0,
        span_m: (hands - ankle).norm(),
        limit_m: span + chain.norm(),
    })?;
    state.0[State::TRUNK] = (direction(hands - hip) - direction(chain)).rem_euclid(360.0);
    state.0[State::TWIST] = 0.5 * p.hand_stagger * body.leg_m() * if at(first) == 0 { -1.0 } else { 1.0 };
    reach(body, &mut state, first, hip, toe, PLACE_PITCH);
    state.0[State::hip_at(first.other())] = p.swing_hip;
    state.0[State::knee_at(first.other())] = p.kick_knee;
    state.0[State::ankle_at(first.other())] = 150.0;
    Ok((state, hip))
}
