//! Columns and names of a table that are no points of ours: told, because one of them may be misspelt.

use csv::StringRecord;

use crate::names;
use crate::numbers::shortened;
use crate::table_header::point_in;

/// Most names in one note.
const MOST: usize = 6;

/// A note on the point names of a table that mean no landmark; `column` writes the name as the file has it.
pub(crate) fn unknown(found: &[String], what: &str, column: impl Fn(&str) -> String) -> Option<String> {
    let there = |id: &str| {
        found
            .iter()
            .any(|name| names::landmark(name).is_some_and(|point| point.id() == id))
    };
    let mut told: Vec<(bool, String)> = found
        .iter()
        .filter(|name| names::landmark(name).is_none())
        .map(|name| {
            let meant = names::meant(name).filter(|id| !there(id));
            let hint = meant.map_or_else(String::new, |id| format!(" (did you mean {id}?)"));
            (meant.is_none(), format!("{}{hint}", plain(&column(name))))
        })
        .collect();
    // Those that look misspelt first.
    told.sort_by_key(|(other, _)| *other);
    let told: Vec<String> = told.into_iter().map(|(_, text)| text).collect();
    (!told.is_empty()).then(|| {
        format!(
            "{what} that are none of the points looked for were left out: {}",
            few(told)
        )
    })
}

/// A note on points of which a wide table has one coordinate only.
pub(crate) fn halves(header: &StringRecord, (x, y): (&str, &str)) -> Option<String> {
    let points = |pattern| -> Vec<&str> { header.iter().filter_map(|column| point_in(pattern, column)).collect() };
    let (with_x, with_y) = (points(x), points(y));
    let lacking = |these: &[&str], those: &[&str], (this, that): (&str, &str)| -> Vec<String> {
        let known = these
            .iter()
            .filter(|name| names::landmark(name).is_some() && !those.contains(name));
        let pair = |name: &&str| (this.replace("{point}", name), that.replace("{point}", name));
        known
            .map(pair)
            .map(|(has, lacks)| format!("{} without {}", plain(&has), plain(&lacks)))
            .collect()
    };
    let mut told = lacking(&with_x, &with_y, (x, y));
    told.extend(lacking(&with_y, &with_x, (y, x)));
    (!told.is_empty()).then(|| format!("points with one coordinate only were left out: {}", few(told)))
}

/// A word of the file, short and without anything that a terminal would obey.
fn plain(word: &str) -> String {
    shortened(word).replace(char::is_control, "\u{fffd}")
}

fn few(mut told: Vec<String>) -> String {
    let more = told.len().saturating_sub(MOST);
    told.truncate(MOST);
    let end = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    format!("{}{end}", told.join(", "))
}
