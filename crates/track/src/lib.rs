//! From clicks on a few frames to points on every frame.
//!
//! Each landmark has its own clicks. From every click the body is followed forward, from the next one back; a limb is
//! followed as a strip of picture between its two ends, so that it turns with them and little of the background is in it.
//! Both ways and all clicks are then blended by their sds: between clicks a point is surer than one click alone. Where the
//! ways disagree the sd grows and the point is doubtful; what can't be followed is left out. A click stays as it is.

mod anchors;
mod attempt;
mod blend;
mod body;
mod error;
mod fit;
mod flow;
mod follow;
mod layers;
mod picture;
mod reel;
mod sweep;

pub use blend::Trust;
pub use error::Error;
pub use flow::Flow;
pub use follow::{Point, Settings, Tracked, track};
pub use picture::{Frames, Grey};
