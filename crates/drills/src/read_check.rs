//! Reads one `[[check]]`.

use springline_kinematics::{EventKind, Measure, Phase, Taken, Unit};

use crate::deduction::read_deduction;
use crate::names::{self, SIDES, STATISTICS, WEIGHTS, listed};
use crate::problem::{Findings, ProblemKind};
use crate::read_band::{Units, read_band, read_basis, read_severity, read_unit};
use crate::spec::{Check, Quantity, Reading, SideChoice, Statistic, Weight, When};
use crate::table::{Placed, Table};

/// Keys of a `[[check]]`.
pub(crate) const CHECK_KEYS: &[&str] = &[
    "id",
    "title",
    "measure",
    "side",
    "at",
    "offset_s",
    "over",
    "take",
    "minus",
    "between",
    "unit",
    "at_least",
    "at_most",
    "medium_beyond",
    "large_beyond",
    "weight",
    "below",
    "above",
    "basis",
    "deduction",
];
/// Keys of `minus`.
pub(crate) const MINUS_KEYS: &[&str] = &["measure", "side", "at", "offset_s", "over", "take"];

/// A check as far as it could be read, with the places that the rules of the whole file need.
#[derive(Debug)]
pub(crate) struct CheckRead {
    /// The check, if nothing in it was wrong.
    pub check: Option<Check>,
    /// Its id, even if something else was wrong.
    pub id: Option<Placed<String>>,
    /// The fault ids that it points to.
    pub faults: Vec<Placed<String>>,
    /// Events that it is taken at.
    pub events: Vec<Placed<EventKind>>,
    /// Phases that it is taken over.
    pub phases: Vec<Placed<Phase>>,
    /// Measures that carry their own instants.
    pub own_instants: Vec<Placed<Measure>>,
}

/// Reads a check, noting everything that is wrong with it.
pub(crate) fn read_check(findings: &mut Findings<'_>, table: &Table<'_>) -> CheckRead {
    table.allow_only(findings, CHECK_KEYS);
    let mut read = CheckRead {
        check: None,
        id: table.needed_id(findings, "id"),
        faults: Vec::new(),
        events: Vec::new(),
        phases: Vec::new(),
        own_instants: Vec::new(),
    };
    let title = table.needed_text(findings, "title");
    let (quantity, units) = read_quantity(findings, table, &mut read);
    let unit = read_unit(findings, table, units.as_ref());
    let band = read_band(findings, table, unit, quantity.as_ref());
    let severity = read_severity(findings, table);
    table.need(findings, "weight", &listed(WEIGHTS.iter().map(|(word, _)| *word)));
    let weight = table.choice(findings, "weight", "weight", WEIGHTS);
    let below = table.id(findings, "below");
    let above = table.id(findings, "above");
    for (limit, side) in [("at_least", "below"), ("at_most", "above")] {
        fault_fits_limit(findings, table, limit, side, weight.as_ref());
    }
    let basis = read_basis(findings, table);
    let deduction = match table.inner(findings, "deduction", format!("deduction of {}", table.name)) {
        Some(inner) => read_deduction(findings, &inner).map(Some),
        None => table.key_at("deduction").is_none().then_some(None),
    };
    read.faults.extend([&below, &above].into_iter().flatten().cloned());
    read.check = (|| {
        Some(Check {
            id: read.id.clone()?.value,
            title: title?.value,
            quantity: quantity?,
            unit: unit?,
            band: band?,
            severity: severity?,
            weight: weight?.value,
            fault_below: below.map(|fault| fault.value),
            fault_above: above.map(|fault| fault.value),
            basis: basis?,
            deduction: deduction?,
        })
    })();
    read
}

/// A limit of a must-hold check needs its fault, and a fault its limit.
fn fault_fits_limit(
    findings: &mut Findings<'_>,
    table: &Table<'_>,
    limit: &str,
    side: &str,
    weight: Option<&Placed<Weight>>,
) {
    let must_hold = weight.is_some_and(|weight| weight.value == Weight::MustHold);
    match (table.key_at(limit), table.key_at(side)) {
        (Some(at), None) if must_hold => {
            let found = format!("{limit} without {side:?} in a check that must hold");
            let expected = format!("{side} = the id of the fault that it means");
            findings.add(at, ProblemKind::Combination, found, expected);
        }
        (None, Some(at)) => {
            let found = format!("{side} without {limit:?}: nothing can lie {side} the band");
            findings.add(at, ProblemKind::Combination, found, format!("{limit} = a number"));
        }
        _ => {}
    }
}

fn read_quantity(
    findings: &mut Findings<'_>,
    table: &Table<'_>,
    read: &mut CheckRead,
) -> (Option<Quantity>, Option<Units>) {
    if table.key_at("between").is_some() {
        for key in ["measure", "side", "at", "offset_s", "over", "take", "minus"] {
            if let Some(at) = table.key_at(key) {
                let found = format!("{key} together with \"between\"");
                let expected = "either a measure or the two events of \"between\"";
                findings.add(at, ProblemKind::Combination, found, expected);
            }
        }
        let units = Units {
            allowed: vec![Unit::Seconds],
            of: "a time between events".to_owned(),
        };
        return (read_between(findings, table, read), Some(units));
    }
    let (first, first_measure) = read_reading(findings, table, read);
    let Some(minus) = table.inner(findings, "minus", format!("minus of {}", table.name)) else {
        let alone = table.key_at("minus").is_none();
        let units = first_measure.map(|m| Units {
            allowed: m.units().to_vec(),
            of: m.id().to_owned(),
        });
        return (first.filter(|_| alone).map(Quantity::Single), units);
    };
    minus.allow_only(findings, MINUS_KEYS);
    let (second, second_measure) = read_reading(findings, &minus, read);
    for part in [table, &minus] {
        no_worst_in_difference(findings, part);
    }
    let units = first_measure.zip(second_measure).map(|(a, b)| {
        let common = |unit: &Unit| b.units().contains(unit);
        let allowed = a.units().iter().copied().filter(common).collect();
        Units {
            allowed,
            of: format!("{} minus {}", a.id(), b.id()),
        }
    });
    let quantity = first.zip(second).map(|(a, b)| Quantity::Difference(a, b));
    (quantity, units)
}

