//! Which layout the point names of a table mean.

use crate::ImportOptions;
use crate::error::Error;
use crate::layout::Layout;
use crate::names;
use crate::numbers::shortened;
use crate::table::Reader;

/// Whether names of points are taken in any spelling, so that one may be misspelt.
pub(crate) fn spelt_freely(found: &[String], options: &ImportOptions) -> bool {
    let by_number = found.iter().all(|name| name.parse::<usize>().is_ok());
    !by_number && options.layout.as_ref().is_none_or(|layout| layout.names.is_empty())
}

impl Reader<'_> {
    /// The layout for the point names of a table: the one asked for, or whatever the names mean.
    pub(crate) fn layout(&self, found: &[String], options: &ImportOptions) -> Result<Layout, Error> {
        if found.is_empty() {
            return Err(Error::NoPerson {
                file: self.file.to_owned(),
            });
        }
        let by_number = found.iter().all(|name| name.parse::<usize>().is_ok());
        let mut layout = match &options.layout {
            Some(layout) => layout.clone(),
            None if by_number => {
                let count = found
                    .iter()
                    .filter_map(|name| name.parse::<usize>().ok())
                    .max()
                    .map_or(0, |last| last.saturating_add(1));
                Layout::of_count(count).ok_or_else(|| Error::PointCount {
                    file: self.file.to_owned(),
                    place: "point numbers".to_owned(),
                    found: count.to_string(),
                    expected: "17, 25, 33 or 133, or a layout file for others".to_owned(),
                })?
            }
            None => {
                let names = found
                    .iter()
                    .filter(|name| names::landmark(name).is_some())
                    .cloned()
                    .collect();
                Layout::of_names(names).ok_or_else(|| Error::Shape {
                    file: self.file.to_owned(),
                    place: "point names".to_owned(),
                    found: shortened(&found.join(", ")),
                    expected: "names of body points such as left_hip".to_owned(),
                })?
            }
        };
        if by_number {
            layout.names = (0..layout.points.len()).map(|point| point.to_string()).collect();
        } else if layout.names.is_empty() {
            // Any spelling of a landmark's name will do.
            layout.names = layout
                .points
                .iter()
                .map(|point| {
                    let spelt = found
                        .iter()
                        .find(|name| point.is_some() && names::landmark(name) == *point);
                    spelt.cloned().unwrap_or_default()
                })
                .collect();
        }
        Ok(layout)
    }
}
