//! Layout files: a short description of where things sit in the files of some other tool.
//!
//! See the crate's first page for the whole form with a worked example.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};

use crate::limits;

/// A layout file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Springline point layout")]
pub struct LayoutFile {
    /// Always `springline-layout`.
    pub format: LayoutFormat,
    /// Version of this form: 1.
    #[schemars(range(min = 1, max = 1))]
    pub version: u32,
    /// Name for outputs.
    pub name: String,
    /// One line about it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub about: String,
    /// The points in the order of the file: landmark ids, `-` for points that aren't used; or the
    /// name of a built-in layout.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub points: Option<PointOrder>,
    /// For named points: the name in the file, and the landmark it is.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub names: BTreeMap<String, String>,
    /// What coordinates are in; told from their size if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<CoordinateUnit>,
    /// Which way y grows; down if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub y: Option<YDirection>,
    /// Least and greatest score; 0 and 1 if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub score_range: Option<[f64; 2]>,
    /// A value of both x and y that stands for a missing point, such as -1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub missing_value: Option<f64>,
    /// Whether a point without score at exactly (0, 0) is missing; true if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zero_is_missing: Option<bool>,
    /// Where things sit in a JSON file; found from the content if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub json: Option<JsonPlaces>,
    /// Which columns a table has; found from its header if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub table: Option<TableColumns>,
}

/// The one allowed value of `format`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum LayoutFormat {
    /// `springline-layout`.
    #[serde(rename = "springline-layout")]
    SpringlineLayout,
}

/// Order of the points.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum PointOrder {
    /// That of a built-in layout, by its name.
    Builtin(String),
    /// Landmark ids, `-` for points that aren't used.
    List(Vec<String>),
}

impl<'de> Deserialize<'de> for PointOrder {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Either;
        impl<'de> serde::de::Visitor<'de> for Either {
            type Value = PointOrder;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a list of landmark ids or the name of a built-in layout")
            }
            fn visit_str<E>(self, text: &str) -> Result<PointOrder, E> {
                Ok(PointOrder::Builtin(text.to_owned()))
            }
            fn visit_seq<A: serde::de::SeqAccess<'de>>(self, seq: A) -> Result<PointOrder, A::Error> {
                let list = serde::de::value::SeqAccessDeserializer::new(seq);
                limits::bounded_list(list, limits::LAYOUT_POINTS).map(PointOrder::List)
            }
        }
        from.deserialize_any(Either)
    }
}

/// What coordinates are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CoordinateUnit {
    /// Px of the picture.
    Px,
    /// Shares of the picture's width and height, 0 to 1.
    Shares,
}

/// Which way y grows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum YDirection {
    /// From the upper edge of the picture down.
    Down,
    /// From the lower edge of the picture up.
    Up,
}

/// What times are in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TimeUnit {
    /// Seconds.
    #[default]
    S,
    /// Milliseconds.
    Ms,
    /// Microseconds.
    Us,
}

impl TimeUnit {
    pub(crate) fn seconds(self) -> f64 {
        match self {
            TimeUnit::S => 1.0,
            TimeUnit::Ms => 1e-3,
            TimeUnit::Us => 1e-6,
        }
    }
}

/// What one number of a point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PointNumber {
    /// To the right.
    X,
    /// Down, or up where the layout says so.
    Y,
    /// Confidence.
    Score,
    /// Anything else, such as depth.
    #[serde(rename = "-")]
    Other,
}

/// Places in a JSON file, as paths such as `frames[*].people[*]`: `[*]` every entry of a list,
/// `.*` every member of an object, `[0]` one entry. Inner paths start where the outer one leads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JsonPlaces {
    /// From the top to each frame; empty: the file is one frame of a folder.
    #[serde(default)]
    pub frames: String,
    /// In a frame: its number, or a name with digits; `@name`: the member's own name. Counted if
    /// left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame: Option<String>,
    /// In a frame: its time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time: Option<String>,
    /// What times are in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_unit: Option<TimeUnit>,
    /// From a frame to each person; empty: a frame (or entry) is one person.
    #[serde(default)]
    pub people: String,
    /// In a person: a number that stays with that person, or `@name`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<String>,
    /// From a person to the points: a flat list of numbers, a list of lists, a list of objects or
    /// an object with a member for each point.
    #[serde(default)]
    pub points: String,
    /// From a person to a list of scores that stands apart from the points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scores: Option<String>,
    /// For lists: what the numbers of a point are; x, y, score if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 2, max = 8))]
    pub numbers: Option<Vec<PointNumber>>,
    /// For point objects: the member with x; `x` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub x: Option<String>,
    /// For point objects: the member with y; `y` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub y: Option<String>,
    /// For point objects: the member with the score; no scores if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub score: Option<String>,
    /// For a list of point objects: the member with the point's name; by position if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// From the top to the frame rate, per second.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_hz: Option<String>,
    /// From the top to the picture's width, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<String>,
    /// From the top to the picture's height, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<String>,
    /// In a frame: its picture's width, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame_width: Option<String>,
    /// In a frame: its picture's height, px.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame_height: Option<String>,
}

/// Columns of a table with a header line. With `point`, each line is one point (long); without,
/// each line is one person in one frame (wide) and `x`, `y`, `score` hold `{point}`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TableColumns {
    /// Column with the frame number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame: Option<String>,
    /// Column with the time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time: Option<String>,
    /// What times are in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_unit: Option<TimeUnit>,
    /// Column with the person's number or name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<String>,
    /// Long tables: column with the point's name or its position in `points`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<String>,
    /// Column of x, or its pattern: `{point}_x`.
    pub x: String,
    /// Column of y, or its pattern.
    pub y: String,
    /// Column of the score, or its pattern.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub score: Option<String>,
}

/// The layout file's form as a JSON Schema.
#[must_use]
pub fn layout_schema() -> schemars::Schema {
    schemars::schema_for!(LayoutFile)
}
