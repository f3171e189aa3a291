//! A review as text for a coach, as JSON and as CSV rows.
//!
//! The [`Review`] is the record that all three are made from, so they cannot disagree. As JSON it is versioned
//! (`"springline-review": 1`), its JSON Schema is [`review_schema`]. Numbers in the record are rounded to a millionth;
//! text rounds to the digits that the uncertainty allows. Verdicts were made before any rounding.
//!
//! # Two minutes
//!
//! ```
//! use springline_report::{Review, Style, from_json, text, to_json};
//!
//! # let saved = include_str!("../tests/one.review.json");
//! let review: Review = from_json(saved)?;
//! assert_eq!(review.outcome.word, "not yet");
//!
//! let page = text(&review, Style::PLAIN);
//! assert!(page.contains("FIX FIRST"));
//! assert!(page.lines().all(|line| line.chars().count() <= 80));
//!
//! assert_eq!(from_json(&to_json(&review))?, review);
//! # Ok::<(), serde_json::Error>(())
//! ```

mod record;

mod entries;
mod part;

mod digits;
mod origins;
mod page;
mod ruler;
mod text;

mod rows;

pub use digits::{amount, millionth, unit_words, with_sd};
pub use entries::{check_entries, deduction_entry, event_entry, fault_entries};
pub use page::{Style, shown_safely};
pub use part::Part;
pub use record::*;
pub use rows::{ATTEMPT_COLUMNS, MEASURE_COLUMNS, Unread, attempt_row, measure_rows, unread_row};
pub use ruler::{RULER_CELLS, ruler};
pub use text::{bounds_of, cautions_in_words, in_one_line, in_short, shape, text, value_of};
