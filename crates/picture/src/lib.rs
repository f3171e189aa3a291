//! Pictures of the events of an attempt: the athlete as a drawn figure with the angles that the drill looks at.
//!
//! A [`Scene`] is one event in plain values: the pose in the gym plane, the checks that belong to that instant
//! ([`event_of`]) with their words, and what else stands on the card. [`draw`] makes the card, [`draw_all`] all cards of an
//! attempt at one height and the sheet of all events. Nothing of a photo is in them. The same scene gives the same bytes.
//!
//! # Two minutes
//!
//! ```
//! use springline_kinematics::series::Pose;
//! use springline_kinematics::{EventKind, Landmark, Point, Side};
//! use springline_picture::{Known, Scene, draw};
//!
//! // Standing, seen from the right; gym plane, px, Y up.
//! let mut points = [None; Landmark::COUNT];
//! for (landmark, x, y) in [
//!     (Landmark::RightShoulder, 0.0, 150.0),
//!     (Landmark::RightHip, 0.0, 100.0),
//!     (Landmark::RightKnee, 2.0, 52.0),
//!     (Landmark::RightAnkle, 0.0, 5.0),
//! ] {
//!     points[landmark.index()] = Some(Point::new(x, y));
//! }
//! let known = Known { near: Side::Right, leg: 95.0, mirrored: false, frontal: false, push_off: None, landed_first: None };
//! let scene = Scene::new(EventKind::Settled, Pose::new(0.0, points, [1.0; Landmark::COUNT]), known);
//! let drawn = draw(&scene)?;
//! // Through the middle of the thigh goes a limb; beside it is the plain ground.
//! let ink = |x, y| drawn.picture.at(drawn.place(Point::new(x, y)));
//! assert_ne!(ink(1.0, 76.0), ink(60.0, 76.0));
//! assert!(drawn.picture.png()?.starts_with(b"\x89PNG"));
//! # Ok::<(), springline_picture::Error>(())
//! ```

mod scene;

mod at_event;
mod sketch;

mod body;
mod figure;
mod view;

mod canvas;
mod lettering;
mod mark;
mod palette;

mod tags;

mod card;
mod rows;
mod sheet;

mod error;

pub use at_event::{drawn_of, event_of};
pub use canvas::Picture;
pub use card::{Drawn, draw, draw_all};
pub use error::Error;
pub use mark::Mark;
pub use scene::{Floor, Known, Label, Scene};
pub use sheet::draw_sheet;
