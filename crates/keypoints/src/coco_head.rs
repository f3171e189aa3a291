//! What a COCO annotation file says beside its annotations: pictures and categories.

use std::collections::HashMap;

use serde::{Deserialize, Deserializer};

use crate::error::Error;
use crate::limits;
use crate::numbers::Tag;
use crate::sheet::Sheet;

/// What stands beside the annotations.
#[derive(Deserialize)]
pub(crate) struct Head {
    #[serde(default, deserialize_with = "images")]
    pub images: Vec<Image>,
    #[serde(default, deserialize_with = "categories")]
    pub categories: Vec<Category>,
}

fn images<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<Image>, D::Error> {
    limits::bounded_list(from, limits::FRAMES)
}

fn categories<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<Category>, D::Error> {
    limits::bounded_list(from, 1_000)
}

fn point_names<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<String>, D::Error> {
    limits::bounded_list(from, limits::LAYOUT_POINTS)
}

#[derive(Deserialize)]
pub(crate) struct Image {
    id: Tag,
    file_name: Option<Tag>,
    width: Option<f64>,
    height: Option<f64>,
}

#[derive(Deserialize)]
pub(crate) struct Category {
    pub id: Option<Tag>,
    pub name: Option<String>,
    #[serde(default, deserialize_with = "point_names")]
    pub keypoints: Vec<String>,
}

impl Head {
    /// Frame number of each picture id: the digits of the file names where they tell the pictures
    /// apart, else the ids.
    pub(crate) fn frames(&self, file: &str, sizes: &mut Sheet) -> Result<HashMap<i64, i64>, Error> {
        let mut by_name = Vec::with_capacity(self.images.len());
        let mut ids = Vec::with_capacity(self.images.len());
        for (index, image) in self.images.iter().enumerate() {
            let place = || format!("images[{index}]");
            let Tag::Number(id) = image.id else {
                return Err(Error::Shape {
                    file: file.to_owned(),
                    place: format!("{}.id", place()),
                    found: describe(&image.id),
                    expected: "a whole number".to_owned(),
                });
            };
            ids.push(id);
            if let Some(Tag::Number(number)) = image.file_name {
                by_name.push(number);
            }
            if let (Some(width), Some(height)) = (image.width, image.height) {
                sizes.set_picture(file, &place(), width, height)?;
            }
        }
        let distinct = |list: &[i64]| {
            let mut sorted = list.to_vec();
            sorted.sort_unstable();
            sorted.windows(2).find(|pair| pair[0] == pair[1]).map(|pair| pair[0])
        };
        if let Some(frame) = distinct(&ids) {
            return Err(Error::DuplicateFrame {
                file: file.to_owned(),
                frame,
                person: "the picture id".to_owned(),
            });
        }
        let named = by_name.len() == ids.len() && distinct(&by_name).is_none();
        let numbers = if named { by_name } else { ids.clone() };
        Ok(ids.into_iter().zip(numbers).collect())
    }
}

pub(crate) fn describe(tag: &Tag) -> String {
    match tag {
        Tag::Number(number) => number.to_string(),
        Tag::Missing => "nothing".to_owned(),
        Tag::Other(found) => found.clone(),
    }
}
