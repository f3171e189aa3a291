//! One attempt: tracks of one athlete with everything that is known about them.

use springline_kinematics::{EventKind, Landmark, Side, Tracks};

use crate::{KnownLength, Origin, Origins, SetupUse, SurfaceAt};

/// Where the point uncertainties come from.
#[derive(Clone, Debug, PartialEq)]
pub enum SdKind {
    /// Given by the file, point by point or for all, or by the coach.
    Given,
    /// The clicking default, a share of stature.
    Clicked,
    /// The default of an open pose model, from the COCO OKS sigmas.
    PoseModel,
}

impl SdKind {
    /// Words for outputs.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self {
            SdKind::Given => "given",
            SdKind::Clicked => "clicking default",
            SdKind::PoseModel => "pose-model default",
        }
    }
}

/// One athlete's tracks in the image plane (px, x right, y down), and what is known about the clip.
#[derive(Clone, Debug)]
pub struct Attempt {
    /// Name of the file or folder it came from, for messages and outputs.
    pub source: String,
    /// What was recognised, in words (`COCO results list, 17 points, 3 people`).
    pub recognised: String,
    /// Name of the point layout (`coco-17`).
    pub layout: String,
    /// The tracks after mending; sd filled per point.
    pub tracks: Tracks,
    /// Frames per second as the file says, where it gives times as well and they agree with that within their rounding.
    pub stated_rate_hz: Option<f64>,
    /// Picture size in px, when known.
    pub picture: Option<(f64, f64)>,
    /// Where the sds come from.
    pub sd_kind: SdKind,
    /// Where the points came from, and which of them want a second look.
    pub origins: Origins,
    /// What the coach gave, the set-up's part included.
    pub given: Given,
    /// What came of the camera set-up.
    pub setup: Option<SetupUse>,
    /// Frames in which left and right were swapped back, per group of landmarks.
    pub swaps: Vec<Swap>,
    /// How the athlete was chosen when several people were in view.
    pub athlete: Option<AthleteChoice>,
    /// Things to tell: gaps, dropped scores, points kept outside the picture.
    pub remarks: Vec<String>,
    /// Every point that mending changed, as it came.
    pub originals: Vec<Original>,
    /// The file says that its points are invented, not those of a person.
    pub synthetic: bool,
    /// Seed of invented points, if the file gives one.
    pub seed: Option<u64>,
    /// Free text of the file.
    pub note: Option<String>,
}

impl Attempt {
    /// Where a point came from; `None` where it isn't seen.
    #[must_use]
    pub fn origin(&self, landmark: Landmark, frame: usize) -> Option<Origin> {
        self.tracks
            .at(landmark, frame)
            .map(|_| self.origins.of(landmark, frame))
    }

    /// Whether a point is seen and wants a second look.
    #[must_use]
    pub fn is_doubtful(&self, landmark: Landmark, frame: usize) -> bool {
        self.tracks.at(landmark, frame).is_some() && self.origins.is_doubtful(landmark, frame)
    }
}

/// What the coach knows and gave, in the file or on the command line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Given {
    /// Athlete code, never a full name.
    pub athlete: Option<String>,
    /// Date of the attempt, ISO 8601.
    pub date: Option<String>,
    /// Id of the drill that was done.
    pub drill: Option<String>,
    /// Two points on the floor line in px of the picture.
    pub floor_line: Option<[(f64, f64); 2]>,
    /// Standard uncertainty per axis of those two points, px.
    pub floor_line_sd_px: Option<f64>,
    /// Which way the athlete faces in the picture.
    pub facing: Option<Facing>,
    /// The side nearer to the camera.
    pub near_side: Option<Side>,
    /// Metres per px and its relative standard uncertainty.
    pub metres_per_px: Option<(f64, f64)>,
    /// A known length that was marked in the picture.
    pub known_length: Option<KnownLength>,
    /// The scale may come from gravity: from the fall of the centre of mass in the flight.
    pub scale_by_gravity: bool,
    /// Standing height of the athlete, m.
    pub stature_m: Option<f64>,
    /// Stature in px of the picture.
    pub stature_px: Option<f64>,
    /// The surface under the hands, where it is not the floor of the entry.
    pub hand_surface: Option<SurfaceAt>,
    /// The surface that the feet land on, where it is not the floor of the entry.
    pub foot_surface: Option<SurfaceAt>,
    /// A spotter touched the athlete.
    pub spotted: bool,
    /// Events given by the coach: kind, time in s.
    pub events: Vec<(EventKind, f64)>,
}

impl Given {
    /// Every entry that `other` gives, else this one's. Metres per px and gravity are one entry in two forms.
    #[must_use]
    pub fn overridden_by(&self, other: &Given) -> Given {
        let mut events = self.events.clone();
        events.retain(|(kind, _)| other.events.iter().all(|(given, _)| given != kind));
        events.extend_from_slice(&other.events);
        events.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        Given {
            athlete: other.athlete.clone().or_else(|| self.athlete.clone()),
            date: other.date.clone().or_else(|| self.date.clone()),
            drill: other.drill.clone().or_else(|| self.drill.clone()),
            floor_line: other.floor_line.or(self.floor_line),
            floor_line_sd_px: other.floor_line_sd_px.or(self.floor_line_sd_px),
            facing: other.facing.or(self.facing),
            near_side: other.near_side.or(self.near_side),
            metres_per_px: other
                .metres_per_px
                .or(self.metres_per_px.filter(|_| !other.scale_by_gravity)),
            known_length: other.known_length.or(self.known_length),
            scale_by_gravity: other.scale_by_gravity || (self.scale_by_gravity && other.metres_per_px.is_none()),
            stature_m: other.stature_m.or(self.stature_m),
            stature_px: other.stature_px.or(self.stature_px),
            hand_surface: other.hand_surface.or(self.hand_surface),
            foot_surface: other.foot_surface.or(self.foot_surface),
            spotted: self.spotted || other.spotted,
            events,
        }
    }
}

/// The way the athlete faces in the picture when upright.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    /// Toward smaller x.
    Left,
    /// Toward larger x.
    Right,
}

/// A stretch of frames in which left and right of a group of landmarks were swapped back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Swap {
    /// `arms`, `legs` or `head`.
    pub group: &'static str,
    /// First frame.
    pub first: usize,
    /// Last frame, included.
    pub last: usize,
}

/// A point that mending changed, as it came: landmark, frame, and x, y in px if it was seen.
pub type Original = (Landmark, usize, Option<(f64, f64)>);

/// How the athlete was chosen among several people.
#[derive(Clone, Debug, PartialEq)]
pub struct AthleteChoice {
    /// People in view at most.
    pub people: usize,
    /// Number of the chosen path, counted from 1 in order of appearance, then from left to right.
    pub chosen: usize,
    /// Why, in words.
    pub why: String,
}
