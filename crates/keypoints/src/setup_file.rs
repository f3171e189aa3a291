//! The set-up file: its form, and an example to start from.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{KnownLengthEntry, LeftRight, PictureSize};

/// Value of `format` in every set-up file.
pub const SETUP_FORMAT: &str = "springline-setup";

/// A set-up file with a comment on every entry.
pub const SETUP_EXAMPLE: &str = include_str!("../shipped/setup.toml");

/// A set-up file: what is marked once in the picture of a camera that stays where it is, and holds for every clip filmed from
/// there. TOML; places in px of the picture, x right, y down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Springline camera set-up")]
pub struct SetupFile {
    /// Always `springline-setup`.
    pub format: SetupFormat,
    /// Version of this form: 1.
    #[schemars(range(min = 1, max = 1))]
    pub version: u32,
    /// Name of the set-up; appears in every output.
    pub name: String,
    /// Free text.
    pub note: Option<String>,
    /// Size of the picture that the marks were made in.
    pub picture: PictureSize,
    /// How much the picture's width takes in, degrees.
    #[schemars(range(min = 5, max = 150))]
    pub field_of_view_deg: Option<f64>,
    /// Which way athletes face in the picture when upright.
    pub facing: Option<LeftRight>,
    /// Two points on the floor line, px.
    pub floor_line: Option<[[f64; 2]; 2]>,
    /// Standard uncertainty per axis of those two points, px; 3 if left out.
    pub floor_line_sd_px: Option<f64>,
    /// Metres per px in the plane of motion, 0.0001 to 0.1.
    pub metres_per_px: Option<f64>,
    /// Standard uncertainty of `metres_per_px`, in metres per px too; 1 % of it if left out.
    pub metres_per_px_sd: Option<f64>,
    /// A known length in the plane of motion; the scale comes from it.
    pub known_length: Option<KnownLengthEntry>,
    /// A second known length, far from the first along the run: it tells whether the camera is square to the run.
    pub second_length: Option<KnownLengthEntry>,
    /// Height of the surface under the hands over the floor of the entry, m, -3 to 3; needs a scale.
    pub hand_surface_m: Option<f64>,
    /// A point on the top edge of the surface under the hands, px; instead of its height.
    pub hand_surface_at: Option<[f64; 2]>,
    /// Height of the landing surface over the floor of the entry, m, -3 to 3; needs a scale.
    pub foot_surface_m: Option<f64>,
    /// A point on the top edge of the landing surface, px; instead of its height.
    pub foot_surface_at: Option<[f64; 2]>,
}

/// The one allowed value of `format`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum SetupFormat {
    /// `springline-setup`.
    #[serde(rename = "springline-setup")]
    SpringlineSetup,
}

/// The set-up file's form as a JSON Schema.
#[must_use]
pub fn setup_schema() -> schemars::Schema {
    schemars::schema_for!(SetupFile)
}
