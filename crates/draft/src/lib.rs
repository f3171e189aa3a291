//! Drafts joint points on film: finds the athlete, follows the body through the clip, upside down too.
//!
//! A general body-keypoint model looks at each frame. It was made for people who stand: shown somebody upside down it
//! answers with a body that stands, and is sure of it. So it never sees anybody upside down: the picture is turned until the
//! trunk is upright, following the trunk's turn from frame to frame. The athlete is followed forward from a safe frame
//! early in the clip and backward from one late in it; where the two don't meet, one of them is wrong, and the frames are
//! marked for a look.
//!
//! ```no_run
//! use springline_draft::{Options, draft, shipped};
//! use springline_footage::Clip;
//!
//! let mut clip = Clip::open("turn-07.mp4".as_ref())?;
//! let drafted = draft(&mut clip, &shipped()?, &Options::default())?;
//! let file = drafted.attempt_file(); // as JSON: what `springline review` reads
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Image plane throughout: px, x right, y down. Left and right are the athlete's.
//!
//! Nothing leaves the machine: the model's weights (feature `weights`, Apache-2.0, see `weights/README.md`) are part of the
//! program.

mod weights;
pub use weights::shipped;

mod reel;
pub use reel::Film;

mod ground;
mod region;

mod body;
mod crop;
mod model;
pub use model::Models;

mod follow;
mod join;
mod seeds;

mod draft;
pub use draft::Options;

mod attempt;
mod points;
mod spread;
pub use points::{Draft, DraftedFrame, DraftedPoint, draft};

mod error;
pub use error::Error;
