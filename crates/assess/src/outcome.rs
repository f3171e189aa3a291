//! The whole assessment: faults in the order of cause and what the attempt counts as.

use springline_drills::{Drill, Fault, TooClose, View, Weight};
use springline_kinematics::EventKind;
use springline_kinematics::trial::Trial;

use crate::check::{CheckResult, run};
use crate::verdict::{Severity, Verdict};

/// Turning the wrong way by more than this is another skill, degrees.
const WRONG_WAY_DEG: f64 = 60.0;

/// A fault that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundFault {
    /// What the drill says of it.
    pub fault: Fault,
    /// Its place in the order of cause, from 0.
    pub order: usize,
    /// The worst severity among its checks.
    pub severity: Severity,
    /// Ids of the checks that point to it.
    pub checks: Vec<String>,
}

/// What the attempt counts as.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Every check that must hold is good.
    Good,
    /// A check that must hold failed.
    NotGood,
    /// Counts neither for nor against.
    NotCounted {
        /// Why, in words.
        why: String,
    },
    /// The skill is not in the clip.
    NotThere {
        /// What is missing, in words.
        missing: Vec<String>,
    },
}

impl Outcome {
    /// The word used in outputs.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Outcome::Good => "good",
            Outcome::NotGood => "not yet",
            Outcome::NotCounted { .. } => "not counted",
            Outcome::NotThere { .. } => "not this skill",
        }
    }
}

/// Everything that came out of one attempt.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment {
    /// What it counts as.
    pub outcome: Outcome,
    /// Checks in the order of the drill.
    pub checks: Vec<CheckResult>,
    /// Faults in the order of cause; the first is the one to fix first.
    pub faults: Vec<FoundFault>,
    /// Expected events that were not found.
    pub missing_events: Vec<EventKind>,
}

impl Assessment {
    /// The fault to fix first.
    #[must_use]
    pub fn fix_first(&self) -> Option<&FoundFault> {
        self.faults.first()
    }
}

/// Assesses an attempt by a drill.
///
/// # Inputs
/// `trial` must have been searched with [`crate::search_of`] of the same drill.
#[must_use]
pub fn assess(drill: &Drill, trial: &Trial) -> Assessment {
    let missing_events = drill
        .events
        .expected
        .iter()
        .copied()
        .filter(|kind| trial.found().event(*kind).is_none())
        .collect();
    let missing = not_there(drill, trial);
    if !missing.is_empty() {
        return Assessment {
            outcome: Outcome::NotThere { missing },
            checks: Vec::new(),
            faults: Vec::new(),
            missing_events,
        };
    }
    let checks: Vec<CheckResult> = drill
        .checks
        .iter()
        .map(|check| run(check, trial, drill.thresholds))
        .collect();
    let faults = faults_in_order(drill, &checks);
    Assessment {
        outcome: outcome(drill, &checks),
        checks,
        faults,
        missing_events,
    }
}

fn not_there(drill: &Drill, trial: &Trial) -> Vec<String> {
    let mut missing = trial.found().not_there.clone();
    let turned = trial.forward_rotation().map(|angle| angle.degrees());
    match (drill.view, turned) {
        (View::SagittalForward, Some(turned)) if turned < -WRONG_WAY_DEG => {
            missing.push(format!(
                "the body turns backward by {:.0}°; this drill goes forward",
                -turned
            ));
        }
        (View::SagittalBackward, Some(turned)) if turned > WRONG_WAY_DEG => {
            missing.push(format!(
                "the body turns forward by {turned:.0}°; this drill goes backward"
            ));
        }
        _ => {}
    }
    missing
}

fn faults_in_order(drill: &Drill, checks: &[CheckResult]) -> Vec<FoundFault> {
    drill
        .faults
        .iter()
        .enumerate()
        .filter_map(|(order, fault)| {
            let pointing: Vec<(&CheckResult, Severity)> = checks
                .iter()
                .filter(|check| check.fault.as_ref() == Some(&fault.id))
                .filter_map(|check| match check.verdict {
                    Verdict::Fault { severity, .. } => Some((check, severity)),
                    _ => None,
                })
                .collect();
            let severity = pointing.iter().map(|(_, severity)| *severity).max()?;
            Some(FoundFault {
                fault: fault.clone(),
                order,
                severity,
                checks: pointing.into_iter().map(|(check, _)| check.id.clone()).collect(),
            })
        })
        .collect()
}

fn outcome(drill: &Drill, checks: &[CheckResult]) -> Outcome {
    let decides = |check: &&CheckResult| {
        if drill.pass.must_be_good.is_empty() {
            check.weight == Weight::MustHold
        } else {
            drill.pass.must_be_good.contains(&check.id)
        }
    };
    let mut close = Vec::new();
    let mut unseen = Vec::new();
    for check in checks.iter().filter(decides) {
        match check.verdict {
            Verdict::Fault { .. } => return Outcome::NotGood,
            Verdict::TooClose { .. } => match drill.pass.too_close_counts_as {
                TooClose::Neither => close.push(check.title.as_str()),
                TooClose::Good => {}
                TooClose::Fault => return Outcome::NotGood,
            },
            Verdict::NotSeen { .. } => unseen.push(check.title.as_str()),
            Verdict::Good { .. } => {}
        }
    }
    match (close.is_empty(), unseen.is_empty()) {
        (true, true) => Outcome::Good,
        (false, true) => Outcome::NotCounted {
            why: format!("too close to call: {}", close.join(", ")),
        },
        (true, false) => Outcome::NotCounted {
            why: format!("not seen: {}", unseen.join(", ")),
        },
        (false, false) => Outcome::NotCounted {
            why: format!(
                "too close to call: {}; not seen: {}",
                close.join(", "),
                unseen.join(", ")
            ),
        },
    }
}
