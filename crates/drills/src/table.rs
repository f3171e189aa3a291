//! One table of a spec file, read key by key; what is wrong is noted and reading goes on.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::names::nearest;
use crate::problem::{Findings, ProblemKind, shown};
use crate::value::{at_most, cannot_be_shown, chosen, described, kebab, listed_keys, within};

/// Longest text of one value, in bytes.
const LONGEST_TEXT: usize = 4000;
/// Most tables in a list (checks, faults, rungs).
const MOST_TABLES: usize = 200;
/// Most entries in a list of texts or numbers.
const MOST_ENTRIES: usize = 64;

/// A value and the byte offset at which it stands in the file.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Placed<T> {
    pub value: T,
    pub at: usize,
}

/// A table, with the words by which messages call it.
#[derive(Clone, Debug)]
pub(crate) struct Table<'d> {
    table: &'d DeTable<'d>,
    /// `check "arms-at-placement"`, `setup`; empty for the file itself.
    pub name: String,
    /// Byte offset of the table's head.
    pub at: usize,
}

impl<'d> Table<'d> {
    /// The file itself.
    pub(crate) fn whole_file(table: &'d DeTable<'d>) -> Self {
        Self {
            table,
            name: String::new(),
            at: 0,
        }
    }

    fn inside(&self) -> String {
        if self.name.is_empty() {
            String::new()
        } else {
            format!(" in {}", self.name)
        }
    }

