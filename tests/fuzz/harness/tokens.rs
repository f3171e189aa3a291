//! Where numbers, words, texts, marks and whole values lie in JSON, TOML or a table.

use std::ops::Range;

/// What a piece of text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Starts with a digit or a sign before one.
    Number,
    /// Between quotation marks, these included.
    Text,
    /// Letters, digits, underscores.
    Word,
    /// One of `{}[],:;=` or a line break.
    Mark,
}

/// Cuts text into pieces; blanks and bytes of no meaning are left out.
pub fn tokens(bytes: &[u8]) -> Vec<(Kind, Range<usize>)> {
    let mut list = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        let byte = bytes[at];
        at += 1;
        let kind = match byte {
            b'"' => {
                while at < bytes.len() && bytes[at] != b'"' && bytes[at] != b'\n' {
                    at += if bytes[at] == b'\\' { 2 } else { 1 };
                }
                at = (at + 1).min(bytes.len());
                Kind::Text
            }
            b'0'..=b'9' | b'-' | b'+' => {
                while at < bytes.len() && matches!(bytes[at], b'0'..=b'9' | b'.' | b'e' | b'E' | b'-' | b'+') {
                    at += 1;
                }
                Kind::Number
            }
            b'a'..=b'z' | b'A'..=b'Z' | b'_' => {
                while at < bytes.len() && (bytes[at].is_ascii_alphanumeric() || bytes[at] == b'_') {
                    at += 1;
                }
                Kind::Word
            }
            b'{' | b'}' | b'[' | b']' | b',' | b':' | b';' | b'=' | b'\n' => Kind::Mark,
            _ => continue,
        };
        list.push((kind, start..at));
    }
    list
}

/// The whole value that begins at a token: itself, or up to the bracket that closes it.
pub fn value(bytes: &[u8], tokens: &[(Kind, Range<usize>)], index: usize) -> Range<usize> {
    let start = tokens[index].1.start;
    let mut depth = 0usize;
    for (kind, place) in &tokens[index..] {
        if *kind == Kind::Mark {
            match bytes[place.start] {
                b'{' | b'[' => depth += 1,
                b'}' | b']' => depth = depth.saturating_sub(1),
                _ => {}
            }
        }
        if depth == 0 {
            return start..place.end;
        }
    }
    start..bytes.len()
}
