//! What was drafted, as points of the body with their uncertainty.

use springline_kinematics::Landmark;

use crate::draft::{self, Options};
use crate::error::Error;
use crate::join::Joined;
use crate::model::Models;
use crate::reel::Film;
use crate::region::wrapped;
use crate::spread::sd_share;

/// Index of each landmark among the model's points, in the order of [`Landmark::ALL`].
pub(crate) fn model_point(landmark: Landmark) -> usize {
    match landmark {
        Landmark::Nose => 0,
        Landmark::LeftEye => 2,
        Landmark::RightEye => 5,
        Landmark::LeftEar => 7,
        Landmark::RightEar => 8,
        Landmark::LeftShoulder => 11,
        Landmark::RightShoulder => 12,
        Landmark::LeftElbow => 13,
        Landmark::RightElbow => 14,
        Landmark::LeftWrist => 15,
        Landmark::RightWrist => 16,
        Landmark::LeftFingertip => 19,
        Landmark::RightFingertip => 20,
        Landmark::LeftHip => 23,
        Landmark::RightHip => 24,
        Landmark::LeftKnee => 25,
        Landmark::RightKnee => 26,
        Landmark::LeftAnkle => 27,
        Landmark::RightAnkle => 28,
        Landmark::LeftHeel => 29,
        Landmark::RightHeel => 30,
        Landmark::LeftToe => 31,
        Landmark::RightToe => 32,
    }
}

/// One point of the body in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DraftedPoint {
    /// Which.
    pub landmark: Landmark,
    /// px.
    pub x: f64,
    /// px, down.
    pub y: f64,
    /// Standard uncertainty per axis, px: from measured errors of drafts like this one.
    pub sd: f64,
    /// How sure the model is that the point can be seen, 0 to 1.
    pub seen: f64,
}

/// The athlete in one frame.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftedFrame {
    /// A point for each landmark.
    pub points: Vec<DraftedPoint>,
    /// Wants a human look.
    pub doubtful: bool,
}

/// The athlete's points through a clip.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// Width and height of the picture, px.
    pub size: (u32, u32),
    /// First frame of the clip that was drafted.
    pub first: usize,
    /// Times of the drafted frames, s.
    pub times: Vec<f64>,
    /// The frames; `None` where the athlete was lost.
    pub frames: Vec<Option<DraftedFrame>>,
    /// Typical standing height in the picture, px.
    pub stature_px: f64,
    /// Things to tell, in a coach's words.
    pub notes: Vec<String>,
}

/// Drafts the athlete's points in every frame.
///
/// # Errors
/// [`Error::Nobody`] where no athlete is found; [`Error::NotThere`], [`Error::Range`] for options that don't fit the clip;
/// [`Error::Film`] when a frame can't be had; [`Error::Model`].
pub fn draft(film: &mut dyn Film, models: &Models, options: &Options) -> Result<Draft, Error> {
    let drafted = draft::bodies(film, models, options)?;
    let first = options.frames.map_or(0, |(first, _)| first);
    let bodies = drafted.bodies;
    let stature_px = typical(bodies.iter().flatten().map(|joined| joined.body.stature()));
    let frames = bodies
        .iter()
        .map(|joined| joined.as_ref().map(|joined| frame(joined, stature_px)))
        .collect::<Vec<_>>();
    Ok(Draft {
        size: film.size(),
        first,
        times: film.times()[first..first + frames.len()].to_vec(),
        frames,
        stature_px,
        notes: drafted.notes,
    })
}

/// The upper quartile: limbs look shorter than they are, never longer.
fn typical(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values.get(values.len() * 3 / 4).copied().unwrap_or(1.0)
}

fn frame(joined: &Joined, stature: f64) -> DraftedFrame {
    let body = &joined.body;
    let turn = wrapped(body.turn()).abs();
    let point = |landmark: Landmark| {
        let i = model_point(landmark);
        DraftedPoint {
            landmark,
            x: body.at[i].0,
            y: body.at[i].1,
            sd: stature * sd_share(landmark, turn, body.seen[i], joined.doubtful),
            seen: body.seen[i].clamp(0.0, 1.0),
        }
    };
    DraftedFrame {
        points: Landmark::ALL.into_iter().map(point).collect(),
        doubtful: joined.doubtful,
    }
}
