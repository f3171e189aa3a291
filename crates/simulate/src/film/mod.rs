//! Film of a synthetic attempt: a clothed, shaded figure in a hall, as a phone would record it.
//!
//! ```
//! use springline_simulate::film::{Film, FilmSettings};
//! use springline_simulate::{Act, Camera, Params};
//!
//! let act = Act::handspring(&Params::clean())?;
//! let settings = FilmSettings { size: (160, 90), ..FilmSettings::default() };
//! let film = Film::of_act(&act, Camera::pinhole(), settings)?;
//! // Bytes red, green, blue of the frame in which the hands are placed, and where every joint is in it.
//! let picture = film.frame(20);
//! assert_eq!(picture.len(), 160 * 90 * 3);
//! assert!(film.joints(20).iter().any(|joint| joint.seen == springline_simulate::film::Seen::Plain));
//! # Ok::<(), springline_simulate::Error>(())
//! ```
//!
//! Nobody in it is a real person; every picture carries the word *synthetic*.

mod draw;
mod dress;
mod figure;
mod hall;
mod lens;
mod light;
mod look;
mod people;
mod sensor;
mod shadow;
mod shape;
mod shoot;
mod skeleton;
mod space;
mod station;
mod told;
mod walls;

pub use look::{Hair, Look, Outfit};
pub use shoot::{Film, FilmSettings};
pub use station::{Plan, Turn};
pub use told::{JointTruth, Seen};
