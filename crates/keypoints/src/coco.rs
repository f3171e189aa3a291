//! The two COCO forms: results lists and annotation files, 17 points or the 133 of a whole body.

use std::collections::HashMap;
use std::fmt;

use serde::Deserialize;
use serde::de::{DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};

use crate::coco_head::{Category, Head, describe};
use crate::error::Error;
use crate::layout::Layout;
use crate::limits;
use crate::numbers::{FlatList, Numbers, Tag, shortened};
use crate::sheet::{Columns, Intake, Sheet, Unit, wrong_count};
use crate::{ImportOptions, names, quick};

/// A results list: one entry a person and frame.
pub(crate) fn read_results(file: &str, text: &str, options: &ImportOptions) -> Result<(Layout, Sheet), Error> {
    let mut reader = Reader::new(file, options);
    if quick::read(text, &mut reader).is_some() {
        return reader.finish(Ok(()));
    }
    read_results_slowly(file, text, options)
}

/// The general reader, which takes everything and says what is wrong.
fn read_results_slowly(file: &str, text: &str, options: &ImportOptions) -> Result<(Layout, Sheet), Error> {
    let mut reader = Reader::new(file, options);
    let mut json = serde_json::Deserializer::from_str(text);
    let parsed = json.deserialize_seq(Entries(&mut reader)).and_then(|()| json.end());
    reader.finish(parsed)
}

/// An annotation file: pictures, annotations, categories.
pub(crate) fn read_annotations(file: &str, text: &str, options: &ImportOptions) -> Result<(Layout, Sheet), Error> {
    let head: Head = serde_json::from_str(text).map_err(|error| Error::json(file, &error))?;
    let mut reader = Reader::new(file, options);
    reader.visibility = true;
    let mut sizes = Sheet::new(Vec::new());
    let frames = head.frames(file, &mut sizes)?;
    reader.use_categories(&head.categories)?;
    let bare: Vec<i64> = if head.images.is_empty() {
        Vec::new()
    } else {
        sorted_values(&frames)
    };
    reader.frame_of = (!head.images.is_empty()).then_some(frames);
    let mut json = serde_json::Deserializer::from_str(text);
    let parsed = json.deserialize_map(Annotations(&mut reader)).and_then(|()| json.end());
    let (layout, mut sheet) = reader.finish(parsed)?;
    sheet.picture = sizes.picture;
    sheet.bare.extend(bare.into_iter().map(|frame| (frame, None)));
    Ok((layout, sheet))
}

fn sorted_values(frames: &HashMap<i64, i64>) -> Vec<i64> {
    let mut values: Vec<i64> = frames.values().copied().collect();
    values.sort_unstable();
    values
}

/// Reads entries into a sheet.
pub(crate) struct Reader<'a> {
    file: &'a str,
    options: &'a ImportOptions,
    /// Layout that the options or the categories state.
    layout: Option<Layout>,
    /// The category that is read, when there are several.
    category: Option<i64>,
    visibility: bool,
    /// Frame numbers by picture id, when the file lists its pictures.
    frame_of: Option<HashMap<i64, i64>>,
    intake: Option<Intake>,
    entries: usize,
    /// Frames without points before the first that has some.
    early: Vec<i64>,
    /// Body (or all), feet, face, left hand, right hand.
    parts: [Numbers; 5],
    joined: Numbers,
    error: Option<Error>,
}

/// Points of each part of a whole body, in order.
const PARTS: [usize; 5] = [17, 6, 68, 21, 21];

impl<'a> Reader<'a> {
    fn new(file: &'a str, options: &'a ImportOptions) -> Self {
        Self {
            file,
            options,
            layout: options.layout.clone(),
            category: None,
            visibility: false,
            frame_of: None,
            intake: None,
            entries: 0,
            early: Vec::new(),
            parts: Default::default(),
            joined: Numbers::default(),
            error: None,
        }
    }

