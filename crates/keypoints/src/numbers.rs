//! Numbers as pose tools write them: with null, NaN and "" for what they didn't see.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};

use crate::limits;

/// A list of numbers under reading; kept between records so that nothing is allocated for each.
#[derive(Debug, Default)]
pub(crate) struct Numbers {
    /// The numbers; `None` for null, NaN and empty text.
    pub values: Vec<Option<f64>>,
    /// The first entry that is no number: its position and what stands there.
    pub bad: Option<(usize, String)>,
}

impl Numbers {
    pub(crate) fn clear(&mut self) {
        self.values.clear();
        self.bad = None;
    }

    /// Notes an entry that is no number.
    pub(crate) fn note_bad(&mut self, found: String) {
        let at = self.values.len();
        self.bad.get_or_insert((at, found));
        self.values.push(None);
    }

    /// Takes a text in a number's place.
    pub(crate) fn push_text(&mut self, text: &str) {
        match text.trim() {
            "" | "NaN" | "nan" | "NAN" | "null" | "NA" | "N/A" => self.values.push(None),
            other => self.note_bad(format!("{:?}", shortened(other))),
        }
    }
}

/// `1 point counts`, `3 points count`: a number with its noun and verb.
pub(crate) fn counted(count: usize, noun: &str, between: &str, verb: &str) -> String {
    let (noun_end, verb_end) = if count == 1 { ("", "s") } else { ("s", "") };
    format!("{count} {noun}{noun_end}{between} {verb}{verb_end}")
}

/// A number as it is, but one of many digits by its power of ten.
pub(crate) fn in_short(value: f64) -> String {
    if value != 0.0 && !(1e-6..1e9).contains(&value.abs()) {
        format!("{value:.3e}")
    } else {
        value.to_string()
    }
}

/// The word after so many points.
pub(crate) fn points(found: &str) -> &'static str {
    if found.rsplit(' ').next() == Some("1") {
        "point"
    } else {
        "points"
    }
}

/// At most forty letters of a text, for messages.
pub(crate) fn shortened(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// Appends the numbers of a flat list.
pub(crate) struct FlatList<'a>(pub &'a mut Numbers);

impl<'de> DeserializeSeed<'de> for FlatList<'_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for FlatList<'_> {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of numbers")
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<(), A::Error> {
        while seq.next_element_seed(One(&mut *self.0))?.is_some() {
            if self.0.values.len() > limits::NUMBERS {
                return Err(A::Error::custom(
                    "a list of more than 4096 numbers, expected the points of one person",
                ));
            }
        }
        Ok(())
    }
    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }
}

/// Appends one number, or what stands in its place.
pub(crate) struct One<'a>(pub &'a mut Numbers);

impl<'de> DeserializeSeed<'de> for One<'_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for One<'_> {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number")
    }
    #[inline]
    fn visit_f64<E>(self, value: f64) -> Result<(), E> {
        self.0.values.push(Some(value));
        Ok(())
    }
    #[inline]
    #[allow(clippy::cast_precision_loss)]
    fn visit_u64<E>(self, value: u64) -> Result<(), E> {
        self.0.values.push(Some(value as f64));
        Ok(())
    }
    #[inline]
    #[allow(clippy::cast_precision_loss)]
    fn visit_i64<E>(self, value: i64) -> Result<(), E> {
        self.0.values.push(Some(value as f64));
        Ok(())
    }
    fn visit_unit<E>(self) -> Result<(), E> {
        self.0.values.push(None);
        Ok(())
    }
    fn visit_str<E>(self, text: &str) -> Result<(), E> {
        self.0.push_text(text);
        Ok(())
    }
    fn visit_bool<E>(self, value: bool) -> Result<(), E> {
        self.0.note_bad(value.to_string());
        Ok(())
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<(), A::Error> {
        while seq.next_element::<IgnoredAny>()?.is_some() {}
        self.0.note_bad("a list".to_owned());
        Ok(())
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        self.0.note_bad("an object".to_owned());
        Ok(())
    }
}

/// A frame or person number: a whole number, or text with digits such as a file name.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Tag {
    /// The number.
    Number(i64),
    /// Null.
    Missing,
    /// Anything else, as found.
    Other(String),
}

impl<'de> serde::Deserialize<'de> for Tag {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Tag;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a whole number or a name with digits")
            }
            fn visit_i64<E>(self, value: i64) -> Result<Tag, E> {
                Ok(Tag::Number(value))
            }
            fn visit_u64<E>(self, value: u64) -> Result<Tag, E> {
                Ok(i64::try_from(value).map_or_else(|_| Tag::Other(value.to_string()), Tag::Number))
            }
            fn visit_f64<E>(self, value: f64) -> Result<Tag, E> {
                Ok(whole(value).map_or_else(|| Tag::Other(value.to_string()), Tag::Number))
            }
            fn visit_unit<E>(self) -> Result<Tag, E> {
                Ok(Tag::Missing)
            }
            fn visit_bool<E>(self, value: bool) -> Result<Tag, E> {
                Ok(Tag::Other(value.to_string()))
            }
            fn visit_str<E>(self, text: &str) -> Result<Tag, E> {
                Ok(last_digits(text).map_or_else(|| Tag::Other(format!("{:?}", shortened(text))), Tag::Number))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Tag, A::Error> {
                while seq.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Tag::Other("a list".to_owned()))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Tag, A::Error> {
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
                Ok(Tag::Other("an object".to_owned()))
            }
        }
        from.deserialize_any(Any)
    }
}

/// A float that is a whole number of safe size.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn whole(value: f64) -> Option<i64> {
    (value.fract() == 0.0 && value.abs() < 9.0e15).then_some(value as i64)
}

/// The last group of digits before the ending: `clip2_000123.jpg` is 123.
pub(crate) fn last_digits(text: &str) -> Option<i64> {
    let stem = text.rsplit_once('.').map_or(text, |(stem, _)| stem);
    let last = |text: &str| digit_groups(text).last().copied();
    last(stem).or_else(|| last(text)).flatten()
}

/// Every group of digits in a name, from the left; `None` for one of more than 18 digits.
pub(crate) fn digit_groups(text: &str) -> Vec<Option<i64>> {
    text.split(|letter: char| !letter.is_ascii_digit())
        .filter(|group| !group.is_empty())
        .map(|group| {
            let digits = group.trim_start_matches('0');
            if digits.is_empty() {
                Some(0)
            } else {
                digits.parse().ok().filter(|_| digits.len() <= 18)
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_of_names() {
        assert_eq!(last_digits("clip2_000123.jpg"), Some(123));
        assert_eq!(last_digits("000000000000.jpg"), Some(0));
        assert_eq!(last_digits("7"), Some(7));
        assert_eq!(last_digits("frame.png"), None);
        assert_eq!(digit_groups("a1b22"), vec![Some(1), Some(22)]);
        assert_eq!(digit_groups("99999999999999999999"), vec![None]);
    }

    #[test]
    fn what_stands_for_missing() {
        let mut numbers = Numbers::default();
        let text = r#"[1, -2.5, null, "", "NaN", "x", [1], {"a":1}, true]"#;
        let mut reader = serde_json::Deserializer::from_str(text);
        FlatList(&mut numbers).deserialize(&mut reader).unwrap();
        assert_eq!(numbers.values[..5], [Some(1.0), Some(-2.5), None, None, None]);
        assert_eq!(numbers.values.len(), 9);
        assert_eq!(numbers.bad, Some((5, "\"x\"".to_owned())));
    }
}
