//! Everything that is known about a synthetic attempt.

use crate::body::{GRAVITY, Pose, direction};
use crate::camera::View;
use crate::motion::{JUST, Motion, Rule};
use crate::story::{Story, events, hands_x, landing_ankle, leg_gap};
use springline_kinematics::{EventKind, Joint, Landmark, Measure, Point, Side, Unit, Vector};

/// The truth behind a synthetic attempt, exact at every instant (not only at frames).
///
/// Written apart from the measuring code on purpose: joint angles come from the figure's own joint
/// state, everything else from plain geometry here.
#[derive(Clone, Debug)]
pub struct Truth {
    motion: Motion,
    story: Story,
    view: View,
    events: Vec<(EventKind, f64)>,
}

impl Truth {
    pub(crate) fn new(motion: Motion, story: Story, view: View) -> Self {
        let events = events(&motion, &story);
        Self {
            motion,
            story,
            view,
            events,
        }
    }

    /// First and last instant of the clip, s.
    #[must_use]
    pub fn span(&self) -> (f64, f64) {
        (self.motion.start, self.motion.end)
    }

    /// Exact time of an event, s; `None` if it does not happen in the clip.
    #[must_use]
    pub fn event(&self, kind: EventKind) -> Option<f64> {
        self.events
            .iter()
            .find(|(found, _)| *found == kind)
            .map(|(_, time)| *time)
    }

    /// Every event that happens, in order of kind, with its time in s.
    #[must_use]
    pub fn events(&self) -> &[(EventKind, f64)] {
        &self.events
    }

    /// When that foot is on the floor: (first, last) instants in s, within the clip.
    #[must_use]
    pub fn foot_contacts(&self, side: Side) -> Vec<(f64, f64)> {
        self.spells(
            self.motion
                .feet
                .iter()
                .filter(|foot| foot.side == side)
                .map(|foot| (foot.on, foot.off)),
        )
    }

    /// When that hand is on the floor: (first, last) instants in s, within the clip.
    #[must_use]
    pub fn hand_contacts(&self, side: Side) -> Vec<(f64, f64)> {
        self.spells(
            self.motion
                .hands
                .iter()
                .filter(|hand| hand.side == side)
                .map(|hand| (hand.on, hand.off)),
        )
    }

