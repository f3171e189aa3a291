//! A motion: joint angles as functions of time, and what holds the figure up at each instant.

use crate::body::{Body, GRAVITY, Pose, State, direction, unit};
use crate::curve::{Blend, Curve};
use crate::error::{Error, within};
use crate::motions::Wheel;
use nalgebra::center;
use springline_kinematics::{Joint, Landmark, Point, Side, Vector};

/// What fixes the body in space.
#[derive(Clone, Debug)]
pub(crate) enum Rule {
    /// The toe of that foot stays where its contact says.
    Foot(Side),
    /// The same, with the knee and the direction of the thigh given, degrees.
    Over { side: Side, knee: Curve, thigh: Curve },
    /// The wrists stay where their contacts say; the left one counts if both are down.
    Hands,
    /// The centre of mass flies: start time, place (m) and velocity (m/s).
    Flight {
        from_s: f64,
        place: Point,
        velocity: Vector,
    },
    /// Mid-hip follows a given path (the body rolls or lies), m.
    Path { x: Curve, y: Curve },
}

/// A foot on the floor from `on` up to but not including `off`.
#[derive(Clone, Debug)]
pub(crate) struct FootContact {
    pub side: Side,
    pub on: f64,
    pub off: f64,
    pub toe: Point,
    /// How far the heel is turned up about the toe, degrees.
    pub pitch: Curve,
}

/// A flat hand on the floor from `on` up to but not including `off`.
#[derive(Clone, Debug)]
pub(crate) struct HandContact {
    pub side: Side,
    pub on: f64,
    pub off: f64,
    pub wrist: Point,
    /// Direction of wrist→fingertip, degrees clockwise from vertical.
    pub palm: f64,
}

impl HandContact {
    /// Where the fingertip rests, m.
    pub fn tip(&self, body: &Body) -> Point {
        self.wrist + body.hand_m * unit(self.palm)
    }
}

/// A planar motion of the figure, defined for every time.
#[derive(Clone, Debug)]
pub(crate) struct Motion {
    pub(crate) body: Body,
    pub(crate) curves: [Curve; State::COUNT],
    pub(crate) blends: Vec<Blend>,
    /// Start time and rule, sorted.
    pub(crate) rules: Vec<(f64, Rule)>,
    pub(crate) feet: Vec<FootContact>,
    pub(crate) hands: Vec<HandContact>,
    /// A figure of its own in the frontal plane; the curves above are then empty.
    pub(crate) wheel: Option<Box<Wheel>>,
    /// First instant of the clip, s.
    pub(crate) start: f64,
    /// Last instant of the clip, s.
    pub(crate) end: f64,
}

/// Joint state and place of mid-hip at one instant.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Instant {
    pub state: State,
    pub root: Point,
    /// How far the worst supporting leg falls short of its contact, m.
    pub shortfall: f64,
}

/// Seconds just before an instant, for limits from the left.
pub(crate) const JUST: f64 = 1e-9;

impl Motion {
    /// Joint angles prescribed by the curves alone.
    pub fn prescribed(&self, time: f64) -> State {
        let mut state = State(std::array::from_fn(|channel| self.curves[channel].at(time)));
        for blend in &self.blends {
            state.0[blend.channel] += blend.at(time);
        }
        state
    }

    fn rule(&self, time: f64) -> &Rule {
        let next = self.rules.partition_point(|(from, _)| *from <= time);
        &self.rules[next.max(1) - 1].1
    }

    fn foot_down(&self, side: Side, time: f64) -> Option<&FootContact> {
        self.feet
            .iter()
            .find(|foot| foot.side == side && foot.on <= time && time < foot.off)
    }

