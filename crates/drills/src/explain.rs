//! A drill in plain words.

use std::fmt::Write as _;

use springline_kinematics::{EventKind, Measure, Phase, Unit};

use crate::cautions::{CAUTIONS, NOT_A_SCORE};
use crate::deduction::{Begins, Deduction};
use crate::names::{SIDES, word};
use crate::page::{Page, WHERE_FROM};
use crate::spec::{
    Band, Basis, Check, Drill, Fault, Motion, Quantity, Reading, SideChoice, Statistic, TooClose, View, Weight, When,
};

/// The drill in plain words, for reading or printing: what it is for, how it is set up, what is
/// looked at when, the bands, what a miss means, the cue, where to go next, the pass rule and the
/// cautions. Lines are at most 88 characters long.
///
/// ```
/// let catalogue = springline_drills::Catalogue::shipped();
/// let words = springline_drills::explain(catalogue.drill("handspring-floor")?);
/// assert!(words.contains("Shoulders open as the hands come down"));
/// assert!(words.contains("shoulder opening (near side) at hand placement: at least 165 degrees"));
/// # Ok::<(), springline_drills::Error>(())
/// ```
#[must_use]
pub fn explain(drill: &Drill) -> String {
    let mut page = Page::default();
    page.line(0, &format!("{} ({})", drill.title, drill.id));
    page.line(0, &drill.purpose);
    page.line(
        0,
        &format!(
            "Skill: {}. Version {}, by {}.",
            drill.skill, drill.version, drill.author
        ),
    );
    for note in &drill.notes {
        page.line(0, note);
    }
    setup(&mut page, drill);
    filming(&mut page, drill);
    page.heading("What is looked at");
    for check in &drill.checks {
        explain_check(&mut page, drill, check);
    }
    if page.told_a_source() {
        page.line(0, WHERE_FROM);
    }
    page.heading("What a miss means, in the order of cause: fix the first one first");
    for (index, fault) in drill.faults.iter().enumerate() {
        explain_fault(&mut page, index + 1, fault);
    }
    pass(&mut page, drill);
    page.heading("Cautions");
    let own = drill.setup.cautions.iter().map(String::as_str);
    let said = |own: &&str| {
        let own = own.trim_end_matches('.');
        CAUTIONS.iter().any(|every| every.starts_with(own))
    };
    for caution in own.filter(|own| !said(own)).chain(CAUTIONS.iter().copied()) {
        page.item(caution);
    }
    page.finished()
}

fn setup(page: &mut Page, drill: &Drill) {
    let setup = &drill.setup;
    page.heading("Set-up");
    page.item(&format!("Surface: {}", setup.surface));
    page.item(&format!("Mats: {}", setup.mats));
    if let Some(height) = setup.minimum_mat_m {
        page.item(&format!("Mats at least {height} m high; a plan never goes below this"));
    }
    if !setup.blocks_m.is_empty() {
        let heights: Vec<String> = setup.blocks_m.iter().map(|height| format!("{height} m")).collect();
        page.item(&format!("Blocks: {}", heights.join(", ")));
    }
    if setup.hand_surface_m != 0.0 || setup.foot_surface_m != 0.0 {
        page.item(&format!(
            "Hands on a surface of {} m, landing on one of {} m",
            setup.hand_surface_m, setup.foot_surface_m
        ));
    }
    if !setup.spotting.is_empty() {
        page.item(&format!("Spotting, from most to least: {}", setup.spotting.join("; ")));
    }
    if let Some(turns) = setup.most_turns_per_day {
        page.item(&format!("At most {turns} turns per gymnast and day"));
    }
}

