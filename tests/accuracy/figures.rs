//! The table of figures: collected, compared with what must be reached, written.

use std::fmt::Write as _;
use std::path::Path;

/// One figure.
struct Row {
    section: &'static str,
    what: String,
    got: String,
    bound: String,
    reached: bool,
    must: bool,
}

/// All figures of a run.
#[derive(Default)]
pub struct Figures {
    rows: Vec<Row>,
}

impl Figures {
    /// A figure that must be reached.
    pub fn must(&mut self, section: &'static str, what: &str, got: String, bound: &str, reached: bool) {
        self.push(section, what, got, bound, reached, true);
    }

    /// A figure that is aimed at, or only told (`bound` empty).
    pub fn tell(&mut self, section: &'static str, what: &str, got: String, bound: &str, reached: bool) {
        self.push(section, what, got, bound, reached, false);
    }

    fn push(&mut self, section: &'static str, what: &str, got: String, bound: &str, reached: bool, must: bool) {
        let row = Row {
            section,
            what: what.to_owned(),
            got,
            bound: bound.to_owned(),
            reached,
            must,
        };
        println!("{:12} {:72} {:>22}  {}", row.section, row.what, row.got, verdict(&row));
        self.rows.push(row);
    }

    /// Compares with the file (or writes it) and fails on any figure that must be reached and isn't.
    pub fn settle(self) {
        let table = self.table();
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/accuracy/figures.md");
        if std::env::var_os("SPRINGLINE_WRITE_FIGURES").is_some() {
            std::fs::write(&path, &table).expect("the figures can be written");
        }
        let missed: Vec<String> = self
            .rows
            .iter()
            .filter(|row| row.must && !row.reached)
            .map(|row| format!("{}: {} is {}, must be {}", row.section, row.what, row.got, row.bound))
            .collect();
        assert!(missed.is_empty(), "not reached:\n{}", missed.join("\n"));
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == table,
            "tests/accuracy/figures.md differs from this run; set SPRINGLINE_WRITE_FIGURES to renew it"
        );
        let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../README.md");
        let readme = std::fs::read_to_string(readme).unwrap_or_default();
        assert!(
            readme.contains(table.trim_end()),
            "README.md shows other figures than tests/accuracy/figures.md"
        );
    }

    fn table(&self) -> String {
        let mut text = String::from("| what | measured | asked | |\n| --- | --- | --- | --- |\n");
        let mut section = "";
        for row in &self.rows {
            if row.section != section {
                section = row.section;
                let _ = writeln!(text, "| **{section}** | | | |");
            }
            let _ = writeln!(
                text,
                "| {} | {} | {} | {} |",
                row.what,
                row.got,
                row.bound,
                verdict(row)
            );
        }
        text
    }
}

fn verdict(row: &Row) -> &'static str {
    match (row.bound.is_empty(), row.reached, row.must) {
        (true, ..) => "",
        (_, true, _) => "reached",
        (_, false, true) => "MISSED",
        (_, false, false) => "aim not reached",
    }
}
