//! Files of a folder that are no attempts, told by how they begin.

use std::io::Read as _;
use std::path::Path;

use super::manifest::is_header as is_manifest_header;

/// As much of a file as is looked at, bytes: longer than the header of any table of ours.
const START: u64 = 4096;
/// Names that a note lists.
const MOST_NAMES: usize = 3;

/// What a file is that is no attempt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LeftOut {
    /// A table or a review that this program wrote.
    Result,
    /// A list of attempts.
    Manifest,
}

impl LeftOut {
    /// What a file is, if it is surely no attempt. What cannot be read is left to the import.
    pub(super) fn of(path: &Path) -> Option<Self> {
        // Looking into a pipe would take away what is in it.
        if !std::fs::metadata(path).is_ok_and(|about| about.is_file()) {
            return None;
        }
        let mut start = Vec::new();
        std::fs::File::open(path)
            .and_then(|file| file.take(START).read_to_end(&mut start))
            .ok()?;
        let start = String::from_utf8_lossy(&start);
        let start = start.trim_start_matches('\u{feff}').trim_start();
        if start.starts_with(['{', '[']) {
            return is_review(start).then_some(Self::Result);
        }
        // A spreadsheet saves with semicolons in many countries.
        let columns: Vec<&str> = start
            .lines()
            .next()?
            .split([',', ';', '\t'])
            .map(|column| column.trim().trim_matches('"'))
            .collect();
        if columns.starts_with(&["file", "athlete", "date", "drill"]) && columns.contains(&"drill_sha256") {
            Some(Self::Result)
        } else if is_manifest_header(&columns) {
            Some(Self::Manifest)
        } else {
            None
        }
    }
}

/// Whether a file is a table or a review that this program wrote, told by how it begins.
#[must_use]
pub fn is_result(path: &Path) -> bool {
    LeftOut::of(path) == Some(LeftOut::Result)
}

fn is_review(start: &str) -> bool {
    let first = start.trim_start_matches(['{', '[']).trim_start();
    first.starts_with("\"springline-review\"")
}

/// One line for each sort of file that was left out.
pub(super) fn notes(left_out: &[(LeftOut, String)]) -> Vec<String> {
    [
        (LeftOut::Result, "result of this program", "results of this program"),
        (LeftOut::Manifest, "list of attempts", "lists of attempts"),
    ]
    .into_iter()
    .filter_map(|(sort, one, many)| {
        let mut names: Vec<&str> = left_out
            .iter()
            .filter(|(of, _)| *of == sort)
            .map(|(_, name)| name.as_str())
            .collect();
        names.sort_unstable();
        let what = match names.len() {
            0 => return None,
            1 => one,
            _ => many,
        };
        let more = match names.len().saturating_sub(MOST_NAMES) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let told = names[..names.len().min(MOST_NAMES)].join(", ");
        Some(format!("left out {} {what}: {told}{more}", names.len()))
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn told_by_how_a_file_begins() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x");
        let measures = format!("{}\n1,2\n", springline_report::MEASURE_COLUMNS.join(","));
        let attempts = format!("\u{feff}\"{}\"\r\n", springline_report::ATTEMPT_COLUMNS.join("\";\""));
        for (text, wanted) in [
            (measures.as_str(), Some(LeftOut::Result)),
            (attempts.as_str(), Some(LeftOut::Result)),
            ("{\n  \"springline-review\": 1,\n", Some(LeftOut::Result)),
            (
                "{\"springline-review\":1,\"file\":\"x\",\"error\":\"y\"}\n",
                Some(LeftOut::Result),
            ),
            (
                "{\"format\": \"springline-attempt\", \"note\": \"springline-review\"",
                None,
            ),
            ("File;Athlete code;fps\nturn.json;;\n", Some(LeftOut::Manifest)),
            ("file,athlete,date,drill\nturn.json,,,\n", Some(LeftOut::Manifest)),
            ("file,point,x,y\n", None),
            ("athlete,date\n", None),
            ("frame,nose_x,nose_y\n", None),
            ("", None),
        ] {
            std::fs::write(&path, text).unwrap();
            assert_eq!(LeftOut::of(&path), wanted, "{text}");
        }
        assert_eq!(LeftOut::of(folder.path()), None);
        assert_eq!(LeftOut::of(&folder.path().join("absent")), None);
    }

    #[test]
    fn a_note_lists_three_names() {
        let of = |count: usize| -> Vec<(LeftOut, String)> {
            (0..count)
                .rev()
                .map(|at| (LeftOut::Result, format!("{at}.csv")))
                .collect()
        };
        assert!(notes(&[]).is_empty());
        assert_eq!(notes(&of(1)), ["left out 1 result of this program: 0.csv"]);
        assert_eq!(
            notes(&of(5)),
            ["left out 5 results of this program: 0.csv, 1.csv, 2.csv and 2 more"]
        );
    }
}
