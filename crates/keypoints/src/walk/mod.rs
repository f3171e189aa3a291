//! Reads a JSON file by the places that a layout names, in one pass and without keeping the rest.

mod point;
mod tree;

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};

use self::point::{Form, PersonNumbers, PointAt};
use self::tree::{Mark, Node, Tree};
use crate::error::Error;
use crate::layout::Layout;
use crate::limits;
use crate::numbers::{Numbers, One, Tag, last_digits, shortened};
use crate::shape::{JsonShape, Where};
use crate::sheet::{Columns, Intake, Sheet, TimesIn};

/// Reads files by a layout's places into one sheet.
pub(crate) struct Walker {
    tree: Tree,
    shape: JsonShape,
    intake: Intake,
    /// Frames read so far: their number where the file has none.
    counted: i64,
    /// Frame number of the whole file, in a folder.
    file_frame: Option<i64>,
    frame: FrameFacts,
    people: Vec<PersonNumbers>,
    /// How many of `people` belong to this frame.
    used: usize,
    /// Inside a person.
    in_person: bool,
    joined: Numbers,
    scratch: Numbers,
    width: Option<f64>,
    height: Option<f64>,
    /// Every frame number, where a frame holds all its people.
    numbers: Vec<i64>,
    error: Option<Error>,
}

/// What a frame says about itself.
#[derive(Default)]
struct FrameFacts {
    number: Option<Tag>,
    time: Option<f64>,
    width: Option<f64>,
    height: Option<f64>,
}

impl Walker {
    pub(crate) fn new(file: &str, layout: Layout, shape: JsonShape, min_score: f64) -> Self {
        let columns = shape.columns;
        Self {
            tree: Tree::of(&shape),
            shape,
            intake: Intake::new(file, layout, columns, min_score),
            counted: 0,
            file_frame: None,
            frame: FrameFacts::default(),
            people: Vec::new(),
            used: 0,
            in_person: false,
            joined: Numbers::default(),
            scratch: Numbers::default(),
            width: None,
            height: None,
            numbers: Vec::new(),
            error: None,
        }
    }

    /// Reads one file; `frame`: its number, when each file is a frame.
    pub(crate) fn read(&mut self, file: &str, text: &str, frame: Option<i64>) -> Result<(), Error> {
        file.clone_into(&mut self.intake.file);
        self.file_frame = frame;
        let mut json = serde_json::Deserializer::from_str(text);
        let parsed = Value {
            walker: &mut *self,
            node: 0,
            name: None,
        }
        .deserialize(&mut json)
        .and_then(|()| json.end());
        if let Some(error) = self.error.take() {
            return Err(error);
        }
        parsed.map_err(|error| Error::json(file, &error))
    }

    /// The sheet, when all is read; `file` stands for the file or folder.
    pub(crate) fn finish(mut self, file: &str) -> Result<(Layout, Sheet), Error> {
        if let (Some(width), Some(height)) = (self.width, self.height) {
            self.intake.sheet.set_picture(file, "picture size", width, height)?;
        }
        self.numbers.sort_unstable();
        if let Some(pair) = self.numbers.windows(2).find(|pair| pair[0] == pair[1]) {
            return Err(Error::DuplicateFrame {
                file: file.to_owned(),
                frame: pair[0],
                person: "the frame".to_owned(),
            });
        }
        self.intake.sheet.times_in = TimesIn::units_of(self.shape.time_unit_s);
        Ok((self.intake.layout, self.intake.sheet))
    }

    fn end_frame(&mut self) -> Result<(), Error> {
        let number = match &self.frame.number {
            Some(Tag::Number(number)) => *number,
            None | Some(Tag::Missing) => match self.shape.frame {
                Some(_) => {
                    return Err(Error::Shape {
                        file: self.intake.file.clone(),
                        place: format!("frame entry {}", self.counted),
                        found: "no frame number".to_owned(),
                        expected: "a number in every frame".to_owned(),
                    });
                }
                None => self.file_frame.unwrap_or(self.counted),
            },
            Some(Tag::Other(found)) => {
                return Err(Error::Shape {
                    file: self.intake.file.clone(),
                    place: format!("frame entry {}", self.counted),
                    found: found.clone(),
                    expected: "a frame number or a name with digits".to_owned(),
                });
            }
        };
        self.counted += 1;
        if self.shape.frames_once && self.file_frame.is_none() {
            if self.numbers.len() >= limits::FRAMES {
                return Err(self.too_many(number, "frames", limits::FRAMES));
            }
            self.numbers.push(number);
        }
        if let (Some(width), Some(height)) = (self.frame.width, self.frame.height) {
            let file = self.intake.file.clone();
            self.intake
                .sheet
                .set_picture(&file, &format!("frame {number}"), width, height)?;
        }
        let time = self.frame.time.map(|time| time * self.shape.time_unit_s);
        if self.used == 0 {
            self.intake.add_bare(number, time)?;
        }
        for index in 0..self.used {
            self.add_person(number, time, index)?;
        }
        Ok(())
    }

