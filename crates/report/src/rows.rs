//! Tidy CSV rows: one per attempt and measure, and one per attempt.

use std::fmt::Write as _;

use springline_kinematics::EventKind;

use crate::digits::millionth;
use crate::record::{CheckEntry, Review, Word};

/// Columns of the measures table: one row per attempt and check.
pub const MEASURE_COLUMNS: &[&str] = &[
    "file",
    "athlete",
    "date",
    "drill",
    "check",
    "part",
    "looks_at",
    "measure",
    "side",
    "must_hold",
    "unit",
    "value",
    "sd",
    "at_least",
    "at_most",
    "verdict",
    "severity",
    "probability_outside",
    "fault",
    "why",
    "remarks",
    "deduction",
    "deduction_up_to",
    "deduction_source",
    "synthetic",
    "program",
    "drill_version",
    "drill_sha256",
    "layout",
    "segment_table",
    "cutoff_hz",
    "point_sd",
    "error_over_time",
    "monte_carlo_seed",
    "metres_per_px",
    "metres_per_px_sd",
    "scale_from",
];

/// Columns of the attempts table before the times of the events, one column each.
const ATTEMPT_START: [&str; 32] = [
    "file",
    "athlete",
    "date",
    "drill",
    "read",
    "outcome",
    "why",
    "fix_first",
    "fix_first_name",
    "faults",
    "checks_good",
    "checks_fault",
    "checks_too_close",
    "checks_not_seen",
    "recognised",
    "frames",
    "rate_hz",
    "facing",
    "near_side",
    "leg_length_px",
    "metres_per_px",
    "metres_per_px_sd",
    "scale_from",
    "gravity_ratio",
    "gravity_ratio_sd",
    "camera_setup",
    "spotted",
    "swapped_stretches",
    "people",
    "landing",
    "remarks",
    "error",
];

/// Columns of the attempts table after the times of the events.
const ATTEMPT_END: [&str; 10] = [
    "synthetic",
    "program",
    "drill_version",
    "drill_sha256",
    "layout",
    "segment_table",
    "cutoff_hz",
    "point_sd",
    "error_over_time",
    "monte_carlo_seed",
];

/// Columns of the attempts table: one row per attempt, read or not.
pub static ATTEMPT_COLUMNS: std::sync::LazyLock<Vec<String>> = std::sync::LazyLock::new(|| {
    let times = EventKind::ALL.into_iter().map(|kind| format!("{}_s", kind.id()));
    ATTEMPT_START
        .into_iter()
        .map(str::to_owned)
        .chain(times)
        .chain(ATTEMPT_END.into_iter().map(str::to_owned))
        .collect()
});

/// A row in the making; a field is quoted only where it must be.
#[derive(Default)]
struct Row(String);

impl Row {
    fn field(&mut self, text: &str) {
        if text.contains(['"', ',', '\n', '\r']) {
            self.0.push('"');
            self.0.push_str(&text.replace('"', "\"\""));
            self.0.push('"');
        } else {
            self.0.push_str(text);
        }
        self.0.push(',');
    }

    fn maybe(&mut self, text: Option<&String>) {
        self.field(text.map_or("", String::as_str));
    }

    fn number(&mut self, value: Option<f64>) {
        if let Some(value) = value {
            let _ = write!(self.0, "{}", millionth(value));
        }
        self.0.push(',');
    }

    fn count(&mut self, value: impl std::fmt::Display) {
        let _ = write!(self.0, "{value},");
    }

    fn end(&mut self) {
        if self.0.ends_with(',') {
            self.0.pop();
        }
        self.0.push('\n');
    }
}

/// The hash, long enough to tell specs apart.
fn short(sha256: &str) -> &str {
    sha256.get(..16).unwrap_or(sha256)
}

fn provenance(row: &mut Row, review: &Review) {
    let from = &review.provenance;
    row.count(review.attempt.synthetic);
    row.field(&from.program);
    row.field(&review.drill.version);
    row.field(short(&review.drill.sha256));
    row.field(&from.layout);
    row.field(&from.segment_table);
    match from.cutoff_hz {
        Some(hz) => row.number(Some(hz)),
        None => row.field("off"),
    }
    row.field(&from.point_sd);
    row.field(&from.error_over_time);
    row.count(from.monte_carlo_seed);
}

