//! One person's points, however they are written.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::{Key, Walker};
use crate::error::Error;
use crate::numbers::{FlatList, Numbers, One};

/// How a person's points are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Form {
    /// Only nulls so far, or nothing.
    #[default]
    Open,
    /// Numbers one after the other.
    Flat,
    /// A list for each point.
    Rows,
    /// An object for each point; its numbers are kept as x, y, score.
    Objects,
}

/// One person of a frame under reading.
#[derive(Debug, Default)]
pub(super) struct PersonNumbers {
    pub(super) person: Option<i64>,
    pub(super) numbers: Numbers,
    pub(super) scores: Numbers,
    pub(super) form: Form,
    /// An object with a score came by.
    pub(super) scored: bool,
    /// Nulls before the form was known.
    pub(super) nulls: usize,
}

/// One entry of a list of points, or one named point: a number, a list or an object.
pub(super) struct PointAt<'w> {
    pub(super) walker: &'w mut Walker,
    /// Which point it is; `None`: the next.
    pub(super) position: Option<usize>,
}

impl PointAt<'_> {
    /// Makes the form of the points known, with the nulls before it.
    fn set_form<E: serde::de::Error>(&mut self, form: Form) -> Result<(), E> {
        let count = self.walker.shape.columns.count;
        let points = self.walker.intake.layout.points.len();
        let named = self.position.is_some();
        let person = self.walker.person();
        if person.form == Form::Open {
            person.form = form;
            let nulls = if form == Form::Flat {
                person.nulls
            } else {
                person.nulls * if form == Form::Rows { count } else { 3 }
            };
            let start = if named {
                points * if form == Form::Rows { count } else { 3 }
            } else {
                nulls
            };
            person.numbers.values.resize(start, None);
            return Ok(());
        }
        if person.form == form {
            return Ok(());
        }
        let error = Error::Shape {
            file: self.walker.intake.file.clone(),
            place: format!("frame entry {}, points", self.walker.counted),
            found: "numbers, lists and objects side by side".to_owned(),
            expected: "points of one form".to_owned(),
        };
        self.walker.error = Some(error);
        Err(E::custom("stopped"))
    }

    /// Puts the numbers of one point in their place.
    fn place<E: serde::de::Error>(&mut self, form: Form, position: Option<usize>) -> Result<(), E> {
        self.set_form(form)?;
        let scratch = std::mem::take(&mut self.walker.scratch);
        let count = scratch.values.len();
        let expected = if form == Form::Rows {
            self.walker.shape.columns.count
        } else {
            3
        };
        if count != expected {
            self.walker.error = Some(Error::Shape {
                file: self.walker.intake.file.clone(),
                place: format!("frame entry {}, points", self.walker.counted),
                found: format!("{count} numbers in one point"),
                expected: format!("{expected} numbers in each"),
            });
            return Err(E::custom("stopped"));
        }
        let person = self.walker.person();
        let start = position.map_or(person.numbers.values.len(), |position| position * count);
        if let Some((at, found)) = &scratch.bad {
            person.numbers.bad.get_or_insert((start + at, found.clone()));
        }
        match position {
            Some(_) => person.numbers.values[start..start + count].copy_from_slice(&scratch.values),
            None => person.numbers.values.extend_from_slice(&scratch.values),
        }
        self.walker.scratch = scratch;
        Ok(())
    }

    /// A number, or what stands in its place, in a flat list.
    fn flat<E: serde::de::Error>(mut self, push: impl FnOnce(&mut Numbers)) -> Result<(), E> {
        if self.position.is_some() {
            self.walker.scratch.clear();
            push(&mut self.walker.scratch);
            let found = self
                .walker
                .scratch
                .bad
                .take()
                .map_or("a number".to_owned(), |(_, found)| found);
            let point = self.position.unwrap_or(0);
            self.walker.error = Some(Error::Shape {
                file: self.walker.intake.file.clone(),
                place: format!(
                    "frame entry {}, {}",
                    self.walker.counted,
                    self.walker.intake.layout.point_name(point)
                ),
                found,
                expected: "an object or list with x and y".to_owned(),
            });
            return Err(E::custom("stopped"));
        }
        self.set_form(Form::Flat)?;
        push(&mut self.walker.person().numbers);
        Ok(())
    }
}