    fn spells(&self, raw: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
        let (start, end) = self.span();
        let inside = raw.filter(|&(on, off)| off > start && on < end);
        let mut all: Vec<_> = inside.map(|(on, off)| (on.max(start), off.min(end))).collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    /// The foot that pushes off, where one does.
    #[must_use]
    pub fn push_off(&self) -> Option<Side> {
        self.story.push_off
    }

    /// The foot that lands first after the hands.
    #[must_use]
    pub fn first_foot(&self) -> Option<Side> {
        self.story.first_foot
    }

    /// Whether the landing is a step-out; `None` where there is no landing.
    #[must_use]
    pub fn step_out(&self) -> Option<bool> {
        self.story.step_out
    }

    /// Whether the figure is seen from the front (a cartwheel): it then faces the camera and travels
    /// toward +X, the athlete's left; angles are unsigned.
    #[must_use]
    pub fn is_frontal(&self) -> bool {
        self.motion.wheel.is_some()
    }

    /// Where the camera stands.
    #[must_use]
    pub fn view(&self) -> View {
        self.view
    }

    /// Leg length (thigh and shank), m.
    #[must_use]
    pub fn leg_m(&self) -> f64 {
        self.motion.body.leg_m()
    }

    /// The figure.
    #[must_use]
    pub fn body(&self) -> crate::body::Body {
        self.motion.body
    }

    /// Where every landmark is, m in the gym plane.
    #[must_use]
    pub fn pose(&self, time: f64) -> Pose {
        self.motion.pose(time)
    }

    /// Where every landmark is in the picture, px (x right, y down), without noise.
    #[must_use]
    pub fn picture(&self, time: f64) -> [Point; Landmark::COUNT] {
        self.view.picture(&self.pose(time))
    }

    /// Whole-body centre of mass, m (de Leva, female).
    #[must_use]
    pub fn mass_centre(&self, time: f64) -> Point {
        self.pose(time).mass_centre()
    }

    /// Velocity of the centre of mass, m/s; where it jumps (at a strike), the mean of before and after.
    #[must_use]
    pub fn mass_velocity(&self, time: f64) -> Vector {
        0.5 * (self.motion.mass_velocity_before(time) + self.motion.mass_velocity_after(time))
    }

    /// One of the five joint angles or the trunk inclination (side ignored), degrees, from the figure's
    /// own joint state; hip and shoulder refer to the shoulder of that side. `None` for other measures. Of a
    /// figure seen from the front: unsigned, between the segments as seen.
    #[must_use]
    pub fn joint_angle(&self, measure: Measure, side: Side, time: f64) -> Option<f64> {
        if self.motion.wheel.is_some() {
            return frontal_angle(&self.pose(time), measure, side);
        }
        let state = self.motion.instant(time).state;
        // A turned shoulder girdle turns the line from the hip to that side's shoulder by this much.
        let shift = state.shoulder_shift(side);
        let (sin, cos) = state.trunk().to_radians().sin_cos();
        let turn = (shift * cos).atan2(self.motion.body.trunk_m + shift * sin).to_degrees();
        Some(match measure {
            Measure::ShoulderOpening => state.shoulder(side) + turn,
            Measure::HipAngle => state.hip(side) - turn,
            Measure::KneeAngle => state.knee(side),
            Measure::ElbowAngle => 180.0 - (180.0 - state.elbow(side)).abs(),
            Measure::AnkleAngle => state.ankle(side),
            Measure::TrunkInclination => state.trunk(),
            _ => return None,
        })
    }

    /// Value of a measure that may be taken at any time, in its own unit (the first it lists). Sided
    /// measures need a side; the others ignore it. `None` where it is not defined.
    #[must_use]
    pub fn value(&self, measure: Measure, side: Option<Side>, time: f64) -> Option<f64> {
        use Measure as M;
        if let M::TrunkInclination = measure {
            return self.joint_angle(measure, Side::Left, time);
        }
        let pose = self.pose(time);
        let leg = self.leg_m();
        let ankle = landing_ankle(&pose, &self.story);
        Some(match measure {
            M::ShoulderOpening | M::HipAngle | M::KneeAngle | M::ElbowAngle | M::AnkleAngle => {
                self.joint_angle(measure, side?, time)?
            }
            M::BodyLineLean => direction(pose.middle(Joint::Ankle) - pose.middle(Joint::Wrist)),
            M::BodyLineStraightness => straightness(&pose, side?),
            M::LegGap => leg_gap(&self.motion, time),
            M::HeadTilt | M::EarOffset if self.motion.wheel.is_some() => return None,
            M::EarOffset => {
                let side = side?;
                if self.joint_angle(M::ShoulderOpening, side, time)? <= 90.0 {
                    return None;
                }
                let arm = pose.of(Joint::Elbow, side) - pose.of(Joint::Shoulder, side);
                let ear = pose.of(Joint::Ear, side) - pose.of(Joint::Shoulder, side);
                clockwise(arm, ear) / arm.norm_squared()
            }
            M::HeadTilt => self.motion.instant(time).state.head(),
            M::LandingLean => direction(pose.mass_centre() - ankle),
            M::ArrivalLean => direction(self.carried_mass(time, &pose, ankle)? - ankle),
            M::MassOverFoot => {
                let mass = self.carried_mass(time, &pose, ankle)?;
                let (heel, toe) = match (self.story.step_out, self.story.first_foot) {
                    (Some(true), Some(foot)) => (pose.of(Joint::Heel, foot), pose.of(Joint::Toe, foot)),
                    _ => (pose.middle(Joint::Heel), pose.middle(Joint::Toe)),
                };
                100.0 * (mass.x - heel.x) / (toe.x - heel.x)
            }
            M::HipLead => (pose.middle(Joint::Hip).x - ankle.x) / leg,
            M::HeelHeight => pose.of(Joint::Heel, side?).y / leg,
            M::FeetApart => (pose.of(Joint::Ankle, Side::Left) - pose.of(Joint::Ankle, Side::Right)).norm() / leg,
            // The contact points (fingertips) lie on the floor, at height 0.
            M::ShoulderHeight => pose.middle(Joint::Shoulder).y / leg,
            M::AnkleLead => (pose.middle(Joint::Ankle).x - pose.middle(Joint::Hip).x) / leg,
            _ => return None,
        })
    }

    /// Value of a measure that is taken once per attempt, in its own unit. `None` where it is not
    /// defined.
    #[must_use]
    pub fn once(&self, measure: Measure) -> Option<f64> {
        use EventKind as E;
        use Measure as M;
        let leg = self.leg_m();
        let between = |from: E, to: E| Some(self.event(to)? - self.event(from)?);
        let hand_times = |pick: fn(&crate::motion::HandContact) -> f64| {
            let of = |side| {
                let spell = self.motion.hands.iter().find(|hand| hand.side == side)?;
                Some(pick(spell)).filter(|t| (self.motion.start..=self.motion.end).contains(t))
            };
            Some((of(Side::Left)? - of(Side::Right)?).abs())
        };
        match measure {
            M::HandToFootDistance => Some((hands_x(&self.motion)? - self.push_toe()?.x) / leg),
            M::LungeLength => {
                let pose = self.pose(self.story.lunge_s?);
                let push = self.story.push_off?;
                let (front, rear) = (pose.of(Joint::Toe, push), pose.of(Joint::Toe, push.other()));
                Some((front.x - rear.x).abs() / leg)
            }
            M::HandStagger => {
                let tip = |side| {
                    let hand = self.motion.hands.iter().find(|hand| hand.side == side)?;
                    Some(hand.tip(&self.motion.body).x)
                };
                Some((tip(Side::Left)? - tip(Side::Right)?).abs() / leg)
            }
            M::SupportTime => between(E::HandPlacement, E::HandDeparture),
            M::FlightTime => between(E::HandDeparture, E::FeetTouchdown),
            M::HandFlightTime => between(E::HandDeparture, E::HandsReturn),
            M::HandsLeaveApart => hand_times(|hand| hand.off),
            M::HandsLandApart => hand_times(|hand| hand.on),
            M::LegsTogetherBeforeInverted => between(E::LegsTogether, E::Inverted),
            M::LegsTogetherBeforeDeparture => between(E::LegsTogether, E::HandDeparture),
            M::HoldTime => between(E::HoldStart, E::HoldEnd),
            M::RiseAfterDeparture => {
                let up = self.event(E::HandDeparture)?;
                let (_, rule) = self.motion.rules.iter().find(|(from, _)| *from >= up - JUST)?;
                let Rule::Flight { velocity, .. } = rule else {
                    return None;
                };
                Some(velocity.y.max(0.0).powi(2) / (2.0 * GRAVITY))
            }
            _ => None,
        }
    }

    /// The same in another unit that the measure lists; `None` if it does not list it.
    #[must_use]
    pub fn in_unit(&self, measure: Measure, value: f64, unit: Unit) -> Option<f64> {
        let own = *measure.units().first()?;
        if !measure.units().contains(&unit) {
            return None;
        }
        let metres = match own {
            Unit::LegLengths => value * self.leg_m(),
            _ => value,
        };
        match (own, unit) {
            (a, b) if a == b => Some(value),
            (Unit::LegLengths | Unit::Metres, Unit::Metres) => Some(metres),
            (Unit::LegLengths | Unit::Metres, Unit::Pixels) => Some(metres * self.view.camera.px_per_m()),
            (Unit::Metres, Unit::LegLengths) => Some(value / self.leg_m()),
            _ => None,
        }
    }

    /// Where the push-off toe stands, m.
    fn push_toe(&self) -> Option<Point> {
        let side = self.story.push_off?;
        let from = self.story.lunge_s.unwrap_or(f64::NEG_INFINITY);
        let mine = self
            .motion
            .feet
            .iter()
            .find(|foot| foot.side == side && foot.on >= from)?;
        Some(mine.toe)
    }

    /// The centre of mass carried on by its velocity: x + v/√(g/l).
    fn carried_mass(&self, time: f64, pose: &Pose, ankle: Point) -> Option<Point> {
        let mass = pose.mass_centre();
        let height = mass.y - ankle.y;
        if height <= 0.0 {
            return None;
        }
        // From then on: a foot that has just struck carries the body on with what is left.
        let velocity = self.motion.mass_velocity_after(time);
        Some(Point::new(mass.x + velocity.x * (height / GRAVITY).sqrt(), mass.y))
    }
}

/// Unsigned angle at a joint of the frontal figure, degrees.
fn frontal_angle(pose: &Pose, measure: Measure, side: Side) -> Option<f64> {
    let at = |joint| pose.of(joint, side);
    let (a, b, c) = match measure {
        Measure::ShoulderOpening => (Joint::Hip, Joint::Shoulder, Joint::Elbow),
        Measure::HipAngle => (Joint::Shoulder, Joint::Hip, Joint::Knee),
        Measure::KneeAngle => (Joint::Hip, Joint::Knee, Joint::Ankle),
        Measure::ElbowAngle => (Joint::Shoulder, Joint::Elbow, Joint::Wrist),
        Measure::TrunkInclination => {
            let line = pose.middle(Joint::Shoulder) - pose.middle(Joint::Hip);
            return Some(direction(line).rem_euclid(360.0));
        }
        _ => return None,
    };
    let (one, other) = (at(a) - at(b), at(c) - at(b));
    Some(
        (one.dot(&other) / (one.norm() * other.norm()))
            .clamp(-1.0, 1.0)
            .acos()
            .to_degrees(),
    )
}

/// How far `b` points clockwise of `a`, as |a||b| sin.
fn clockwise(a: Vector, b: Vector) -> f64 {
    a.y * b.x - a.x * b.y
}

/// Largest distance of shoulder, hip and knee from the ankle–wrist chord, in hundredths of it;
/// positive on the ventral side (clockwise of the cranial direction).
fn straightness(pose: &Pose, side: Side) -> f64 {
    let ankle = pose.of(Joint::Ankle, side);
    let chord = pose.of(Joint::Wrist, side) - ankle;
    let off = |joint| 100.0 * clockwise(chord, pose.of(joint, side) - ankle) / chord.norm_squared();
    [off(Joint::Shoulder), off(Joint::Hip), off(Joint::Knee)]
        .into_iter()
        .max_by(|a, b| a.abs().total_cmp(&b.abs()))
        .unwrap_or(0.0)
}
