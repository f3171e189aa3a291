//! Layout files: a short description of where things sit in the files of some other tool.
//!
//! See the crate's first page for the whole form with a worked example.

use std::collections::BTreeMap;
use std::path::Path as FilePath;

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};
use springline_kinematics::Landmark;

use crate::error::Error;
use crate::layout::{Layout, ScoreRange};
use crate::limits;
use crate::names::nearest;
use crate::path::Path;
use crate::sheet::{Columns, Unit};
use crate::text;

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
    /// Px of the picture, y down.
    Px,
    /// Shares of the picture's width and height, 0 to 1.
    Shares,
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
    /// Down.
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

impl Layout {
    /// Reads a layout file, TOML or (ending in `.json`) JSON.
    ///
    /// # Errors
    /// [`Error::Read`], [`Error::TooLarge`], [`Error::NotUtf8`], and those of [`Layout::from_toml`].
    pub fn read(path: &FilePath) -> Result<Layout, Error> {
        let name = path.display().to_string();
        let mut bytes = Vec::new();
        crate::importer::read_whole(path, &name, &mut bytes, limits::LAYOUT_BYTES)?;
        let text = text::decode(&name, &bytes)?;
        if text.trim_start().starts_with('{') {
            Self::from_json(&name, text)
        } else {
            Self::from_toml(&name, text)
        }
    }

    /// Reads a layout from TOML text; `file` stands for it in messages.
    ///
    /// # Errors
    /// [`Error::Shape`] with line and column, or the key, for anything that the form of
    /// [`LayoutFile`] doesn't allow.
    pub fn from_toml(file: &str, text: &str) -> Result<Layout, Error> {
        let parsed: LayoutFile = toml::from_str(text).map_err(|error| {
            let at = error.span().map_or(0, |span| span.start);
            let before = text.get(..at).unwrap_or("");
            let line = before.matches('\n').count() + 1;
            let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
            let message = error.message().to_owned();
            let (found, expected) = message.split_once(", expected ").unwrap_or((&message, "a layout file"));
            shape(file, &format!("line {line}, column {column}"), found, expected)
        })?;
        parsed.layout(file)
    }

    /// Reads a layout from JSON text; `file` stands for it in messages.
    ///
    /// # Errors
    /// As [`Layout::from_toml`].
    pub fn from_json(file: &str, text: &str) -> Result<Layout, Error> {
        let parsed: LayoutFile = serde_json::from_str(text).map_err(|error| Error::json(file, &error))?;
        parsed.layout(file)
    }
}

fn shape(file: &str, place: &str, found: &str, expected: &str) -> Error {
    Error::Shape {
        file: file.to_owned(),
        place: place.to_owned(),
        found: found.to_owned(),
        expected: expected.to_owned(),
    }
}

impl LayoutFile {
    /// The layout that this file describes; `file` stands for it in messages.
    ///
    /// # Errors
    /// [`Error::Shape`] naming the key.
    pub fn layout(&self, file: &str) -> Result<Layout, Error> {
        if self.version != 1 {
            return Err(shape(file, "version", &self.version.to_string(), "1"));
        }
        let mut layout = self.points(file)?;
        layout.unit = match self.unit {
            None => Unit::Unsaid,
            Some(CoordinateUnit::Px) => Unit::Px,
            Some(CoordinateUnit::Shares) => Unit::Shares,
        };
        layout.missing_value = self.missing_value;
        layout.zero_is_missing = self.zero_is_missing.unwrap_or(true);
        if let Some([low, high]) = self.score_range {
            if !(low.is_finite() && high.is_finite() && low < high) {
                return Err(shape(
                    file,
                    "score_range",
                    &format!("{low} and {high}"),
                    "a number and a greater one",
                ));
            }
            layout.scores = ScoreRange {
                low,
                high,
                accepted: high,
            };
        }
        let json = self.json.as_ref().map(|places| json_shape(file, places)).transpose()?;
        let table = self
            .table
            .as_ref()
            .map(|columns| table_shape(file, columns))
            .transpose()?;
        layout.shape = Shape { json, table };
        Ok(layout)
    }

