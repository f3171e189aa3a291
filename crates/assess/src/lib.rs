//! Measured against specified: checks become verdicts, verdicts become faults in the order of cause.
//!
//! A check compares a value to a band. With value and standard deviation comes the probability that the true value lies
//! outside: at 0.90 or more it is a *fault*, at 0.10 or less *good*, between *too close to call*; what could not be seen
//! says so. The earliest fault in the order of cause is the one to fix first.
//!
//! # Two minutes
//!
//! A drill, an attempt, a verdict with its probability. The attempt is a simulated one here (crate
//! `springline-simulate`): a front handspring with the shoulders at 155° when the hands come down, filmed with 3 px of
//! noise. Points of a file come from crate `springline-keypoints`, a file's whole review from `springline-review`.
//!
//! ```
//! use springline_assess::{Outcome, Severity, Verdict, assess, outside, search_of};
//! use springline_drills::{Band, Catalogue};
//! use springline_kinematics::trial::{Settings, Trial};
//! use springline_simulate::{Act, Fault, Params, Recording};
//!
//! let catalogue = Catalogue::shipped();
//! let drill = catalogue.drill("handspring-floor")?;
//!
//! let figure = Params::clean().with_fault(Fault::ClosedShoulders, 155.0);
//! let film = Act::handspring(&figure)?.film(&Recording::exact().noisy(3.0), 7);
//!
//! // The drill says which events to look for, so it comes before the measuring.
//! let settings = Settings { search: search_of(drill, &[]), ..Settings::default() };
//! let trial = Trial::new(film.tracks, &settings)?;
//! let assessment = assess(drill, &trial);
//!
//! // One check: the value, and how likely the true value lies outside the band (at least 165°).
//! let check = assessment.checks.iter().find(|check| check.id == "shoulders-at-placement").expect("in the drill");
//! let measured = check.measured.as_ref().expect("seen");
//! assert!((measured.value - 155.0).abs() < 3.0 * measured.sd);
//! let Verdict::Fault { outside: p, severity, below: true } = check.verdict else { panic!("{:?}", check.verdict) };
//! assert!(p > 0.99 && severity == Severity::Small);
//!
//! // All checks: what the attempt counts as, and what to fix first.
//! assert_eq!(assessment.outcome, Outcome::NotGood);
//! let first = assessment.fix_first().expect("a fault");
//! assert_eq!(first.fault.id, "closed-shoulders");
//! assert_eq!(first.checks, ["shoulders-at-placement"]);
//!
//! // The same value against a band of one's own.
//! let asked = drill.checks.iter().find(|asked| asked.id == check.id).expect("in the drill");
//! let at_least_140 = Band { at_least: Some(140.0), at_most: None };
//! assert!(outside(&trial, asked.quantity, asked.unit, at_least_140)? < 0.01);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

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
