//! One value of a spec file: what it may be, and how messages call it.

use toml::de::DeValue;

use crate::names::{listed, nearest};
use crate::problem::{Findings, ProblemKind, shown};
use crate::table::Placed;

/// Longest id, in bytes.
const LONGEST_ID: usize = 64;

/// How many of so many entries are read; notes if there are more than `most`.
pub(crate) fn at_most(findings: &mut Findings<'_>, key: &str, at: usize, entries: usize, most: usize) -> usize {
    if entries > most {
        let found = format!("{entries} entries in {key}");
        findings.add(at, ProblemKind::Range, found, format!("at most {most}"));
    }
    most
}

/// The value that a word stands for; notes if it stands for none.
pub(crate) fn chosen<T: Copy>(
    findings: &mut Findings<'_>,
    what: &str,
    text: Placed<String>,
    words: &[(&str, T)],
) -> Option<Placed<T>> {
    if let Some((_, value)) = words.iter().find(|(word, _)| *word == text.value) {
        return Some(Placed {
            value: *value,
            at: text.at,
        });
    }
    let near = || nearest(&text.value, words.iter().map(|(word, _)| *word));
    let found = format!("unknown {what} {}", shown(&text.value));
    let expected = listed(words.iter().map(|(word, _)| *word));
    findings.add_near(text.at, ProblemKind::UnknownName, found, expected, near);
    None
}

/// The number, if it lies between the limits; notes if it does not.
pub(crate) fn within(
    findings: &mut Findings<'_>,
    key: &str,
    number: Placed<f64>,
    (least, most): (f64, f64),
    unit: &str,
) -> Option<Placed<f64>> {
    if (least..=most).contains(&number.value) {
        return Some(number);
    }
    let space = if unit.is_empty() { "" } else { " " };
    let found = format!("{}{space}{unit} for {key}", number.value);
    let expected = format!("{least} to {most}{space}{unit}");
    findings.add(number.at, ProblemKind::Range, found, expected);
    None
}

/// The text, if it can be an id; notes if it can't.
pub(crate) fn kebab(findings: &mut Findings<'_>, key: &str, id: Placed<String>) -> Option<Placed<String>> {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let text = &id.value;
    let ends_well = !text.starts_with('-') && !text.ends_with('-');
    if text.len() <= LONGEST_ID && text.chars().all(plain) && ends_well {
        return Some(id);
    }
    let found = format!("{} for {key}", shown(text));
    let expected = "at most 64 small letters, digits and hyphens, like \"handstand-hop\"";
    findings.add(id.at, ProblemKind::Text, found, expected);
    None
}

/// Control characters and marks that turn the direction of text would garble what is printed.
pub(crate) fn cannot_be_shown(c: char) -> bool {
    let turns = matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    turns || (c.is_control() && c != '\n' && c != '\t' && c != '\r')
}

/// A value in words, for messages.
pub(crate) fn described(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => format!("the text {}", shown(text)),
        DeValue::Integer(whole) => format!("the number {}", cut(&whole.to_string())),
        DeValue::Float(float) => format!("the number {}", cut(&float.to_string())),
        DeValue::Boolean(truth) => format!("{truth}"),
        DeValue::Datetime(_) => "a date or time".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

fn cut(number: &str) -> &str {
    const LONGEST: usize = 32;
    number.get(..LONGEST).unwrap_or(number)
}

/// The keys of a table, for messages.
pub(crate) fn listed_keys(known: &[&str]) -> String {
    let mut text = String::from("one of ");
    for (index, key) in known.iter().enumerate() {
        if index > 0 {
            text.push_str(", ");
        }
        text.push_str(key);
    }
    text
}
