//! Metres per px: where they come from, and whether two sources agree.

use std::ops::RangeInclusive;

use springline_keypoints::{Given, SetupEntry, SurfaceAt};
use springline_kinematics::Uncertain;
use springline_kinematics::ballistics::{FromGravity, GravityScale};
use springline_kinematics::events::Surface;
use springline_kinematics::trial::{NotSeen, Trial};
use springline_kinematics::{Point, uncertainty};

use crate::error::Error;

/// Relative standard uncertainty of a scale from the standing height (our choice: hair, shoes, posture).
const STATURE_SCALE_SD: f64 = 0.02;
/// Gravity by a scale may be off by this much before the scale is doubted.
const GRAVITY_WITHIN: f64 = 0.15;
/// A ratio to gravity this many sds from 1 is told however roughly it is known.
const FAR_SDS: f64 = 3.0;
/// A ratio to gravity beyond this factor, or its inverse, asks for the frame rate (our choice).
const SLOW_MOTION: f64 = 1.5;
/// Hip to ankle by the knee as a share of the standing height (thigh 0.245, shank 0.246 \[M\]).
const LEG_SHARE: f64 = 0.49;
/// Standing heights that a scale from gravity may imply, m (our choice).
const STATURE_M: RangeInclusive<f64> = 0.7..=2.2;
/// A standing height that is known may be missed by this share of it (our choice: the scale may be off by 20 %, and
/// legs differ).
const STATURE_WITHIN: f64 = 0.3;
/// Two other scales may differ by this many standard deviations before one is doubted.
const WITHIN_SDS: f64 = 2.0;

/// Where a scale comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Source {
    /// Metres per px as such.
    Given,
    /// A marked length of so many metres.
    KnownLength(f64),
    /// Standing height in m and in px.
    Stature,
    /// The fall of the centre of mass over so many frames.
    Gravity(usize),
}

impl Source {
    /// Words for after `scale`.
    pub(crate) fn words(self) -> String {
        match self {
            Source::Given => "given".to_owned(),
            Source::KnownLength(metres) => format!("from a known length of {metres} m"),
            Source::Stature => "from the standing height".to_owned(),
            Source::Gravity(frames) => format!("from gravity, {frames} frames of flight"),
        }
    }

    /// The entry of a camera set-up that such a scale may come from.
    pub(crate) fn entry(self) -> Option<SetupEntry> {
        match self {
            Source::Given => Some(SetupEntry::MetresPerPx),
            Source::KnownLength(_) => Some(SetupEntry::KnownLength),
            Source::Stature | Source::Gravity(_) => None,
        }
    }

    /// A name for it beside another.
    fn name(self) -> String {
        match self {
            Source::Given => "the metres per px given".to_owned(),
            Source::KnownLength(metres) => format!("the known length of {metres} m"),
            Source::Stature => "the standing height".to_owned(),
            Source::Gravity(_) => "gravity".to_owned(),
        }
    }
}

/// A scale and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scale {
    pub metres_per_px: Uncertain,
    pub source: Source,
}

/// The scale that was used held against another.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Held {
    /// The other one's name.
    pub against: String,
    /// The used scale over the other. Against gravity: gravity as the used scale measures it, over 9.81 m/s².
    pub ratio: Uncertain,
    /// Within 15 % of 1 against gravity, else within 2 sd.
    pub agrees: bool,
}

/// The scale of an attempt.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Scales {
    /// The surest one.
    pub used: Option<Scale>,
    /// The others.
    pub held: Vec<Held>,
    /// What to tell a coach: a scale that was refused, two that disagree.
    pub remarks: Vec<String>,
}

