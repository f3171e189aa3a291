//! One attempt ready to be measured: upright and facing +X, with leg length, scale and events.

mod at_instant;
mod balance;
mod geometry;
mod once;
mod over_phase;
mod past_range;
mod plane;
mod propagate;

use crate::events::{Found, Search, find_events};
use crate::gym_plane::{FloorLine, LEVEL_ASSUMED_SD_DEG, find_facing, leg_length, make_upright, mirror, near_side};
use crate::mass::{EndPoints, SegmentTable};
use crate::series::{Series, Smoothing};
use crate::{EventKind, Joint, Landmark, Measure, Side, Tracks, Uncertain, Unit};

pub use over_phase::{SEED, Statistic};
pub use past_range::PastRange;
pub use plane::Foreshortened;

/// What is known or chosen before measuring.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Smoothing of the points.
    pub smoothing: Smoothing,
    /// Segment table for the centre of mass.
    pub table: SegmentTable,
    /// A marked floor line in the picture.
    pub floor: Option<FloorLine>,
    /// Whether the athlete faces right in the picture, if given.
    pub faces_right: Option<bool>,
    /// Side nearer to the camera, if given.
    pub near: Option<Side>,
    /// Metres per px with its standard uncertainty.
    pub metres_per_px: Option<Uncertain>,
    /// The support faces the camera: angles unsigned.
    pub frontal: bool,
    /// A spotter touched the athlete: nothing is inferred from gravity.
    pub spotted: bool,
    /// What events to look for; marked surfaces in the image plane.
    pub search: Search,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            smoothing: Smoothing::default(),
            table: SegmentTable::de_leva_female(),
            floor: None,
            faces_right: None,
            near: None,
            metres_per_px: None,
            frontal: false,
            spotted: false,
            search: Search::default(),
        }
    }
}

/// Where the facing came from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Facing {
    /// Given by the coach; `true`: right in the picture.
    Given(bool),
    /// Found from the body, with its evidence in standard deviations.
    Found {
        /// `true`: right in the picture.
        right: bool,
        /// Evidence in standard deviations, not negative.
        score: f64,
    },
    /// Under 2 sd: never guessed.
    Undecided {
        /// Evidence in standard deviations, signed (+: right).
        score: f64,
    },
}

/// Why an attempt cannot be measured at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum TrialError {
    /// Too few frames.
    #[error("{frames} frame{}, expected at least 5", if *frames == 1 { "" } else { "s" })]
    TooShort {
        /// Frames in the clip.
        frames: usize,
    },
    /// No leg is ever seen whole.
    #[error("no frame shows hip, knee and ankle of one leg, so there is no leg length to measure by")]
    NoLeg,
}

/// Why a value cannot be given.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NotSeen {
    /// A landmark is missing then, or in the whole layout.
    #[error("{} not seen{when}", .landmark.replace('_', " "))]
    Landmark {
        /// Its id.
        landmark: String,
        /// ` at 0.43 s`, or ` in any frame`.
        when: String,
    },
    /// An event is missing.
    #[error("{} not found in the clip", .0.words())]
    Event(EventKind),
    /// Both ends of a phase are in the clip, the second one first.
    #[error("{} comes no later than {}, so there is no time between them", .end.words(), .start.words())]
    NoTime {
        /// Where the phase would begin.
        start: EventKind,
        /// Where it would end.
        end: EventKind,
    },
    /// The layout has no such point.
    #[error("no {point} among the points of this clip")]
    NoPoint {
        /// The point in words; without a side where neither is there.
        point: String,
    },
    /// The athlete's facing is undecided, so front and back cannot be told.
    #[error("which way the athlete faces is undecided; give it")]
    Facing,
    /// Metres were asked for without a scale.
    #[error("no scale: give a known length")]
    Scale,
    /// The instant lies outside the clip.
    #[error("{0} s lies outside the clip")]
    OutsideClip(String),
    /// Too few frames of a phase are seen.
    #[error(
        "only {seen} of {frames} frame{} of the phase show{} what is needed",
        if *frames == 1 { "" } else { "s" },
        if *seen == 1 { "s" } else { "" }
    )]
    TooFewFrames {
        /// Frames with a value.
        seen: usize,
        /// Frames of the phase.
        frames: usize,
    },
    /// The centre of mass cannot be placed.
    #[error("no centre of mass: {0}")]
    Mass(#[from] crate::mass::MassError),
    /// The measure is defined only for other body shapes.
    #[error("{0}")]
    Undefined(&'static str),
}

/// How an unsigned value folds a signed one: `p` needs both tails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// `180° − |x|`: straight joints measured unsigned.
    FromStraight,
    /// `|x|`: gaps.
    FromZero,
}

