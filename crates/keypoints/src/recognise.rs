//! Which format a text is, from its first keys.

use std::cell::RefCell;
use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};

use crate::attempt_file::FORMAT;
use crate::error::Error;

/// What a JSON text is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Format {
    /// Our own attempt file.
    Attempt,
    /// A list of entries with `image_id` and a flat list `keypoints`.
    CocoResults,
    /// An object with `images` and `annotations`.
    CocoAnnotations,
    /// A list without entries.
    Nothing,
    /// Anything else; its first keys, for messages.
    OtherJson(String),
}

/// Looks at the first keys only, unless those say nothing.
pub(crate) fn recognise_json(file: &str, text: &str) -> Result<Format, Error> {
    let first = text.trim_start().as_bytes().first().copied();
    if !matches!(first, Some(b'{' | b'[')) {
        return Err(Error::NotRecognised {
            file: file.to_owned(),
            found: "no JSON".to_owned(),
        });
    }
    let found = RefCell::new(None);
    let mut reader = serde_json::Deserializer::from_str(text);
    let parsed = reader.deserialize_any(Top(&found));
    match (found.into_inner(), parsed) {
        (Some(format), _) => Ok(format),
        (None, Err(error)) => Err(Error::json(file, &error)),
        (None, Ok(keys)) => Ok(Format::OtherJson(keys)),
    }
}

/// The outermost object or list.
struct Top<'a>(&'a RefCell<Option<Format>>);

impl<'de> Visitor<'de> for Top<'_> {
    type Value = String;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object or a list")
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<String, A::Error> {
        let (mut keys, mut images) = (Vec::new(), false);
        while let Some(key) = map.next_key::<String>()? {
            match key.as_str() {
                "format" => {
                    if map.next_value::<TextOr>()?.0.as_deref() == Some(FORMAT) {
                        return decided(self.0, Format::Attempt);
                    }
                }
                "annotations" => return decided(self.0, Format::CocoAnnotations),
                _ => {
                    images |= key == "images";
                    map.next_value::<IgnoredAny>()?;
                }
            }
            if keys.len() < 8 {
                keys.push(crate::numbers::shortened(&key));
            }
        }
        if images && keys.iter().any(|key| key == "categories") {
            return decided(self.0, Format::CocoAnnotations);
        }
        Ok(if keys.is_empty() {
            "an empty object".to_owned()
        } else {
            format!("an object with {}", keys.join(", "))
        })
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<String, A::Error> {
        let Some(first) = seq.next_element_seed(FirstEntry(self.0))? else {
            return decided(self.0, Format::Nothing);
        };
        while seq.next_element::<IgnoredAny>()?.is_some() {}
        Ok(first)
    }
}

/// Ends the reading: the format is known.
fn decided<T, E: serde::de::Error>(found: &RefCell<Option<Format>>, format: Format) -> Result<T, E> {
    found.replace(Some(format));
    Err(E::custom("decided"))
}

/// The first entry of a list.
struct FirstEntry<'a>(&'a RefCell<Option<Format>>);

impl<'de> DeserializeSeed<'de> for FirstEntry<'_> {
    type Value = String;
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<String, D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for FirstEntry<'_> {
    type Value = String;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an entry of the list")
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<String, A::Error> {
        let (mut keys, mut image, mut flat) = (Vec::new(), false, false);
        while let Some(key) = map.next_key::<String>()? {
            match key.as_str() {
                "image_id" => {
                    image = true;
                    map.next_value::<IgnoredAny>()?;
                }
                "keypoints" => flat = map.next_value::<IsFlat>()?.0,
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
            if image && flat {
                return decided(self.0, Format::CocoResults);
            }
            if keys.len() < 8 {
                keys.push(crate::numbers::shortened(&key));
            }
        }
        Ok(format!("a list of objects with {}", keys.join(", ")))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<String, A::Error> {
        while seq.next_element::<IgnoredAny>()?.is_some() {}
        Ok("a list of lists".to_owned())
    }
    fn visit_f64<E>(self, _: f64) -> Result<String, E> {
        Ok("a list of numbers".to_owned())
    }
    fn visit_u64<E>(self, _: u64) -> Result<String, E> {
        Ok("a list of numbers".to_owned())
    }
    fn visit_i64<E>(self, _: i64) -> Result<String, E> {
        Ok("a list of numbers".to_owned())
    }
    fn visit_str<E>(self, _: &str) -> Result<String, E> {
        Ok("a list of texts".to_owned())
    }
    fn visit_bool<E>(self, _: bool) -> Result<String, E> {
        Ok("a list of true and false".to_owned())
    }
    fn visit_unit<E>(self) -> Result<String, E> {
        Ok("a list of nulls".to_owned())
    }
}

/// A text, or nothing where something else stands.
struct TextOr(Option<String>);

impl<'de> serde::Deserialize<'de> for TextOr {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let value = Peek::deserialize(from)?;
        Ok(TextOr(value.text))
    }
}

/// Whether a value is a flat list of numbers (or empty).
struct IsFlat(bool);

impl<'de> serde::Deserialize<'de> for IsFlat {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(IsFlat(Peek::deserialize(from)?.flat))
    }
}

/// What kind of value stands somewhere, without keeping it.
#[derive(Default)]
struct Peek {
    text: Option<String>,
    flat: bool,
}

impl Peek {
    fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Peek, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Peek;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a value")
            }
            fn visit_str<E>(self, text: &str) -> Result<Peek, E> {
                Ok(Peek {
                    text: Some(text.chars().take(64).collect()),
                    flat: false,
                })
            }
            fn visit_f64<E>(self, _: f64) -> Result<Peek, E> {
                Ok(Peek::default())
            }
            fn visit_u64<E>(self, _: u64) -> Result<Peek, E> {
                Ok(Peek::default())
            }
            fn visit_i64<E>(self, _: i64) -> Result<Peek, E> {
                Ok(Peek::default())
            }
            fn visit_bool<E>(self, _: bool) -> Result<Peek, E> {
                Ok(Peek::default())
            }
            fn visit_unit<E>(self) -> Result<Peek, E> {
                Ok(Peek::default())
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Peek, A::Error> {
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
                Ok(Peek::default())
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Peek, A::Error> {
                let mut numbers = crate::numbers::Numbers::default();
                let mut flat = true;
                if seq.next_element_seed(crate::numbers::One(&mut numbers))?.is_some() {
                    // A list or an object inside is no flat list; a stray text still is one.
                    flat = !numbers.bad.is_some_and(|(_, found)| found.starts_with('a'));
                    while seq.next_element::<IgnoredAny>()?.is_some() {}
                }
                Ok(Peek { text: None, flat })
            }
        }
        from.deserialize_any(Any)
    }
}
