//! From the bytes of a file to a drill or a ladder, or to every problem that the file has.

use std::fmt::Write as _;
use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use sha2::{Digest as _, Sha256};
use toml::de::DeTable;

use crate::error::Error;
use crate::problem::{Findings, ProblemKind, Problems};
use crate::spec::{Drill, Ladder};
use crate::table::Table;
use crate::{read_drill as drill, read_ladder as ladder};

/// Longest spec or ladder file, bytes.
pub const SIZE_LIMIT: usize = 1024 * 1024;

/// What a file turned out to hold.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Sheet {
    Drill(Box<Drill>),
    Ladder(Ladder),
}

/// What a file is expected to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Wanted {
    Drill,
    Ladder,
    /// A ladder if it has rungs or a rule for moving on, else a drill.
    Either,
}

/// Reads a drill spec. `file`: the name by which problems call it. Cure drills are not looked up;
/// [`crate::Catalogue::read_drill`] does that as well.
///
/// # Errors
/// Every problem of the file at once. Never panics, whatever the bytes.
///
/// ```
/// let problems = springline_drills::read_drill("mine.toml", b"id = 7\nviw = \"frontal\"")
///     .expect_err("nearly everything is missing");
/// let lines = problems.to_string();
/// assert!(lines.contains("mine.toml:1:6: the number 7 for id; expected text in quotes"));
/// assert!(lines.contains("mine.toml:2:1: unknown key \"viw\""));
/// assert!(lines.contains("did you mean \"view\"?"));
/// ```
pub fn read_drill(file: &str, bytes: &[u8]) -> Result<Drill, Problems> {
    match read_sheet(file, bytes, Wanted::Drill, None)? {
        Sheet::Drill(drill) => Ok(*drill),
        Sheet::Ladder(_) => unreachable!("a drill was asked for"),
    }
}

/// Reads a ladder. `file`: the name by which problems call it. The drills of its rungs are not looked
/// up; [`crate::Catalogue::read_ladder`] does that as well.
///
/// # Errors
/// Every problem of the file at once. Never panics, whatever the bytes.
pub fn read_ladder(file: &str, bytes: &[u8]) -> Result<Ladder, Problems> {
    match read_sheet(file, bytes, Wanted::Ladder, None)? {
        Sheet::Ladder(ladder) => Ok(ladder),
        Sheet::Drill(_) => unreachable!("a ladder was asked for"),
    }
}

/// Loads a drill spec from a file, without looking up its cure drills.
///
/// # Errors
/// [`Error::Unreadable`] or [`Error::Spec`] with every problem of the file.
pub fn load_drill(path: &Path) -> Result<Drill, Error> {
    let bytes = bytes_of(path)?;
    read_drill(&path.display().to_string(), &bytes).map_err(|problems| Error::Spec { problems })
}

/// Loads a ladder from a file, without looking up the drills of its rungs.
///
/// # Errors
/// [`Error::Unreadable`] or [`Error::Spec`] with every problem of the file.
pub fn load_ladder(path: &Path) -> Result<Ladder, Error> {
    let bytes = bytes_of(path)?;
    read_ladder(&path.display().to_string(), &bytes).map_err(|problems| Error::Spec { problems })
}

/// The bytes of a file, one more than [`SIZE_LIMIT`] at most.
pub(crate) fn bytes_of(path: &Path) -> Result<Vec<u8>, Error> {
    let unreadable = |source| Error::Unreadable {
        path: path.to_owned(),
        expected: "spec file",
        source,
    };
    let mut bytes = Vec::new();
    let most = SIZE_LIMIT as u64 + 1;
    File::open(path)
        .map_err(unreadable)?
        .take(most)
        .read_to_end(&mut bytes)
        .map_err(unreadable)?;
    Ok(bytes)
}

/// Reads a file. `known_drills`: ids that cures and rungs may name; `None`: unchecked.
pub(crate) fn read_sheet(
    file: &str,
    bytes: &[u8],
    wanted: Wanted,
    known_drills: Option<&[&str]>,
) -> Result<Sheet, Problems> {
    let text = text_of(file, bytes)?;
    let mut findings = Findings::new(file, text);
    let (root, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        let at = error.span().map_or(text.len(), |span| span.start);
        let (found, expected) = error.message().split_once(", expected ").unwrap_or_else(|| {
            (
                error.message(),
                "valid TOML: key = value, [table] or [[list of tables]]",
            )
        });
        findings.add(at, ProblemKind::Syntax, format!("not valid TOML: {found}"), expected);
    }
    findings.after_syntax_error = !errors.is_empty();
    let table = Table::whole_file(root.get_ref());
    let as_ladder = match wanted {
        Wanted::Drill => false,
        Wanted::Ladder => true,
        Wanted::Either => ladder::is_ladder(&table),
    };
    let sheet = if as_ladder {
        ladder::read(&mut findings, &table, known_drills).map(Sheet::Ladder)
    } else {
        let hash = hash_of(bytes);
        drill::read(&mut findings, &table, hash, known_drills).map(|drill| Sheet::Drill(Box::new(drill)))
    };
    match (findings.into_problems(), sheet) {
        (None, Some(sheet)) => Ok(sheet),
        (Some(problems), _) => Err(problems),
        (None, None) => unreachable!("what can't be read is noted as a problem"),
    }
}

fn text_of<'b>(file: &str, bytes: &'b [u8]) -> Result<&'b str, Problems> {
    let trouble = |before: &str, kind, found: String, expected: &str| {
        let mut findings = Findings::new(file, before);
        findings.add(before.len(), kind, found, expected);
        findings.into_problems().unwrap_or_default()
    };
    if bytes.len() > SIZE_LIMIT {
        let found = format!("a file of more than {SIZE_LIMIT} bytes");
        return Err(trouble("", ProblemKind::TooLarge, found, "a spec of at most 1 MB"));
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let good = &bytes[..error.valid_up_to()];
        let byte = bytes.get(good.len()).copied().unwrap_or_default();
        let found = format!("byte 0x{byte:02X}, which is not UTF-8 text");
        let before = std::str::from_utf8(good).unwrap_or_default();
        trouble(before, ProblemKind::Encoding, found, "a text file saved as UTF-8")
    })
}

/// SHA-256 in lower-case hex.
pub(crate) fn hash_of(bytes: &[u8]) -> String {
    let mut hex = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        write!(hex, "{byte:02x}").expect("a String takes all that is written to it");
    }
    hex
}

/// The `id` of a file that may have problems elsewhere, and whether it is a ladder.
pub(crate) fn id_of(bytes: &[u8]) -> Option<(String, bool)> {
    let text = std::str::from_utf8(bytes)
        .ok()
        .filter(|text| text.len() <= SIZE_LIMIT)?;
    let (root, _) = DeTable::parse_recoverable(text);
    let table = Table::whole_file(root.get_ref());
    Some((table.text_quietly("id")?.to_owned(), ladder::is_ladder(&table)))
}

/// Where the value of the file's `id` stands, as a byte offset.
pub(crate) fn place_of_id(text: &str) -> usize {
    let (root, _) = DeTable::parse_recoverable(text);
    Table::whole_file(root.get_ref()).key_at("id").unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-4, the one-block example [M].
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash_of(b"abc"), expected);
    }
}