    fn too_many(&self, frame: i64, what: &'static str, most: usize) -> Error {
        Error::TooMany {
            file: self.intake.file.clone(),
            place: format!("frame {frame}"),
            what,
            most,
        }
    }

    fn add_person(&mut self, frame: i64, time: Option<f64>, index: usize) -> Result<(), Error> {
        let person = &self.people[index];
        let points = self.intake.layout.points.len();
        self.intake.columns = match person.form {
            Form::Objects if person.scored => Columns::TRIPLES,
            Form::Objects => Columns {
                score: None,
                ..Columns::TRIPLES
            },
            _ => self.shape.columns,
        };
        let count = self.intake.columns.count;
        let all_null = person.form == Form::Open && person.numbers.bad.is_none();
        if all_null && (person.nulls == 0 || person.nulls == points || person.nulls == points * count) {
            return self.intake.add_bare(frame, time);
        }
        let id = person.person;
        if person.scores.values.is_empty() && person.scores.bad.is_none() {
            return self.intake.add(frame, time, id, &person.numbers);
        }
        // Scores apart: put each beside its point.
        if person.numbers.values.len() != points * count {
            return Err(self
                .intake
                .wrong_count(&format!("frame {frame}"), person.numbers.values.len()));
        }
        if person.scores.values.len() != points {
            return Err(Error::PointCount {
                file: self.intake.file.clone(),
                place: format!("frame {frame}, scores"),
                found: format!("scores for {}", person.scores.values.len()),
                expected: format!("{points} ({})", self.intake.layout.name),
            });
        }
        let (x, y) = (self.intake.columns.x, self.intake.columns.y);
        self.joined.clear();
        let bad =
            |numbers: &Numbers, count: usize| numbers.bad.as_ref().map(|(at, found)| (at / count * 3, found.clone()));
        self.joined.bad = bad(&person.numbers, count).or(bad(&person.scores, 1));
        for (point, score) in person.numbers.values.chunks_exact(count).zip(&person.scores.values) {
            self.joined.values.extend([point[x], point[y], *score]);
        }
        self.intake.columns = Columns::TRIPLES;
        self.intake.add(frame, time, id, &self.joined)
    }

    /// The person being read.
    fn person(&mut self) -> &mut PersonNumbers {
        &mut self.people[self.used - 1]
    }

    fn start_person(&mut self) -> Result<(), Error> {
        if self.used == limits::PEOPLE {
            let frame = match self.frame.number {
                Some(Tag::Number(number)) => number,
                _ => self.file_frame.unwrap_or(self.counted),
            };
            return Err(self.too_many(frame, "people in a frame", limits::PEOPLE));
        }
        if self.used == self.people.len() {
            self.people.push(PersonNumbers::default());
        }
        self.used += 1;
        let person = self.person();
        person.person = None;
        person.numbers.clear();
        person.scores.clear();
        person.form = Form::Open;
        person.scored = false;
        person.nulls = 0;
        self.in_person = true;
        Ok(())
    }

    /// Takes one number that stands by itself, such as a time.
    fn take_number(&mut self, mark: Mark) -> Result<(), Error> {
        let value = self.scratch.values.first().copied().flatten();
        if let Some((_, found)) = self.scratch.bad.take() {
            let what = match mark {
                Mark::Time => "time",
                Mark::Rate => "frame rate",
                _ => "picture size",
            };
            return Err(Error::NotANumber {
                file: self.intake.file.clone(),
                place: format!("frame entry {}, {what}", self.counted),
                found,
            });
        }
        match mark {
            Mark::Time => self.frame.time = value,
            Mark::Rate => self.intake.sheet.rate_hz = value,
            Mark::Width => self.width = value,
            Mark::Height => self.height = value,
            Mark::FrameWidth => self.frame.width = value,
            _ => self.frame.height = value,
        }
        Ok(())
    }
}

/// One value of the file, at a node of the tree.
struct Value<'w, 'n> {
    walker: &'w mut Walker,
    node: usize,
    /// The name of the member that it is.
    name: Option<&'n str>,
}

impl Value<'_, '_> {
    fn node(&self) -> &Node {
        &self.walker.tree.0[self.node]
    }

    fn stop<E: serde::de::Error>(&mut self, error: Error) -> E {
        self.walker.error = Some(error);
        E::custom("stopped")
    }
}

