//! A manifest: a CSV table of attempts with athlete, drill, date and frame rate.

use std::path::Path;

use springline_drills::{Catalogue, Drill};

use super::{Item, Work};
use crate::error::Error;
use crate::find_drill::find_drill;

/// Largest manifest, bytes.
const MOST_BYTES: u64 = 64 << 20;
/// Problems of one manifest that are told.
const MOST_PROBLEMS: usize = 50;
/// Letters of what a manifest holds that a message repeats at most.
const MOST_LETTERS: usize = 200;

/// A column that a manifest may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    File,
    Athlete,
    Drill,
    Date,
    Rate,
}

/// Header names, the first of each is the one that is told.
const HEADERS: [(Column, &[&str]); 5] = [
    (Column::File, &["file", "path", "attempt", "clip"]),
    (Column::Athlete, &["athlete", "athlete_code", "code", "gymnast"]),
    (Column::Drill, &["drill", "drill_id"]),
    (Column::Date, &["date", "day"]),
    (Column::Rate, &["rate", "rate_hz", "frame_rate", "fps", "hz"]),
];

/// Reads a manifest: a CSV file with a header row and the columns `file`, and as far as known `athlete`, `drill`,
/// `date` and `rate`. Paths are relative to the manifest; commas or semicolons part the columns.
///
/// # Inputs
/// `drill`: the drill of rows without one; `None`: the drill that the file names.
/// # Errors
/// [`Error::Read`]; [`Error::Manifest`] with every problem: line, what was found, what was expected.
pub fn read_manifest(path: &Path, catalogue: &Catalogue, drill: Option<Drill>) -> Result<Work, Error> {
    let text = read(path)?;
    let mut sheet = Sheet {
        file: path.display().to_string(),
        base: path.parent().unwrap_or(Path::new("")),
        catalogue,
        default: drill.as_ref().map(|_| 0),
        names: drill.iter().map(|_| None).collect(),
        drills: drill.into_iter().collect(),
        items: Vec::new(),
        problems: Vec::new(),
    };
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    if text.trim_start().starts_with(['{', '[']) {
        sheet.problem(1, "JSON", "a table of attempts (CSV) with a header row");
    } else {
        sheet.rows(text);
    }
    if sheet.problems.is_empty() && sheet.items.is_empty() {
        sheet.problem(1, "no row", "a row for each attempt");
    }
    sheet.find_doubles();
    if !sheet.problems.is_empty() {
        return Err(Error::Manifest {
            problems: sheet.problems,
        });
    }
    let Sheet { items, drills, .. } = sheet;
    Ok(Work {
        items: items.into_iter().map(|(_, item)| item).collect(),
        drills,
    })
}

fn read(path: &Path) -> Result<String, Error> {
    let failed = |source| Error::Read {
        path: path.to_owned(),
        source,
    };
    let length = std::fs::metadata(path).map_err(failed)?.len();
    if length > MOST_BYTES {
        let text = format!("{length} bytes, expected a manifest of at most {MOST_BYTES}");
        return Err(failed(std::io::Error::other(text)));
    }
    std::fs::read_to_string(path).map_err(failed)
}

struct Sheet<'a> {
    file: String,
    base: &'a Path,
    catalogue: &'a Catalogue,
    default: Option<usize>,
    /// What each drill is called in the manifest; `None` for the default.
    names: Vec<Option<String>>,
    drills: Vec<Drill>,
    items: Vec<(u64, Item)>,
    problems: Vec<String>,
}

