//! One attempt in, one review out: import, trial, assessment and record joined.
//!
//! # Two minutes
//!
//! A file, a drill, a review; text, JSON and tables are made of the review by crate `springline-report`.
//!
//! ```
//! use std::path::Path;
//!
//! use springline_drills::Catalogue;
//! use springline_kinematics::EventKind;
//! use springline_report::{Style, text, to_json};
//! use springline_review::{Reviewer, Settings};
//!
//! let catalogue = Catalogue::shipped();
//! let drill = catalogue.drill("handspring-floor")?;
//! let mut reviewer = Reviewer::new(&catalogue, Settings::default());
//!
//! // One file (a demo attempt, synthetic): what it counts as, what to fix first, how sure that is.
//! let file = Path::new("../../fixtures/demo/b-hands-near-feet.json");
//! let reviewed = reviewer.review(file, drill)?;
//! let review = &reviewed.record;
//! assert_eq!(review.outcome.word, "not yet");
//! assert_eq!(review.fix_first.as_deref(), Some("hands-near-feet"));
//! let hands = review.checks.iter().find(|check| check.id == "hands-ahead-of-foot").expect("in the drill");
//! assert!((hands.measured.expect("seen").value - 0.55).abs() < 0.02); // leg lengths
//! assert!(hands.verdict.outside > Some(0.99));
//!
//! // The page that the command prints, and the JSON.
//! let page = text(review, Style::PLAIN);
//! assert!(page.starts_with("Front handspring, floor to floor") && page.contains("FIX FIRST"));
//! assert!(to_json(review).contains("\"fix_first\": \"hands-near-feet\""));
//!
//! // Beside the record stand the verdicts with all their digits and the attempt, to be measured further.
//! assert_eq!(reviewed.assessment.checks.len(), review.checks.len());
//! assert!(reviewed.trial.leg().value > 100.0); // px
//!
//! // What the coach knows makes it surer; it stands in the settings, as the command's options do.
//! reviewer.settings_mut().import.given.events = vec![(EventKind::HandPlacement, 0.94)]; // seen in the film, s
//! let review = reviewer.review(file, drill)?.record;
//! let placed = review.events.iter().find(|event| event.event == "hand_placement").expect("given");
//! assert_eq!((placed.how.as_str(), placed.time_s), ("given", 0.94));
//!
//! // Bytes in memory go the same way. This is no handspring, and the review says so.
//! reviewer.settings_mut().import.given.events.clear();
//! let frame = r#"{"points": [[300, 200], [300, 100], [310, 300], [320, 400]]}"#;
//! let still = format!(
//!     r#"{{"format": "springline-attempt", "version": 1, "rate_hz": 60,
//!         "points": ["left_hip", "left_shoulder", "left_knee", "left_ankle"],
//!         "given": {{"facing": "right"}}, "frames": [{}]}}"#,
//!     vec![frame; 30].join(",")
//! );
//! let review = reviewer.review_bytes("still.json", still.as_bytes(), drill)?.record;
//! assert_eq!(review.outcome.word, "not this skill");
//! # Ok::<(), springline_review::Error>(())
//! ```
//!
//! A whole folder or a manifest goes by [`batch`]; [`find_drill`] takes an id or a spec file, as `--drill` does.

mod settings;

mod reviewer;

mod scale;

pub mod camera;

mod doubts;
mod facts;
mod gaps;
mod origins;

mod find_drill;

mod film;
mod follow;
mod pictures;

mod outfile;

pub mod batch;

mod error;

pub use error::Error;
pub use film::{FilmSettings, draft_film, is_film};
pub use find_drill::find_drill;
pub use follow::{Followed, follow};
pub use outfile::{may_write, spares, write_whole};
pub use pictures::{PictureFile, Pictures, pictures};
pub use reviewer::{PROGRAM, Reviewed, Reviewer, review};
pub use settings::{Settings, TABLES, TableChoice};
pub use springline_report::Review;
pub use springline_track::Error as TrackError;