    /// Takes the person's category, and its point names where they aren't the usual 17.
    fn use_categories(&mut self, categories: &[Category]) -> Result<(), Error> {
        let with_points = || categories.iter().filter(|category| !category.keypoints.is_empty());
        let person = with_points()
            .find(|category| category.name.as_deref() == Some("person"))
            .or_else(|| with_points().next());
        let Some(person) = person else { return Ok(()) };
        if with_points().count() > 1
            && let Some(Tag::Number(id)) = person.id
        {
            self.category = Some(id);
        }
        if self.layout.is_some() {
            return Ok(());
        }
        let landmarks: Vec<_> = person.keypoints.iter().map(|name| names::landmark(name)).collect();
        // The plain names need no layout of their own: extra parts of a whole body may follow.
        let plain = Layout::builtin("coco-17").is_some_and(|coco| coco.points() == landmarks.as_slice());
        if plain {
            return Ok(());
        }
        self.layout = Layout::of_names(person.keypoints.clone());
        if self.layout.is_none() {
            return Err(Error::Shape {
                file: self.file.to_owned(),
                place: "categories".to_owned(),
                found: format!("point names such as {:?}", shortened(&person.keypoints[0])),
                expected: "names of body points, or a layout file for others".to_owned(),
            });
        }
        Ok(())
    }

    fn finish(mut self, parsed: Result<(), serde_json::Error>) -> Result<(Layout, Sheet), Error> {
        if let Some(error) = self.error.take() {
            return Err(error);
        }
        parsed.map_err(|error| Error::json(self.file, &error))?;
        let Some(mut intake) = self.intake else {
            return Err(Error::NoPerson {
                file: self.file.to_owned(),
            });
        };
        intake.settle_visibility()?;
        intake
            .sheet
            .bare
            .extend(self.early.into_iter().map(|frame| (frame, None)));
        intake.sheet.unit = Unit::Px;
        Ok((intake.layout, intake.sheet))
    }

    /// Layout from the size of the first entry that has points.
    fn intake(&mut self, frame: i64) -> Result<&mut Intake, Error> {
        if self.intake.is_none() {
            let extras = self.parts[1..].iter().any(|part| !part.values.is_empty());
            let numbers = self.parts[0].values.len();
            let whole = extras && numbers == 3 * PARTS[0];
            let found = if whole {
                Layout::builtin("coco-wholebody-133")
            } else {
                Layout::of_count(numbers / 3)
            };
            let layout = self.layout.clone().or(found.filter(|_| numbers.is_multiple_of(3)));
            let Some(layout) = layout else {
                return Err(Error::PointCount {
                    file: self.file.to_owned(),
                    place: format!("frame {frame}, keypoints"),
                    found: format!("{numbers} numbers for the"),
                    expected: "three for each of 17, 25, 33 or 133 points, or a layout file for others".to_owned(),
                });
            };
            let mut intake = Intake::new(self.file, layout, Columns::TRIPLES, self.options.min_score);
            intake.visibility = self.visibility;
            self.intake = Some(intake);
        }
        Ok(self.intake.as_mut().expect("just made"))
    }

    /// Makes the parts ready for the next entry.
    pub(crate) fn start_entry(&mut self) {
        for part in &mut self.parts {
            part.clear();
        }
    }

    /// Body (or all), feet, face, left hand, right hand.
    pub(crate) fn part(&mut self, part: usize) -> &mut Numbers {
        &mut self.parts[part]
    }

