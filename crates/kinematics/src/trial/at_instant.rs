//! A measure at one instant, with everything that makes it uncertain.

use crate::contact::slope;
use crate::series::Pose;
use crate::trial::geometry::Raw;
use crate::trial::propagate::{Gradient, gradient, nearest, per_turn};
use crate::trial::{Fold, NotSeen, Trial, Value};
use crate::{Joint, Landmark, Measure, Point, Side, TemporalError, Unit, Vector};

/// The rate of change at an event is taken over this much to either side, seconds (one frame at least).
const RATE_REACH_S: f64 = 0.02;
/// Velocity changes at a contact come from line fits over this much to either side, seconds.
const CORNER_REACH_S: f64 = 0.05;
/// A corner counts when its square is this many times what noise alone makes of it (1 in 100 by chance).
const CORNER_SHOWS: f64 = 6.6;
/// Line fits over 0.05 s take smooth acceleration for a corner as well; this share of the squared corner is real (measured
/// on simulated attempts).
const CORNER_SHARE: f64 = 0.5;
/// The velocity of the centre of mass comes from a parabola over this much before and after, seconds.
const VELOCITY_REACH_S: [f64; 2] = [0.05, 0.10];
/// Acceleration of gravity, m/s².
const GRAVITY: f64 = 9.81;

/// A value on one pose with its parts of uncertainty.
pub(crate) struct Sample {
    pub raw: Raw,
    pub gradient: Gradient,
    /// Change per radian of tilt of the floor.
    pub per_tilt: f64,
}

impl Trial {
    /// A measure at an instant.
    ///
    /// # Inputs
    /// `time` in seconds with its standard uncertainty `time_sd`; `corner`: a contact begins or ends then, so smoothing
    /// rounds off a corner of the path.
    /// # Errors
    /// What is missing, in [`NotSeen`].
    pub fn at(
        &self,
        measure: Measure,
        side: Side,
        time: f64,
        time_sd: f64,
        corner: bool,
        unit: Unit,
    ) -> Result<Value, NotSeen> {
        let outside = || NotSeen::OutsideClip(format!("{time:.3}"));
        let pose = self.series.pose_at(time).ok_or_else(outside)?;
        let mut remarks = Vec::new();
        let sample = self.sample(measure, side, &pose, &mut remarks)?;
        let period = Self::period_of(measure);
        let reach = RATE_REACH_S.max(self.series.interval());
        let value_at = |t: f64| {
            let pose = self.series.pose_at(t)?;
            self.value_on(measure, side, &pose, &mut Vec::new())
                .ok()
                .map(|raw| raw.value)
        };
        // Clamped to the clip, one-sided at its ends.
        let (low, high) = ((time - reach).max(self.clip().0), (time + reach).min(self.clip().1));
        let rate = match (value_at(low), value_at(high)) {
            (Some(before), Some(after)) if high > low => nearest(after - before, period) / (high - low),
            _ => 0.0,
        };
        let (mut gradient, mut time_sd) = (sample.gradient, time_sd);
        if self.is_inverted_instant(time) && self.follow_hips(&mut gradient, rate, low, high) {
            time_sd = 0.0;
        }
        let shared = self.series.raw().temporal_error == TemporalError::Shared;
        let points = gradient.variance();
        // Noise makes every value seem to move: what it alone adds to the squared rate is taken off.
        let seeming = if shared || high <= low {
            0.0
        } else {
            2.0 * points / (high - low).powi(2)
        };
        let by_rate = (rate * rate - seeming).max(0.0) * time_sd * time_sd;
        let timing = if time_sd > reach {
            // Known that poorly (settled), the true instant may lie where the value has moved on otherwise than by its rate:
            // later, that is, for a body that only seems to have settled is found too early.
            let later = value_at((time + time_sd).min(self.clip().1))
                .map_or(0.0, |later| nearest(later - sample.raw.value, period).powi(2));
            let seeming = if shared { 0.0 } else { 2.0 * points };
            let later = (later - seeming).max(0.0);
            later.max(0.5 * (by_rate + later))
        } else {
            by_rate
        };
        let tilt = (sample.per_tilt * self.tilt_sd).powi(2);
        let mut own = timing + tilt;
        own += self.velocity_variance(measure, &pose);
        if corner {
            own += self.corner_variance(&gradient, time);
        }
        let frame = self.series.frame_before(time).ok_or_else(outside)?;
        self.convert(
            Value {
                value: fold_value(&sample.raw),
                sd: (own + points).sqrt(),
                unit: measure.units()[0].in_px(),
                fold: sample.raw.fold,
                frames: (frame, (frame + 1).min(self.series.raw().len() - 1)),
                remarks,
                timing_share: share(timing, own + points),
                tilt_share: share(tilt, own + points),
                gradient: shared.then(|| Box::new(gradient)),
                own_variance: if shared { own } else { own + points },
            },
            unit,
        )
    }

