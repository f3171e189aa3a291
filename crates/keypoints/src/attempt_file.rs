//! The attempt file: our own JSON form.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::de::{Error as _, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use springline_kinematics::{Landmark, Side, TemporalError};

use crate::{Attempt, Facing, Origin, SdKind, SurfaceAt, limits};

/// Value of `format` in every attempt file.
pub const FORMAT: &str = "springline-attempt";

/// An attempt file: the points of one athlete through one clip, and what is known about it.
///
/// Only `format`, `version`, `points` and `frames` are required. Image plane: px, x right, y down.
///
/// `F` is what holds the frames; files are read with one that takes less memory.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Springline attempt", rename = "AttemptFile")]
pub struct AttemptFile<F = Frames> {
    /// Always `springline-attempt`.
    pub format: FormatName,
    /// Version of this form: 1.
    #[schemars(range(min = 1, max = 1))]
    pub version: u32,
    /// The points are invented, not those of a person.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub synthetic: bool,
    /// Seed of invented points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seed: Option<u64>,
    /// Free text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Size of the picture, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<PictureSize>,
    /// Name of the point layout the points came from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layout: Option<String>,
    /// Landmark ids, in the order in which every frame lists its points.
    #[schemars(length(min = 1, max = 23))]
    pub points: Vec<String>,
    /// Frames per second; needed when the frames carry no times.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 2000))]
    pub rate_hz: Option<f64>,
    /// Standard uncertainty of the points; the pose-model default if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd: Option<PointSd>,
    /// How the error of a point goes with its error in the next frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error: Option<ErrorKind>,
    /// Where the points came from, all but those that a frame tells of; `clicked` if their `sd` is, else `imported`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Origin>,
    /// What the coach knows.
    #[serde(default, skip_serializing_if = "GivenFile::is_empty")]
    pub given: GivenFile,
    /// The frames, in order of time.
    pub frames: F,
}

/// The one allowed value of `format`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum FormatName {
    /// `springline-attempt`.
    #[serde(rename = "springline-attempt")]
    SpringlineAttempt,
}

/// Size of the picture, px.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PictureSize {
    /// Width, px.
    #[schemars(range(min = 1))]
    pub width: f64,
    /// Height, px.
    #[schemars(range(min = 1))]
    pub height: f64,
}

/// Where the point uncertainties come from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum PointSd {
    /// Given: here for every point or point by point, or in the frames.
    Given {
        /// Standard uncertainty per axis, px.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        px: Option<SdPx>,
    },
    /// Points were clicked: 0.5 % of stature.
    Clicked,
    /// Points come from a pose model: from the COCO OKS sigmas.
    PoseModel,
}

impl PointSd {
    pub(crate) fn kind(&self) -> SdKind {
        match self {
            PointSd::Given { .. } => SdKind::Given,
            PointSd::Clicked => SdKind::Clicked,
            PointSd::PoseModel => SdKind::PoseModel,
        }
    }
}

/// One sd for all points or one for each.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum SdPx {
    /// The same for every point, px.
    All(f64),
    /// By landmark id, px.
    ByPoint(BTreeMap<String, f64>),
}

/// How errors go from frame to frame.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum ErrorKind {
    /// Every frame errs on its own.
    Independent,
    /// First-order correlation between neighbouring frames.
    Correlated {
        /// The correlation, 0 to below 1.
        #[schemars(range(min = 0, max = 1))]
        rho: f64,
    },
    /// The same error for many frames.
    Shared,
}