impl<'de> DeserializeSeed<'de> for Value<'_, '_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(mut self, from: D) -> Result<(), D::Error> {
        // A value that holds nothing but a number or name.
        let leaf = self
            .node()
            .marks
            .iter()
            .copied()
            .find(|mark| !matches!(mark, Mark::Frame | Mark::Person | Mark::Points | Mark::Scores));
        match leaf {
            Some(Mark::FrameNumber) => {
                self.walker.frame.number = Some(serde::Deserialize::deserialize(from)?);
                return Ok(());
            }
            Some(Mark::PersonNumber) => {
                let tag: Tag = serde::Deserialize::deserialize(from)?;
                // Below zero: the tool didn't follow anybody.
                if let (Tag::Number(number @ 0..), true) = (tag, self.walker.in_person) {
                    self.walker.person().person = Some(number);
                }
                return Ok(());
            }
            Some(mark) => {
                self.walker.scratch.clear();
                One(&mut self.walker.scratch).deserialize(from)?;
                return self.walker.take_number(mark).map_err(|error| self.stop(error));
            }
            None => {}
        }
        let (frame, person) = (self.node().has(Mark::Frame), self.node().has(Mark::Person));
        if frame {
            self.walker.frame = FrameFacts::default();
            self.walker.used = 0;
            if self.walker.shape.frame == Some(Where::MemberName) {
                self.walker.frame.number = self.name.and_then(last_digits).map(Tag::Number);
            }
        }
        if person {
            self.walker.start_person().map_err(|error| self.stop(error))?;
            if self.walker.shape.person == Some(Where::MemberName) {
                self.walker.person().person = self.name.and_then(last_digits);
            }
        }
        let inner = Value {
            walker: &mut *self.walker,
            node: self.node,
            name: None,
        };
        from.deserialize_any(inner)?;
        if person {
            self.walker.in_person = false;
        }
        if frame {
            self.walker.end_frame().map_err(|error| self.stop(error))?;
        }
        Ok(())
    }
}

impl<'de> Visitor<'de> for Value<'_, '_> {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("what the layout describes")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let points = self.node().has(Mark::Points) && self.walker.in_person;
        while let Some(key) = map.next_key_seed(Key)? {
            if let Some(node) = self.node().member(&key) {
                map.next_value_seed(Value {
                    walker: &mut *self.walker,
                    node,
                    name: Some(&key),
                })?;
            } else if points {
                let position = self.walker.intake.layout.names.iter().position(|name| *name == *key);
                match position {
                    None => {
                        map.next_value::<IgnoredAny>()?;
                    }
                    Some(position) => {
                        map.next_value_seed(PointAt {
                            walker: &mut *self.walker,
                            position: Some(position),
                        })?;
                    }
                }
            } else {
                map.next_value::<IgnoredAny>()?;
            }
        }
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<(), A::Error> {
        if self.walker.in_person && self.node().has(Mark::Scores) {
            let scores = &mut self.walker.person().scores;
            while seq.next_element_seed(One(scores))?.is_some() {
                if scores.values.len() > limits::NUMBERS {
                    return Err(A::Error::custom(
                        "a list of more than 4096 scores, expected one for each point",
                    ));
                }
            }
            return Ok(());
        }
        if self.walker.in_person && self.node().has(Mark::Points) {
            while seq
                .next_element_seed(PointAt {
                    walker: &mut *self.walker,
                    position: None,
                })?
                .is_some()
            {
                let person = self.walker.person();
                if person.numbers.values.len() + person.nulls > limits::NUMBERS {
                    return Err(A::Error::custom(
                        "a list of more than 4096 numbers, expected the points of one person",
                    ));
                }
            }
            return Ok(());
        }
        let mut index = 0;
        loop {
            let more = match self.node().entry(index) {
                Some(node) => seq
                    .next_element_seed(Value {
                        walker: &mut *self.walker,
                        node,
                        name: None,
                    })?
                    .is_some(),
                None => seq.next_element::<IgnoredAny>()?.is_some(),
            };
            if !more {
                return Ok(());
            }
            index += 1;
        }
    }

    // Null is nobody or nothing seen; a stray number or text where something larger belongs too,
    // unless it is where points belong.
    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }
    fn visit_bool<E: serde::de::Error>(self, value: bool) -> Result<(), E> {
        self.stray(value.to_string())
    }
    fn visit_i64<E: serde::de::Error>(self, value: i64) -> Result<(), E> {
        self.stray(value.to_string())
    }
    fn visit_u64<E: serde::de::Error>(self, value: u64) -> Result<(), E> {
        self.stray(value.to_string())
    }
    fn visit_f64<E: serde::de::Error>(self, value: f64) -> Result<(), E> {
        self.stray(value.to_string())
    }
    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<(), E> {
        if text.is_empty() {
            Ok(())
        } else {
            self.stray(format!("{:?}", shortened(text)))
        }
    }
}

impl Value<'_, '_> {
    fn stray<E: serde::de::Error>(mut self, found: String) -> Result<(), E> {
        let error = Error::Shape {
            file: self.walker.intake.file.clone(),
            place: format!("frame entry {}", self.walker.counted),
            found,
            expected: "a list or an object, as the layout describes".to_owned(),
        };
        Err(self.stop(error))
    }
}

/// A member's name.
struct Key;

impl<'de> DeserializeSeed<'de> for Key {
    type Value = std::borrow::Cow<'de, str>;
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Self::Value, D::Error> {
        struct Text;
        impl<'de> Visitor<'de> for Text {
            type Value = std::borrow::Cow<'de, str>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a key")
            }
            fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Self::Value, E> {
                Ok(text.into())
            }
            fn visit_str<E>(self, text: &str) -> Result<Self::Value, E> {
                Ok(text.to_owned().into())
            }
        }
        from.deserialize_str(Text)
    }
}
