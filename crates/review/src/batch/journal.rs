//! The journal: finished work, one record an attempt, appended as it comes.
//!
//! A record is a line of JSON, then the rows that it announces, then a line end. A record that a power cut has cut short or
//! filled with something else is told by its checksum; it is dropped when the journal is opened, together with what follows.

use std::collections::HashMap;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{BufRead as _, BufReader, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use super::origin::Origin;
use crate::error::Error;
use crate::outfile::Part;

/// Name of the journal in the output folder.
pub const JOURNAL: &str = "springline-batch.journal";

/// First line: what the file is.
const FIRST_LINE: &str = "{\"springline-batch\":1}\n";
/// Outcome of an attempt that could not be read.
pub(super) const UNREAD: &str = "unread";
/// Id of the record that says what the batch is of; no attempt has it, for theirs have two lines.
const ORIGIN: &str = "batch";
/// Longest announcement, bytes.
const LONGEST_LINE: u64 = 64 * 1024;

/// Announcement of a record.
#[derive(Debug, Serialize, Deserialize)]
struct Announced {
    /// Name of the attempt and its drill.
    id: String,
    /// What the result depends on, condensed.
    key: String,
    /// What it counts as, `unread` if it could not be read.
    outcome: String,
    /// Bytes of the measures, of the attempt's row, of the JSON line.
    bytes: [u64; 3],
    /// Checksum of all of these and of the rows.
    sum: String,
}

/// The checksum of a record: 16 hexadecimal digits.
struct Sum(Sha256);

impl Sum {
    fn new(id: &str, key: &str, outcome: &str, bytes: [u64; 3]) -> Self {
        let mut hash = Sha256::new();
        for part in [id, key, outcome] {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part);
        }
        for length in bytes {
            hash.update(length.to_le_bytes());
        }
        Self(hash)
    }

    fn add(&mut self, rows: &[u8]) {
        self.0.update(rows);
    }

    fn digits(self) -> String {
        let digest: [u8; 32] = self.0.finalize().into();
        digest[..8].iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

impl Announced {
    fn new(id: String, key: String, outcome: String, bytes: [u64; 3], parts: &[&[u8]]) -> Self {
        let mut sum = Sum::new(&id, &key, &outcome, bytes);
        parts.iter().for_each(|part| sum.add(part));
        Self {
            id,
            key,
            outcome,
            bytes,
            sum: sum.digits(),
        }
    }

    fn line(&self) -> String {
        let mut line = serde_json::to_string(self).expect("a record of plain fields always serialises");
        line.push('\n');
        line
    }
}

/// What is finished of an attempt, and where it lies in the journal.
#[derive(Clone, Debug)]
pub(super) struct Place {
    pub key: String,
    pub outcome: String,
    pub at: u64,
    pub bytes: [u64; 3],
}

/// The result of one attempt, to be written.
#[derive(Clone, Debug, Default)]
pub(super) struct Rows {
    pub id: String,
    pub key: String,
    pub outcome: String,
    pub measures: String,
    pub attempt: String,
    pub json: String,
}

/// An open journal; no other run can have it open.
#[derive(Debug)]
pub(super) struct Journal {
    file: File,
    path: PathBuf,
    end: u64,
    /// Where the record of the origin lies.
    origin: Option<Place>,
}

impl Journal {
    /// Opens the journal of a folder for a batch of this origin, or starts one; `fresh` forgets what is in it. Results of
    /// another origin give way only by `force`, if there are any.
    pub(super) fn open_for(
        origin: Option<&Origin>,
        folder: &Path,
        fresh: bool,
        force: bool,
    ) -> Result<(Self, HashMap<String, Place>), Error> {
        let path = folder.join(JOURNAL);
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&path)
            .map_err(|source| cannot_write(&path, source))?;
        match file.try_lock() {
            Ok(()) => {}
            // Some network drives know no locks.
            Err(TryLockError::Error(error)) if error.kind() == std::io::ErrorKind::Unsupported => {}
            Err(TryLockError::WouldBlock) => return Err(Error::Busy { path }),
            Err(TryLockError::Error(source)) => return Err(cannot_write(&path, source)),
        }
        let mut journal = Self {
            file,
            path,
            end: 0,
            origin: None,
        };
        let (mut places, end) = read(&journal.file).map_err(|source| journal.failed(source))?;
        let length = journal.file.metadata().map_err(|source| journal.failed(source))?.len();
        if end == 0 && length > 0 && !fresh {
            return Err(Error::Exists {
                path: journal.path,
                found: "a file that is no journal of this program",
            });
        }
        journal.end = end;
        journal.origin = places.remove(ORIGIN);
        let held = journal.held()?;
        if let (Some(held), Some(origin)) = (&held, origin)
            && held != origin
        {
            if !force && places.values().any(|place| place.outcome != UNREAD) {
                return Err(held.kept_from(origin, folder));
            }
            if held.from != origin.from {
                // Files of the same name, size and time would be taken for each other.
                places.clear();
            }
        }
        if fresh {
            places.clear();
            journal.end = 0;
            journal.origin = None;
        }
        journal
            .file
            .set_len(journal.end)
            .map_err(|source| journal.failed(source))?;
        if journal.end == 0 {
            journal.append(FIRST_LINE.as_bytes())?;
        }
        if let Some(origin) = origin
            && (journal.origin.is_none() || held.as_ref() != Some(origin))
        {
            journal.origin = Some(journal.add(&Rows {
                id: ORIGIN.to_owned(),
                measures: serde_json::to_string(origin).expect("plain texts always serialise"),
                ..Rows::default()
            })?);
        }
        Ok((journal, places))
    }

    /// The origin that the journal has on record.
    fn held(&mut self) -> Result<Option<Origin>, Error> {
        let Some(place) = self.origin.clone() else {
            return Ok(None);
        };
        let mut rows = Vec::new();
        self.rows(&place, &mut rows)?;
        Ok(serde_json::from_slice(&rows).ok())
    }

    fn failed(&self, source: std::io::Error) -> Error {
        cannot_write(&self.path, source)
    }

    fn append(&mut self, bytes: &[u8]) -> Result<(), Error> {
        let done = self
            .file
            .seek(SeekFrom::Start(self.end))
            .and_then(|_| self.file.write_all(bytes));
        if let Err(source) = done {
            // A part of a record helps nobody.
            let _ = self.file.set_len(self.end);
            return Err(self.failed(source));
        }
        self.end += bytes.len() as u64;
        Ok(())
    }

    /// Writes a record in one go and says where it lies.
    pub(super) fn add(&mut self, rows: &Rows) -> Result<Place, Error> {
        let parts = [&rows.measures, &rows.attempt, &rows.json];
        let announced = Announced::new(
            rows.id.clone(),
            rows.key.clone(),
            rows.outcome.clone(),
            parts.map(|part| part.len() as u64),
            &parts.map(|part| part.as_bytes()),
        );
        let mut record = announced.line();
        let start = record.len() as u64;
        for part in parts {
            record.push_str(part);
        }
        record.push('\n');
        let at = self.end + start;
        self.append(record.as_bytes())?;
        Ok(Place {
            key: announced.key,
            outcome: announced.outcome,
            at,
            bytes: announced.bytes,
        })
    }

    /// Ends the journal. If more than half of it is of no use any more, it is written anew with these records alone.
    pub(super) fn close<'a>(mut self, records: impl Iterator<Item = (String, &'a Place)> + Clone) -> Result<(), Error> {
        let live: u64 = records.clone().map(|(_, place)| place.bytes.iter().sum::<u64>()).sum();
        if self.end < 2 * live + (1 << 20) {
            return Ok(());
        }
        let mut part = Part::new(&self.path)?;
        part.write(FIRST_LINE.as_bytes())?;
        let mut rows = Vec::new();
        let origin = self.origin.take().map(|place| (ORIGIN.to_owned(), place));
        let records = records.map(|(id, place)| (id, place.clone()));
        for (id, place) in origin.into_iter().chain(records) {
            self.rows(&place, &mut rows)?;
            let announced = Announced::new(id, place.key, place.outcome, place.bytes, &[&rows]);
            rows.push(b'\n');
            part.write(announced.line().as_bytes())?;
            part.write(&rows)?;
        }
        part.finish(true)
    }

    /// Reads the rows of a record: measures, attempt, JSON.
    pub(super) fn rows(&mut self, place: &Place, into: &mut Vec<u8>) -> Result<(), Error> {
        let length = place.bytes.iter().sum::<u64>();
        into.clear();
        let file = &mut self.file;
        let done = file
            .seek(SeekFrom::Start(place.at))
            .and_then(|_| file.take(length).read_to_end(into));
        match done {
            Ok(read) if read as u64 == length => Ok(()),
            Ok(_) => Err(self.failed(std::io::ErrorKind::UnexpectedEof.into())),
            Err(source) => Err(self.failed(source)),
        }
    }
}

