//! A manifest: a CSV table of attempts with athlete, drill, date and frame rate.

use std::collections::HashMap;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use springline_drills::{Catalogue, Drill};
use springline_keypoints::{CameraSetup, is_film};

use super::{Item, Work};
use crate::error::Error;
use crate::find_drill::find_drill;

/// As much as shows whether a file is a film, bytes.
const START: u64 = 12;
/// Largest manifest, bytes.
const MOST_BYTES: u64 = 64 << 20;
/// Problems of one manifest that are told.
const MOST_PROBLEMS: usize = 50;
/// Names of columns, or problems of a spec, that one message lists.
const MOST_NAMES: usize = 5;
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
    Setup,
}

/// Header names, the first of each is the one that is told.
const HEADERS: [(Column, &[&str]); 6] = [
    (Column::File, &["file", "path", "attempt", "clip"]),
    (Column::Athlete, &["athlete", "athlete_code", "code", "gymnast"]),
    (Column::Drill, &["drill", "drill_id"]),
    (Column::Date, &["date", "day"]),
    (Column::Rate, &["rate", "rate_hz", "frame_rate", "fps", "hz"]),
    (Column::Setup, &["setup", "set_up", "camera_setup"]),
];

/// Reads a manifest: a CSV file with a header row and the columns `file`, and as far as known `athlete`, `drill`,
/// `date`, `rate` and `setup` (a camera set-up file, which goes before the one for all). Paths are relative to the manifest; commas or semicolons part the columns.
///
/// A drill or a set-up that does not exist, a wrong date or a wrong rate is the error of its row; a column of another name is not used, and a note says so.
///
/// # Inputs
/// `drill`: the drill of rows without one; `None`: the drill that the file names.
/// # Errors
/// [`Error::Read`]; [`Error::Import`] if it is a film; [`Error::Manifest`] with every problem of the others: line, what was found, what was expected.
pub fn read_manifest(path: &Path, catalogue: &Catalogue, drill: Option<Drill>) -> Result<Work, Error> {
    let text = read(path)?;
    let drill_of_all = drill.as_ref().map(|drill| drill.id.clone());
    let mut sheet = Sheet {
        file: path.display().to_string(),
        base: path.parent().unwrap_or(Path::new("")),
        catalogue,
        default: drill.as_ref().map(|_| 0),
        named: HashMap::new(),
        drills: drill.into_iter().collect(),
        set_up: HashMap::new(),
        setups: Vec::new(),
        items: Vec::new(),
        inputs: vec![path.to_owned()],
        problems: Vec::new(),
        notes: Vec::new(),
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
    let Sheet {
        items,
        drills,
        setups,
        inputs,
        notes,
        ..
    } = sheet;
    Ok(Work {
        items: items.into_iter().map(|(_, item)| item).collect(),
        drills,
        setups,
        from: path.to_owned(),
        drill: drill_of_all,
        inputs,
        notes,
    })
}

fn read(path: &Path) -> Result<String, Error> {
    let failed = |source| Error::Read {
        path: path.to_owned(),
        source,
    };
    let mut file = std::fs::File::open(path).map_err(failed)?;
    let length = file.metadata().map_err(failed)?.len();
    let mut bytes = Vec::new();
    file.by_ref().take(START).read_to_end(&mut bytes).map_err(failed)?;
    if is_film(&bytes) {
        return Err(Error::Import(springline_keypoints::Error::Film {
            file: path.display().to_string(),
        }));
    }
    if length > MOST_BYTES {
        let text = format!("{length} bytes, expected a manifest of at most {MOST_BYTES}");
        return Err(failed(std::io::Error::other(text)));
    }
    file.read_to_end(&mut bytes).map_err(failed)?;
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = 1 + error.as_bytes()[..at].iter().filter(|byte| **byte == b'\n').count();
        Error::Manifest {
            problems: vec![format!(
                "{}: line {line}: found a letter of another encoding (such as Latin-1) or a file that is no text, expected \
                 UTF-8 text; save the table as UTF-8",
                path.display()
            )],
        }
    })
}

