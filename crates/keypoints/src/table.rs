//! Tables of points, as CSV: long (a line for each point) and wide (a line for each person and frame).

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use csv::{ReaderBuilder, StringRecord, Trim};

use crate::ImportOptions;
use crate::error::Error;
use crate::layout::Layout;
use crate::left_over;
use crate::limits;
use crate::numbers::shortened;
use crate::shape::TableShape;
use crate::sheet::{Columns, Intake, Record, Sheet, TimesIn};
use crate::table_head::{Head, Heads};
use crate::table_header::{column, point_in, recognised};
use crate::table_layout::spelt_freely;

/// What a table turned out to be.
pub(crate) struct Table {
    pub words: &'static str,
    pub layout: Layout,
    pub sheet: Sheet,
}

/// Whether a text's first line looks like the header of a table of points.
pub(crate) fn looks_like_table(text: &str) -> bool {
    let mark = delimiter(text) as char;
    let lines = text.lines().filter(|line| !line.trim().is_empty());
    let mut fields = lines.map(|line| line.split(mark).count());
    let header = text.lines().next().unwrap_or("");
    header.len() < 100_000
        && match fields.next() {
            // Two fields may be a sentence with a comma; not in every line.
            Some(2) => {
                let mut below = fields.take(20).peekable();
                below.peek().is_some() && below.all(|count| count >= 2)
            }
            Some(count) => count > 2,
            None => false,
        }
}

fn delimiter(text: &str) -> u8 {
    let header = text.lines().next().unwrap_or("");
    let count = |mark: char| header.matches(mark).count();
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(|mark| count(*mark as char))
        .unwrap_or(b',')
}

/// Reads a table of either kind.
pub(crate) fn read(file: &str, text: &str, options: &ImportOptions) -> Result<Table, Error> {
    let reader = Reader {
        file,
        text,
        delimiter: delimiter(text),
    };
    let mut rows = reader.rows();
    let header = rows.headers().map_err(|error| reader.failed(&error))?.clone();
    let stated = options.layout.as_ref().and_then(|layout| layout.shape.table.clone());
    let shape = match stated {
        Some(shape) => shape,
        None => recognised(&header).ok_or_else(|| Error::NoPointColumns {
            file: file.to_owned(),
            columns: shortened(&header.iter().collect::<Vec<_>>().join(", ")),
        })?,
    };
    let places = Places::of(file, &header, &shape)?;
    if shape.point.is_some() {
        reader.long(&header, &shape, &places, options)
    } else {
        reader.wide(&header, &shape, &places, options)
    }
}

/// Where the columns that both kinds have stand.
pub(crate) struct Places {
    pub(crate) frame: Option<usize>,
    pub(crate) time: Option<usize>,
    pub(crate) person: Option<usize>,
}

impl Places {
    fn of(file: &str, header: &StringRecord, shape: &TableShape) -> Result<Places, Error> {
        let find = |name: &Option<String>| name.as_ref().map(|name| column(file, header, name)).transpose();
        Ok(Places {
            frame: find(&shape.frame)?,
            time: find(&shape.time)?,
            person: find(&shape.person)?,
        })
    }
}

pub(crate) struct Reader<'a> {
    pub(crate) file: &'a str,
    text: &'a str,
    delimiter: u8,
}

