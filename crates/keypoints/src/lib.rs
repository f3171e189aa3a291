//! Import of keypoint files.

mod attempt;
mod clip;
mod coco;
mod error;
mod frames;
mod importer;
mod layout;
mod layout_file;
mod limits;
mod names;
mod native;
mod numbers;
mod options;
mod people;
mod recognise;
mod sheet;
mod swaps;
mod text;
mod uncertainty;

pub use attempt::{AthleteChoice, Attempt, Facing, Given, Original, SdKind, Swap};
pub use error::Error;
pub use importer::{Importer, import, import_bytes};
pub use layout::Layout;
pub use native::{
    AttemptFile, ErrorKind, FORMAT, FormatName, FrameEntry, Frames, GivenFile, LeftRight, PictureSize, PointSd, SdPx,
    attempt_schema,
};
pub use options::{ImportOptions, SdChoice};
pub use uncertainty::oks_sigma;
