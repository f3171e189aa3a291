//! A page of 80 columns that wraps what is written on it.

/// Widest line, characters.
pub(crate) const WIDTH: usize = 80;

/// How a page may be dressed up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Headings bold, side remarks faint, by terminal escapes. Neither carries meaning.
    pub emphasis: bool,
}

impl Style {
    /// Letters only.
    pub const PLAIN: Style = Style { emphasis: false };
    /// For a terminal.
    pub const EMPHASIS: Style = Style { emphasis: true };
}

/// Text from a file, safe to show on a terminal: control characters are written as escapes.
///
/// ```
/// assert_eq!(springline_report::shown_safely("a\u{1b}[2Jb"), "a\\u{1b}[2Jb");
/// ```
#[must_use]
pub fn shown_safely(text: &str) -> String {
    let risky = |c: char| {
        c.is_control() || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if !text.contains(risky) {
        return text.to_owned();
    }
    let mut safe = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if risky(c) {
            safe.extend(c.escape_unicode());
        } else {
            safe.push(c);
        }
    }
    safe
}

/// Text that is wrapped as it is written.
pub(crate) struct Page {
    text: String,
    style: Style,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Dress {
    None,
    Bold,
    Faint,
}

impl Page {
    pub(crate) fn new(style: Style) -> Self {
        Self {
            text: String::new(),
            style,
        }
    }

    pub(crate) fn finish(self) -> String {
        self.text
    }

    pub(crate) fn blank(&mut self) {
        self.text.push('\n');
    }

    /// A heading after an empty line.
    pub(crate) fn heading(&mut self, text: &str) {
        self.blank();
        self.wrap(0, 0, text, Dress::Bold);
    }

    pub(crate) fn strong(&mut self, text: &str) {
        self.wrap(0, 0, text, Dress::Bold);
    }

    /// A paragraph: first line indented by `first`, the others by `later`.
    pub(crate) fn paragraph(&mut self, first: usize, later: usize, text: &str) {
        self.wrap(first, later, text, Dress::None);
    }

    pub(crate) fn faint(&mut self, indent: usize, text: &str) {
        self.wrap(indent, indent, text, Dress::Faint);
    }

    /// A label of fixed width with a wrapped text beside it.
    pub(crate) fn labelled(&mut self, indent: usize, label: &str, wide: usize, text: &str) {
        let start = format!("{label:<wide$}");
        let body = self.lines(indent + wide, indent + wide, text);
        for (index, line) in body.iter().enumerate() {
            if index == 0 {
                let line = format!("{}{start}{}", " ".repeat(indent), line.trim_start());
                self.push(&line, Dress::None);
            } else {
                self.push(line, Dress::None);
            }
        }
    }

    /// `left` and, at the right edge of the page, `right`; on a line of its own if they don't fit beside each other.
    pub(crate) fn two_ends(&mut self, indent: usize, left: &str, right: &str) {
        let right_wide = right.chars().count();
        let lines = self.lines(indent, indent + 2, left);
        let last = lines.len().saturating_sub(1);
        for (index, line) in lines.iter().enumerate() {
            let used = line.chars().count();
            if index < last || right.is_empty() {
                self.push(line, Dress::None);
            } else if used + 2 + right_wide <= WIDTH {
                let gap = WIDTH - used - right_wide;
                self.push(&format!("{line}{}{right}", " ".repeat(gap)), Dress::None);
            } else {
                self.push(line, Dress::None);
                let gap = WIDTH.saturating_sub(right_wide);
                self.push(&format!("{}{right}", " ".repeat(gap)), Dress::None);
            }
        }
    }

    fn wrap(&mut self, first: usize, later: usize, text: &str, dress: Dress) {
        for line in self.lines(first, later, text) {
            self.push(&line, dress);
        }
    }

    fn push(&mut self, line: &str, dress: Dress) {
        let line = line.trim_end();
        match (self.style.emphasis, dress) {
            (true, Dress::Bold) => self.text.push_str(&format!("\u{1b}[1m{line}\u{1b}[0m")),
            (true, Dress::Faint) => self.text.push_str(&format!("\u{1b}[2m{line}\u{1b}[0m")),
            _ => self.text.push_str(line),
        }
        self.text.push('\n');
    }

    /// The lines of a wrapped text; a word wider than the page is cut.
    fn lines(&self, first: usize, later: usize, text: &str) -> Vec<String> {
        let text = shown_safely(text.trim());
        let mut lines = Vec::new();
        let mut line = " ".repeat(first);
        let mut wide = first;
        let mut words = 0;
        for word in text.split(' ').filter(|word| !word.is_empty()) {
            let mut word = word;
            loop {
                let count = word.chars().count();
                let space = usize::from(words > 0);
                if wide + space + count <= WIDTH {
                    if words > 0 {
                        line.push(' ');
                    }
                    line.push_str(word);
                    wide += space + count;
                    words += 1;
                    break;
                }
                if words > 0 {
                    lines.push(std::mem::take(&mut line));
                } else {
                    let room = WIDTH - wide;
                    let cut = word.char_indices().nth(room).map_or(word.len(), |(at, _)| at);
                    line.push_str(&word[..cut]);
                    word = &word[cut..];
                    lines.push(std::mem::take(&mut line));
                }
                line = " ".repeat(later);
                wide = later;
                words = 0;
            }
        }
        lines.push(line);
        lines
    }
}