    /// State and place at a time.
    pub(crate) fn instant(&self, time: f64) -> Instant {
        let mut state = self.prescribed(time);
        for hand in self.hands.iter().filter(|hand| hand.on <= time && time < hand.off) {
            state.aim_hand(hand.side, hand.palm);
        }
        let rule = self.rule(time);
        let mut held = None;
        let origin = Point::origin();
        if let Rule::Over { side, knee, thigh } = rule {
            state.0[State::knee_at(*side)] = knee.at(time);
            state.0[State::hip_at(*side)] = thigh.at(time) - state.trunk();
        }
        let root = match rule {
            Rule::Foot(side) | Rule::Over { side, .. } => match self.foot_down(*side, time) {
                Some(foot) => {
                    held = Some(*side);
                    let aim = self.body.flat_foot() + foot.pitch.at(time);
                    state.aim_foot(*side, aim);
                    foot.toe - self.toe_from_hip(&state, *side)
                }
                None => origin,
            },
            Rule::Hands => {
                let down = |hand: &&HandContact| hand.on <= time && time < hand.off;
                match self.hands.iter().find(down) {
                    Some(hand) => hand.wrist - self.wrist_from_hip(&state, hand.side),
                    None => origin,
                }
            }
            Rule::Flight {
                from_s,
                place,
                velocity,
            } => {
                let passed = time - from_s;
                let drop = Vector::new(0.0, -0.5 * GRAVITY * passed * passed);
                let mass = place + velocity * passed + drop;
                mass - self.body.pose(&state, origin).mass_centre().coords
            }
            Rule::Path { x, y } => Point::new(x.at(time), y.at(time)),
        };
        let mut shortfall: f64 = 0.0;
        for side in Side::BOTH {
            if held == Some(side) {
                continue;
            }
            if let Some(foot) = self.foot_down(side, time) {
                let short = reach(&self.body, &mut state, side, root, foot.toe, foot.pitch.at(time));
                shortfall = shortfall.max(short);
            }
        }
        if !matches!(rule, Rule::Hands) {
            for hand in self.hands.iter().filter(|hand| hand.on <= time && time < hand.off) {
                shortfall = shortfall.max(reach_down(&self.body, &mut state, hand, root));
            }
        }
        Instant { state, root, shortfall }
    }

    /// Where every landmark is, m.
    #[must_use]
    pub fn pose(&self, time: f64) -> Pose {
        if let Some(wheel) = &self.wheel {
            return wheel.pose(time);
        }
        let instant = self.instant(time);
        self.body.pose(&instant.state, instant.root)
    }

    pub fn toe_from_hip(&self, state: &State, side: Side) -> Vector {
        self.body.thigh_m * unit(state.thigh_direction(side))
            + self.body.shank_m * unit(state.shank_direction(side))
            + self.body.instep() * unit(state.foot_direction(side))
    }

    pub fn wrist_from_hip(&self, state: &State, side: Side) -> Vector {
        self.body.trunk_m * unit(state.trunk())
            + Vector::new(state.shoulder_shift(side), 0.0)
            + self.body.upper_arm_m * unit(state.upper_arm_direction(side))
            + self.body.forearm_m * unit(state.forearm_direction(side))
    }

    /// Velocity of the centre of mass just before a time, m/s.
    pub fn mass_velocity_before(&self, time: f64) -> Vector {
        let step = 1e-5;
        let at = |t: f64| self.pose(t).mass_centre();
        let t = time - JUST;
        (3.0 * at(t).coords - 4.0 * at(t - step).coords + at(t - 2.0 * step).coords) / (2.0 * step)
    }

    /// Velocity of the centre of mass just after a time, m/s.
    pub fn mass_velocity_after(&self, time: f64) -> Vector {
        let step = 1e-5;
        let at = |t: f64| self.pose(t).mass_centre();
        let t = time + JUST;
        (4.0 * at(t + step).coords - 3.0 * at(t).coords - at(t + 2.0 * step).coords) / (2.0 * step)
    }

    /// Free fall from `from` on, such that at `to` the point that `anchor` picks is at that height (and,
    /// where given, at that X), m. Horizontally the body keeps its speed if no X is given. Returns the
    /// push: the jump of the centre of mass' velocity, m/s.
    pub fn launch(&mut self, from: f64, to: f64, anchor: impl Fn(&Pose) -> Point, x: Option<f64>, y: f64) -> Vector {
        let place = self.pose(from - JUST).mass_centre();
        let before = self.mass_velocity_before(from);
        let mut state = self.prescribed(to);
        for hand in self.hands.iter().filter(|hand| hand.on <= to && to < hand.off) {
            state.aim_hand(hand.side, hand.palm);
        }
        let end = self.body.pose(&state, Point::origin());
        let mass = end.mass_centre() - anchor(&end);
        let t = to - from;
        let velocity = Vector::new(
            x.map_or(before.x, |x| (x + mass.x - place.x) / t),
            (y + mass.y - place.y) / t + 0.5 * GRAVITY * t,
        );
        self.rules.push((
            from,
            Rule::Flight {
                from_s: from,
                place,
                velocity,
            },
        ));
        self.rules.sort_by(|a, b| a.0.total_cmp(&b.0));
        velocity - before
    }

