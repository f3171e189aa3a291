//! One attempt: tracks of one athlete with everything that is known about them.

use springline_kinematics::{EventKind, Landmark, Side, Tracks};

/// Where the point uncertainties come from.
#[derive(Clone, Debug, PartialEq)]
pub enum SdKind {
    /// Given in the file, point by point or for the whole file.
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
            SdKind::Given => "given in the file",
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
    /// Picture size in px, when known.
    pub picture: Option<(f64, f64)>,
    /// Where the sds come from.
    pub sd_kind: SdKind,
    /// What the coach gave.
    pub given: Given,
    /// Frames in which left and right were swapped back, per group of landmarks.
    pub swaps: Vec<Swap>,
    /// How the athlete was chosen when several people were in view.
    pub athlete: Option<AthleteChoice>,
    /// Things to tell: gaps, dropped scores, points kept outside the picture.
    pub remarks: Vec<String>,
    /// The points as they came, before mending: `(landmark, frame, x, y)` of every changed point.
    pub originals: Vec<(Landmark, usize, Option<(f64, f64)>)>,
}

/// What the coach knows and gave, in the file or on the command line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Given {
    /// Athlete code, never a full name.
    pub athlete: Option<String>,
    /// Date of the attempt, ISO 8601.
    pub date: Option<String>,
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
    /// Standing height of the athlete, m.
    pub stature_m: Option<f64>,
    /// Stature in px of the picture.
    pub stature_px: Option<f64>,
    /// A spotter touched the athlete.
    pub spotted: bool,
    /// Events given by the coach: kind, time in s.
    pub events: Vec<(EventKind, f64)>,
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