fn filming(page: &mut Page, drill: &Drill) {
    page.heading("Filming and instants");
    page.item(match drill.view {
        View::SagittalForward => "From the side; the gymnast moves forward, the way the body faces.",
        View::SagittalBackward => "From the side; the gymnast moves backward, away from where the body faces.",
        View::SagittalStill => "From the side; the gymnast stays in place.",
        View::Frontal => "The support faces the camera; angles are without sign.",
    });
    page.item(match drill.events.motion {
        Motion::TurnOver => "Motion: hands down, over the top, down on the other side.",
        Motion::Handstand => "Motion: up into a handstand.",
        Motion::Hop => "Motion: a handstand in which the hands leave the floor and return.",
        Motion::FrontSupportBounce => "Motion: a front support in which the hands leave the floor and return.",
        Motion::Fall => "Motion: a fall from standing; the feet stay down.",
        Motion::Hold => "Motion: a held shape.",
    });
    if !drill.events.expected.is_empty() {
        page.item(&format!("Must be in the clip: {}", events(&drill.events.expected)));
    }
    if !drill.events.optional.is_empty() {
        page.item(&format!("May be in the clip: {}", events(&drill.events.optional)));
    }
    if !drill.events.flight {
        page.item("No flight is expected.");
    }
}

fn events(list: &[EventKind]) -> String {
    let words: Vec<&str> = list.iter().map(|event| event.words()).collect();
    words.join(", ")
}

fn explain_check(page: &mut Page, drill: &Drill, check: &Check) {
    let weight = match check.weight {
        Weight::MustHold => "must hold",
        Weight::Note => "note only",
    };
    page.item(&format!("{} ({weight})", check.title));
    let value = quantity_in_words(&check.quantity);
    page.line(4, &format!("{value}: {}", band_in_words(&check.band, check.unit)));
    let beyond = format!(
        "Outside it by up to {} is small, from there medium, from {} large.",
        amount(check.severity.medium_beyond, check.unit),
        amount(check.severity.large_beyond, check.unit)
    );
    page.line(4, &beyond);
    for (side, id) in [("Below", &check.fault_below), ("Above", &check.fault_above)] {
        if let Some(id) = id {
            let name = drill.faults.iter().find(|fault| fault.id == *id);
            page.line(
                4,
                &format!("{side}: {}.", name.map_or(id.as_str(), |fault| &fault.name)),
            );
        }
    }
    page.line(4, &format!("Band: {}.", basis_in_words(&check.basis)));
    if let Some(deduction) = &check.deduction {
        page.line(4, &deduction_in_words(deduction, check.unit));
    }
}

/// What a check looks at, in words: `shoulder opening (near side) at hand placement`.
#[must_use]
pub fn quantity_in_words(quantity: &Quantity) -> String {
    match quantity {
        Quantity::Single(reading) => reading_in_words(reading),
        Quantity::Difference(first, second) => {
            format!("{} minus {}", reading_in_words(first), reading_in_words(second))
        }
        Quantity::TimeBetween(first, second) => {
            format!("time from {} to {}", first.words(), second.words())
        }
    }
}

fn reading_in_words(reading: &Reading) -> String {
    let mut text = String::new();
    if let When::Over { statistic, .. } = reading.when {
        text.push_str(match statistic {
            Statistic::Least => "least ",
            Statistic::Most => "most ",
            Statistic::Mean => "mean ",
            Statistic::Range => "range of ",
            Statistic::AtWorst => "worst ",
        });
    }
    text.push_str(reading.measure.words());
    if reading.measure.is_sided() {
        let side = match reading.side {
            SideChoice::Both => "mean of both sides".to_owned(),
            SideChoice::Worse => "the worse side".to_owned(),
            one => format!("{} side", word(SIDES, one)),
        };
        let _ = write!(text, " ({side})");
    }
    match reading.when {
        When::At { event, offset_s: 0.0 } => {
            let _ = write!(text, " at {}", event.words());
        }
        When::At { event, offset_s } => {
            let side = if offset_s < 0.0 { "before" } else { "after" };
            let _ = write!(text, " {} s {side} {}", offset_s.abs(), event.words());
        }
        When::Over { phase: Phase::Clip, .. } => text.push_str(" over the whole clip"),
        When::Over { phase, .. } => {
            let _ = write!(text, " over the {}", phase.id().replace('_', " "));
        }
        When::Itself => {}
    }
    text
}

