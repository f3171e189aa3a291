//! The spec files that ship, embedded as text.

use crate::catalogue::Shipped;
use crate::spec::{Drill, Ladder};

macro_rules! shipped {
    ($($id:literal),* $(,)?) => {
        [$(Shipped::new($id, include_str!(concat!("../shipped/", $id, ".toml")))),*]
    };
}

/// Drills, in the order of the ladder, then those beside it.
pub(crate) static DRILLS: [Shipped<Drill>; 1] = shipped!["handspring-floor"];

/// Ladders.
pub(crate) static LADDERS: [Shipped<Ladder>; 0] = shipped![];