struct Sheet<'a> {
    file: String,
    base: &'a Path,
    catalogue: &'a Catalogue,
    default: Option<usize>,
    /// What each drill is called in the manifest: its place, or why there is none.
    named: HashMap<String, Result<usize, String>>,
    drills: Vec<Drill>,
    /// What each set-up is called in the manifest: its place, or why there is none.
    set_up: HashMap<String, Result<usize, String>>,
    setups: Vec<CameraSetup>,
    items: Vec<(u64, Item)>,
    inputs: Vec<PathBuf>,
    problems: Vec<String>,
    notes: Vec<String>,
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

    /// What each column holds; `None` for one that is not used.
    fn columns(&mut self, reader: &mut csv::Reader<&[u8]>) -> Option<Vec<Option<Column>>> {
        let expected = HEADERS.map(|(_, names)| names[0]).join(", ");
        let headers = match reader.headers() {
            Ok(headers) => headers.clone(),
            Err(error) => {
                self.problem(1, &error.to_string(), &format!("a header row with {expected}"));
                return None;
            }
        };
        let columns: Vec<Option<Column>> = headers.iter().map(column_of).collect();
        for (column, names) in HEADERS {
            if columns.iter().filter(|known| **known == Some(column)).count() > 1 {
                self.problem(1, &format!("column {} a second time", names[0]), "each column once");
            }
        }
        if !columns.contains(&Some(Column::File)) {
            let found = headers.iter().collect::<Vec<_>>().join(", ");
            let found = match headers.len() {
                0 => "no column".to_owned(),
                1 => format!("the column {found}"),
                _ => format!("the columns {found}"),
            };
            self.problem(1, &found, "a column file with the paths of the attempts");
        }
        if !self.problems.is_empty() {
            return None;
        }
        self.note_unused(&headers, &columns, &expected);
        Some(columns)
    }

    /// Notes the columns that are not used: those that are nearly a known one by name, the others together.
    fn note_unused(&mut self, headers: &csv::StringRecord, columns: &[Option<Column>], expected: &str) {
        let unused = headers.iter().zip(columns).filter(|(_, column)| column.is_none());
        let mut strange = Vec::new();
        for (header, _) in unused.filter(|(header, _)| !header.is_empty()) {
            match nearly(header).filter(|(meant, _)| !columns.contains(&Some(*meant))) {
                Some((_, name)) => self.notes.push(format!(
                    "{}: column {} is not used; did you mean {name:?}?",
                    self.file,
                    quoted(header)
                )),
                None => strange.push(quoted(header)),
            }
        }
        let (word, is) = match strange.len() {
            0 => return,
            1 => ("column", "is"),
            _ => ("columns", "are"),
        };
        let more = match strange.len().saturating_sub(MOST_NAMES) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        strange.truncate(MOST_NAMES);
        self.notes.push(format!(
            "{}: {word} {}{more} {is} not used; columns that are: {expected}",
            self.file,
            strange.join(", ")
        ));
    }

    fn row(&mut self, record: &csv::StringRecord, columns: &[Option<Column>]) {
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
            setup: None,
            problem: None,
        };
        let mut problems = Vec::new();
        for (column, field) in columns.iter().zip(record).filter(|(_, field)| !field.is_empty()) {
            match column {
                None => {}
                Some(Column::File) => {
                    item.name = field.replace('\\', "/");
                    item.path = self.base.join(&item.name);
                }
                Some(Column::Athlete) => item.athlete = Some(field.to_owned()),
                Some(Column::Drill) => match self.drill(field) {
                    Ok(drill) => item.drill = Some(drill),
                    Err(problem) => {
                        item.drill = None;
                        problems.push(problem);
                    }
                },
                Some(Column::Setup) => match self.setup(field) {
                    Ok(setup) => item.setup = Some(setup),
                    Err(problem) => problems.push(problem),
                },
                Some(Column::Date) if is_date(field) => item.date = Some(field.to_owned()),
                Some(Column::Date) => {
                    let found = readable(&format!("date {field:?}"));
                    problems.push(format!("found {found}, expected year-month-day, such as 2026-03-14"));
                }
                Some(Column::Rate) => match field.parse::<f64>() {
                    Ok(rate) if (1.0..=2000.0).contains(&rate) => item.rate_hz = Some(rate),
                    _ => {
                        let found = readable(&format!("rate {field:?}"));
                        problems.push(format!("found {found}, expected 1 to 2000 frames a second"));
                    }
                },
            }
        }
        if !problems.is_empty() {
            item.problem = Some(format!("line {line} of the manifest: {}", problems.join("; ")));
        }
        if item.name.is_empty() {
            self.problem(line, "no file", "the path of a keypoint file");
        }
        self.items.push((line, item));
    }

    /// The place of a drill, or why there is none.
    fn drill(&mut self, name: &str) -> Result<usize, String> {
        if name.chars().nth(MOST_LETTERS).is_some() || name.contains(char::is_control) {
            let found = readable(&format!("{name:?}"));
            return Err(format!(
                "found drill {found}, expected an id of the catalogue or a spec file"
            ));
        }
        if let Some(known) = self.named.get(name) {
            return known.clone();
        }
        let spec = self.base.join(name);
        if spec.is_file() {
            self.inputs.push(spec);
        }
        let found = match find_drill(self.catalogue, name, self.base) {
            Ok(drill) => {
                self.drills.push(drill);
                Ok(self.drills.len() - 1)
            }
            Err(error) => Err(in_one_line(&error.to_string())),
        };
        self.named.insert(name.to_owned(), found.clone());
        found
    }

    /// The place of a camera set-up, or why there is none.
    fn setup(&mut self, name: &str) -> Result<usize, String> {
        if name.chars().nth(MOST_LETTERS).is_some() || name.contains(char::is_control) {
            let found = readable(&format!("{name:?}"));
            return Err(format!(
                "found set-up {found}, expected the path of a camera set-up file"
            ));
        }
        if let Some(known) = self.set_up.get(name) {
            return known.clone();
        }
        let path = self.base.join(name);
        let found = match CameraSetup::read(&path) {
            Ok(setup) => {
                // As the manifest calls it, the same on every machine.
                self.setups.push(CameraSetup {
                    file: name.to_owned(),
                    ..setup
                });
                Ok(self.setups.len() - 1)
            }
            Err(error) => {
                let whole = path.display().to_string();
                Err(in_one_line(&error.to_string().replace(&whole, name)))
            }
        };
        if path.is_file() {
            self.inputs.push(path);
        }
        self.set_up.insert(name.to_owned(), found.clone());
        found
    }

    /// Sorts the attempts and finds rows that say the same twice.
    fn find_doubles(&mut self) {
        let drills = &self.drills;
        self.items.sort_by(|(_, a), (_, b)| a.key(drills).cmp(&b.key(drills)));
        let doubles: Vec<(u64, String)> = self
            .items
            .windows(2)
            .filter(|pair| pair[0].1.key(drills) == pair[1].1.key(drills))
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

/// What a column of this name holds.
fn column_of(header: &str) -> Option<Column> {
    let name = header.trim().to_lowercase().replace([' ', '-'], "_");
    HEADERS
        .iter()
        .find(|(_, names)| names.contains(&name.as_str()))
        .map(|(column, _)| *column)
}

/// The column that a misspelled name stands for, and how that is spelled.
fn nearly(header: &str) -> Option<(Column, &'static str)> {
    let name = header.trim().to_lowercase().replace([' ', '-'], "_");
    HEADERS
        .iter()
        .flat_map(|(column, names)| names.iter().map(move |near| (*column, *near)))
        .map(|(column, near)| (column, near, strsim::jaro_winkler(near, &name)))
        .max_by(|a, b| a.2.total_cmp(&b.2))
        .filter(|(_, _, near)| *near > 0.85)
        .map(|(column, near, _)| (column, near))
}

/// Whether the header of a table is that of a manifest and nothing else.
pub(super) fn is_header(columns: &[&str]) -> bool {
    let columns: Vec<Option<Column>> = columns.iter().map(|header| column_of(header)).collect();
    columns.contains(&Some(Column::File)) && !columns.contains(&None)
}

/// The first problems of a spec in one line.
pub(super) fn in_one_line(error: &str) -> String {
    let lines: Vec<&str> = error.lines().collect();
    let told = lines[..lines.len().min(MOST_NAMES)].join("; ");
    match lines.len().saturating_sub(MOST_NAMES) {
        0 => told,
        more => format!("{told}; and {more} more"),
    }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", readable(text))
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
            format!("file\n\"{long}\"\n\"{long}\"\n"),
        ] {
            std::fs::write(&path, text).unwrap();
            let error = read_manifest(&path, &springline_drills::Catalogue::shipped(), None).unwrap_err();
            let words = error.to_string();
            assert!(words.len() < 2_000 && words.lines().count() <= 2, "{}", words.len());
            assert!(!words.contains('\u{1b}'), "{words}");
        }
        std::fs::write(&path, format!("file,drill,\"{long}\"\nturn.json,\"{long}\",\n")).unwrap();
        let work = read_manifest(&path, &springline_drills::Catalogue::shipped(), None).unwrap();
        let note = work.notes[0].clone();
        std::fs::write(&path, format!("file,date,rate\nturn.json,\"{long}\",\"{long}\"\n")).unwrap();
        let dates = read_manifest(&path, &springline_drills::Catalogue::shipped(), None).unwrap();
        let [drill, date] = [work, dates].map(|mut work| work.items.remove(0).problem.unwrap());
        for words in [note, drill, date] {
            assert!(words.len() < 2_000 && !words.contains('\u{1b}'), "{words}");
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