    fn is_inverted_instant(&self, time: f64) -> bool {
        let inverted = self.found.event(crate::EventKind::Inverted);
        inverted.is_some_and(|event| event.how == crate::events::How::Detected && (event.time - time).abs() < 1e-9)
    }

    /// At inverted the instant itself comes from the hips: a hip seen too far ahead makes it too early. Both ways in which
    /// that error enters the value are taken together; false where the hips hardly move.
    fn follow_hips(&self, gradient: &mut Gradient, rate: f64, low: f64, high: f64) -> bool {
        let hip = |time: f64| self.middle(&self.series.pose_at(time)?, Joint::Hip).ok();
        let (Some(before), Some(after)) = (hip(low), hip(high)) else {
            return false;
        };
        let speed = (after.x - before.x) / (high - low).max(1e-9);
        if speed.abs() < 0.3 * self.leg.value {
            return false;
        }
        let frame = self.series.frame_before(low).unwrap_or(0);
        let sides = Side::BOTH.map(|side| Landmark::of(Joint::Hip, side));
        let seen = sides
            .iter()
            .filter(|hip| self.series.smooth(**hip, frame).is_some())
            .count()
            .max(1);
        let pose = self.series.pose_at_frame(frame);
        for hip in sides.into_iter().filter(|hip| pose.at(*hip).is_some()) {
            gradient.shift(hip, Vector::new(-rate / speed / seen as f64, 0.0), pose.sd(hip));
        }
        true
    }

    /// A measure on a pose with its gradient.
    pub(crate) fn sample(
        &self,
        measure: Measure,
        side: Side,
        pose: &Pose,
        remarks: &mut Vec<String>,
    ) -> Result<Sample, NotSeen> {
        let raw = self.value_on(measure, side, pose, remarks)?;
        let farthest = (measure == Measure::BodyLineStraightness)
            .then(|| self.farthest_off_line(side, pose))
            .flatten();
        let f = |pose: &Pose| match farthest {
            // Stays with the point that is farthest now: which one it is jumps where two are alike.
            Some(joint) => self.off_line(side, pose, joint),
            None => self
                .value_on(measure, side, pose, &mut Vec::new())
                .ok()
                .map(|raw| raw.value),
        };
        let period = Self::period_of(measure);
        let gradient = gradient(pose, &self.used(measure, side, pose), period, f);
        let per_tilt = if has_vertical(measure) {
            per_turn(pose, period, f)
        } else {
            0.0
        };
        Ok(Sample {
            raw,
            gradient,
            per_tilt,
        })
    }

    /// A measure on a pose, with the velocity-adjusted centre of mass where the measure asks for it.
    pub(crate) fn value_on(
        &self,
        measure: Measure,
        side: Side,
        pose: &Pose,
        remarks: &mut Vec<String>,
    ) -> Result<Raw, NotSeen> {
        if !self.knows_facing() && !self.frontal && Self::needs_facing(measure) {
            return Err(NotSeen::Facing);
        }
        if measure == Measure::ShoulderOpening
            && pose.at(Landmark::of(Joint::Elbow, side)).is_none()
            && pose.at(Landmark::of(Joint::Wrist, side)).is_some()
        {
            say(remarks, "wrist stood in for the elbow");
        }
        if !matches!(measure, Measure::ArrivalLean | Measure::MassOverFoot) {
            return self.on_pose(measure, side, pose);
        }
        let Some(scale) = self.scale.filter(|_| !self.spotted) else {
            let why = if self.spotted {
                "position alone, without the velocity of the centre of mass: a spotter touched the athlete"
            } else {
                "position alone, without the velocity of the centre of mass: no scale"
            };
            say(remarks, why);
            return self.on_pose(measure, side, pose);
        };
        let (velocity, _) = self.mass_velocity(pose.time)?;
        self.adjusted(measure, pose, velocity, scale.value)
            .map(|value| Raw { value, fold: None })
    }

