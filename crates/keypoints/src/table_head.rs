//! The frame, the time and the person of a row of a table.

use std::collections::HashMap;

use csv::StringRecord;

use crate::error::Error;
use crate::numbers::{last_digits, shortened};
use crate::table::{Places, Reader};

/// A row's frame, time and person.
pub(crate) struct Head {
    pub(crate) frame: i64,
    pub(crate) time: Option<f64>,
    pub(crate) person: Option<i64>,
}

/// What turns a row's words into frame and person numbers.
#[derive(Default)]
pub(crate) struct Heads {
    /// Frame of each time, for tables without frame numbers.
    by_time: HashMap<u64, i64>,
    people: HashMap<String, i64>,
    rows: i64,
}

impl Heads {
    /// For tables whose rows below one another may be of one frame. Rows below zero: frames are told apart by their times.
    pub(crate) fn told_apart_by_time() -> Self {
        Self {
            rows: -1,
            ..Self::default()
        }
    }
}

impl Reader<'_> {
    pub(crate) fn head(
        &self,
        row: &StringRecord,
        places: &Places,
        unit_s: f64,
        heads: &mut Heads,
    ) -> Result<Head, Error> {
        let missing = |what: &str, expected: &str| Error::Shape {
            file: self.file.to_owned(),
            place: format!("line {}, {what}", Self::line(row)),
            found: "nothing".to_owned(),
            expected: expected.to_owned(),
        };
        let time = match places.time {
            Some(at) => {
                let time = self.number(row, at, || "time".to_owned())?;
                Some(time.ok_or_else(|| missing("time", "a time"))? * unit_s)
            }
            None => None,
        };
        let person = places
            .person
            .and_then(|at| row.get(at))
            .filter(|name| !name.is_empty())
            .map(|name| {
                let next = i64::try_from(heads.people.len()).unwrap_or(i64::MAX);
                match name.parse::<i64>() {
                    Ok(number) => number,
                    // Names get numbers that digits can't have.
                    Err(_) => *heads.people.entry(name.to_owned()).or_insert(-1 - next),
                }
            });
        let frame = match (places.frame, time) {
            (Some(at), _) => {
                let cell = row.get(at).unwrap_or("");
                let number = cell.parse::<f64>().ok().and_then(crate::numbers::whole);
                number.or_else(|| last_digits(cell)).ok_or_else(|| Error::Shape {
                    file: self.file.to_owned(),
                    place: format!("line {}, frame", Self::line(row)),
                    found: if cell.is_empty() {
                        "nothing".to_owned()
                    } else {
                        format!("{:?}", shortened(cell))
                    },
                    expected: "a frame number or a name with digits".to_owned(),
                })?
            }
            (None, Some(time)) if places.person.is_some() || heads.rows < 0 => {
                let next = i64::try_from(heads.by_time.len()).unwrap_or(i64::MAX);
                *heads.by_time.entry(time.to_bits()).or_insert(next)
            }
            _ => heads.rows,
        };
        heads.rows += i64::from(heads.rows >= 0);
        Ok(Head { frame, time, person })
    }
}