    /// One entry has been read into the parts.
    pub(crate) fn end_entry(&mut self, image: &Tag, category: &Tag, person: &Tag) -> Result<(), Error> {
        let entry = self.entries;
        self.entries += 1;
        if let (Some(wanted), Tag::Number(found)) = (self.category, category)
            && wanted != *found
        {
            return Ok(());
        }
        let Tag::Number(image) = *image else {
            return Err(Error::Shape {
                file: self.file.to_owned(),
                place: format!("entry {entry}, image_id"),
                found: describe(image),
                expected: "a whole number or a file name with digits".to_owned(),
            });
        };
        let frame = match &self.frame_of {
            None => image,
            Some(frames) => *frames.get(&image).ok_or_else(|| Error::Shape {
                file: self.file.to_owned(),
                place: format!("entry {entry}, image_id"),
                found: image.to_string(),
                expected: "the id of a picture that images lists".to_owned(),
            })?,
        };
        if self.parts[0].values.is_empty() {
            // No points at all for this person.
            return match &mut self.intake {
                Some(intake) => intake.add_bare(frame, None),
                None if self.early.len() < limits::FRAMES => {
                    self.early.push(frame);
                    Ok(())
                }
                None => Err(Error::TooMany {
                    file: self.file.to_owned(),
                    place: format!("entry {entry}"),
                    what: "frames",
                    most: limits::FRAMES,
                }),
            };
        }
        let person = if let Tag::Number(person) = person {
            Some(*person)
        } else {
            None
        };
        let expected = self.intake(frame)?.layout.points.len();
        if expected == PARTS.iter().sum::<usize>() && self.parts[0].values.len() == 3 * PARTS[0] {
            self.join(frame)?;
            let Some(intake) = &mut self.intake else { return Ok(()) };
            return intake.add(frame, None, person, &self.joined);
        }
        let Some(intake) = &mut self.intake else { return Ok(()) };
        intake.add(frame, None, person, &self.parts[0])
    }

    /// The parts of a whole body one after the other; a part left out is missing.
    fn join(&mut self, frame: i64) -> Result<(), Error> {
        self.joined.clear();
        for (part, points) in self.parts.iter().zip(PARTS) {
            let start = self.joined.values.len();
            if let Some((at, found)) = &part.bad {
                self.joined.bad.get_or_insert((start + at, found.clone()));
            }
            if part.values.is_empty() {
                self.joined.values.resize(start + 3 * points, None);
            } else if part.values.len() == 3 * points {
                self.joined.values.extend_from_slice(&part.values);
            } else {
                let layout = Layout::plain("part of a whole body", "", vec![None; points]);
                return Err(wrong_count(
                    self.file,
                    &format!("frame {frame}"),
                    part.values.len(),
                    3,
                    &layout,
                ));
            }
        }
        Ok(())
    }
}

/// The list of entries.
struct Entries<'r, 'a>(&'r mut Reader<'a>);

impl<'de> DeserializeSeed<'de> for Entries<'_, '_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for Entries<'_, '_> {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of entries with image_id and keypoints")
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<(), A::Error> {
        while seq.next_element_seed(Entry(&mut *self.0))?.is_some() {}
        Ok(())
    }
}

/// One entry: a person in a frame.
struct Entry<'r, 'a>(&'r mut Reader<'a>);

#[derive(Deserialize)]
#[serde(field_identifier, rename_all = "snake_case")]
enum Key {
    ImageId,
    CategoryId,
    Keypoints,
    FootKpts,
    FaceKpts,
    LefthandKpts,
    RighthandKpts,
    TrackId,
    #[serde(other)]
    Other,
}

impl<'de> DeserializeSeed<'de> for Entry<'_, '_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Entry<'_, '_> {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an entry with image_id and keypoints")
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let reader = self.0;
        reader.start_entry();
        let (mut image, mut category, mut person) = (Tag::Missing, Tag::Missing, Tag::Missing);
        while let Some(key) = map.next_key()? {
            let part = match key {
                Key::ImageId => {
                    image = map.next_value()?;
                    continue;
                }
                Key::CategoryId => {
                    category = map.next_value()?;
                    continue;
                }
                Key::TrackId => {
                    person = map.next_value()?;
                    continue;
                }
                Key::Other => {
                    map.next_value::<IgnoredAny>()?;
                    continue;
                }
                Key::Keypoints => 0,
                Key::FootKpts => 1,
                Key::FaceKpts => 2,
                Key::LefthandKpts => 3,
                Key::RighthandKpts => 4,
            };
            // A key that stands twice: the last one counts.
            reader.parts[part].clear();
            map.next_value_seed(FlatList(&mut reader.parts[part]))?;
        }
        reader.end_entry(&image, &category, &person).map_err(|error| {
            reader.error = Some(error);
            A::Error::custom("stopped")
        })
    }
}

