//! What the coach chooses about the measuring.

use springline_keypoints::ImportOptions;
use springline_kinematics::mass::SegmentTable;
use springline_kinematics::series::Smoothing;

use crate::error::Error;
use crate::film::FilmSettings;

/// The segment tables that can be chosen, by name.
pub const TABLES: [&str; 3] = ["de-leva-female", "de-leva-male", "dempster"];

/// Which segment table the centre of mass is taken by.
#[derive(Clone, Debug, PartialEq)]
pub struct TableChoice {
    /// One of [`TABLES`].
    pub name: String,
    /// Age in years for the head mass of a child; `None`: the table's own.
    pub child_age: Option<f64>,
}

impl Default for TableChoice {
    fn default() -> Self {
        Self {
            name: TABLES[0].to_owned(),
            child_age: None,
        }
    }
}

impl TableChoice {
    /// The table itself.
    ///
    /// # Errors
    /// A name that is not in [`TABLES`]; an age outside 4 to 20.
    pub fn table(&self) -> Result<SegmentTable, Error> {
        let table = match self.name.as_str() {
            "de-leva-female" => SegmentTable::de_leva_female(),
            "de-leva-male" => SegmentTable::de_leva_male(),
            "dempster" => SegmentTable::dempster(),
            other => {
                return Err(Error::Setting {
                    setting: "segment table",
                    found: format!("{other:?}"),
                    expected: format!("one of {}", TABLES.join(", ")),
                });
            }
        };
        match self.child_age {
            None => Ok(table),
            Some(age) => table.with_child_head(age).ok_or_else(|| Error::Setting {
                setting: "age",
                found: age.to_string(),
                expected: "4 to 20 years".to_owned(),
            }),
        }
    }
}

/// What the coach chooses about import and measuring.
#[derive(Clone, Debug, Default)]
pub struct Settings {
    /// Import: layout, rate, person, sides, uncertainty, stretch, and what the coach gives.
    pub import: ImportOptions,
    /// Drafting, where the attempt is a film.
    pub film: FilmSettings,
    /// Smoothing of the points.
    pub smoothing: Smoothing,
    /// Segment table of the centre of mass.
    pub table: TableChoice,
}