fn cannot_write(path: &Path, source: std::io::Error) -> Error {
    Error::Write {
        path: path.to_owned(),
        source,
    }
}

/// Every whole record, and where they end; 0 if the file is no journal.
fn read(file: &File) -> std::io::Result<(HashMap<String, Place>, u64)> {
    let length = file.metadata()?.len();
    let mut reader = BufReader::with_capacity(1 << 16, file);
    let mut places = HashMap::new();
    let mut line = Vec::new();
    read_line(&mut reader, &mut line)?;
    if line != FIRST_LINE.as_bytes() {
        return Ok((places, 0));
    }
    let mut end = line.len() as u64;
    loop {
        read_line(&mut reader, &mut line)?;
        if line.last() != Some(&b'\n') {
            break;
        }
        let Ok(announced) = serde_json::from_slice::<Announced>(&line) else {
            break;
        };
        let at = end + line.len() as u64;
        let Some(rows) = announced
            .bytes
            .iter()
            .try_fold(0u64, |sum, part| sum.checked_add(*part))
        else {
            break;
        };
        let Some(last) = at.checked_add(rows).filter(|last| *last < length) else {
            break;
        };
        let mut sum = Sum::new(&announced.id, &announced.key, &announced.outcome, announced.bytes);
        let mut left = rows;
        while left > 0 {
            let buffer = reader.fill_buf()?;
            let count = buffer.len().min(usize::try_from(left).unwrap_or(usize::MAX));
            if count == 0 {
                return Ok((places, end));
            }
            sum.add(&buffer[..count]);
            reader.consume(count);
            left -= count as u64;
        }
        let mut closing = [0];
        reader.read_exact(&mut closing)?;
        if closing != *b"\n" || sum.digits() != announced.sum {
            break;
        }
        end = last + 1;
        places.insert(
            announced.id,
            Place {
                key: announced.key,
                outcome: announced.outcome,
                at,
                bytes: announced.bytes,
            },
        );
    }
    Ok((places, end))
}