/// Metres per px, their uncertainty, and where they come from.
fn scale(row: &mut Row, review: &Review) {
    // Rounded to a billionth: metres per px are small.
    let mut small = |value: Option<f64>| match value {
        Some(value) => row.count((value * 1e9).round() / 1e9),
        None => row.field(""),
    };
    small(review.body.metres_per_px.map(|scale| scale.value));
    small(review.body.metres_per_px.map(|scale| scale.sd));
    row.maybe(review.body.scale_from.as_ref());
}

/// Appends the rows of a review to a measures table, in the order of [`MEASURE_COLUMNS`].
pub fn measure_rows(review: &Review, into: &mut String) {
    let mut start = Row::default();
    start.field(&review.attempt.file);
    start.maybe(review.attempt.athlete.as_ref());
    start.maybe(review.attempt.date.as_ref());
    start.field(&review.drill.id);
    let mut end = Row::default();
    provenance(&mut end, review);
    scale(&mut end, review);
    end.end();
    let mut row = Row(std::mem::take(into));
    for check in &review.checks {
        row.0.push_str(&start.0);
        middle(&mut row, check);
        row.0.push_str(&end.0);
    }
    *into = row.0;
}

fn middle(row: &mut Row, check: &CheckEntry) {
    row.field(&check.id);
    row.field(check.part.id());
    row.field(&check.looks_at);
    row.maybe(check.measure.as_ref());
    row.maybe(check.side.as_ref());
    row.count(check.must_hold);
    row.field(&check.unit);
    row.number(check.measured.map(|it| it.value));
    row.number(check.measured.map(|it| it.sd));
    row.number(check.band.at_least);
    row.number(check.band.at_most);
    row.field(check.verdict.word.as_str());
    row.maybe(check.verdict.severity.as_ref());
    row.number(check.verdict.outside);
    row.maybe(check.fault.as_ref());
    row.maybe(check.verdict.why.as_ref());
    row.field(&check.remarks.join("; "));
    row.number(check.deduction.as_ref().map(|it| it.points));
    row.field(match check.deduction.as_ref().map(|it| it.up_to) {
        Some(true) => "true",
        Some(false) => "false",
        None => "",
    });
    row.maybe(check.deduction.as_ref().map(|it| &it.source));
}

/// Appends the row of a review to an attempts table, in the order of [`ATTEMPT_COLUMNS`].
pub fn attempt_row(review: &Review, into: &mut String) {
    let count = |word: Word| review.checks.iter().filter(|check| check.verdict.word == word).count();
    let attempt = &review.attempt;
    let mut row = Row(std::mem::take(into));
    row.field(&attempt.file);
    row.maybe(attempt.athlete.as_ref());
    row.maybe(attempt.date.as_ref());
    row.field(&review.drill.id);
    row.field("yes");
    row.field(&review.outcome.word);
    row.field(&review.outcome.why.join("; "));
    row.maybe(review.fix_first.as_ref());
    row.maybe(review.faults.first().map(|fault| &fault.name));
    let faults: Vec<&str> = review.faults.iter().map(|fault| fault.id.as_str()).collect();
    row.field(&faults.join("; "));
    for word in [Word::Good, Word::Fault, Word::TooClose, Word::NotSeen] {
        row.count(count(word));
    }
    row.field(&attempt.recognised);
    row.count(attempt.frames);
    row.number(Some(attempt.rate_hz));
    row.field(review.body.facing.as_deref().unwrap_or("undecided"));
    row.field(&review.body.near_side);
    row.number(Some(review.body.leg_length_px.value));
    scale(&mut row, review);
    let gravity = review.body.scale_checks.iter().find(|check| check.against == "gravity");
    row.number(gravity.map(|check| check.ratio.value));
    row.number(gravity.map(|check| check.ratio.sd));
    row.maybe(review.body.camera_setup.as_ref().map(|setup| &setup.name));
    row.count(review.body.spotted);
    row.count(attempt.swaps.len());
    row.count(attempt.chosen.as_ref().map_or(1, |choice| choice.people));
    row.maybe(review.body.landing.as_ref());
    row.field(&attempt.remarks.join("; "));
    row.field("");
    for kind in EventKind::ALL {
        let event = review.events.iter().find(|event| event.event == kind.id());
        row.number(event.map(|event| event.time_s));
    }
    provenance(&mut row, review);
    row.end();
    *into = row.0;
}