    fn points(&self, file: &str) -> Result<Layout, Error> {
        let landmark = |place: &str, id: &str| {
            Landmark::from_id(id).ok_or_else(|| {
                shape(
                    file,
                    place,
                    &format!("{id:?}"),
                    &format!("a landmark id (such as {}) or \"-\"", nearest(id)),
                )
            })
        };
        let mut points: Vec<Option<Landmark>> = Vec::new();
        let mut names: Vec<String> = Vec::new();
        match &self.points {
            Some(PointOrder::Builtin(name)) => {
                points = Layout::builtin(name)
                    .ok_or_else(|| {
                        let known: Vec<String> = Layout::builtins().into_iter().map(|layout| layout.name).collect();
                        shape(
                            file,
                            "points",
                            &format!("{name:?}"),
                            &format!("a list, or one of {}", known.join(", ")),
                        )
                    })?
                    .points;
            }
            Some(PointOrder::List(ids)) => {
                for (index, id) in ids.iter().enumerate() {
                    let place = format!("points[{index}]");
                    let point = if id == "-" { None } else { Some(landmark(&place, id)?) };
                    if point.is_some() && points.contains(&point) {
                        return Err(shape(
                            file,
                            &place,
                            &format!("{id:?} a second time"),
                            "each landmark once",
                        ));
                    }
                    points.push(point);
                }
            }
            None => {}
        }
        if !self.names.is_empty() {
            if points.is_empty() {
                for (name, id) in &self.names {
                    let place = format!("names.{name}");
                    let point = if id == "-" { None } else { Some(landmark(&place, id)?) };
                    if point.is_some() && points.contains(&point) {
                        return Err(shape(
                            file,
                            &place,
                            &format!("{id:?} a second time"),
                            "each landmark once",
                        ));
                    }
                    points.push(point);
                    names.push(name.clone());
                }
            } else {
                names = points
                    .iter()
                    .map(|point| point.map_or(String::new(), |point| point.id().to_owned()))
                    .collect();
                for (name, id) in &self.names {
                    let place = format!("names.{name}");
                    let at = landmark(&place, id)?;
                    let index = points.iter().position(|point| *point == Some(at)).ok_or_else(|| {
                        shape(
                            file,
                            &place,
                            &format!("{id:?}"),
                            "a landmark that points lists, or no points",
                        )
                    })?;
                    names[index] = name.clone();
                }
            }
        }
        if points.iter().flatten().next().is_none() {
            return Err(shape(file, "points", "no landmark", "points, names or both"));
        }
        let mut layout = Layout::plain(&self.name, &self.about, points);
        layout.names = names;
        Ok(layout)
    }
}

fn json_shape(file: &str, places: &JsonPlaces) -> Result<JsonShape, Error> {
    let path = |key: &str, text: &str| {
        Path::parse(text).map_err(|found| {
            shape(
                file,
                &format!("json.{key}"),
                &found,
                "a path such as frames[*].people[*]",
            )
        })
    };
    let optional = |key: &str, text: &Option<String>| text.as_ref().map(|text| path(key, text)).transpose();
    let one = |key: &str, text: &Option<String>| match optional(key, text)? {
        Some(path) if path.is_many() => Err(shape(
            file,
            &format!("json.{key}"),
            &format!("{path}"),
            "a path to one value",
        )),
        path => Ok(path),
    };
    let place = |key: &str, text: &Option<String>| match text.as_deref() {
        Some("@name") => Ok(Some(Where::MemberName)),
        _ => Ok(one(key, text)?.map(Where::Path)),
    };
    let columns = match &places.numbers {
        None => Columns::TRIPLES,
        Some(numbers) => {
            let at = |wanted| numbers.iter().position(|number| *number == wanted);
            let twice = |wanted| numbers.iter().filter(|number| **number == wanted).count() > 1;
            let doubled = [PointNumber::X, PointNumber::Y, PointNumber::Score]
                .into_iter()
                .any(twice);
            match (at(PointNumber::X), at(PointNumber::Y)) {
                (Some(x), Some(y)) if !doubled && numbers.len() <= 8 => Columns {
                    count: numbers.len(),
                    x,
                    y,
                    score: at(PointNumber::Score),
                },
                _ => {
                    return Err(shape(
                        file,
                        "json.numbers",
                        &format!("{} entries", numbers.len()),
                        "x and y once each, score once at most, \"-\" for others, eight in all at most",
                    ));
                }
            }
        }
    };
    let points = path("points", &places.points)?;
    if points.is_many() {
        return Err(shape(
            file,
            "json.points",
            &points.to_string(),
            "a path to the list or object of points",
        ));
    }
    let people = path("people", &places.people)?;
    Ok(JsonShape {
        frames: path("frames", &places.frames)?,
        frames_once: people.is_many(),
        frame: place("frame", &places.frame)?,
        time: one("time", &places.time)?,
        time_unit_s: places.time_unit.unwrap_or_default().seconds(),
        people,
        person: place("person", &places.person)?,
        points,
        scores: one("scores", &places.scores)?,
        columns,
        keys: PointKeys {
            x: places.x.clone().unwrap_or_else(|| "x".to_owned()),
            y: places.y.clone().unwrap_or_else(|| "y".to_owned()),
            score: places.score.clone(),
            name: places.name.clone(),
        },
        rate: one("rate_hz", &places.rate_hz)?,
        width: one("width", &places.width)?,
        height: one("height", &places.height)?,
        frame_width: one("frame_width", &places.frame_width)?,
        frame_height: one("frame_height", &places.frame_height)?,
    })
}

fn table_shape(file: &str, columns: &TableColumns) -> Result<TableShape, Error> {
    let wide = columns.point.is_none();
    for (key, pattern) in [
        ("x", Some(&columns.x)),
        ("y", Some(&columns.y)),
        ("score", columns.score.as_ref()),
    ] {
        if let Some(pattern) = pattern
            && pattern.matches("{point}").count() != usize::from(wide)
        {
            let expected = if wide {
                "a pattern with {point} in it once"
            } else {
                "a column name"
            };
            return Err(shape(file, &format!("table.{key}"), &format!("{pattern:?}"), expected));
        }
    }
    Ok(TableShape {
        frame: columns.frame.clone(),
        time: columns.time.clone(),
        time_unit_s: columns.time_unit.unwrap_or_default().seconds(),
        person: columns.person.clone(),
        point: columns.point.clone(),
        x: columns.x.clone(),
        y: columns.y.clone(),
        score: columns.score.clone(),
    })
}
