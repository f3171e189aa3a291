//! Reads a JSON file by the places that a layout names, in one pass and without keeping the rest.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};

use crate::error::Error;
use crate::layout::Layout;
use crate::layout_file::{JsonShape, Where};
use crate::limits;
use crate::numbers::{FlatList, Numbers, One, Tag, last_digits, shortened};
use crate::path::{Path, Step};
use crate::sheet::{Columns, Intake, Sheet};

/// What a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mark {
    Frame,
    Person,
    FrameNumber,
    Time,
    PersonNumber,
    Points,
    Scores,
    Rate,
    Width,
    Height,
    FrameWidth,
    FrameHeight,
}

/// A value on the way to what is wanted.
#[derive(Clone, Debug, Default)]
struct Node {
    keys: Vec<(String, usize)>,
    members: Option<usize>,
    each: Option<usize>,
    entries: Vec<(usize, usize)>,
    marks: Vec<Mark>,
}

impl Node {
    fn has(&self, mark: Mark) -> bool {
        self.marks.contains(&mark)
    }

    /// The child to go to for an object's member.
    fn member(&self, key: &str) -> Option<usize> {
        self.keys
            .iter()
            .find(|(name, _)| name == key)
            .map(|(_, node)| *node)
            .or(self.members)
    }

    /// The child to go to for a list's entry.
    fn entry(&self, index: usize) -> Option<usize> {
        self.entries
            .iter()
            .find(|(at, _)| *at == index)
            .map(|(_, node)| *node)
            .or(self.each)
    }
}

/// Every place of a shape as one tree; node 0 is the whole file.
#[derive(Clone, Debug)]
struct Tree(Vec<Node>);

impl Tree {
    fn of(shape: &JsonShape) -> Self {
        let mut tree = Tree(vec![Node::default()]);
        let frame = tree.grow(0, &shape.frames, Mark::Frame);
        let person = tree.grow(frame, &shape.people, Mark::Person);
        tree.grow(person, &shape.points, Mark::Points);
        let number = |place: &Option<Where>| match place {
            Some(Where::Path(path)) => Some(path.clone()),
            _ => None,
        };
        for (from, path, mark) in [
            (frame, number(&shape.frame), Mark::FrameNumber),
            (frame, shape.time.clone(), Mark::Time),
            (frame, shape.frame_width.clone(), Mark::FrameWidth),
            (frame, shape.frame_height.clone(), Mark::FrameHeight),
            (person, number(&shape.person), Mark::PersonNumber),
            (person, shape.scores.clone(), Mark::Scores),
            (0, shape.rate.clone(), Mark::Rate),
            (0, shape.width.clone(), Mark::Width),
            (0, shape.height.clone(), Mark::Height),
        ] {
            if let Some(path) = path {
                tree.grow(from, &path, mark);
            }
        }
        tree
    }

    fn grow(&mut self, from: usize, path: &Path, mark: Mark) -> usize {
        let mut at = from;
        for step in &path.0 {
            let new = self.0.len();
            let node = &mut self.0[at];
            let known = match step {
                Step::Key(key) => node.keys.iter().find(|(name, _)| name == key).map(|(_, node)| *node),
                Step::Each => node.each,
                Step::Members => node.members,
                Step::Index(index) => node.entries.iter().find(|(at, _)| at == index).map(|(_, node)| *node),
            };
            if let Some(known) = known {
                at = known;
                continue;
            }
            match step {
                Step::Key(key) => node.keys.push((key.clone(), new)),
                Step::Each => node.each = Some(new),
                Step::Members => node.members = Some(new),
                Step::Index(index) => node.entries.push((*index, new)),
            }
            self.0.push(Node::default());
            at = new;
        }
        self.0[at].marks.push(mark);
        at
    }
}

/// How a person's points are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Form {
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
struct PersonNumbers {
    person: Option<i64>,
    numbers: Numbers,
    scores: Numbers,
    form: Form,
    /// An object with a score came by.
    scored: bool,
    /// Nulls before the form was known.
    nulls: usize,
}

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

/// One entry of a list of points, or one named point: a number, a list or an object.
struct PointAt<'w> {
    walker: &'w mut Walker,
    /// Which point it is; `None`: the next.
    position: Option<usize>,
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
