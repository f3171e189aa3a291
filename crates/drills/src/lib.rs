//! Drill specifications.

mod spec;

pub use spec::*;
