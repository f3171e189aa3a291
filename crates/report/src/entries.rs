//! From an assessment to the entries of a review.

use springline_assess::{Assessment, CheckResult, FoundFault, Verdict};
use springline_drills::{Catalogue, Check, Drill, NOT_A_SCORE, Quantity, Weight, basis_in_words, quantity_in_words};
use springline_kinematics::events::{Event, How};

use crate::digits::millionth;
use crate::part::Part;
use crate::record::{
    BandEntry, CheckEntry, DeductionEntry, DrillName, EventEntry, FaultEntry, VerdictEntry, WithSd, Word,
};

/// The checks of an assessment, in the order of the drill.
///
/// # Inputs
/// `assessment` of an attempt by `drill`.
#[must_use]
pub fn check_entries(drill: &Drill, assessment: &Assessment) -> Vec<CheckEntry> {
    drill
        .checks
        .iter()
        .zip(&assessment.checks)
        .map(|(check, result)| check_entry(check, result))
        .collect()
}

fn check_entry(check: &Check, result: &CheckResult) -> CheckEntry {
    let measured = result.measured.as_ref();
    CheckEntry {
        id: check.id.clone(),
        title: check.title.clone(),
        part: Part::of(&check.quantity),
        looks_at: quantity_in_words(&check.quantity),
        measure: match check.quantity {
            Quantity::Single(reading) | Quantity::Difference(reading, _) => Some(reading.measure.id().to_owned()),
            Quantity::TimeBetween(..) => None,
        },
        side: measured.and_then(|it| it.side).map(|side| side.id().to_owned()),
        unit: measured.map_or(check.unit, |it| it.unit).id().to_owned(),
        measured: measured.map(|it| WithSd {
            value: millionth(it.value),
            sd: millionth(it.sd),
        }),
        frames: measured.map(|it| [it.frames.0, it.frames.1]),
        band: BandEntry {
            at_least: check.band.at_least,
            at_most: check.band.at_most,
            medium_beyond: check.severity.medium_beyond,
            large_beyond: check.severity.large_beyond,
            basis: basis_in_words(&check.basis),
        },
        must_hold: check.weight == Weight::MustHold,
        verdict: verdict_entry(&result.verdict),
        fault: result.fault.clone(),
        remarks: result.remarks.clone(),
        deduction: result
            .deduction
            .as_ref()
            .map(|it| deduction_entry(it.points, it.up_to, &it.source)),
    }
}

/// What a published table would deduct, with the words that go with it.
#[must_use]
pub fn deduction_entry(points: f64, up_to: bool, source: &str) -> DeductionEntry {
    DeductionEntry {
        points: millionth(points),
        up_to,
        source: source.to_owned(),
        says: NOT_A_SCORE.to_owned(),
    }
}

fn verdict_entry(verdict: &Verdict) -> VerdictEntry {
    let mut entry = VerdictEntry {
        word: Word::Good,
        outside: verdict.outside().map(millionth),
        severity: None,
        direction: None,
        why: None,
    };
    match verdict {
        Verdict::Good { .. } => {}
        Verdict::Fault { severity, below, .. } => {
            entry.word = Word::Fault;
            entry.severity = Some(severity.id().to_owned());
            entry.direction = Some(if *below { "below" } else { "above" }.to_owned());
        }
        Verdict::TooClose { settles, .. } => {
            entry.word = Word::TooClose;
            entry.why = Some(settles.clone());
        }
        Verdict::NotSeen { why } => {
            entry.word = Word::NotSeen;
            entry.why = Some(why.clone());
        }
    }
    entry
}

/// The faults of an assessment in the order of cause. `catalogue` gives the titles of the drills to go back to.
#[must_use]
pub fn fault_entries(assessment: &Assessment, catalogue: &Catalogue) -> Vec<FaultEntry> {
    assessment
        .faults
        .iter()
        .map(|found| fault_entry(found, assessment, catalogue))
        .collect()
}

fn fault_entry(found: &FoundFault, assessment: &Assessment, catalogue: &Catalogue) -> FaultEntry {
    let fault = &found.fault;
    let decides = |id: &String| {
        assessment
            .checks
            .iter()
            .any(|check| check.id == *id && check.weight == Weight::MustHold)
    };
    FaultEntry {
        id: fault.id.clone(),
        name: fault.name.clone(),
        severity: found.severity.id().to_owned(),
        order: found.order + 1,
        seen_as: fault.seen_as.clone(),
        likely_cause: fault.likely_cause.clone(),
        cue: fault.cue.clone(),
        go_back_to: fault
            .cured_by
            .iter()
            .map(|id| DrillName {
                id: id.clone(),
                title: catalogue.drill(id).ok().map(|drill| drill.title.clone()),
            })
            .collect(),
        checks: found.checks.clone(),
        note_only: !found.checks.iter().any(decides),
    }
}

/// An event as an entry.
#[must_use]
pub fn event_entry(event: &Event) -> EventEntry {
    EventEntry {
        event: event.kind.id().to_owned(),
        frame: event.frame,
        time_s: millionth(event.time),
        sd_s: millionth(event.sd),
        how: match event.how {
            How::Given => "given",
            How::Detected => "found",
            How::Assumed => "assumed",
        }
        .to_owned(),
        stand_in: event.stand_in.map(|joint| format!("{joint:?}").to_lowercase()),
    }
}