    /// Lets the channels of a limb glide from where a contact left them back to the prescribed
    /// curves, without a jump in angle or rate.
    pub fn release(&mut self, channels: &[usize], time: f64, span: f64) {
        let step = 1e-4;
        let gap = |t: f64| {
            let (held, free) = (self.instant(t).state, self.prescribed(t));
            move |c: usize| held.0[c] - free.0[c]
        };
        let (a, b, c) = (gap(time - JUST), gap(time - JUST - step), gap(time - JUST - 2.0 * step));
        let found: Vec<Blend> = channels
            .iter()
            .map(|&channel| {
                let rate = (3.0 * a(channel) - 4.0 * b(channel) + c(channel)) / (2.0 * step);
                let from = (time, a(channel), rate);
                // A fast limb must not carry on too far: a fifth of rate × span at most, less when it
                // is on its way back anyway.
                let mut span = span.min((75.0 / rate.abs()).max(0.06));
                if rate * a(channel) < 0.0 && a(channel).abs() > 2.0 {
                    span = span.min((2.5 * (a(channel) / rate).abs()).max(0.04));
                }
                Blend {
                    channel,
                    from,
                    to: (time + span, 0.0, 0.0),
                }
            })
            .collect();
        self.blends.extend(found);
    }

    /// Lets the channels of a limb glide from the prescribed curves to where a contact that begins
    /// at `time` will hold them.
    pub fn approach(&mut self, channels: &[usize], time: f64, span: f64) {
        let (held, free) = (self.instant(time).state, self.prescribed(time));
        for &channel in channels {
            let miss = held.0[channel] - free.0[channel];
            self.blends.push(Blend {
                channel,
                from: (time - span, 0.0, 0.0),
                to: (time, miss, 0.0),
            });
        }
    }

    /// Ends a foot contact at the latest when its leg is nearly stretched out or the knee would have to
    /// open faster than `fastest`, degrees a second, and lets the leg glide on from there.
    pub fn lift(&mut self, contact: usize, from: f64, span: f64, fastest: f64) {
        let (side, latest) = (self.feet[contact].side, self.feet[contact].off);
        let step = 0.001;
        let mut before = self.instant(from).state.knee(side);
        let mut off = from + step;
        while off < latest {
            let next = self.instant(off);
            let knee = next.state.knee(side);
            let rate = (knee - before) / step;
            let carried = knee + 0.055 * rate.max(0.0);
            if next.shortfall > 0.0 || carried > 188.0 || !(-900.0..=fastest).contains(&rate) {
                break;
            }
            before = knee;
            off += step;
        }
        if off < latest {
            off -= step;
        } else {
            off = latest;
        }
        self.feet[contact].off = off;
        self.release(&leg_channels(side), off, span);
    }

    /// Refuses legs that fall short, joints bent the wrong way and points under the floor, by sampling
    /// every 2 ms and every 0.5 ms around the contacts.
    pub fn check(&self) -> Result<(), Error> {
        let count = ((self.end - self.start) / 0.002).ceil() as usize;
        let mut times: Vec<f64> = (0..=count).map(|i| self.start + i as f64 * 0.002).collect();
        // Where contacts begin and end, more closely.
        let spells = self.feet.iter().map(|foot| (foot.on, foot.off));
        for (on, off) in spells.chain(self.hands.iter().map(|hand| (hand.on, hand.off))) {
            for edge in [on, off] {
                times.extend((-10..=10).map(|i| edge + f64::from(i) * 0.0005));
                times.extend([edge - JUST, edge]);
            }
        }
        for time in times.into_iter().filter(|t| (self.start..=self.end).contains(t)) {
            let instant = self.instant(time);
            if instant.shortfall > 1e-9 {
                let limit_m = self.body.leg_m();
                return Err(Error::OutOfReach {
                    what: "leg between hip and floor",
                    time_s: time,
                    span_m: limit_m + instant.shortfall,
                    limit_m,
                });
            }
            for side in Side::BOTH {
                within("knee angle, degrees", instant.state.knee(side), 15.0, 190.0)?;
                within("elbow angle, degrees", instant.state.elbow(side), 30.0, 195.0)?;
            }
            let pose = self.body.pose(&instant.state, instant.root);
            for landmark in Landmark::ALL {
                let height_m = pose.at(landmark).y;
                if height_m < -FLOOR_SLACK_M {
                    return Err(Error::UnderFloor {
                        point: landmark.id(),
                        time_s: time,
                        height_m,
                    });
                }
            }
        }
        Ok(())
    }
}

/// A free point may graze the floor by this much, m: far below a pixel.
const FLOOR_SLACK_M: f64 = 5e-4;

/// Fastest joint that a draw may have, degrees a second.
const FASTEST: f64 = 1500.0;

