//! Reads where the value of a check should lie: unit, band, severity, basis.

use springline_kinematics::{Measure, Unit};

use crate::names::{self, listed};
use crate::problem::{Findings, ProblemKind, shown};
use crate::spec::{Band, Basis, Quantity, Severity, Statistic, When};
use crate::table::{Placed, Table};

/// The units that a quantity may be asked in, and what it is called in messages.
pub(crate) struct Units {
    pub allowed: Vec<Unit>,
    pub of: String,
}

pub(crate) fn read_unit(findings: &mut Findings<'_>, table: &Table<'_>, units: Option<&Units>) -> Option<Unit> {
    table.need(
        findings,
        "unit",
        &match units {
            Some(units) => listed(units.allowed.iter().map(|unit| unit.id())),
            None => listed(Unit::ALL.iter().map(|unit| unit.id())),
        },
    );
    let unit = table.choice(findings, "unit", "unit", &names::units())?;
    let units = units?;
    if units.allowed.contains(&unit.value) {
        return Some(unit.value);
    }
    let found = format!("unit {:?} for {}", unit.value.id(), units.of);
    let expected = listed(units.allowed.iter().map(|unit| unit.id()));
    findings.add(unit.at, ProblemKind::Unit, found, expected);
    None
}

/// Limits beyond which a band can only be a slip of the keyboard.
fn sane_limits(unit: Unit) -> (f64, f64) {
    match unit {
        Unit::Degrees => (-720.0, 720.0),
        Unit::LegLengths => (-10.0, 10.0),
        Unit::Seconds => (-600.0, 600.0),
        Unit::Metres => (-20.0, 20.0),
        Unit::Pixels => (-100_000.0, 100_000.0),
        Unit::Percent => (-1000.0, 1000.0),
        Unit::Ratio => (-100.0, 100.0),
    }
}

/// The values that a quantity can have in that unit at all: a limit elsewhere decides nothing.
fn possible(quantity: Option<&Quantity>, unit: Unit) -> (f64, f64) {
    let (low, high) = sane_limits(unit);
    let Some(Quantity::Single(reading)) = quantity else {
        return (low, high);
    };
    let (low, high) = match reading.measure {
        Measure::ElbowAngle | Measure::LegGap => (0.0, 180.0),
        Measure::HipAngle | Measure::KneeAngle | Measure::AnkleAngle => (0.0, 360.0),
        Measure::ShoulderOpening | Measure::HeadTilt => (-180.0, 360.0),
        Measure::BodyLineLean | Measure::LandingLean | Measure::ArrivalLean => (-180.0, 180.0),
        Measure::FeetApart
        | Measure::HandStagger
        | Measure::SupportTime
        | Measure::HoldTime
        | Measure::HandFlightTime
        | Measure::HandsLeaveApart
        | Measure::HandsLandApart => (0.0, high),
        _ => (low, high),
    };
    match reading.when {
        // How far it goes through a phase has no sign.
        When::Over {
            statistic: Statistic::Range,
            ..
        } => (0.0, high - low),
        _ => (low, high),
    }
}

pub(crate) fn read_band(
    findings: &mut Findings<'_>,
    table: &Table<'_>,
    unit: Option<Unit>,
    quantity: Option<&Quantity>,
) -> Option<Band> {
    let limits = unit.map_or((f64::MIN, f64::MAX), |unit| possible(quantity, unit));
    let words = unit.map_or("", Unit::id);
    let at_least = table.number_within(findings, "at_least", limits, words);
    let at_most = table.number_within(findings, "at_most", limits, words);
    if table.key_at("at_least").is_none() && table.key_at("at_most").is_none() {
        let found = format!("no band in {}", table.name);
        findings.add(table.at, ProblemKind::Band, found, "at_least, at_most or both");
        return None;
    }
    for (key, limit) in [("at_least", &at_least), ("at_most", &at_most)] {
        if table.key_at(key).is_some() && limit.is_none() {
            return None;
        }
    }
    if let (Some(low), Some(high)) = (&at_least, &at_most)
        && low.value >= high.value
    {
        let found = format!("band upside down: at_least {}, at_most {}", low.value, high.value);
        findings.add(low.at, ProblemKind::Band, found, "at_least smaller than at_most");
        return None;
    }
    let value = |limit: Option<Placed<f64>>| limit.map(|limit| limit.value);
    Some(Band {
        at_least: value(at_least),
        at_most: value(at_most),
    })
}

pub(crate) fn read_severity(findings: &mut Findings<'_>, table: &Table<'_>) -> Option<Severity> {
    for key in ["medium_beyond", "large_beyond"] {
        table.need(findings, key, "how far outside the band, in the check's unit");
    }
    let medium = table.number(findings, "medium_beyond");
    let large = table.number(findings, "large_beyond");
    if let Some(medium) = &medium
        && medium.value <= 0.0
    {
        let found = format!("medium_beyond {}", medium.value);
        findings.add(medium.at, ProblemKind::Severity, found, "more than 0");
        return None;
    }
    let (medium, large) = medium.zip(large)?;
    if large.value <= medium.value {
        let found = format!("large_beyond {} after medium_beyond {}", large.value, medium.value);
        let expected = format!("more than {}", medium.value);
        findings.add(large.at, ProblemKind::Severity, found, expected);
        return None;
    }
    Some(Severity {
        medium_beyond: medium.value,
        large_beyond: large.value,
    })
}

/// Reads `basis`; notes if the key is missing.
pub(crate) fn read_basis(findings: &mut Findings<'_>, table: &Table<'_>) -> Option<Basis> {
    const EXPECTED: &str = "\"coach-set\", \"common practice\" or \"published: the source [tag]\"";
    table.need(findings, "basis", EXPECTED);
    let basis = table.text(findings, "basis")?;
    match basis.value.as_str() {
        "coach-set" => return Some(Basis::CoachSet),
        "common practice" => return Some(Basis::CommonPractice),
        _ => {}
    }
    let Some(source) = basis.value.strip_prefix("published:") else {
        let found = format!("unknown basis {}", shown(&basis.value));
        let choices = ["coach-set", "common practice", "published: "];
        let near = || names::nearest(&basis.value, choices);
        findings.add_near(basis.at, ProblemKind::UnknownName, found, EXPECTED, near);
        return None;
    };
    let source = source.trim();
    tagged(findings, basis.at, source, "basis").then(|| Basis::Published(source.to_owned()))
}

/// A source carries a tag that says how it is known: `[R]` read, `[R2]` read in a second source,
/// `[C]` computed, `[M]` from memory. Words may follow inside the brackets: `[R abstract]`.
pub(crate) fn tagged(findings: &mut Findings<'_>, at: usize, source: &str, what: &str) -> bool {
    let ends = |rest: &str| rest.starts_with([']', ' ', ',', ';']);
    let has = |tag: &str| source.split(tag).skip(1).any(ends);
    let trouble = if source.contains("[M-low]") {
        Some("a value from dim memory, [M-low],")
    } else if ["[R", "[R2", "[C", "[M"].into_iter().any(has) {
        None
    } else {
        Some("a source without its tag")
    };
    if let Some(trouble) = trouble {
        let expected = "[R] read, [R2] read in a second source, [C] computed or [M] from memory";
        findings.add(at, ProblemKind::Tag, format!("{trouble} for {what}"), expected);
    }
    trouble.is_none()
}
