//! Where things sit in a file, as the readers need it.

use crate::path::Path;
use crate::sheet::Columns;

/// Where things sit in a file.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shape {
    pub json: Option<JsonShape>,
    pub table: Option<TableShape>,
}

/// Where things sit in a JSON file. Inner paths start at the value of the outer one.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct JsonShape {
    /// From the top to each frame.
    pub frames: Path,
    /// No frame number comes twice, because a frame holds all its people.
    pub frames_once: bool,
    /// In a frame: its number.
    pub frame: Option<Where>,
    /// In a frame: its time.
    pub time: Option<Path>,
    /// Seconds that one unit of time is.
    pub time_unit_s: f64,
    /// From a frame to each person; empty: a frame holds one person.
    pub people: Path,
    /// In a person: a number that stays the same.
    pub person: Option<Where>,
    /// From a person to the points.
    pub points: Path,
    /// From a person to a list of scores, where they stand apart.
    pub scores: Option<Path>,
    /// What the numbers of a point are, for lists.
    pub columns: Columns,
    /// What the members of a point are called, for objects.
    pub keys: PointKeys,
    /// From the top.
    pub rate: Option<Path>,
    pub width: Option<Path>,
    pub height: Option<Path>,
    /// From a frame.
    pub frame_width: Option<Path>,
    pub frame_height: Option<Path>,
}

/// Where a number stands.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Where {
    /// At a path.
    Path(Path),
    /// In the name of the member itself (`frames.*`).
    MemberName,
}

/// Names of a point object's members.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PointKeys {
    pub x: String,
    pub y: String,
    pub score: Option<String>,
    pub name: Option<String>,
}

/// Columns of a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct TableShape {
    pub frame: Option<String>,
    pub time: Option<String>,
    pub time_unit_s: f64,
    pub person: Option<String>,
    /// Long tables: the column with the point's name or number.
    pub point: Option<String>,
    /// Column of x, or its pattern with `{point}` in a wide table.
    pub x: String,
    pub y: String,
    pub score: Option<String>,
}