/// What the coach knows and gives.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GivenFile {
    /// Athlete code, never a full name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub athlete: Option<String>,
    /// Date of the attempt, ISO 8601.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Id of the drill.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drill: Option<String>,
    /// Two points on the floor line, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_line: Option<[[f64; 2]; 2]>,
    /// Standard uncertainty per axis of those two points, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor_line_sd_px: Option<f64>,
    /// Which way the athlete faces in the picture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub facing: Option<LeftRight>,
    /// The athlete's side that is nearer to the camera.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub near_side: Option<LeftRight>,
    /// Metres per px, 0.0001 to 0.1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metres_per_px: Option<f64>,
    /// Standard uncertainty of `metres_per_px`, in metres per px too; 1 % of it if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metres_per_px_sd: Option<f64>,
    /// A known length that was marked in the picture, in the plane of motion.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_length: Option<KnownLengthEntry>,
    /// Take the scale from gravity, from the fall of the centre of mass in the flight, where nothing surer is given.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub scale_by_gravity: bool,
    /// Standing height, m, 0.5 to 2.5.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stature_m: Option<f64>,
    /// Standing height in the picture, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stature_px: Option<f64>,
    /// Height of the surface under the hands over the floor of the entry, m, -3 to 3; needs a scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand_surface_m: Option<f64>,
    /// A point on the top edge of the surface under the hands, px; instead of its height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand_surface_at: Option<[f64; 2]>,
    /// Height of the landing surface over the floor of the entry, m, -3 to 3; needs a scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_surface_m: Option<f64>,
    /// A point on the top edge of the landing surface, px; instead of its height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_surface_at: Option<[f64; 2]>,
    /// A spotter touched the athlete.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub spotted: bool,
    /// Events seen by the coach: event id, time in s.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub events: BTreeMap<String, f64>,
}

impl GivenFile {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// A known length that was marked in the picture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KnownLengthEntry {
    /// Its length, m, 0.05 to 30.
    pub m: f64,
    /// Its two ends, px.
    pub ends: [[f64; 2]; 2],
    /// Standard uncertainty per axis of the ends, px; 3 if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_px: Option<f64>,
}

/// Left or right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LeftRight {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// The frames of an attempt file, at most two million.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[serde(transparent)]
pub struct Frames(pub Vec<FrameEntry>);

/// One frame: a point for each entry of `points`, null where it isn't seen.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FrameEntry {
    /// Time, s. In every frame or, with `rate_hz`, in none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub t: Option<f64>,
    /// x and y in px of each point; null: not seen.
    #[serde(deserialize_with = "bounded")]
    pub points: Vec<Option<[f64; 2]>>,
    /// Standard uncertainty per axis of each point, px; null: the file's.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "bounded_option"
    )]
    pub sd: Option<Vec<Option<f64>>>,
    /// Confidence of each point, 0 to 1.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "bounded_option"
    )]
    pub score: Option<Vec<Option<f64>>>,
    /// Where each point came from; null: the file's `from`.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "bounded_option"
    )]
    pub from: Option<Vec<Option<Origin>>>,
    /// Whether each point wants a second look; none does if left out.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "bounded_option"
    )]
    pub doubtful: Option<Vec<bool>>,
}

/// A list of at most 23 entries: no frame can make the reader allocate more.
fn bounded<'de, D: Deserializer<'de>, T: Deserialize<'de>>(from: D) -> Result<Vec<T>, D::Error> {
    limits::bounded_list(from, Landmark::COUNT)
}

fn bounded_option<'de, D: Deserializer<'de>, T: Deserialize<'de>>(from: D) -> Result<Option<Vec<T>>, D::Error> {
    bounded(from).map(Some)
}

impl<'de> Deserialize<'de> for Frames {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct List;
        impl<'de> Visitor<'de> for List {
            type Value = Frames;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a list of frames")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Frames, A::Error> {
                let mut frames = Vec::new();
                let mut points = 0;
                while let Some(frame) = seq.next_element::<FrameEntry>()? {
                    points += frame.points.len();
                    if frames.len() == limits::FRAMES || points > limits::POINTS {
                        return Err(A::Error::custom(
                            "more frames than an attempt can have, expected at most 2000000",
                        ));
                    }
                    frames.push(frame);
                }
                Ok(Frames(frames))
            }
        }
        from.deserialize_seq(List)
    }
}

/// The attempt file's form as a JSON Schema.
#[must_use]
pub fn attempt_schema() -> schemars::Schema {
    schemars::schema_for!(AttemptFile)
}

impl<F> AttemptFile<F> {
    /// The same with other frames, and the frames it had.
    pub(crate) fn with_frames<G>(self, frames: G) -> (AttemptFile<G>, F) {
        let file = AttemptFile {
            format: self.format,
            version: self.version,
            synthetic: self.synthetic,
            seed: self.seed,
            note: self.note,
            picture: self.picture,
            layout: self.layout,
            points: self.points,
            rate_hz: self.rate_hz,
            sd: self.sd,
            error: self.error,
            from: self.from,
            given: self.given,
            frames,
        };
        (file, self.frames)
    }
}