/// A measured value.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// Best estimate in `unit`.
    pub value: f64,
    /// Standard uncertainty in `unit`.
    pub sd: f64,
    /// Its unit.
    pub unit: Unit,
    /// Set when the value is a folded one.
    pub fold: Option<Fold>,
    /// First and last frame used.
    pub frames: (usize, usize),
    /// Things to say beside it (elbow missing, no scale).
    pub remarks: Vec<String>,
    /// Share of the variance that comes from the timing of events.
    pub timing_share: f64,
    /// Share of the variance that comes from the floor's tilt.
    pub tilt_share: f64,
    /// Change of the value per px of each landmark, for errors shared by all frames.
    pub(crate) gradient: Option<Box<propagate::Gradient>>,
    /// Part of the variance that does not come from errors shared between frames.
    pub(crate) own_variance: f64,
}

/// An attempt ready to be measured.
#[derive(Clone, Debug)]
pub struct Trial {
    series: Series,
    found: Found,
    leg: Uncertain,
    near: Side,
    near_told: bool,
    facing: Facing,
    tilt_sd: f64,
    assumed_level: bool,
    scale: Option<Uncertain>,
    table: SegmentTable,
    ends: EndPoints,
    frontal: bool,
    spotted: bool,
    limbs: std::sync::OnceLock<Vec<plane::Limb>>,
    /// Trunk inclination in every frame with its whole turns, degrees.
    turned: std::sync::OnceLock<Vec<f64>>,
    past_range: std::sync::OnceLock<Vec<PastRange>>,
}

impl Trial {
    /// Turns tracks upright, finds facing, leg length and events.
    ///
    /// # Inputs
    /// `tracks`: image plane, px, y down.
    /// # Errors
    /// Fewer than 5 frames; no leg seen whole in any frame.
    pub fn new(mut tracks: Tracks, settings: &Settings) -> Result<Self, TrialError> {
        if tracks.len() < 5 {
            return Err(TrialError::TooShort { frames: tracks.len() });
        }
        let upright = make_upright(&mut tracks, settings.floor);
        let evidence = find_facing(&tracks);
        let facing = match (settings.faces_right, evidence.faces_plus_x()) {
            (Some(right), _) => Facing::Given(right),
            (None, Some(right)) => Facing::Found {
                right,
                score: evidence.score.abs(),
            },
            (None, None) => Facing::Undecided { score: evidence.score },
        };
        let faces_right = match facing {
            Facing::Given(right) | Facing::Found { right, .. } => Some(right),
            Facing::Undecided { .. } => None,
        };
        let told = settings.near.or_else(|| near_side(&tracks, faces_right));
        let near = told.unwrap_or(Side::Left);
        let (length, sd) = leg_length(&tracks, near)
            .or_else(|| leg_length(&tracks, near.other()))
            .ok_or(TrialError::NoLeg)?;
        if faces_right == Some(false) {
            mirror(&mut tracks);
        }
        let ends = EndPoints {
            fingers: has_both(&tracks, &[Joint::Fingertip]),
            feet: has_both(&tracks, &[Joint::Heel, Joint::Toe]),
        };
        let series = Series::new(tracks, settings.smoothing);
        let mut search = settings.search.clone();
        for surface in [&mut search.hand_surface, &mut search.foot_surface] {
            *surface = surface.map(|surface| surface.moved(|point| upright.turn(point)));
        }
        let found = find_events(&series, length, &search);
        let assumed = LEVEL_ASSUMED_SD_DEG.to_radians();
        Ok(Self {
            series,
            found,
            leg: Uncertain::new(length, sd),
            near,
            near_told: told.is_some(),
            facing,
            tilt_sd: if upright.assumed_level {
                assumed
            } else {
                upright.tilt_sd.radians()
            },
            assumed_level: upright.assumed_level,
            scale: settings.metres_per_px,
            table: settings.table.clone(),
            ends,
            frontal: settings.frontal,
            spotted: settings.spotted,
            limbs: std::sync::OnceLock::new(),
            turned: std::sync::OnceLock::new(),
            past_range: std::sync::OnceLock::new(),
        })
    }

    /// Bridged and smoothed tracks, upright and facing +X (if facing is known).
    #[must_use]
    pub fn series(&self) -> &Series {
        &self.series
    }

    /// Events and contacts.
    #[must_use]
    pub fn found(&self) -> &Found {
        &self.found
    }

    /// Leg length of the near side, px.
    #[must_use]
    pub fn leg(&self) -> Uncertain {
        self.leg
    }

    /// The side nearer to the camera.
    #[must_use]
    pub fn near(&self) -> Side {
        self.near
    }

    /// Whether it was given, or told by the points or the facing; else [`Trial::near`] is the left, for want of a better.
    #[must_use]
    pub fn knows_near(&self) -> bool {
        self.near_told
    }

