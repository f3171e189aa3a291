//! From a layout file to a layout.

use std::path::Path as FilePath;

use springline_kinematics::Landmark;

use crate::error::Error;
use crate::layout::{Layout, ScoreRange};
use crate::layout_file::{CoordinateUnit, JsonPlaces, LayoutFile, PointNumber, PointOrder, TableColumns, YDirection};
use crate::layout_problems;
use crate::limits;
use crate::names::nearest;
use crate::path::Path;
use crate::shape::{JsonShape, PointKeys, Shape, TableShape, Where};
use crate::sheet::{Columns, Unit};
use crate::text;

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
        let read = || {
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
        };
        read()
            .map_err(|error| match layout_problems::of(text).as_slice() {
                [] => error,
                [one] => shape(file, &one.place, &one.found, &one.expected),
                several => Error::Layout {
                    problems: told(file, several),
                },
            })
            .map_err(Error::readable)
    }

    /// Reads a layout from JSON text; `file` stands for it in messages.
    ///
    /// # Errors
    /// As [`Layout::from_toml`].
    pub fn from_json(file: &str, text: &str) -> Result<Layout, Error> {
        let parsed: LayoutFile = serde_json::from_str(text).map_err(|error| Error::json(file, &error).readable())?;
        parsed.layout(file).map_err(Error::readable)
    }
}

/// The problems as lines, as many as a person reads; the others are counted.
fn told(file: &str, problems: &[layout_problems::Problem]) -> Vec<String> {
    const MOST_BYTES: usize = 2_500;
    let mut lines: Vec<String> = Vec::new();
    for (index, one) in problems.iter().enumerate() {
        if lines.iter().map(String::len).sum::<usize>() > MOST_BYTES {
            lines.push(format!("{file}: more problems: {}", problems.len() - index));
            break;
        }
        let line = shape(file, &one.place, &one.found, &one.expected).readable();
        lines.push(line.to_string());
    }
    lines
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
        layout.y_up = self.y == Some(YDirection::Up);
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
