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

    /// Writes the table of this run and fails on any figure that must be reached and isn't. README must show the table that
    /// was kept before; where this run's differs from it (another machine's arithmetic, a change), that is said.
    pub fn settle(self) {
        let table = self.table();
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
        let path = root.join("tests/accuracy/figures.md");
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        let readme = std::fs::read_to_string(root.join("README.md")).unwrap_or_default();
        let fresh = crate::scene::first_seed() != 0;
        if !fresh {
            std::fs::write(&path, &table).expect("the figures can be written");
        }
        let missed: Vec<String> = self
            .rows
            .iter()
            .filter(|row| row.must && !row.reached)
            .map(|row| format!("{}: {} is {}, must be {}", row.section, row.what, row.got, row.bound))
            .collect();
        assert!(missed.is_empty(), "not reached:\n{}", missed.join("\n"));
        if fresh {
            return;
        }
        if kept != table {
            println!("tests/accuracy/figures.md was renewed: it differs from what was kept");
        }
        let shown = !kept.is_empty() && readme.contains(kept.trim_end());
        assert!(
            shown,
            "README.md shows other figures than those kept in tests/accuracy/figures.md"
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