/// What is known of an attempt that could not be read.
#[derive(Clone, Debug, Default)]
pub struct Unread<'a> {
    /// File or folder.
    pub file: &'a str,
    /// Athlete code, if the manifest gave one.
    pub athlete: Option<&'a str>,
    /// Date, if the manifest gave one.
    pub date: Option<&'a str>,
    /// Id of the drill.
    pub drill: &'a str,
    /// Version of the drill's spec.
    pub drill_version: &'a str,
    /// SHA-256 of the drill's spec, hex.
    pub drill_sha256: &'a str,
    /// Program and version.
    pub program: &'a str,
    /// Why it could not be read.
    pub error: &'a str,
}

/// Appends the row of an attempt that could not be read to an attempts table.
pub fn unread_row(unread: &Unread<'_>, into: &mut String) {
    let mut row = Row(std::mem::take(into));
    row.field(unread.file);
    row.field(unread.athlete.unwrap_or_default());
    row.field(unread.date.unwrap_or_default());
    row.field(unread.drill);
    row.field("no");
    for _ in 5..ATTEMPT_START.len() - 1 {
        row.field("");
    }
    row.field(unread.error);
    for _ in EventKind::ALL {
        row.field("");
    }
    row.field("");
    row.field(unread.program);
    row.field(unread.drill_version);
    row.field(short(unread.drill_sha256));
    for _ in 4..ATTEMPT_END.len() {
        row.field("");
    }
    row.end();
    *into = row.0;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(table: &str) -> Vec<Vec<String>> {
        csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(table.as_bytes())
            .records()
            .map(|record| record.unwrap().iter().map(str::to_owned).collect())
            .collect()
    }

    #[test]
    fn every_row_has_every_column() {
        let mut review = crate::from_json(include_str!("../tests/one.review.json")).unwrap();
        review.attempt.remarks = vec!["one, with a comma".to_owned(), "another".to_owned()];
        let mut measures = String::new();
        measure_rows(&review, &mut measures);
        let rows = read(&measures);
        assert_eq!(rows.len(), review.checks.len());
        let seed = MEASURE_COLUMNS
            .iter()
            .position(|column| *column == "monte_carlo_seed")
            .unwrap();
        for (row, check) in rows.iter().zip(&review.checks) {
            assert_eq!(row.len(), MEASURE_COLUMNS.len());
            assert_eq!(row[4], check.id);
            assert_eq!(row[15], check.verdict.word.as_str());
            assert_eq!(row[seed], review.provenance.monte_carlo_seed.to_string());
        }
        let mut attempts = String::new();
        attempt_row(&review, &mut attempts);
        unread_row(
            &Unread {
                file: "a,b.json",
                error: "line 1: found \"x\"",
                program: "p",
                ..Unread::default()
            },
            &mut attempts,
        );
        let rows = read(&attempts);
        assert_eq!(rows.len(), 2);
        let column = |name: &str| ATTEMPT_COLUMNS.iter().position(|column| column == name).unwrap();
        for row in &rows {
            assert_eq!(row.len(), ATTEMPT_COLUMNS.len());
        }
        assert_eq!(rows[0][column("fix_first")], review.fix_first.clone().unwrap());
        assert_eq!(rows[0][column("monte_carlo_seed")], "20260314");
        assert_eq!(rows[0][column("remarks")], "one, with a comma; another");
        assert_eq!(rows[1][column("file")], "a,b.json");
        assert_eq!(rows[1][column("error")], "line 1: found \"x\"");
        assert_eq!(rows[1][column("program")], "p");
    }
}
