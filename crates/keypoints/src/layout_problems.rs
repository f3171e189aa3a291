//! Every problem of a layout file at once, each with its place and the nearest name that would do.

use springline_kinematics::Landmark;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::layout_file::layout_schema;
use crate::names;
use crate::numbers::shortened;

/// Most problems that are looked at.
const MOST: usize = 500;
/// Words that some keys are limited to.
const CHOICES: [(&str, &[&str]); 4] = [
    ("format", &["springline-layout"]),
    ("unit", &["px", "shares"]),
    ("y", &["down", "up"]),
    ("time_unit", &["s", "ms", "us"]),
];

/// What is wrong at a place.
pub(crate) struct Problem {
    /// `line 3, column 1`.
    pub place: String,
    pub found: String,
    pub expected: String,
}

/// The problems of a layout file in TOML; none where it can't be taken apart or they are of another kind.
pub(crate) fn of(text: &str) -> Vec<Problem> {
    let Ok(root) = DeTable::parse(text) else {
        return Vec::new();
    };
    let mut search = Search {
        text,
        found: Vec::new(),
    };
    let schema = layout_schema().to_value();
    let keys = |at: &str| -> Vec<String> {
        let members = schema.pointer(at).and_then(serde_json::Value::as_object);
        members
            .map(|members| members.keys().cloned().collect())
            .unwrap_or_default()
    };
    search.table(root.get_ref(), &keys("/properties"), "");
    for (name, definition) in [("json", "JsonPlaces"), ("table", "TableColumns")] {
        let inner = root.get_ref().iter().find(|(key, _)| key.get_ref() == name);
        if let Some(DeValue::Table(inner)) = inner.map(|(_, value)| value.get_ref()) {
            search.table(inner, &keys(&format!("/$defs/{definition}/properties")), name);
        }
    }
    search.found.sort_by_key(|(at, _)| *at);
    search
        .found
        .into_iter()
        .map(|(_, problem)| problem)
        .take(MOST)
        .collect()
}

struct Search<'t> {
    text: &'t str,
    found: Vec<(usize, Problem)>,
}

impl Search<'_> {
    fn add(&mut self, at: usize, found: String, expected: String) {
        let before = self.text.get(..at).unwrap_or("");
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        let place = format!("line {line}, column {column}");
        self.found.push((at, Problem { place, found, expected }));
    }

    fn table(&mut self, table: &DeTable<'_>, keys: &[String], name: &str) {
        for (key, value) in table {
            let (word, at): (&str, usize) = (key.get_ref(), key.span().start);
            if !keys.iter().any(|known| known == word) {
                let near = names::nearest_of(word, keys.iter().map(String::as_str));
                let of = if name.is_empty() {
                    "of a layout file".to_owned()
                } else {
                    format!("of [{name}]")
                };
                let hint = near.map_or_else(String::new, |near| format!("; did you mean {near:?}?"));
                let expected = format!("a key {of}: {}{hint}", keys.join(", "));
                self.add(at, format!("the unknown key {:?}", shortened(word)), expected);
                continue;
            }
            if let Some((_, words)) = CHOICES
                .iter()
                .find(|(choice, _)| *choice == word && (name.is_empty() || word == "time_unit"))
            {
                self.choice(value, words);
            }
            match (name, word, value.get_ref()) {
                ("", "points", DeValue::Array(ids)) => ids.iter().for_each(|id| self.point(id)),
                ("", "names", DeValue::Table(ids)) => ids.iter().for_each(|(_, id)| self.point(id)),
                _ => {}
            }
        }
    }

    fn choice(&mut self, value: &Spanned<DeValue<'_>>, words: &[&str]) {
        let text = value.get_ref().as_str();
        if text.is_none_or(|text| !words.contains(&text)) {
            let found = text.map_or_else(|| "no text".to_owned(), |text| format!("{:?}", shortened(text)));
            let quoted: Vec<String> = words.iter().map(|word| format!("{word:?}")).collect();
            self.add(value.span().start, found, quoted.join(" or "));
        }
    }

    fn point(&mut self, value: &Spanned<DeValue<'_>>) {
        let Some(id) = value.get_ref().as_str() else {
            self.add(
                value.span().start,
                "no text".to_owned(),
                "a landmark id or \"-\" in quotes".to_owned(),
            );
            return;
        };
        if id != "-" && Landmark::from_id(id).is_none() {
            let near = names::nearest(id);
            self.add(
                value.span().start,
                format!("{:?}", shortened(id)),
                format!("a landmark id (such as {near}) or \"-\""),
            );
        }
    }
}
