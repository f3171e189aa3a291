//! Pure planar kinematics of a gymnast going upside down.

mod contact;
mod event_kind;
mod landmark;
mod measure;
mod tracks;
mod units;

pub mod ballistics;
pub mod events;
pub mod gym_plane;
pub mod joint_angles;
pub mod mass;
pub mod range_of_motion;
pub mod segments;
pub mod series;
pub mod smoothing;
pub mod trial;
pub mod uncertainty;

pub use contact::{Contact, Instant};
pub use event_kind::{EventKind, Phase};
pub use landmark::{Joint, Landmark, Side};
pub use measure::{Measure, Taken};
pub use tracks::{TemporalError, Track, Tracks};
pub use units::{Angle, Seconds, Uncertain, Unit};

/// A point of the plane, px.
pub type Point = nalgebra::Point2<f64>;
/// A displacement in the plane, px.
pub type Vector = nalgebra::Vector2<f64>;
