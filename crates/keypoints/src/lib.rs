//! Import of keypoint files.

mod attempt;

pub use attempt::{Attempt, AthleteChoice, Facing, Given, SdKind, Swap};
