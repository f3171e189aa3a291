//! Drill specifications: what a drill is for, how it is set up, what is measured when, in which band
//! the value should lie, what a miss means, what to say, and where to go next.
//!
//! # Two minutes
//!
//! A spec is a TOML file that a coach can read and change. The ones that ship are in the
//! [`Catalogue`]; [`template`] gives the text of one, [`own_copy`] makes it the
//! coach's own. [`explain`] puts a drill into words, [`explain_ladder`] the order in which drills are worked.
//!
//! ```
//! use springline_drills::{Catalogue, explain, template};
//!
//! let catalogue = Catalogue::shipped();
//! let drill = catalogue.drill("handstand-hop")?;
//! assert!(explain(drill).contains("Pop off the floor"));
//!
//! // A coach copies the file and asks for a longer flight of the hands.
//! let mine = template("handstand-hop")
//!     .expect("it ships")
//!     .replace("id = \"handstand-hop\"", "id = \"my-hop\"")
//!     .replace("at_least = 0.04", "at_least = 0.06");
//! let drill = catalogue.read_drill("my-hop.toml", mine.as_bytes()).expect("still a good spec");
//! assert_eq!(drill.id, "my-hop");
//!
//! // Every problem of a file comes at once, with its place and the nearest valid name.
//! let bad = mine.replace("unit = \"s\"", "unit = \"m\"").replace("elbow_angle", "elbow_angel");
//! let problems = catalogue.read_drill("my-hop.toml", bad.as_bytes()).expect_err("spoiled");
//! let lines = problems.to_string();
//! assert!(lines.contains("unknown measure \"elbow_angel\""));
//! assert!(lines.contains("unit \"m\" for hand_flight_time; expected \"s\""));
//! # Ok::<(), springline_drills::Error>(())
//! ```
//!
//! A folder of the coach's own files goes over the shipped ones: [`Catalogue::with_folder`].

mod spec;

mod catalogue;
mod deduction;
mod error;
mod file;
mod names;
mod problem;
mod read_band;
mod read_check;
mod read_drill;
mod read_ladder;
mod rules;
mod table;
mod value;

mod shipped;

mod cautions;
mod explain;
mod explain_ladder;
pub mod form;
mod own_copy;
mod page;
mod schema;

pub use catalogue::{BadSpec, Catalogue, spec_files, template};
pub use cautions::{CAUTIONS, NOT_A_SCORE};
pub use deduction::{Amount, Begins, Deduction, Step};
pub use error::Error;
pub use explain::{band_in_words, basis_in_words, explain, measure_in_words, quantity_in_words};
pub use explain_ladder::explain_ladder;
pub use file::{SIZE_LIMIT, load_drill, load_ladder, read_drill, read_ladder};
pub use own_copy::{YOUR_NAME, own_copy};
pub use problem::{Problem, ProblemKind, Problems};
pub use schema::{drill_schema, ladder_schema};
pub use spec::*;