impl Reader<'_> {
    fn rows(&self) -> csv::Reader<&[u8]> {
        ReaderBuilder::new()
            .delimiter(self.delimiter)
            .trim(Trim::All)
            .from_reader(self.text.as_bytes())
    }

    fn failed(&self, error: &csv::Error) -> Error {
        let line = error.position().map_or(1, csv::Position::line);
        let (found, expected) = match error.kind() {
            csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
                (format!("{len} fields"), format!("{expected_len} as in the header"))
            }
            _ => (error.to_string(), "a table".to_owned()),
        };
        Error::Shape {
            file: self.file.to_owned(),
            place: format!("line {line}"),
            found,
            expected,
        }
    }

    pub(crate) fn line(row: &StringRecord) -> u64 {
        row.position().map_or(0, csv::Position::line)
    }

    /// A number of a row; `None` for an empty cell and its like.
    pub(crate) fn number(
        &self,
        row: &StringRecord,
        at: usize,
        place: impl Fn() -> String,
    ) -> Result<Option<f64>, Error> {
        let cell = row.get(at).unwrap_or("");
        if matches!(cell, "" | "NaN" | "nan" | "NAN" | "null" | "NA" | "N/A" | "None") {
            return Ok(None);
        }
        let mut number = cell.parse::<f64>();
        if number.is_err() && self.delimiter == b';' {
            // Where the fields are set apart by semicolons, a comma may be the decimal sign.
            number = cell.replacen(',', ".", 1).parse();
        }
        match number {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ => Err(Error::NotANumber {
                file: self.file.to_owned(),
                place: format!("line {}, {}", Self::line(row), place()),
                found: format!("{:?}", shortened(cell)),
            }),
        }
    }

    fn intake(&self, layout: Layout, scored: bool, options: &ImportOptions) -> Intake {
        let columns = if scored {
            Columns::TRIPLES
        } else {
            Columns {
                score: None,
                ..Columns::TRIPLES
            }
        };
        Intake::new(self.file, layout, columns, options.min_score)
    }

    fn too_many(&self, what: &'static str, most: usize) -> Error {
        Error::TooMany {
            file: self.file.to_owned(),
            place: "table".to_owned(),
            what,
            most,
        }
    }

    fn wide(
        &self,
        header: &StringRecord,
        shape: &TableShape,
        places: &Places,
        options: &ImportOptions,
    ) -> Result<Table, Error> {
        let found: Vec<String> = header
            .iter()
            .filter_map(|column| point_in(&shape.x, column))
            .map(str::to_owned)
            .collect();
        let layout = self.layout(&found, options)?;
        let mut remarks = Vec::new();
        if spelt_freely(&found, options) {
            let column = |name: &str| shape.x.replace("{point}", name);
            remarks.extend(left_over::unknown(&found, "columns", column));
            remarks.extend(left_over::halves(header, (&shape.x, &shape.y)));
        }
        let mut columns = Vec::new();
        for (point, name) in layout.names.iter().enumerate() {
            let place = |pattern: &str| header.iter().position(|column| point_in(pattern, column) == Some(name));
            let (Some(x), Some(y)) = (place(&shape.x), place(&shape.y)) else {
                continue;
            };
            columns.push((point, x, y, shape.score.as_deref().and_then(place)));
        }
        let mut intake = self.intake(layout, shape.score.is_some(), options);
        intake.sheet.remarks = remarks;
        intake.sheet.times_in = TimesIn::units_of(shape.time_unit_s);
        let mut heads = Heads::default();
        let mut known: HashMap<(i64, Option<i64>), ()> = HashMap::new();
        let mut row = StringRecord::new();
        let mut rows = self.rows();
        while rows.read_record(&mut row).map_err(|error| self.failed(&error))? {
            let head = self.head(&row, places, shape.time_unit_s, &mut heads)?;
            if known.insert((head.frame, head.person), ()).is_some() {
                return Err(self.twice(&head, "the person"));
            }
            let record = self.start(&mut intake, &head)?;
            for (point, x, y, score) in &columns {
                self.set(&mut intake, record, &row, *point, (*x, *y, *score))?;
            }
        }
        self.finish("wide table (CSV)", intake)
    }

    fn long(
        &self,
        header: &StringRecord,
        shape: &TableShape,
        places: &Places,
        options: &ImportOptions,
    ) -> Result<Table, Error> {
        let Some(point_name) = &shape.point else {
            return Err(self.too_many("columns", 0));
        };
        let point_at = column(self.file, header, point_name)?;
        let cells = (
            column(self.file, header, &shape.x)?,
            column(self.file, header, &shape.y)?,
            shape
                .score
                .as_ref()
                .map(|score| column(self.file, header, score))
                .transpose()?,
        );
        if places.frame.is_none() && places.time.is_none() {
            return Err(Error::Shape {
                file: self.file.to_owned(),
                place: "line 1".to_owned(),
                found: "no column of frames or times".to_owned(),
                expected: "one of them beside the points".to_owned(),
            });
        }
        // First the names of the points, then the points.
        let mut found: Vec<String> = Vec::new();
        let mut row = StringRecord::new();
        let mut rows = self.rows();
        while rows.read_record(&mut row).map_err(|error| self.failed(&error))? {
            let name = row.get(point_at).unwrap_or("");
            if !found.iter().any(|known| known == name) {
                if found.len() == limits::LAYOUT_POINTS {
                    return Err(self.too_many("different points", limits::LAYOUT_POINTS));
                }
                found.push(name.to_owned());
            }
        }
        let layout = self.layout(&found, options)?;
        let mut remarks = Vec::new();
        if spelt_freely(&found, options) {
            remarks.extend(left_over::unknown(&found, "points", str::to_owned));
        }
        let points: HashMap<String, usize> = layout
            .names
            .iter()
            .enumerate()
            .map(|(point, name)| (name.clone(), point))
            .collect();
        let mut intake = self.intake(layout, shape.score.is_some(), options);
        intake.sheet.remarks = remarks;
        intake.sheet.times_in = TimesIn::units_of(shape.time_unit_s);
        let mut heads = Heads::told_apart_by_time();
        let mut known: HashMap<(i64, Option<i64>), usize> = HashMap::new();
        let mut taken: Vec<u32> = Vec::new();
        let mut rows = self.rows();
        while rows.read_record(&mut row).map_err(|error| self.failed(&error))? {
            let head = self.head(&row, places, shape.time_unit_s, &mut heads)?;
            let record = match known.entry((head.frame, head.person)) {
                Entry::Occupied(entry) => *entry.get(),
                Entry::Vacant(entry) => {
                    taken.push(0);
                    *entry.insert(self.start(&mut intake, &head)?)
                }
            };
            let clash = intake.sheet.records[record].time != head.time;
            if clash {
                return Err(Error::Shape {
                    file: self.file.to_owned(),
                    place: format!("line {}, frame {}", Self::line(&row), head.frame),
                    found: format!("the time {} s", head.time.unwrap_or(0.0)),
                    expected: format!("{} s as before", intake.sheet.records[record].time.unwrap_or(0.0)),
                });
            }
            let Some(point) = points.get(row.get(point_at).unwrap_or("")) else {
                continue;
            };
            if let Some(slot) = self.set(&mut intake, record, &row, *point, cells)? {
                if taken[record] & 1 << slot != 0 {
                    let name = intake.layout.point_name(*point);
                    return Err(self.twice(&head, &name));
                }
                taken[record] |= 1 << slot;
            }
        }
        self.finish("long table (CSV)", intake)
    }

    fn twice(&self, head: &Head, what: &str) -> Error {
        Error::DuplicateFrame {
            file: self.file.to_owned(),
            frame: head.frame,
            person: what.to_owned(),
        }
    }

    fn start(&self, intake: &mut Intake, head: &Head) -> Result<usize, Error> {
        let (record, stride) = (intake.sheet.records.len(), intake.sheet.slots.len());
        if (record + 1) * stride > limits::POINTS {
            return Err(self.too_many("points", limits::POINTS));
        }
        intake.sheet.records.push(Record {
            frame: head.frame,
            time: head.time,
            person: head.person,
        });
        intake.sheet.spots.resize((record + 1) * stride, None);
        Ok(record)
    }

    /// Puts one point of a row on the sheet; returns its slot if it is one that is kept.
    fn set(
        &self,
        intake: &mut Intake,
        record: usize,
        row: &StringRecord,
        point: usize,
        (x, y, score): (usize, usize, Option<usize>),
    ) -> Result<Option<usize>, Error> {
        let Some(slot) = intake.slot_of(point) else {
            return Ok(None);
        };
        let name = |axis: &str| format!("{}, {axis}", intake.layout.point_name(point));
        let place = self
            .number(row, x, || name("x"))?
            .zip(self.number(row, y, || name("y"))?);
        let value = score
            .map(|score| self.number(row, score, || name("score")))
            .transpose()?;
        let frame = intake.sheet.records[record].frame;
        let spot = match (place, value) {
            (Some((x, y)), None) => intake.spot(frame, point, x, y, None)?,
            (Some((x, y)), Some(Some(score))) => intake.spot(frame, point, x, y, Some(score))?,
            _ => None,
        };
        let at = record * intake.sheet.slots.len() + slot;
        if spot.is_some() {
            intake.sheet.spots[at] = spot;
        }
        Ok(Some(slot))
    }

    fn finish(&self, words: &'static str, mut intake: Intake) -> Result<Table, Error> {
        intake.sheet.drop_unseen();
        if intake.sheet.records.is_empty() {
            return Err(Error::NoPerson {
                file: self.file.to_owned(),
            });
        }
        Ok(Table {
            words,
            layout: intake.layout,
            sheet: intake.sheet,
        })
    }
}
