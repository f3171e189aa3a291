//! A motion: joint angles as functions of time, and what holds the figure up at each instant.

use crate::body::{Body, GRAVITY, Pose, State, direction, unit};
use crate::curve::{Blend, Curve};
use crate::error::Error;
use nalgebra::center;
use springline_kinematics::{Joint, Landmark, Point, Side, Vector};

/// What fixes the body in space.
#[derive(Clone, Debug)]
pub(crate) enum Rule {
    /// The toe of that foot stays where its contact says.
    Foot(Side),
    /// The wrists stay where their contacts say; the left one counts if both are down.
    Hands,
    /// The centre of mass flies: start time, place (m) and velocity (m/s).
    Flight {
        from_s: f64,
        place: Point,
        velocity: Vector,
    },
    /// Mid-hip follows a given path.
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

/// How fast a knee may open under load, degrees a second.
const KNEE_RATE: f64 = 900.0;

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
        let root = match rule {
            Rule::Foot(side) => match self.foot_down(*side, time) {
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
        Instant { state, root, shortfall }
    }

    /// Where every landmark is, m.
    #[must_use]
    pub fn pose(&self, time: f64) -> Pose {
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
                // A fast limb must not carry on too far: about a fifth of rate × span.
                let span = span.min((75.0 / rate.abs()).max(0.06));
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
    /// open faster than a knee can, and lets the leg glide on from there.
    pub fn lift(&mut self, contact: usize, from: f64, span: f64) -> Result<(), Error> {
        let (side, latest) = (self.feet[contact].side, self.feet[contact].off);
        let step = 0.001;
        let mut before = self.instant(from).state.knee(side);
        let mut off = from + step;
        while off < latest {
            let next = self.instant(off);
            let knee = next.state.knee(side);
            if next.shortfall > 0.0 || knee > 177.0 || !(-900.0..=KNEE_RATE).contains(&((knee - before) / step)) {
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
        Ok(())
    }

    /// Refuses legs that fall short and points under the floor, by sampling every 2 ms.
    pub fn check(&self) -> Result<(), Error> {
        let count = ((self.end - self.start) / 0.002).ceil() as usize;
        for i in 0..=count {
            let time = (self.start + i as f64 * 0.002).min(self.end);
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
            let pose = self.body.pose(&instant.state, instant.root);
            for landmark in Landmark::ALL {
                let height_m = pose.at(landmark).y;
                if height_m < -1e-6 {
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