/// The annotation file around the list of entries.
struct Annotations<'r, 'a>(&'r mut Reader<'a>);

impl<'de> Visitor<'de> for Annotations<'_, '_> {
    type Value = ();
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object with annotations")
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        #[derive(Deserialize)]
        #[serde(field_identifier, rename_all = "snake_case")]
        enum Top {
            Annotations,
            #[serde(other)]
            Other,
        }
        while let Some(key) = map.next_key()? {
            match key {
                Top::Annotations => map.next_value_seed(Entries(&mut *self.0))?,
                Top::Other => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn number() -> impl Strategy<Value = String> {
        prop_oneof![
            8 => (0.0..2000.0_f64).prop_map(|number| format!("{number:.3}")),
            2 => (0.0..2000.0_f64).prop_map(|number| format!("{number}")),
            1 => (0..1_u8).prop_map(|_| "null".to_owned()),
            1 => (0..1_u8).prop_map(|_| "1.5e2".to_owned()),
            1 => (0..1_u8).prop_map(|_| "\"\"".to_owned()),
            1 => (0..1_u8).prop_map(|_| "0".to_owned()),
        ]
    }

    fn entry() -> impl Strategy<Value = String> {
        (0..50_i64, prop::collection::vec(number(), 34), 0..4_u8).prop_map(|(frame, numbers, kind)| {
            let triples: Vec<String> = numbers
                .chunks(2)
                .map(|pair| format!("{}, {},0.9", pair[0], pair[1]))
                .collect();
            let (id, more) = match kind {
                0 => (format!("\"f_{frame}.jpg\""), ", \"bbox\":[1,2.5, 3 ,4]"),
                1 => (frame.to_string(), ",\"score\":-0.5,\"note\":\"a b\""),
                2 => (frame.to_string(), ",\"track_id\":7,\"segmentation\":[]"),
                _ => (frame.to_string(), ""),
            };
            format!("{{\"image_id\":{id},\n \"keypoints\": [{}]{more}}}", triples.join(","))
        })
    }

    proptest! {
        #[test]
        fn the_quick_lane_reads_what_the_general_reader_reads(entries in prop::collection::vec(entry(), 1..6)) {
            let text = format!(" [{}]\n", entries.join(" ,\t"));
            let options = ImportOptions::default();
            let mut reader = Reader::new("f", &options);
            prop_assert!(quick::read(&text, &mut reader).is_some());
            let quick = reader.finish(Ok(()));
            let slow = read_results_slowly("f", &text, &options);
            match (quick, slow) {
                (Ok((_, quick)), Ok((_, slow))) => {
                    prop_assert_eq!(&quick.records, &slow.records);
                    prop_assert_eq!(&quick.bare, &slow.bare);
                    prop_assert_eq!(quick.spots.len(), slow.spots.len());
                    for (a, b) in quick.spots.iter().zip(&slow.spots) {
                        prop_assert_eq!(a.is_some(), b.is_some());
                        if let (Some(a), Some(b)) = (a, b) {
                            prop_assert!((a.x - b.x).abs() <= 1e-12 && (a.y - b.y).abs() <= 1e-12);
                            prop_assert_eq!(a.score, b.score);
                        }
                    }
                }
                (quick, slow) => prop_assert_eq!(format!("{quick:?}"), format!("{slow:?}")),
            }
        }
    }
}
