//! Import of keypoint files.

mod attempt;
mod clip;
mod coco;
mod discover;
mod error;
mod folder;
mod frames;
mod importer;
mod layout;
mod layout_file;
mod limits;
mod names;
mod native;
mod numbers;
mod options;
mod path;
mod people;
mod recognise;
mod sample;
mod sheet;
mod swaps;
mod table;
mod text;
mod uncertainty;
mod walk;

pub use attempt::{AthleteChoice, Attempt, Facing, Given, Original, SdKind, Swap};
pub use error::Error;
pub use importer::{Importer, import, import_bytes, recognise};
pub use layout::Layout;
pub use layout_file::{
    CoordinateUnit, JsonPlaces, LayoutFile, LayoutFormat, PointNumber, PointOrder, TableColumns, TimeUnit,
    layout_schema,
};
pub use native::{
    AttemptFile, ErrorKind, FORMAT, FormatName, FrameEntry, Frames, GivenFile, LeftRight, PictureSize, PointSd, SdPx,
    attempt_schema,
};
pub use options::{ImportOptions, SdChoice};
pub use uncertainty::oks_sigma;
