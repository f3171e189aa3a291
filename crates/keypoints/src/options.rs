//! What the coach can ask of an import.

use springline_kinematics::TemporalError;

use crate::{CameraSetup, Given, Layout};

/// Where the point uncertainties shall come from, whatever the file says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SdChoice {
    /// The same standard uncertainty per axis for every point, px.
    Px(f64),
    /// The clicking default, 0.5 % of stature.
    Clicked,
    /// The pose-model default, from the COCO OKS sigmas.
    PoseModel,
}

/// Options of an import. The default takes everything from the file.
#[derive(Clone, Debug)]
pub struct ImportOptions {
    /// Layout of the points, built in or from a layout file; `None`: recognised from the content.
    pub layout: Option<Layout>,
    /// Frames per second, 1 to 2000; used where the file has no times.
    pub rate_hz: Option<f64>,
    /// Width and height of the picture, px; goes before the file's.
    pub picture: Option<(f64, f64)>,
    /// Which person, counted from 1 in order of appearance, then from left to right.
    pub person: Option<usize>,
    /// Leave left and right as they are in the file.
    pub keep_sides: bool,
    /// Points with a lower score are missing; 0 to 1, 0.05 by default.
    pub min_score: f64,
    /// Point uncertainty, goes before the file's.
    pub sd: Option<SdChoice>,
    /// How point errors go from frame to frame, goes before the file's.
    pub error: Option<TemporalError>,
    /// What the coach gives; each entry that is given goes before the file's.
    pub given: Given,
    /// The camera set-up that the clip was filmed in; it gives what neither the coach nor the file gives.
    pub setup: Option<CameraSetup>,
    /// Start of the stretch to keep, s.
    pub from_s: Option<f64>,
    /// End of the stretch to keep, s.
    pub to_s: Option<f64>,
}

impl Default for ImportOptions {
    fn default() -> Self {
        Self {
            layout: None,
            rate_hz: None,
            picture: None,
            person: None,
            keep_sides: false,
            min_score: 0.05,
            sd: None,
            error: None,
            given: Given::default(),
            setup: None,
            from_s: None,
            to_s: None,
        }
    }
}