/// A band in words: `at least 165 degrees`, `between 165 and 195 degrees`.
#[must_use]
pub fn band_in_words(band: &Band, unit: Unit) -> String {
    match (band.at_least, band.at_most) {
        (Some(low), Some(high)) => format!("between {low} and {}", amount(high, unit)),
        (Some(low), None) => format!("at least {}", amount(low, unit)),
        (None, Some(high)) => format!("at most {}", amount(high, unit)),
        (None, None) => "any value".to_owned(),
    }
}

fn amount(value: f64, unit: Unit) -> String {
    let unit = match unit {
        Unit::Degrees if value == 1.0 => " degree",
        Unit::Degrees => " degrees",
        Unit::LegLengths => " leg lengths",
        Unit::Seconds => " s",
        Unit::Metres => " m",
        Unit::Pixels => " px",
        Unit::Percent => " %",
        Unit::Ratio => "",
    };
    format!("{value}{unit}")
}

/// Where a band comes from, in words.
#[must_use]
pub fn basis_in_words(basis: &Basis) -> String {
    match basis {
        Basis::Published(source) => source.clone(),
        Basis::CommonPractice => "common practice, no published source".to_owned(),
        Basis::CoachSet => "coach-set, nothing published".to_owned(),
    }
}

fn deduction_in_words(deduction: &Deduction, unit: Unit) -> String {
    let steps: Vec<String> = deduction
        .steps
        .iter()
        .map(|step| {
            let most = if step.amount.up_to { "up to " } else { "" };
            let begins = match step.begins {
                Begins::From(edge) => format!("from {}", amount(edge, unit)),
                Begins::Beyond(edge) => format!("over {}", amount(edge, unit)),
            };
            format!("{most}{:.2} {begins}", step.amount.points)
        })
        .collect();
    let ends: String = [(deduction.at_least, "below"), (deduction.at_most, "above")]
        .into_iter()
        .filter_map(|(limit, side)| Some(format!(" The table has no line {side} {}.", amount(limit?, unit))))
        .collect();
    format!(
        "Deduction counted from {}: {} away.{ends} Source: {}. {NOT_A_SCORE}",
        amount(deduction.ideal, unit),
        steps.join(", "),
        deduction.source
    )
}

fn explain_fault(page: &mut Page, number: usize, fault: &Fault) {
    page.wrapped(2, 4, &format!("{number}. {}", fault.name));
    page.line(4, &format!("Seen as: {}", fault.seen_as));
    page.line(4, &format!("Likely cause: {}", fault.likely_cause));
    page.line(4, &format!("Cue: \"{}\"", fault.cue));
    page.line(4, &format!("Go to: {}", fault.cured_by.join(", then ")));
}

fn pass(page: &mut Page, drill: &Drill) {
    page.heading("When an attempt is good");
    if drill.pass.must_be_good.is_empty() {
        page.item("Every check that must hold is good.");
    } else {
        let titles: Vec<&str> = drill
            .pass
            .must_be_good
            .iter()
            .filter_map(|id| drill.checks.iter().find(|check| check.id == *id))
            .map(|check| check.title.as_str())
            .collect();
        page.item(&format!("Good must be: {}.", titles.join("; ")));
    }
    let percent = |share: f64| (share * 1000.0).round() / 10.0;
    page.item(&format!(
        "A check is a fault when it is at least {} % likely that the true value lies outside \
         the band, good when at most {} %, and too close to call between.",
        percent(drill.thresholds.fault),
        percent(drill.thresholds.good)
    ));
    page.item(match drill.pass.too_close_counts_as {
        TooClose::Neither => "An attempt with a check too close to call counts neither for nor against.",
        TooClose::Good => "A check too close to call counts as good.",
        TooClose::Fault => "A check too close to call counts as a fault.",
    });
}

/// What a measure is, in one sentence with its units.
#[must_use]
pub fn measure_in_words(measure: Measure) -> String {
    let units: Vec<&str> = measure.units().iter().map(|unit| unit.id()).collect();
    format!("{} [{}]: {}", measure.words(), units.join(", "), measure.definition())
}