impl Sheet<'_> {
    fn problem(&mut self, line: u64, found: &str, expected: &str) {
        self.say(line, &format!("found {}, expected {expected}", readable(found)));
    }

    fn say(&mut self, line: u64, problem: &str) {
        if self.problems.len() < MOST_PROBLEMS {
            self.problems.push(format!("{}: line {line}: {problem}", self.file));
        }
    }

    fn rows(&mut self, text: &str) {
        let header = text.lines().next().unwrap_or_default();
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(if header.contains(';') && !header.contains(',') {
                b';'
            } else {
                b','
            })
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let Some(columns) = self.columns(&mut reader) else {
            return;
        };
        for record in reader.records() {
            match record {
                Ok(record) => self.row(&record, &columns),
                Err(error) => {
                    let line = error.position().map_or(0, csv::Position::line);
                    self.problem(line, &error.to_string(), "a row of a CSV table");
                    return;
                }
            }
        }
    }

    fn columns(&mut self, reader: &mut csv::Reader<&[u8]>) -> Option<Vec<Column>> {
        let expected = HEADERS.map(|(_, names)| names[0]).join(", ");
        let headers = match reader.headers() {
            Ok(headers) => headers.clone(),
            Err(error) => {
                self.problem(1, &error.to_string(), &format!("a header row with {expected}"));
                return None;
            }
        };
        let mut columns = Vec::new();
        for header in &headers {
            let name = header.to_lowercase().replace([' ', '-'], "_");
            match HEADERS.iter().find(|(_, names)| names.contains(&name.as_str())) {
                Some((column, names)) => {
                    if columns.contains(column) {
                        self.problem(1, &format!("column {} a second time", names[0]), "each column once");
                    }
                    columns.push(*column);
                }
                None => {
                    let nearest = HEADERS
                        .iter()
                        .flat_map(|(_, names)| names.iter())
                        .max_by(|a, b| strsim::jaro_winkler(a, &name).total_cmp(&strsim::jaro_winkler(b, &name)))
                        .filter(|near| strsim::jaro_winkler(near, &name) > 0.7);
                    let meant = nearest.map_or_else(String::new, |near| format!("; did you mean {near:?}?"));
                    self.problem(1, &format!("column {header:?}"), &format!("one of {expected}{meant}"));
                }
            }
        }
        if !columns.contains(&Column::File) && self.problems.is_empty() {
            self.problem(1, "no column file", "a header row with file");
        }
        self.problems.is_empty().then_some(columns)
    }

    fn row(&mut self, record: &csv::StringRecord, columns: &[Column]) {
        let line = record.position().map_or(0, csv::Position::line);
        if record.iter().all(str::is_empty) {
            return;
        }
        if record.len() != columns.len() {
            self.problem(
                line,
                &format!("{} field{}", record.len(), if record.len() == 1 { "" } else { "s" }),
                &format!("{} as in the header", columns.len()),
            );
            return;
        }
        let mut item = Item {
            name: String::new(),
            path: self.base.to_owned(),
            drill: self.default,
            athlete: None,
            date: None,
            rate_hz: None,
        };
        for (column, field) in columns.iter().zip(record).filter(|(_, field)| !field.is_empty()) {
            match column {
                Column::File => {
                    item.name = field.replace('\\', "/");
                    item.path = self.base.join(&item.name);
                }
                Column::Athlete => item.athlete = Some(field.to_owned()),
                Column::Drill => item.drill = self.drill(line, field),
                Column::Date if is_date(field) => item.date = Some(field.to_owned()),
                Column::Date => {
                    self.problem(line, &format!("date {field:?}"), "year-month-day, such as 2026-03-14");
                }
                Column::Rate => match field.parse::<f64>() {
                    Ok(rate) if (1.0..=2000.0).contains(&rate) => item.rate_hz = Some(rate),
                    _ => self.problem(line, &format!("rate {field:?}"), "1 to 2000 frames a second"),
                },
            }
        }
        if item.name.is_empty() {
            self.problem(line, "no file", "the path of a keypoint file");
        }
        self.items.push((line, item));
    }

    fn drill(&mut self, line: u64, name: &str) -> Option<usize> {
        if name.chars().nth(MOST_LETTERS).is_some() || name.contains(char::is_control) {
            self.problem(
                line,
                &format!("drill {name:?}"),
                "an id of the catalogue or a spec file",
            );
            return None;
        }
        if let Some(known) = self.names.iter().position(|known| known.as_deref() == Some(name)) {
            return Some(known);
        }
        match find_drill(self.catalogue, name, self.base) {
            Ok(drill) => {
                self.names.push(Some(name.to_owned()));
                self.drills.push(drill);
                Some(self.drills.len() - 1)
            }
            Err(error) => {
                for problem in error.to_string().lines() {
                    self.say(line, problem);
                }
                None
            }
        }
    }

    /// Sorts the attempts and finds rows that say the same twice.
    fn find_doubles(&mut self) {
        let id = |drill: Option<usize>| drill.map_or("", |drill| self.drills[drill].id.as_str());
        self.items
            .sort_by(|(_, a), (_, b)| a.name.cmp(&b.name).then_with(|| id(a.drill).cmp(id(b.drill))));
        let doubles: Vec<(u64, String)> = self
            .items
            .windows(2)
            .filter(|pair| pair[0].1.name == pair[1].1.name && id(pair[0].1.drill) == id(pair[1].1.drill))
            .map(|pair| (pair[1].0, pair[1].1.name.clone()))
            .collect();
        for (line, name) in doubles {
            self.problem(
                line,
                &format!("{name:?} a second time"),
                "each file once for each drill",
            );
        }
    }
}

/// What a manifest holds, cut to a length that a person reads and safe to show.
fn readable(text: &str) -> String {
    let safe = text.replace(char::is_control, "\u{fffd}");
    match safe.char_indices().nth(MOST_LETTERS) {
        Some((end, _)) => format!("{}…", &safe[..end]),
        None => safe,
    }
}

/// Whether a text is a date as ISO 8601 writes it, such as 2026-03-14.
#[must_use]
pub fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let number = |part: &str, long: usize| {
        (part.len() == long && part.bytes().all(|byte| byte.is_ascii_digit()))
            .then(|| part.parse::<u32>().ok())
            .flatten()
    };
    let [year, month, day] = parts.as_slice() else {
        return false;
    };
    let (Some(year), Some(month), Some(day)) = (number(year, 4), number(month, 2), number(day, 2)) else {
        return false;
    };
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let days = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return false,
    };
    (1..=days).contains(&day)
}

#[cfg(test)]
mod tests {
    use super::{is_date, read_manifest};

    #[test]
    fn a_message_is_short_whatever_the_manifest_holds() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("list.csv");
        let long = "x\u{1b}".repeat(50_000);
        for text in [
            format!("{long}\nturn.json\n"),
            format!("file,drill\nturn.json,\"{long}\"\n"),
            format!("file,date,rate\nturn.json,\"{long}\",\"{long}\"\n"),
            format!("file\n\"{long}\"\n\"{long}\"\n"),
        ] {
            std::fs::write(&path, text).unwrap();
            let error = read_manifest(&path, &springline_drills::Catalogue::shipped(), None).unwrap_err();
            let words = error.to_string();
            assert!(words.len() < 2_000 && words.lines().count() <= 2, "{}", words.len());
            assert!(!words.contains('\u{1b}'), "{words}");
        }
    }

    #[test]
    fn dates_of_the_calendar() {
        for good in ["2026-03-14", "2024-02-29", "2000-02-29", "0001-12-31"] {
            assert!(is_date(good), "{good}");
        }
        for bad in [
            "2026-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-01",
            "2026-04-31",
            "2026-04-00",
            "26-04-01",
            "2026-4-1",
            "2026/04/01",
            "2026-04-01T10:00",
            "+026-04-01",
            "",
            "2026-04",
        ] {
            assert!(!is_date(bad), "{bad}");
        }
    }
}