/// The scales that a coach gave or marked, the surest first.
pub(crate) fn marked(given: &Given) -> Vec<Scale> {
    let relative = |value: f64, share: f64, source| Scale {
        metres_per_px: Uncertain::new(value, value * share),
        source,
    };
    let stature = given.stature_m.zip(given.stature_px).map(|(m, px)| m / px);
    let mut scales: Vec<Scale> = [
        given
            .metres_per_px
            .map(|(value, share)| relative(value, share, Source::Given)),
        given.known_length.and_then(|known| {
            let (value, share) = known.scale()?;
            Some(relative(value, share, Source::KnownLength(known.metres)))
        }),
        stature
            .filter(|value| value.is_finite() && *value > 0.0)
            .map(|value| relative(value, STATURE_SCALE_SD, Source::Stature)),
    ]
    .into_iter()
    .flatten()
    .collect();
    surest_first(&mut scales);
    scales
}

fn surest_first(scales: &mut [Scale]) {
    let share = |scale: &Scale| scale.metres_per_px.sd / scale.metres_per_px.value;
    scales.sort_by(|a, b| share(a).total_cmp(&share(b)));
}

/// A surface that was marked or whose height was given, in px of the image plane.
///
/// # Errors
/// A height in metres without a scale that was given or marked.
pub(crate) fn surface(
    file: &str,
    under: &'static str,
    surface: Option<SurfaceAt>,
    scale: Option<&Scale>,
) -> Result<Option<Surface>, Error> {
    match (surface, scale) {
        (None, _) => Ok(None),
        (Some(SurfaceAt::Marked((x, y))), _) => Ok(Some(Surface::Through(Point::new(x, y)))),
        (Some(SurfaceAt::OverFloorM(0.0)), _) => Ok(Some(Surface::OverFloor(0.0))),
        (Some(SurfaceAt::OverFloorM(metres)), Some(scale)) => {
            Ok(Some(Surface::OverFloor(metres / scale.metres_per_px.value)))
        }
        (Some(SurfaceAt::OverFloorM(metres)), None) => Err(Error::HeightWithoutScale {
            file: file.to_owned(),
            under,
            metres,
        }),
    }
}

/// The scale to measure by: the surest of those given, marked and, if it was asked for, that from the flight;
/// held against all others and against gravity. `asked`: the standing height was given for the review, so that it stands not
/// just in the file.
pub(crate) fn settle(mut scales: Vec<Scale>, given: &Given, trial: &Trial, asked: bool) -> Scales {
    let mut found = Scales::default();
    let by_gravity = given.scale_by_gravity;
    let half = given.stature_m.is_some() != given.stature_px.is_some();
    // A scale from gravity is held against the metres alone.
    let of_use = by_gravity && given.stature_m.is_some();
    if (scales.is_empty() || asked) && half && !of_use {
        found
            .remarks
            .push("no scale from the standing height: it takes both its m and its px in the picture".to_owned());
    }
    if scales.is_empty() && !by_gravity {
        return found;
    }
    let fall = trial.scale_from_gravity();
    if by_gravity {
        match &fall {
            Ok(fall) if fall.good_for == GravityScale::Scale => match odd_stature(trial, fall, given.stature_m) {
                Some(words) => found.remarks.push(words),
                None => scales.push(of_gravity(fall)),
            },
            _ => found.remarks.push(refusal(&fall)),
        }
    }
    surest_first(&mut scales);
    let Some(used) = scales.first().copied() else {
        return found;
    };
    found.used = Some(used);
    let mut others: Vec<Scale> = scales[1..].to_vec();
    if let Ok(fall) = fall
        && (fall.good_for != GravityScale::Refused
            || far_from(&used, &of_gravity(&fall))
            || by_a_factor(&uncertainty::quotient(used.metres_per_px, fall.scale)))
        && !scales.iter().any(|scale| matches!(scale.source, Source::Gravity(_)))
    {
        others.push(of_gravity(&fall));
    }
    for other in others {
        let held = hold(&used, &other);
        if !held.agrees {
            found.remarks.push(doubt(&used, &other, &held));
        }
        found.held.push(held);
    }
    found
}

/// A flight that gives gravity too roughly to check a scale by still tells slow motion, which is off by a factor.
fn far_from(used: &Scale, by_gravity: &Scale) -> bool {
    let ratio = uncertainty::quotient(used.metres_per_px, by_gravity.metres_per_px);
    (ratio.value - 1.0).abs() > GRAVITY_WITHIN.max(FAR_SDS * ratio.sd)
}