    /// Which way the athlete faces, and how that is known.
    #[must_use]
    pub fn facing(&self) -> Facing {
        self.facing
    }

    /// Whether the floor was assumed level.
    #[must_use]
    pub fn assumed_level(&self) -> bool {
        self.assumed_level
    }

    /// Name of the segment table.
    #[must_use]
    pub fn table(&self) -> &SegmentTable {
        &self.table
    }

    /// Metres per px, if known.
    #[must_use]
    pub fn scale(&self) -> Option<Uncertain> {
        self.scale
    }

    /// The same with another scale: one that was found once the events were.
    #[must_use]
    pub fn with_scale(mut self, metres_per_px: Option<Uncertain>) -> Self {
        self.scale = metres_per_px;
        self
    }

    /// First and last time of the clip, seconds.
    #[must_use]
    pub fn clip(&self) -> (f64, f64) {
        let times = &self.series.raw().times;
        (times[0], times[times.len() - 1])
    }

    /// Whether front and back can be told.
    #[must_use]
    pub fn knows_facing(&self) -> bool {
        !matches!(self.facing, Facing::Undecided { .. })
    }

    /// Signed rotation the way the athlete faces from placement to touchdown: positive forward. `None` if facing is
    /// undecided or the skill is not there.
    #[must_use]
    pub fn forward_rotation(&self) -> Option<crate::Angle> {
        self.knows_facing().then_some(self.found.rotation).flatten()
    }

    /// Converts a length in px to the unit asked for.
    fn convert(&self, mut value: Value, unit: Unit) -> Result<Value, NotSeen> {
        if value.unit == unit || value.unit != Unit::Pixels {
            return Ok(value);
        }
        let factor = match unit {
            Unit::LegLengths => {
                let inverse = 1.0 / self.leg.value;
                Uncertain::new(inverse, self.leg.sd * inverse * inverse)
            }
            Unit::Metres => self.scale.ok_or(NotSeen::Scale)?,
            _ => return Ok(value),
        };
        let from_scale = value.value * factor.sd;
        value.sd = (value.sd * factor.value).hypot(from_scale);
        value.own_variance = value.own_variance * factor.value * factor.value + from_scale * from_scale;
        if let Some(gradient) = &mut value.gradient {
            gradient.scale(factor.value);
        }
        value.value *= factor.value;
        value.unit = unit;
        Ok(value)
    }

    /// First value less second, with the errors that both share taken once.
    #[must_use]
    pub fn difference(&self, first: &Value, second: &Value) -> Value {
        let shared = match (&first.gradient, &second.gradient) {
            (Some(a), Some(b)) => Some(a.minus(b)),
            _ => None,
        };
        let variance = match &shared {
            Some(gradient) => gradient.variance() + first.own_variance + second.own_variance,
            None => first.sd * first.sd + second.sd * second.sd,
        };
        let mut remarks = first.remarks.clone();
        remarks.extend(
            second
                .remarks
                .iter()
                .filter(|remark| !first.remarks.contains(remark))
                .cloned(),
        );
        Value {
            value: first.value - second.value,
            sd: variance.sqrt(),
            unit: first.unit,
            fold: None,
            frames: (first.frames.0.min(second.frames.0), first.frames.1.max(second.frames.1)),
            remarks,
            timing_share: first.timing_share.max(second.timing_share),
            tilt_share: first.tilt_share.max(second.tilt_share),
            gradient: shared.map(Box::new),
            own_variance: first.own_variance + second.own_variance,
        }
    }

    /// Mean of two values of the same unit, with the errors that both share taken once.
    #[must_use]
    pub fn mean_of(&self, first: &Value, second: &Value) -> Value {
        let mut negative = second.clone();
        negative.value = -negative.value;
        if let Some(gradient) = &mut negative.gradient {
            gradient.scale(-1.0);
        }
        let mut sum = self.difference(first, &negative);
        sum.value *= 0.5;
        sum.sd *= 0.5;
        sum.own_variance *= 0.25;
        if let Some(gradient) = &mut sum.gradient {
            gradient.scale(0.5);
        }
        sum.fold = first.fold;
        sum
    }

    fn needs_facing(measure: Measure) -> bool {
        !matches!(
            measure,
            Measure::ElbowAngle
                | Measure::LegGap
                | Measure::HandStagger
                | Measure::FeetApart
                | Measure::HeelHeight
                | Measure::ShoulderHeight
                | Measure::LungeLength
        )
    }
}

fn has_both(tracks: &Tracks, joints: &[Joint]) -> bool {
    joints.iter().all(|joint| {
        Side::BOTH
            .into_iter()
            .all(|side| tracks.has(Landmark::of(*joint, side)))
    })
}
