//! Drill specifications.

mod catalogue;
mod error;
mod file;
mod names;
mod problem;
mod read_check;
mod read_drill;
mod read_ladder;
mod rules;
mod shipped;
mod spec;
mod table;

pub use catalogue::{Catalogue, template};
pub use error::Error;
pub use file::{SIZE_LIMIT, load_drill, load_ladder, read_drill, read_ladder};
pub use problem::{Problem, ProblemKind, Problems};
pub use spec::*;
