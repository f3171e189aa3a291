//! The header of a table: what its columns are.

use csv::StringRecord;

use crate::error::Error;
use crate::layout_file::TimeUnit;
use crate::names;
use crate::numbers::shortened;
use crate::shape::TableShape;

const FRAMES: [&str; 7] = [
    "frame",
    "frame_number",
    "frame_index",
    "frame_id",
    "image_id",
    "image",
    "file_name",
];
const TIMES: [(&str, TimeUnit); 10] = [
    ("time", TimeUnit::S),
    ("t", TimeUnit::S),
    ("time_s", TimeUnit::S),
    ("t_s", TimeUnit::S),
    ("timestamp", TimeUnit::S),
    ("seconds", TimeUnit::S),
    ("time_ms", TimeUnit::Ms),
    ("t_ms", TimeUnit::Ms),
    ("timestamp_ms", TimeUnit::Ms),
    ("time_us", TimeUnit::Us),
];
const PEOPLE: [&str; 5] = ["person", "person_id", "track_id", "track", "athlete"];
const POINTS: [&str; 8] = [
    "point",
    "landmark",
    "keypoint",
    "name",
    "part",
    "joint",
    "label",
    "point_name",
];
const SCORES: [&str; 7] = ["score", "confidence", "likelihood", "visibility", "conf", "c", "p"];

fn position(header: &StringRecord, names: &[&str]) -> Option<usize> {
    names
        .iter()
        .find_map(|name| header.iter().position(|column| column.eq_ignore_ascii_case(name)))
}

/// The columns of a table that nobody described, from its header.
pub(crate) fn recognised(header: &StringRecord) -> Option<TableShape> {
    let named = |names: &[&str]| position(header, names).map(|at| header[at].to_owned());
    let time = TIMES
        .iter()
        .find_map(|(name, unit)| named(&[name]).map(|name| (name, unit.seconds())));
    let shape = TableShape {
        frame: named(&FRAMES),
        time: time.as_ref().map(|(name, _)| name.clone()),
        time_unit_s: time.map_or(1.0, |(_, unit)| unit),
        person: named(&PEOPLE),
        ..TableShape::default()
    };
    if let (Some(point), Some(x), Some(y)) = (named(&POINTS), named(&["x", "x_px"]), named(&["y", "y_px"])) {
        return Some(TableShape {
            point: Some(point),
            x,
            y,
            score: named(&SCORES),
            ..shape
        });
    }
    // Wide: the pattern that names the most landmarks.
    let patterns = ["_", ".", "-", " ", ""].into_iter().flat_map(|sign| {
        [("x", "y"), ("X", "Y")].into_iter().flat_map(move |(x, y)| {
            [
                (format!("{{point}}{sign}{x}"), format!("{{point}}{sign}{y}"), sign, true),
                (
                    format!("{x}{sign}{{point}}"),
                    format!("{y}{sign}{{point}}"),
                    sign,
                    false,
                ),
            ]
        })
    });
    let fits = |pattern: &str| {
        header
            .iter()
            .filter_map(|column| point_in(pattern, column))
            .filter(|name| names::landmark(name).is_some())
            .count()
    };
    let (count, x, y, sign, after) = patterns
        .map(|(x, y, sign, after)| (fits(&x).min(fits(&y)), x, y, sign, after))
        .max_by_key(|(count, ..)| *count)?;
    if count < 4 {
        return None;
    }
    let score = SCORES.into_iter().map(|word| {
        if after {
            format!("{{point}}{sign}{word}")
        } else {
            format!("{word}{sign}{{point}}")
        }
    });
    let score = score
        .filter(|pattern| fits(pattern) > 0)
        .max_by_key(|pattern| fits(pattern));
    Some(TableShape { x, y, score, ..shape })
}

/// The part of a column's name that a pattern leaves for the point.
pub(crate) fn point_in<'c>(pattern: &str, column: &'c str) -> Option<&'c str> {
    let (before, after) = pattern.split_once("{point}")?;
    column
        .strip_prefix(before)?
        .strip_suffix(after)
        .filter(|name| !name.is_empty())
}

pub(crate) fn column(file: &str, header: &StringRecord, name: &str) -> Result<usize, Error> {
    header
        .iter()
        .position(|column| column == name)
        .ok_or_else(|| Error::Shape {
            file: file.to_owned(),
            place: "line 1".to_owned(),
            found: format!(
                "the columns {}",
                shortened(&header.iter().collect::<Vec<_>>().join(", "))
            ),
            expected: format!("a column {name:?}"),
        })
}
