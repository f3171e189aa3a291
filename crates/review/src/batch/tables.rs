//! The tables, put together from the journal.

use std::path::{Path, PathBuf};

use springline_report::{ATTEMPT_COLUMNS, MEASURE_COLUMNS};

use super::journal::{Journal, Place};
use crate::error::Error;
use crate::outfile::Part;

/// One row per attempt and measure.
pub const MEASURES: &str = "measures.csv";
/// One row per attempt.
pub const ATTEMPTS: &str = "attempts.csv";
/// One JSON object per attempt, one a line.
pub const REVIEWS: &str = "reviews.jsonl";

/// Writes the tables of a finished batch, in the order of `places`, each under a temporary name that is changed at the
/// end. Says what was written.
pub(super) fn write_tables(
    folder: &Path,
    journal: &mut Journal,
    places: &[Place],
    jsonl: bool,
) -> Result<Vec<PathBuf>, Error> {
    let mut tables = vec![
        Table::new(folder.join(MEASURES), &MEASURE_COLUMNS.join(","))?,
        Table::new(folder.join(ATTEMPTS), &ATTEMPT_COLUMNS.join(","))?,
    ];
    if jsonl {
        tables.push(Table::new(folder.join(REVIEWS), "")?);
    }
    let mut rows = Vec::new();
    for place in places {
        journal.rows(place, &mut rows)?;
        let mut start = 0;
        for (table, bytes) in tables.iter_mut().zip(place.bytes) {
            let end = start + usize::try_from(bytes).unwrap_or(usize::MAX).min(rows.len() - start);
            table.write(&rows[start..end])?;
            start = end;
        }
    }
    tables.into_iter().map(Table::finish).collect()
}

/// Bytes gathered before they are written.
const GATHERED: usize = 1 << 17;

struct Table {
    path: PathBuf,
    part: Part,
    gathered: Vec<u8>,
}

impl Table {
    fn new(path: PathBuf, header: &str) -> Result<Self, Error> {
        let mut gathered = Vec::with_capacity(GATHERED);
        if !header.is_empty() {
            gathered.extend_from_slice(header.as_bytes());
            gathered.push(b'\n');
        }
        Ok(Self {
            part: Part::new(&path)?,
            path,
            gathered,
        })
    }

    fn write(&mut self, bytes: &[u8]) -> Result<(), Error> {
        self.gathered.extend_from_slice(bytes);
        if self.gathered.len() >= GATHERED {
            self.part.write(&self.gathered)?;
            self.gathered.clear();
        }
        Ok(())
    }

    fn finish(mut self) -> Result<PathBuf, Error> {
        self.part.write(&self.gathered)?;
        self.part.finish(true)?;
        Ok(self.path)
    }
}
