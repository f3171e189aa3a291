//! Every drill on the motion that is its own, and clips that are not what the drill is for.
//!
//! Every motion is simulated and its truth known; every draw is seeded.

mod catalogue;
mod clean;
#[path = "../draws.rs"]
mod draws;
mod faults;
mod gaps;
mod negatives;
mod scene;