impl Motion {
    /// Refuses motions that no body does: joints faster than 1500°/s, hands that creep onto the floor or
    /// shoot off it.
    pub fn human(&self) -> Result<(), Error> {
        let step = 0.004;
        let count = ((self.end - self.start) / step) as usize;
        let mut before = self.instant(self.start).state;
        for i in 1..=count {
            let state = self.instant(self.start + i as f64 * step).state;
            for channel in (0..State::COUNT).filter(|&channel| channel != State::TWIST) {
                let rate = (state.0[channel] - before.0[channel]) / step;
                within("joint rate, degrees a second", rate, -FASTEST, FASTEST)?;
            }
            before = state;
        }
        let sink = |hand: &HandContact, from: f64| {
            let wrist = |t: f64| self.pose(t).of(Joint::Wrist, hand.side).y;
            (wrist(from + 1e-5) - wrist(from)) / 1e-5
        };
        for hand in &self.hands {
            within(
                "speed of a hand as it lands, m/s",
                sink(hand, hand.on - 2e-5),
                -3.2,
                -0.3,
            )?;
            within(
                "speed of a hand as it leaves, m/s",
                sink(hand, hand.off + 1e-5),
                -0.1,
                2.9,
            )?;
        }
        Ok(())
    }
}

/// The hip, knee and ankle channels of a leg.
pub(crate) fn leg_channels(side: Side) -> [usize; 3] {
    [State::hip_at(side), State::knee_at(side), State::ankle_at(side)]
}

/// Bends a leg so that its toe is there with the heel raised by `pitch`; returns by how much the leg
/// falls short, m.
pub(crate) fn reach(body: &Body, state: &mut State, side: Side, hip: Point, toe: Point, pitch: f64) -> f64 {
    let to_ankle = body.ankle_over(toe, pitch) - hip;
    let (thigh, shank) = (body.thigh_m, body.shank_m);
    let wanted = to_ankle.norm();
    let span = wanted.clamp((thigh - shank).abs() + 1e-6, thigh + shank);
    let knee = (thigh.powi(2) + shank.powi(2) - span * span) / (2.0 * thigh * shank);
    let lead = (thigh.powi(2) + span * span - shank.powi(2)) / (2.0 * thigh * span);
    let thigh_direction = direction(to_ankle) - lead.clamp(-1.0, 1.0).acos().to_degrees();
    state.0[State::hip_at(side)] = (thigh_direction - state.trunk()).rem_euclid(360.0);
    state.0[State::knee_at(side)] = knee.clamp(-1.0, 1.0).acos().to_degrees();
    state.aim_foot(side, body.flat_foot() + pitch);
    (wanted - span).max(0.0)
}

/// Bends an arm so that its wrist is where the contact says; returns by how much it falls short, m.
fn reach_down(body: &Body, state: &mut State, hand: &HandContact, root: Point) -> f64 {
    let side = hand.side;
    let shift = Vector::new(state.shoulder_shift(side), 0.0);
    let to_wrist = hand.wrist - (root + body.trunk_m * unit(state.trunk()) + shift);
    let (upper, fore) = (body.upper_arm_m, body.forearm_m);
    let wanted = to_wrist.norm();
    let span = wanted.clamp((upper - fore).abs() + 1e-6, upper + fore);
    let elbow = (upper.powi(2) + fore.powi(2) - span * span) / (2.0 * upper * fore);
    let lead = (upper.powi(2) + span * span - fore.powi(2)) / (2.0 * upper * span);
    let arm = direction(to_wrist) + lead.clamp(-1.0, 1.0).acos().to_degrees();
    let shoulder = state.trunk() + 180.0 - arm;
    state.0[State::shoulder_at(side)] = (shoulder + 90.0).rem_euclid(360.0) - 90.0;
    state.0[State::elbow_at(side)] = elbow.clamp(-1.0, 1.0).acos().to_degrees();
    state.aim_hand(side, hand.palm);
    (wanted - span).max(0.0)
}

/// The upper of the two points at distance `a_span` from `a` and `b_span` from `b`.
pub(crate) fn apex(a: Point, a_span: f64, b: Point, b_span: f64) -> Option<Point> {
    let gap = (b - a).norm();
    let along = (gap * gap + a_span * a_span - b_span * b_span) / (2.0 * gap);
    let up = a_span * a_span - along * along;
    if up <= 0.0 {
        return None;
    }
    let ahead = (b - a) / gap;
    let side = Vector::new(-ahead.y, ahead.x);
    let side = if side.y < 0.0 { -side } else { side };
    Some(a + along * ahead + up.sqrt() * side)
}

/// Mid-point of the two ankles of a pose.
pub(crate) fn mid_ankle(pose: &Pose) -> Point {
    center(&pose.of(Joint::Ankle, Side::Left), &pose.of(Joint::Ankle, Side::Right))
}