impl<'de> DeserializeSeed<'de> for PointAt<'_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for PointAt<'_> {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a point or a number")
    }
    fn visit_f64<E: serde::de::Error>(self, value: f64) -> Result<(), E> {
        self.flat(|numbers| numbers.values.push(Some(value)))
    }
    #[allow(clippy::cast_precision_loss)]
    fn visit_u64<E: serde::de::Error>(self, value: u64) -> Result<(), E> {
        self.flat(|numbers| numbers.values.push(Some(value as f64)))
    }
    #[allow(clippy::cast_precision_loss)]
    fn visit_i64<E: serde::de::Error>(self, value: i64) -> Result<(), E> {
        self.flat(|numbers| numbers.values.push(Some(value as f64)))
    }
    fn visit_bool<E: serde::de::Error>(self, value: bool) -> Result<(), E> {
        self.flat(|numbers| numbers.note_bad(value.to_string()))
    }
    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<(), E> {
        if text.trim().is_empty() {
            return self.visit_unit();
        }
        self.flat(|numbers| numbers.push_text(text))
    }
    fn visit_unit<E: serde::de::Error>(self) -> Result<(), E> {
        let count = self.walker.shape.columns.count;
        if self.position.is_some() {
            // A named point that wasn't seen.
            return Ok(());
        }
        let person = self.walker.person();
        let numbers = match person.form {
            Form::Open => {
                person.nulls += 1;
                return Ok(());
            }
            Form::Flat => 1,
            Form::Rows => count,
            Form::Objects => 3,
        };
        person
            .numbers
            .values
            .resize(person.numbers.values.len() + numbers, None);
        Ok(())
    }
    fn visit_seq<A: SeqAccess<'de>>(mut self, seq: A) -> Result<(), A::Error> {
        self.walker.scratch.clear();
        FlatList(&mut self.walker.scratch).visit_seq(seq)?;
        let position = self.position;
        if self.walker.scratch.values.is_empty() {
            // An empty list: the point wasn't seen.
            let count = self.walker.shape.columns.count;
            self.walker.scratch.values.resize(count, None);
        }
        self.place(Form::Rows, position)
    }
    fn visit_map<A: MapAccess<'de>>(mut self, mut map: A) -> Result<(), A::Error> {
        let keys = &self.walker.shape.keys;
        let (x_key, y_key) = (keys.x.clone(), keys.y.clone());
        let (score_key, name_key) = (keys.score.clone(), keys.name.clone());
        let mut position = self.position;
        let mut unknown = false;
        let mut scored = false;
        let mut point = [None; 3];
        let mut bad: Option<(usize, String)> = None;
        let mut had = [false; 2];
        while let Some(key) = map.next_key_seed(Key)? {
            let column = if *key == *x_key {
                0
            } else if *key == *y_key {
                1
            } else if Some(&*key) == score_key.as_deref() {
                2
            } else {
                if self.position.is_none() && Some(&*key) == name_key.as_deref() {
                    let name: String = match map.next_value::<Name>()? {
                        Name::Text(text) => text,
                        Name::Other => String::new(),
                    };
                    position = self.walker.intake.layout.names.iter().position(|known| *known == name);
                    unknown = position.is_none();
                } else {
                    map.next_value::<IgnoredAny>()?;
                }
                continue;
            };
            self.walker.scratch.clear();
            map.next_value_seed(One(&mut self.walker.scratch))?;
            point[column] = self.walker.scratch.values[0];
            bad = bad.or(self.walker.scratch.bad.take().map(|(_, found)| (column, found)));
            match column {
                2 => scored = true,
                column => had[column] = true,
            }
        }
        if unknown {
            return Ok(());
        }
        if had != [true, true] && had != [false, false] {
            self.walker.error = Some(Error::Shape {
                file: self.walker.intake.file.clone(),
                place: format!("frame entry {}, points", self.walker.counted),
                found: "a point with only one of x and y".to_owned(),
                expected: format!("{x_key:?} and {y_key:?}"),
            });
            return Err(A::Error::custom("stopped"));
        }
        self.walker.scratch.clear();
        self.walker.scratch.values.extend(point);
        self.walker.scratch.bad = bad;
        if name_key.is_some() && self.position.is_none() {
            // Named points of a list lie at their name's place; the list is as long as the layout.
            self.set_form(Form::Objects)?;
            let points = self.walker.intake.layout.points.len();
            self.walker.person().numbers.values.resize(3 * points, None);
        }
        self.walker.person().scored |= scored;
        self.place(Form::Objects, position)
    }
}

/// A point's name.
enum Name {
    Text(String),
    Other,
}

impl<'de> serde::Deserialize<'de> for Name {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Name;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a name")
            }
            fn visit_str<E>(self, text: &str) -> Result<Name, E> {
                Ok(Name::Text(text.to_owned()))
            }
            fn visit_i64<E>(self, number: i64) -> Result<Name, E> {
                Ok(Name::Text(number.to_string()))
            }
            fn visit_u64<E>(self, number: u64) -> Result<Name, E> {
                Ok(Name::Text(number.to_string()))
            }
            fn visit_f64<E>(self, _: f64) -> Result<Name, E> {
                Ok(Name::Other)
            }
            fn visit_bool<E>(self, _: bool) -> Result<Name, E> {
                Ok(Name::Other)
            }
            fn visit_unit<E>(self) -> Result<Name, E> {
                Ok(Name::Other)
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Name, A::Error> {
                while seq.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Name::Other)
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Name, A::Error> {
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
                Ok(Name::Other)
            }
        }
        from.deserialize_any(Any)
    }
}
