//! Measured against specified: checks become verdicts, verdicts become faults in the order of cause.
//!
//! A check compares a value to a band. With value and standard deviation comes the probability that the true value lies
//! outside: at 0.90 or more it is a *fault*, at 0.10 or less *good*, between *too close to call*; what could not be seen
//! says so. The earliest fault in the order of cause is the one to fix first.

mod check;
mod outcome;
mod reading;
mod settings;
mod verdict;

pub use check::{CheckResult, Measured, ReportedDeduction};
pub use outcome::{Assessment, FoundFault, Outcome, assess};
pub use reading::{outside, take};
pub use settings::search_of;
pub use verdict::{Severity, Verdict, probability_outside};
