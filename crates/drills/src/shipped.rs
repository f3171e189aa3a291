//! The spec files that ship, embedded as text.

use crate::catalogue::Shipped;
use crate::spec::{Drill, Ladder};

macro_rules! shipped {
    ($($id:literal),* $(,)?) => {
        [$(Shipped::new($id, include_str!(concat!("../shipped/", $id, ".toml")))),*]
    };
}

/// Drills, in the order of the ladder, then those beside it.
pub(crate) static DRILLS: [Shipped<Drill>; 25] = shipped![
    "bridge",
    "arms-overhead-lying",
    "hollow-hold",
    "handstand-wall",
    "handstand",
    "lunge-kick-to-handstand",
    "front-support-bounce",
    "handstand-hop",
    "handstand-flat-back",
    "handspring-over-cylinder",
    "forward-fall",
    "handspring-off-block",
    "handspring-raised-mats",
    "handspring-run-raised-mats",
    "handspring-board",
    "handspring-thin-mat",
    "handspring-floor",
    "handspring-fall-forward",
    "handspring-step-out-floor",
    "handstand-deductions",
    "cartwheel",
    "round-off",
    "bridge-kick-over",
    "back-handspring",
    "handspring-vault",
];

/// Ladders.
pub(crate) static LADDERS: [Shipped<Ladder>; 1] = shipped!["front-handspring"];