fn read_line(reader: &mut BufReader<&File>, line: &mut Vec<u8>) -> std::io::Result<()> {
    line.clear();
    reader.by_ref().take(LONGEST_LINE).read_until(b'\n', line).map(|_| ())
}

#[cfg(test)]
mod tests {
    use super::super::Work;
    use super::*;
    use crate::settings::Settings;

    impl Journal {
        fn open(folder: &Path, fresh: bool) -> Result<(Self, HashMap<String, Place>), Error> {
            Self::open_for(None, folder, fresh, false)
        }
    }

    fn rows(id: &str, measures: &str) -> Rows {
        Rows {
            id: id.to_owned(),
            key: format!("k{id}"),
            outcome: "good".to_owned(),
            measures: measures.to_owned(),
            attempt: format!("{id}\n"),
            json: String::new(),
        }
    }

    #[test]
    fn whole_records_survive_a_cut_anywhere() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(JOURNAL);
        let mut ends = Vec::new();
        {
            let (mut journal, places) = Journal::open(folder.path(), false).unwrap();
            assert!(places.is_empty());
            assert!(matches!(Journal::open(folder.path(), false), Err(Error::Busy { .. })));
            for (id, measures) in [("a", "1,2\n"), ("b", "\"x\ny\"\n"), ("c", "")] {
                journal.add(&rows(id, measures)).unwrap();
                ends.push(journal.end);
            }
        }
        let whole = std::fs::read(&path).unwrap();
        assert_eq!(whole.len() as u64, ends[2]);
        for cut in (FIRST_LINE.len()..=whole.len()).rev() {
            std::fs::write(&path, &whole[..cut]).unwrap();
            let (mut journal, places) = Journal::open(folder.path(), false).unwrap();
            let kept = ends.iter().filter(|end| **end <= cut as u64).count();
            assert_eq!(places.len(), kept, "cut at {cut}");
            if kept >= 2 {
                let mut bytes = Vec::new();
                journal.rows(&places["b"], &mut bytes).unwrap();
                assert_eq!(bytes, b"\"x\ny\"\nb\n");
            }
            // What is added next is found again.
            journal.add(&rows("d", "9\n")).unwrap();
            drop(journal);
            let (_, places) = Journal::open(folder.path(), false).unwrap();
            assert_eq!(places.len(), kept + 1, "cut at {cut}");
        }
    }

    #[test]
    fn a_record_with_anything_changed_is_dropped() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(JOURNAL);
        {
            let (mut journal, _) = Journal::open(folder.path(), false).unwrap();
            journal.add(&rows("a", "1,2\n")).unwrap();
            journal.add(&rows("b", "3,4\n")).unwrap();
        }
        let whole = std::fs::read(&path).unwrap();
        for at in FIRST_LINE.len()..whole.len() {
            for byte in [0, b'5', whole[at] ^ 1] {
                let mut changed = whole.clone();
                changed[at] = byte;
                std::fs::write(&path, &changed).unwrap();
                let (mut journal, places) = Journal::open(folder.path(), false).unwrap();
                assert!(places.len() < 2 || changed == whole, "byte {at} became {byte}");
                let mut bytes = Vec::new();
                if let Some(place) = places.get("a") {
                    journal.rows(place, &mut bytes).unwrap();
                    assert_eq!(bytes, b"1,2\na\n");
                }
            }
        }
    }

    #[test]
    fn another_file_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(JOURNAL);
        std::fs::write(&path, b"my notes\n").unwrap();
        assert!(matches!(Journal::open(folder.path(), false), Err(Error::Exists { .. })));
        assert_eq!(std::fs::read(&path).unwrap(), b"my notes\n");
    }

    #[test]
    fn what_is_of_no_use_any_more_is_cleared_away() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(JOURNAL);
        let work = Work {
            from: folder.path().to_owned(),
            ..Work::default()
        };
        let origin = Origin::new(&work, &Settings::default(), folder.path());
        let open = || Journal::open_for(origin.as_ref(), folder.path(), false, false).unwrap();
        let (mut journal, _) = open();
        let long = format!("{}\n", "x".repeat(900_000));
        journal.add(&rows("a", &long)).unwrap();
        journal.add(&rows("a", &long)).unwrap();
        let kept = journal.add(&rows("a", "1,2\n")).unwrap();
        journal.close([("a".to_owned(), &kept)].into_iter()).unwrap();
        assert!(std::fs::metadata(&path).unwrap().len() < 4_000);
        let (mut journal, places) = open();
        assert!(origin.is_some() && journal.held().unwrap() == origin);
        let mut bytes = Vec::new();
        journal.rows(&places["a"], &mut bytes).unwrap();
        assert_eq!(bytes, b"1,2\na\n");
    }
}