/// Whether a ratio to gravity is that of a wrong frame rate: beyond a factor, and surely off.
fn by_a_factor(ratio: &Uncertain) -> bool {
    let beyond = ratio.value > SLOW_MOTION || ratio.value < 1.0 / SLOW_MOTION;
    beyond && (ratio.value - 1.0).abs() > WITHIN_SDS * ratio.sd
}

/// Why a scale from gravity is not used: nobody is as tall as it makes the athlete, or this athlete is known not to be.
fn odd_stature(trial: &Trial, fall: &FromGravity, own: Option<f64>) -> Option<String> {
    let stature = trial.leg().value * fall.scale.value / LEG_SHARE;
    let (within, expected) = match own {
        Some(own) => (
            own * (1.0 - STATURE_WITHIN)..=own * (1.0 + STATURE_WITHIN),
            format!("about the {own} m given"),
        ),
        None => (STATURE_M, format!("{} to {} m", STATURE_M.start(), STATURE_M.end())),
    };
    (!within.contains(&stature)).then(|| {
        format!(
            "no scale from gravity: by it the athlete would stand about {stature:.2} m tall, expected {expected}; is the \
             frame rate right? A slow-motion recording needs the rate that it was filmed at"
        )
    })
}

fn of_gravity(fall: &FromGravity) -> Scale {
    Scale {
        metres_per_px: fall.scale,
        source: Source::Gravity(fall.frames),
    }
}

fn hold(used: &Scale, other: &Scale) -> Held {
    let ratio = uncertainty::quotient(used.metres_per_px, other.metres_per_px);
    let off = (ratio.value - 1.0).abs();
    let by_gravity = [used, other]
        .iter()
        .any(|scale| matches!(scale.source, Source::Gravity(_)));
    Held {
        against: other.source.name(),
        ratio,
        agrees: off
            <= if by_gravity {
                GRAVITY_WITHIN
            } else {
                WITHIN_SDS * ratio.sd
            },
    }
}

/// Two scales that disagree, in words.
fn doubt(used: &Scale, other: &Scale, held: &Held) -> String {
    let ratio = format!("{:.2} ± {:.2}", held.ratio.value, held.ratio.sd);
    if matches!(other.source, Source::Gravity(_)) && by_a_factor(&held.ratio) {
        format!(
            "is the frame rate right? By the scale {} the centre of mass falls with {ratio} times gravity, expected 0.85 \
             to 1.15: a slow-motion recording needs the rate that it was filmed at; else look at the scale, and whether a \
             spotter touched",
            used.source.words()
        )
    } else if matches!(other.source, Source::Gravity(_)) {
        format!(
            "by the scale {} the centre of mass falls with {ratio} times gravity, expected 0.85 to 1.15: look at the \
             scale, the frame rate (slow motion?) and whether a spotter touched",
            used.source.words()
        )
    } else {
        format!(
            "two scales disagree: that {} is {ratio} times that by {}; one of them is wrong, so doubt every length in metres",
            used.source.words(),
            held.against
        )
    }
}

/// Why gravity gives no scale, in one sentence.
fn refusal(fall: &Result<FromGravity, NotSeen>) -> String {
    match fall {
        Ok(fall) => {
            let share = 100.0 * fall.scale.sd / fall.scale.value;
            let frames = fall.frames;
            if fall.good_for == GravityScale::CheckOnly {
                format!(
                    "no scale from gravity: {frames} frames of flight give it to {share:.1} % only, good enough to check \
                     another scale (20 %), not to measure by (10 %)"
                )
            } else {
                format!(
                    "no scale from gravity: {frames} frames of flight give it to {share:.1} % only, expected 10 % or better; \
                     mark a known length, or film at a higher rate"
                )
            }
        }
        Err(NotSeen::TooFewFrames { seen, .. }) => format!(
            "no scale from gravity: the flight shows the centre of mass in {seen} {}, expected 4 or more",
            if *seen == 1 { "frame" } else { "frames" }
        ),
        Err(why) => format!("no scale from gravity: {why}"),
    }
}
