//! Synthetic attempts with known truth: a planar linked figure, dialled, filmed and spoilt on purpose.
//!
//! Two minutes:
//!
//! ```
//! use springline_kinematics::{EventKind, Measure, Side};
//! use springline_simulate::{Act, Facts, Layout, Params, Recording};
//!
//! // 1. Dial a skill; here a front handspring without a fault.
//! let act = Act::handspring(&Params::clean())?;
//! // 2. Film it: 60 frames a second, 3 px noise, seed 7.
//! let attempt = act.film(&Recording::exact().noisy(3.0), 7);
//! // 3. The points, as a pose tool would hand them over, ...
//! assert!(attempt.tracks.len() > 100);
//! // ... and the truth, exact at every instant.
//! let placed = attempt.truth.event(EventKind::HandPlacement).expect("a handspring places its hands");
//! let shoulder = attempt.truth.joint_angle(Measure::ShoulderOpening, Side::Left, placed);
//! assert!((shoulder.expect("a joint angle") - 180.0).abs() < 1e-6);
//! // 4. The same as a file, labelled synthetic.
//! let file = attempt.to_attempt_json(Layout::Named23, &Facts::measured());
//! assert!(file.contains("\"synthetic\":true"));
//! # Ok::<(), springline_simulate::Error>(())
//! ```
//!
//! The figure is kinematic: limb lengths stay, contacts don't slide, the flight obeys gravity, but the
//! angular momentum of the flight is not conserved and velocities jump where hands and feet strike.

mod body;
mod camera;
mod corrupt;
mod curve;
mod error;
mod faults;
pub mod film;
mod handspring;
mod motion;
mod motions;
mod params;
mod random;
mod recording;
mod stance;
mod story;
mod synthetic;
mod truth;

pub use body::{Body, GRAVITY, Pose, State};
pub use camera::{Camera, Facing, Lens, PICTURE, View, pinhole};
pub use error::Error;
pub use faults::Fault;
pub use motions::{BackHandspring, Bounce, BridgeHold, Cartwheel, FlatBack, ForwardFall, Handstand, Hop, LyingHold};
pub use params::Params;
pub use recording::{Dropouts, Group, Noise, Recording, Swap};
pub use synthetic::{Act, Facts, Layout, Synthetic};
pub use truth::Truth;
