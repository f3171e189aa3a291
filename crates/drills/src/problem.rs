//! What is wrong with a spec file, and where.

use std::fmt;

/// The kinds of problem that a spec file can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum ProblemKind {
    /// The file is longer than [`crate::SIZE_LIMIT`].
    TooLarge,
    /// The file is not UTF-8 text.
    Encoding,
    /// The file is not valid TOML.
    Syntax,
    /// A key that the table doesn't have.
    UnknownKey,
    /// A key that the table needs.
    MissingKey,
    /// A number where text belongs, and the like.
    WrongType,
    /// A word that is not in the list of allowed words.
    UnknownName,
    /// Text that is empty, too long or holds characters that can't be shown.
    Text,
    /// Two things of one name.
    Duplicate,
    /// Two keys that exclude each other, or a key without the one it belongs to.
    Combination,
    /// A unit that the measure can't have.
    Unit,
    /// Events or rungs in an impossible order.
    Order,
    /// An event that the drill does not list.
    NotListed,
    /// A number outside its range, or not finite.
    Range,
    /// A band that is upside down or has no limit.
    Band,
    /// Limits of severity that don't ascend.
    Severity,
    /// A basis or source without its tag.
    Tag,
    /// A fault or check that is pointed to but not defined.
    NotDefined,
    /// A fault that no check points to.
    NeverUsed,
    /// A drill that is in no catalogue.
    UnknownDrill,
    /// A ladder that leads back to where it came from.
    Circular,
}

impl ProblemKind {
    /// Whether the problem may only be the after-effect of a syntax error further up.
    pub(crate) fn may_follow_from_syntax(self) -> bool {
        matches!(
            self,
            ProblemKind::MissingKey
                | ProblemKind::NotDefined
                | ProblemKind::NeverUsed
                | ProblemKind::NotListed
                | ProblemKind::Combination
                | ProblemKind::UnknownDrill
                | ProblemKind::Band
        )
    }
}

/// One problem of one file. Its `Display` is one line:
/// `my-drill.toml:14:8: unit "m" for shoulder_opening; expected "deg"`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Name of the file as it was given.
    pub file: String,
    /// Line, the first is 1.
    pub line: usize,
    /// Column in characters, the first is 1.
    pub column: usize,
    /// What kind of problem.
    pub kind: ProblemKind,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// The nearest valid name, where one is near.
    pub nearest: Option<String>,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line, self.column, self.found)?;
        if !self.expected.is_empty() {
            write!(f, "; expected {}", self.expected)?;
        }
        if let Some(nearest) = &self.nearest {
            write!(f, "; did you mean {nearest:?}?")?;
        }
        Ok(())
    }
}

/// Every problem of a file (or of a folder), in the order of files, lines and columns; never empty.
///
/// At most [`Problems::KEPT`] a file are kept; the others are counted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problems {
    list: Vec<Problem>,
    more: usize,
}

impl Problems {
    /// How many problems of one file are kept.
    pub const KEPT: usize = 200;

    /// The problems.
    #[must_use]
    pub fn list(&self) -> &[Problem] {
        &self.list
    }

    /// How many were counted but not kept.
    #[must_use]
    pub fn more(&self) -> usize {
        self.more
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Takes another file's problems in.
    pub(crate) fn append(&mut self, mut other: Problems) {
        self.list.append(&mut other.list);
        self.more += other.more;
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.list.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        if self.more > 0 {
            write!(f, "\nand {} more problems", self.more)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}

/// Collects the problems of one file while it is read.
#[derive(Debug)]
pub(crate) struct Findings<'a> {
    file: &'a str,
    text: &'a str,
    line_starts: Vec<usize>,
    list: Vec<(usize, Problem)>,
    more: usize,
    pub(crate) after_syntax_error: bool,
}

impl<'a> Findings<'a> {
    /// `text`: the whole file; places are byte offsets into it.
    pub(crate) fn new(file: &'a str, text: &'a str) -> Self {
        let breaks = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
        let line_starts = std::iter::once(0).chain(breaks.map(|(at, _)| at + 1)).collect();
        Self {
            file,
            text,
            line_starts,
            list: Vec::new(),
            more: 0,
            after_syntax_error: false,
        }
    }

    /// Notes a problem.
    pub(crate) fn add(&mut self, at: usize, kind: ProblemKind, found: impl Into<String>, expected: impl Into<String>) {
        self.add_near(at, kind, found, expected, || None);
    }

    /// Notes a problem with the nearest valid name, which is only looked for if the problem is kept.
    pub(crate) fn add_near(
        &mut self,
        at: usize,
        kind: ProblemKind,
        found: impl Into<String>,
        expected: impl Into<String>,
        nearest: impl FnOnce() -> Option<String>,
    ) {
        if self.after_syntax_error && kind.may_follow_from_syntax() {
            return;
        }
        if self.list.len() >= Problems::KEPT {
            self.more += 1;
            return;
        }
        let (line, column) = self.place(at);
        let problem = Problem {
            file: self.file.to_owned(),
            line,
            column,
            kind,
            found: found.into(),
            expected: expected.into(),
            nearest: nearest(),
        };
        self.list.push((at, problem));
    }

    /// How many problems there are so far.
    pub(crate) fn count(&self) -> usize {
        self.list.len() + self.more
    }

    /// Line of a byte offset, the first is 1.
    pub(crate) fn line(&self, at: usize) -> usize {
        self.place(at).0
    }

    /// Line and column of a byte offset, both from 1; a leading byte-order mark has no column.
    fn place(&self, at: usize) -> (usize, usize) {
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        let line = self.line_starts.partition_point(|start| *start <= at);
        let start = self.line_starts[line - 1];
        let before = self.text[start..at].chars().filter(|c| *c != '\u{feff}').count();
        (line, before + 1)
    }

    /// The problems in the order of the file; `None` if there are none.
    pub(crate) fn into_problems(mut self) -> Option<Problems> {
        if self.list.is_empty() {
            return None;
        }
        self.list.sort_by_key(|(at, _)| *at);
        let list = self.list.into_iter().map(|(_, problem)| problem).collect();
        Some(Problems { list, more: self.more })
    }
}

/// The value as quoted text, cut short, with everything unprintable written as an escape.
pub(crate) fn shown(text: &str) -> String {
    const LONGEST: usize = 48;
    match text.char_indices().nth(LONGEST) {
        Some((cut, _)) => format!("{:?} (cut short)", &text[..cut]),
        None => format!("{text:?}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_lines_and_characters() {
        let text = "\u{feff}é = 1\r\nab\n";
        let findings = Findings::new("x", text);
        let place = |needle: &str| findings.place(text.find(needle).expect("in the text"));
        assert_eq!(place("é"), (1, 1));
        assert_eq!(place("="), (1, 3));
        assert_eq!(place("b"), (2, 2));
        assert_eq!(findings.place(text.len()), (3, 1));
        assert_eq!(findings.place(usize::MAX), (3, 1));
    }

    #[test]
    fn problems_beyond_the_limit_are_counted() {
        let mut findings = Findings::new("x", "abc");
        for _ in 0..Problems::KEPT + 7 {
            findings.add(1, ProblemKind::Range, "a", "b");
        }
        let problems = findings.into_problems().expect("some");
        assert_eq!((problems.list().len(), problems.more()), (Problems::KEPT, 7));
        assert!(problems.to_string().ends_with("and 7 more problems"));
    }
}
