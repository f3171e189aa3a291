//! Import of keypoint files.

mod attempt;
mod attempt_file;
mod body_frame;
mod clip;
mod coco;
mod coco_head;
mod discover;
mod error;
mod folder;
mod frames;
mod importer;
mod layout;
mod layout_file;
mod layout_read;
mod limits;
mod names;
mod native;
mod numbers;
mod options;
mod path;
mod people;
mod point_forms;
mod quick;
mod recognise;
mod sample;
mod shape;
mod sheet;
mod swaps;
mod table;
mod table_header;
mod text;
mod uncertainty;
mod walk;

pub use attempt::{AthleteChoice, Attempt, Facing, Given, Original, SdKind, Swap};
pub use attempt_file::{
    AttemptFile, ErrorKind, FORMAT, FormatName, FrameEntry, Frames, GivenFile, LeftRight, PictureSize, PointSd, SdPx,
    attempt_schema,
};
pub use error::Error;
pub use importer::{Importer, import, import_bytes, recognise};
pub use layout::Layout;
pub use layout_file::{
    CoordinateUnit, JsonPlaces, LayoutFile, LayoutFormat, PointNumber, PointOrder, TableColumns, TimeUnit,
    layout_schema,
};
pub use options::{ImportOptions, SdChoice};
pub use uncertainty::oks_sigma;