    /// Arrival lean (degrees) or mass over foot (percent) with the centre of mass carried on by `velocity`, px/s.
    fn adjusted(&self, measure: Measure, pose: &Pose, velocity: f64, metres_per_px: f64) -> Result<f64, NotSeen> {
        let mass = self.mass(pose)?;
        let ankle = self.landing_joint(pose, Joint::Ankle)?;
        let height = mass.y - ankle.y;
        if height <= 0.0 {
            return Err(NotSeen::Undefined("the centre of mass is not above the ankle"));
        }
        // Hof: x + v / √(g/l), all in px; g in px/s².
        let carried = Point::new(mass.x + velocity * (height * metres_per_px / GRAVITY).sqrt(), mass.y);
        if measure == Measure::MassOverFoot {
            let (heel, toe) = (
                self.landing_joint(pose, Joint::Heel)?,
                self.landing_joint(pose, Joint::Toe)?,
            );
            return self.over_span(carried.x, heel.x, toe.x);
        }
        let lean = crate::segments::inclination(ankle, carried);
        lean.map(crate::Angle::degrees)
            .ok_or(NotSeen::Undefined("two points coincide"))
    }

    /// Variance that the velocity of the centre of mass brings into a velocity-adjusted measure.
    fn velocity_variance(&self, measure: Measure, pose: &Pose) -> f64 {
        let (Some(scale), true) = (
            self.scale,
            matches!(measure, Measure::ArrivalLean | Measure::MassOverFoot),
        ) else {
            return 0.0;
        };
        if self.spotted {
            return 0.0;
        }
        let Ok((velocity, sd)) = self.mass_velocity(pose.time) else {
            return 0.0;
        };
        let at = |velocity| self.adjusted(measure, pose, velocity, scale.value);
        match (at(velocity + sd), at(velocity)) {
            (Ok(moved), Ok(here)) => (moved - here).powi(2),
            _ => 0.0,
        }
    }

    /// Horizontal velocity of the centre of mass at an instant with its sd, px/s: derivative of a parabola fitted to raw
    /// points from 0.05 s before to 0.10 s after, not across the touchdown.
    fn mass_velocity(&self, time: f64) -> Result<(f64, f64), NotSeen> {
        let (mut from, mut to) = (time - VELOCITY_REACH_S[0], time + VELOCITY_REACH_S[1]);
        if let Some(touchdown) = self
            .found
            .event(crate::EventKind::FeetTouchdown)
            .map(|event| event.time)
        {
            if touchdown <= time + 1e-9 {
                from = from.max(touchdown);
            } else {
                to = to.min(touchdown);
            }
        }
        let times = &self.series.raw().times;
        let mut normal = nalgebra::Matrix3::zeros();
        let mut right = nalgebra::Vector3::zeros();
        let (mut seen, mut variance) = (0, 0.0);
        let frames = (0..times.len()).filter(|k| times[*k] >= from - 1e-9 && times[*k] <= to + 1e-9);
        for frame in frames {
            let filled = |landmark| self.series.filled(landmark, frame);
            let Ok(mass) = crate::mass::centre_of_mass(&self.table, self.ends, filled, |_| false) else {
                continue;
            };
            let t = times[frame] - time;
            let basis = nalgebra::Vector3::new(1.0, t, t * t);
            normal += basis * basis.transpose();
            right += basis * mass.position.x;
            seen += 1;
            variance += Landmark::ALL
                .into_iter()
                .map(|l| (mass.weights[l.index()] * self.series.raw().sd_at(l, frame)).powi(2))
                .sum::<f64>();
        }
        let few = NotSeen::TooFewFrames { seen, frames: 4 };
        if seen < 4 {
            return Err(few);
        }
        let inverse = normal.try_inverse().ok_or(few)?;
        let repeats = match self.series.raw().temporal_error {
            TemporalError::Independent => 1.0,
            TemporalError::Correlated(rho) => (1.0 + rho) / (1.0 - rho),
            TemporalError::Shared => 0.0,
        };
        let sd = (variance / seen as f64 * repeats * inverse[(1, 1)].max(0.0)).sqrt();
        Ok(((inverse * right).y, sd))
    }