    /// Notes every key that is not in `known`.
    pub(crate) fn allow_only(&self, findings: &mut Findings<'_>, known: &[&str]) {
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if known.contains(&name) {
                continue;
            }
            let found = format!("unknown key {}{}", shown(name), self.inside());
            let near = || nearest(name, known.iter().copied());
            let expected = listed_keys(known);
            findings.add_near(key.span().start, ProblemKind::UnknownKey, found, expected, near);
        }
    }

    /// Whether the key is there, whatever its value; its byte offset.
    pub(crate) fn key_at(&self, key: &str) -> Option<usize> {
        self.table
            .keys()
            .find(|this| this.get_ref() == key)
            .map(|this| this.span().start)
    }

    fn value(&self, key: &str) -> Option<&'d Spanned<DeValue<'d>>> {
        self.table
            .iter()
            .find(|(this, _)| this.get_ref() == key)
            .map(|(_, value)| value)
    }

    /// Notes that the key is missing, unless it is there.
    pub(crate) fn need(&self, findings: &mut Findings<'_>, key: &str, expected: &str) {
        if self.key_at(key).is_none() {
            let found = format!("no {key:?}{}", self.inside());
            findings.add(self.at, ProblemKind::MissingKey, found, expected);
        }
    }

    fn wrong_type(&self, findings: &mut Findings<'_>, key: &str, value: &Spanned<DeValue<'_>>, expected: &str) {
        let found = format!("{} for {key}", described(value.get_ref()));
        findings.add(value.span().start, ProblemKind::WrongType, found, expected);
    }

    /// Text, if the key is there.
    pub(crate) fn text(&self, findings: &mut Findings<'_>, key: &str) -> Option<Placed<String>> {
        let value = self.value(key)?;
        self.text_of(findings, key, value)
    }

    /// Text; notes if the key is missing.
    pub(crate) fn needed_text(&self, findings: &mut Findings<'_>, key: &str) -> Option<Placed<String>> {
        self.need(findings, key, "text in quotes");
        self.text(findings, key)
    }

    fn text_of(&self, findings: &mut Findings<'_>, key: &str, value: &Spanned<DeValue<'_>>) -> Option<Placed<String>> {
        let DeValue::String(text) = value.get_ref() else {
            self.wrong_type(findings, key, value, "text in quotes");
            return None;
        };
        let at = value.span().start;
        let text: &str = text;
        let trouble = if text.trim().is_empty() {
            Some(("empty text", "at least one word"))
        } else if text.len() > LONGEST_TEXT {
            Some(("text too long", "at most 4000 bytes"))
        } else if text.chars().any(cannot_be_shown) {
            Some(("a control character", "text that can be printed"))
        } else {
            None
        };
        if let Some((found, expected)) = trouble {
            findings.add(at, ProblemKind::Text, format!("{found} for {key}"), expected);
            return None;
        }
        Some(Placed {
            value: text.to_owned(),
            at,
        })
    }

    /// An id: small letters, digits and hyphens; notes if the key is missing.
    pub(crate) fn needed_id(&self, findings: &mut Findings<'_>, key: &str) -> Option<Placed<String>> {
        let id = self.needed_text(findings, key)?;
        kebab(findings, key, id)
    }

    /// An id, if the key is there.
    pub(crate) fn id(&self, findings: &mut Findings<'_>, key: &str) -> Option<Placed<String>> {
        let id = self.text(findings, key)?;
        kebab(findings, key, id)
    }

    /// A list of texts, if the key is there; those that can be read.
    pub(crate) fn texts(&self, findings: &mut Findings<'_>, key: &str) -> Vec<Placed<String>> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let DeValue::Array(items) = value.get_ref() else {
            self.wrong_type(findings, key, value, "a list of texts, [\"...\", \"...\"]");
            return Vec::new();
        };
        let kept = at_most(findings, key, value.span().start, items.len(), MOST_ENTRIES);
        items
            .iter()
            .take(kept)
            .filter_map(|item| self.text_of(findings, key, item))
            .collect()
    }

    /// A finite number, if the key is there.
    pub(crate) fn number(&self, findings: &mut Findings<'_>, key: &str) -> Option<Placed<f64>> {
        let value = self.value(key)?;
        self.number_of(findings, key, value)
    }

    /// A finite number between two limits, if the key is there.
    pub(crate) fn number_within(
        &self,
        findings: &mut Findings<'_>,
        key: &str,
        limits: (f64, f64),
        unit: &str,
    ) -> Option<Placed<f64>> {
        let number = self.number(findings, key)?;
        within(findings, key, number, limits, unit)
    }

    fn number_of(&self, findings: &mut Findings<'_>, key: &str, value: &Spanned<DeValue<'_>>) -> Option<Placed<f64>> {
        let at = value.span().start;
        let number = match value.get_ref() {
            DeValue::Integer(whole) => {
                i64::from_str_radix(whole.as_str(), whole.radix()).map_or(f64::INFINITY, |whole| whole as f64)
            }
            DeValue::Float(float) => float.as_str().parse().unwrap_or(f64::NAN),
            _ => {
                self.wrong_type(findings, key, value, "a number");
                return None;
            }
        };
        if !number.is_finite() {
            let found = format!("{} for {key}", described(value.get_ref()));
            findings.add(at, ProblemKind::Range, found, "a finite number");
            return None;
        }
        Some(Placed { value: number, at })
    }

    /// Numbers between two limits, if the key is there; those that can be read.
    pub(crate) fn numbers_within(
        &self,
        findings: &mut Findings<'_>,
        key: &str,
        limits: (f64, f64),
        unit: &str,
    ) -> Vec<f64> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let DeValue::Array(items) = value.get_ref() else {
            self.wrong_type(findings, key, value, "a list of numbers, [0.3, 0.6]");
            return Vec::new();
        };
        let mut numbers = Vec::new();
        let kept = at_most(findings, key, value.span().start, items.len(), MOST_ENTRIES);
        for item in items.iter().take(kept) {
            if let Some(number) = self.number_of(findings, key, item)
                && let Some(number) = within(findings, key, number, limits, unit)
            {
                numbers.push(number.value);
            }
        }
        numbers
    }

    /// A whole number between two limits, if the key is there.
    pub(crate) fn whole(
        &self,
        findings: &mut Findings<'_>,
        key: &str,
        (least, most): (u32, u32),
    ) -> Option<Placed<u32>> {
        let value = self.value(key)?;
        let DeValue::Integer(whole) = value.get_ref() else {
            self.wrong_type(findings, key, value, "a whole number");
            return None;
        };
        let at = value.span().start;
        match i64::from_str_radix(whole.as_str(), whole.radix()).map(u32::try_from) {
            Ok(Ok(number)) if (least..=most).contains(&number) => Some(Placed { value: number, at }),
            _ => {
                let found = format!("{} for {key}", described(value.get_ref()));
                findings.add(at, ProblemKind::Range, found, format!("{least} to {most}"));
                None
            }
        }
    }

    /// Yes or no, if the key is there.
    pub(crate) fn truth(&self, findings: &mut Findings<'_>, key: &str) -> Option<bool> {
        let value = self.value(key)?;
        let DeValue::Boolean(truth) = value.get_ref() else {
            self.wrong_type(findings, key, value, "true or false");
            return None;
        };
        Some(*truth)
    }

    /// One of a list of words, if the key is there. `what`: how messages call it (`measure`).
    pub(crate) fn choice<T: Copy>(
        &self,
        findings: &mut Findings<'_>,
        key: &str,
        what: &str,
        words: &[(&str, T)],
    ) -> Option<Placed<T>> {
        let text = self.text(findings, key)?;
        chosen(findings, what, text, words)
    }

    /// A list of words, if the key is there; those that can be read.
    pub(crate) fn choices<T: Copy>(
        &self,
        findings: &mut Findings<'_>,
        key: &str,
        what: &str,
        words: &[(&str, T)],
    ) -> Vec<Placed<T>> {
        let texts = self.texts(findings, key);
        texts
            .into_iter()
            .filter_map(|text| chosen(findings, what, text, words))
            .collect()
    }

    /// A table inside this one, if the key is there.
    pub(crate) fn inner(&self, findings: &mut Findings<'_>, key: &str, name: impl Into<String>) -> Option<Table<'d>> {
        let value = self.value(key)?;
        let DeValue::Table(table) = value.get_ref() else {
            self.wrong_type(findings, key, value, &format!("a table, [{key}]"));
            return None;
        };
        let at = value.span().start;
        Some(Table {
            table,
            name: name.into(),
            at,
        })
    }

    /// The tables of a list of tables (`[[check]]`), if the key is there.
    pub(crate) fn list(&self, findings: &mut Findings<'_>, key: &str) -> Vec<Table<'d>> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let expected = format!("a list of tables, each beginning [[{key}]]");
        let DeValue::Array(items) = value.get_ref() else {
            self.wrong_type(findings, key, value, &expected);
            return Vec::new();
        };
        let mut tables = Vec::new();
        let kept = at_most(findings, key, value.span().start, items.len(), MOST_TABLES);
        for (index, item) in items.iter().take(kept).enumerate() {
            let DeValue::Table(table) = item.get_ref() else {
                self.wrong_type(findings, key, item, &expected);
                continue;
            };
            let name = match Self::quiet_text(table, "id").or(Self::quiet_text(table, "drill")) {
                Some(id) => format!("{key} {}", shown(id)),
                None => format!("{key} number {}", index + 1),
            };
            tables.push(Table {
                table,
                name,
                at: item.span().start,
            });
        }
        tables
    }

    /// Text without a note if it is something else.
    pub(crate) fn text_quietly(&self, key: &str) -> Option<&'d str> {
        Self::quiet_text(self.table, key)
    }

    fn quiet_text(table: &'d DeTable<'d>, key: &str) -> Option<&'d str> {
        table
            .iter()
            .find(|(this, _)| this.get_ref() == key)?
            .1
            .get_ref()
            .as_str()
    }
}