impl AttemptFile {
    /// The attempt as a file: points as mended, every sd written out.
    #[must_use]
    pub fn from_attempt(attempt: &Attempt) -> Self {
        let tracks = &attempt.tracks;
        let seen: Vec<Landmark> = Landmark::ALL
            .into_iter()
            .filter(|landmark| tracks.has(*landmark))
            .collect();
        let apart = attempt.origins.one().is_none();
        let doubt_of = |index: usize| {
            let doubts = seen.iter().map(|landmark| attempt.is_doubtful(*landmark, index));
            (apart && doubts.clone().any(|doubt| doubt)).then(|| doubts.collect())
        };
        let frame = |index: usize| FrameEntry {
            t: Some(tracks.times[index]),
            points: seen
                .iter()
                .map(|landmark| tracks.at(*landmark, index).map(|p| [p.x, p.y]))
                .collect(),
            sd: Some(
                seen.iter()
                    .map(|landmark| tracks.at(*landmark, index).map(|_| tracks.sd_at(*landmark, index)))
                    .collect(),
            ),
            score: None,
            from: apart.then(|| seen.iter().map(|landmark| attempt.origin(*landmark, index)).collect()),
            doubtful: doubt_of(index),
        };
        let over_floor = |surface: Option<SurfaceAt>| match surface {
            Some(SurfaceAt::OverFloorM(height)) => Some(height),
            _ => None,
        };
        let marked = |surface: Option<SurfaceAt>| match surface {
            Some(SurfaceAt::Marked((x, y))) => Some([x, y]),
            _ => None,
        };
        let left_right = |left: bool| if left { LeftRight::Left } else { LeftRight::Right };
        let given = &attempt.given;
        Self {
            format: FormatName::SpringlineAttempt,
            version: 1,
            synthetic: attempt.synthetic,
            seed: attempt.seed,
            note: attempt.note.clone(),
            picture: attempt.picture.map(|(width, height)| PictureSize { width, height }),
            layout: Some(attempt.layout.clone()),
            points: seen.iter().map(|landmark| landmark.id().to_owned()).collect(),
            rate_hz: None,
            sd: Some(match attempt.sd_kind {
                SdKind::Given => PointSd::Given { px: None },
                SdKind::Clicked => PointSd::Clicked,
                SdKind::PoseModel => PointSd::PoseModel,
            }),
            error: Some(match tracks.temporal_error {
                TemporalError::Independent => ErrorKind::Independent,
                TemporalError::Correlated(rho) => ErrorKind::Correlated { rho },
                TemporalError::Shared => ErrorKind::Shared,
            }),
            from: attempt.origins.one(),
            given: GivenFile {
                athlete: given.athlete.clone(),
                date: given.date.clone(),
                drill: given.drill.clone(),
                floor_line: given.floor_line.map(|[a, b]| [[a.0, a.1], [b.0, b.1]]),
                floor_line_sd_px: given.floor_line_sd_px,
                facing: given.facing.map(|way| left_right(way == Facing::Left)),
                near_side: given.near_side.map(|side| left_right(side == Side::Left)),
                metres_per_px: given.metres_per_px.map(|(scale, _)| scale),
                metres_per_px_sd: given.metres_per_px.map(|(scale, sd)| scale * sd),
                known_length: given.known_length.map(|known| KnownLengthEntry {
                    m: known.metres,
                    ends: known.ends.map(|(x, y)| [x, y]),
                    sd_px: known.sd_px,
                }),
                scale_by_gravity: given.scale_by_gravity,
                stature_m: given.stature_m,
                stature_px: given.stature_px,
                hand_surface_m: over_floor(given.hand_surface),
                hand_surface_at: marked(given.hand_surface),
                foot_surface_m: over_floor(given.foot_surface),
                foot_surface_at: marked(given.foot_surface),
                spotted: given.spotted,
                events: given
                    .events
                    .iter()
                    .map(|(kind, time)| (kind.id().to_owned(), *time))
                    .collect(),
            },
            frames: Frames((0..tracks.len()).map(frame).collect()),
        }
    }
}