    /// What smoothing takes off a corner of the paths at `time`, as a variance of the value. Corners that all points
    /// share (the body as a whole changes its velocity) move no joint angle and cancel here.
    fn corner_variance(&self, gradient: &Gradient, time: f64) -> f64 {
        let reach = self.series.corner_reach();
        if reach == 0.0 {
            return 0.0;
        }
        let mut noise = 0.0;
        let bias = gradient.along(|landmark| match self.velocity_change(landmark, time) {
            Some((change, change_sd)) => {
                noise += gradient.squared(landmark) * (change_sd * reach).powi(2);
                change * reach
            }
            None => Vector::zeros(),
        });
        // Below that, noise alone makes as much.
        if bias * bias > CORNER_SHOWS * noise {
            CORNER_SHARE * (bias * bias - noise)
        } else {
            0.0
        }
    }

    /// Velocity after less velocity before, from line fits over 0.05 s either side, with its sd per axis.
    fn velocity_change(&self, landmark: Landmark, time: f64) -> Option<(Vector, f64)> {
        let fit = |from: f64, to: f64| {
            let times = &self.series.raw().times;
            let low = times.partition_point(|t| *t < from - 1e-9);
            let high = times.partition_point(|t| *t <= to + 1e-9);
            let (ts, ps): (Vec<f64>, Vec<Point>) = (low..high)
                .filter_map(|k| Some((times[k], self.series.filled(landmark, k)?)))
                .unzip();
            if ts.len() < 2 {
                return None;
            }
            let mean = ts.iter().sum::<f64>() / ts.len() as f64;
            let spread: f64 = ts.iter().map(|t| (t - mean).powi(2)).sum();
            Some((slope(&ts, &ps)?, 1.0 / spread.sqrt()))
        };
        let reach = CORNER_REACH_S.max(1.5 * self.series.interval());
        let (before, after) = (fit(time - reach, time)?, fit(time, time + reach)?);
        let frame = self.series.frame_before(time)?;
        let sd = match self.series.raw().temporal_error {
            TemporalError::Shared => 0.0,
            _ => self.series.raw().sd_at(landmark, frame),
        };
        Some((after.0 - before.0, sd * before.1.hypot(after.1)))
    }
}

/// `part / whole`, 0 where there is nothing.
pub(crate) fn share(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

pub(crate) fn fold_value(raw: &Raw) -> f64 {
    match raw.fold {
        Some(Fold::FromStraight) => 180.0 - raw.value.abs(),
        Some(Fold::FromZero) => raw.value.abs(),
        None => raw.value,
    }
}

fn say(remarks: &mut Vec<String>, remark: &str) {
    if !remarks.iter().any(|said| said == remark) {
        remarks.push(remark.to_owned());
    }
}

/// Whether a measure changes when the picture is turned: joint angles and lengths between two points don't.
fn has_vertical(measure: Measure) -> bool {
    !matches!(
        measure,
        Measure::ShoulderOpening
            | Measure::HipAngle
            | Measure::KneeAngle
            | Measure::ElbowAngle
            | Measure::AnkleAngle
            | Measure::BodyLineStraightness
            | Measure::LegGap
            | Measure::EarOffset
            | Measure::HeadTilt
            | Measure::FeetApart
    )
}

impl Unit {
    /// Lengths are measured in px first.
    pub(crate) fn in_px(self) -> Unit {
        match self {
            Unit::LegLengths | Unit::Metres => Unit::Pixels,
            other => other,
        }
    }
}