/// Which of several values is worst depends on the band, and a part of a difference has none.
fn no_worst_in_difference(findings: &mut Findings<'_>, part: &Table<'_>) {
    let words = [("at worst", Statistic::AtWorst)];
    if let Some(at) = part.key_at("take")
        && part.text_quietly("take") == Some(words[0].0)
    {
        let expected = "\"least\", \"most\", \"mean\" or \"range\"";
        findings.add(
            at,
            ProblemKind::Combination,
            "take \"at worst\" in a difference",
            expected,
        );
    }
}

fn read_between(findings: &mut Findings<'_>, table: &Table<'_>, read: &mut CheckRead) -> Option<Quantity> {
    let before = findings.count();
    let events = table.choices(findings, "between", "event", &names::events());
    let at = table.key_at("between")?;
    read.events.extend(events.iter().cloned());
    match events.as_slice() {
        [first, second] if first.value != second.value => Some(Quantity::TimeBetween(first.value, second.value)),
        _ => {
            if findings.count() == before {
                let found = "\"between\" without two different events";
                let expected = "two events, [\"legs_together\", \"hand_departure\"]";
                findings.add(at, ProblemKind::Combination, found, expected);
            }
            None
        }
    }
}

fn read_reading(
    findings: &mut Findings<'_>,
    table: &Table<'_>,
    read: &mut CheckRead,
) -> (Option<Reading>, Option<Measure>) {
    table.need(findings, "measure", "the name of a measure, like \"knee_angle\"");
    let measure = table.choice(findings, "measure", "measure", &names::measures());
    let side = read_side(findings, table, measure.as_ref());
    let when = read_when(findings, table, measure.as_ref(), read);
    let measure = measure.map(|measure| measure.value);
    let reading = (|| {
        Some(Reading {
            measure: measure?,
            side: side?,
            when: when?,
        })
    })();
    (reading, measure)
}

fn read_side(findings: &mut Findings<'_>, table: &Table<'_>, measure: Option<&Placed<Measure>>) -> Option<SideChoice> {
    let Some(at) = table.key_at("side") else {
        return Some(SideChoice::Near);
    };
    let side = table.choice(findings, "side", "side", SIDES);
    if let Some(measure) = measure
        && !measure.value.is_sided()
    {
        let found = format!("side for {}, which has no left and right", measure.value.id());
        findings.add(at, ProblemKind::Combination, found, "no side");
        return None;
    }
    side.map(|side| side.value)
}

fn read_when(
    findings: &mut Findings<'_>,
    table: &Table<'_>,
    measure: Option<&Placed<Measure>>,
    read: &mut CheckRead,
) -> Option<When> {
    let event = table.choice(findings, "at", "event", &names::events());
    let offset = table.number_within(findings, "offset_s", (-2.0, 2.0), "s");
    let phase = table.choice(findings, "over", "phase", &names::phases());
    let statistic = table.choice(findings, "take", "statistic", STATISTICS);
    read.events.extend(event.clone());
    read.phases.extend(phase.clone());
    let (at, over) = (table.key_at("at"), table.key_at("over"));
    for (key, partner, partner_at) in [("offset_s", "at", at), ("take", "over", over)] {
        if let Some(place) = table.key_at(key)
            && partner_at.is_none()
        {
            let found = format!("{key} without {partner:?}");
            let what = if partner == "at" { "an event" } else { "a phase" };
            let expected = format!("{partner} = {what}");
            findings.add(place, ProblemKind::Combination, found, expected);
        }
    }
    let measure = measure?;
    if measure.value.taken() == Taken::OncePerAttempt {
        read.own_instants.push(measure.clone());
        for place in [at, over].into_iter().flatten() {
            let found = format!("an instant or phase for {}", measure.value.id());
            let expected = "neither \"at\" nor \"over\": this measure carries its own instants";
            findings.add(place, ProblemKind::Combination, found, expected);
        }
        return (at.is_none() && over.is_none()).then_some(When::Itself);
    }
    match (at, over) {
        (Some(_), Some(place)) => {
            let expected = "either \"at\" an event or \"over\" a phase";
            findings.add(place, ProblemKind::Combination, "over together with \"at\"", expected);
            None
        }
        (None, None) => {
            let found = format!("no instant or phase for {} in {}", measure.value.id(), table.name);
            let expected = "\"at\" an event or \"over\" a phase";
            findings.add(table.at, ProblemKind::MissingKey, found, expected);
            None
        }
        (Some(_), None) => {
            let offset_s = match table.key_at("offset_s") {
                Some(_) => offset?.value,
                None => 0.0,
            };
            Some(When::At {
                event: event?.value,
                offset_s,
            })
        }
        (None, Some(place)) => {
            if table.key_at("take").is_none() {
                let found = format!("over without \"take\" in {}", table.name);
                let expected = listed(STATISTICS.iter().map(|(word, _)| *word));
                findings.add(place, ProblemKind::Combination, found, format!("take = {expected}"));
            }
            Some(When::Over {
                phase: phase?.value,
                statistic: statistic?.value,
            })
        }
    }
}
