//! One attempt in, one review out: import, trial, assessment and record joined.
//!
//! # Two minutes
//!
//! ```
//! use springline_drills::Catalogue;
//! use springline_review::{Reviewer, Settings};
//!
//! let catalogue = Catalogue::shipped();
//! let drill = catalogue.drill("handspring-floor")?;
//! let mut reviewer = Reviewer::new(&catalogue, Settings::default());
//!
//! // A file of five still frames is no handspring, and the review says so.
//! let frame = r#"{"points": [[300, 200], [300, 100], [310, 300], [320, 400]]}"#;
//! let file = format!(
//!     r#"{{"format": "springline-attempt", "version": 1, "rate_hz": 60,
//!         "points": ["left_hip", "left_shoulder", "left_knee", "left_ankle"],
//!         "given": {{"facing": "right"}}, "frames": [{}]}}"#,
//!     vec![frame; 30].join(",")
//! );
//! let review = reviewer.review_bytes("still.json", file.as_bytes(), drill)?;
//! assert_eq!(review.record.outcome.word, "not this skill");
//! # Ok::<(), springline_review::Error>(())
//! ```

mod settings;

mod reviewer;

mod scale;

mod facts;

mod find_drill;

mod outfile;

pub mod batch;

mod error;

pub use error::Error;
pub use find_drill::find_drill;
pub use outfile::{may_write, write_whole};
pub use reviewer::{PROGRAM, Reviewed, Reviewer, review};
pub use settings::{Settings, TABLES, TableChoice};
pub use springline_report::Review;
