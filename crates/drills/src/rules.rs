//! What the parts of a file demand of each other.

use std::collections::BTreeMap;

use springline_kinematics::EventKind::{
    self, BackTouchdown, FeetTouchdown, HandDeparture, HandPlacement, HandsReturn, HoldEnd, HoldStart, Inverted,
    LegsTogether, PushOffFootDown, Settled,
};
use springline_kinematics::{Measure, Phase};

use crate::names::{listed, nearest};
use crate::problem::{Findings, ProblemKind, shown};
use crate::read_check::CheckRead;
use crate::read_drill::{EventsRead, FaultRead};
use crate::spec::Motion;
use crate::table::Placed;

/// Pairs of which the first can't come after the second.
const PHYSICS: &[(EventKind, EventKind)] = &[
    (PushOffFootDown, HandPlacement),
    (PushOffFootDown, HandDeparture),
    (PushOffFootDown, FeetTouchdown),
    (PushOffFootDown, BackTouchdown),
    (PushOffFootDown, Settled),
    (HandPlacement, HandDeparture),
    (HandPlacement, HandsReturn),
    (HandPlacement, FeetTouchdown),
    (HandPlacement, BackTouchdown),
    (HandPlacement, Settled),
    (HandDeparture, HandsReturn),
    (FeetTouchdown, Settled),
    (HoldStart, HoldEnd),
];

/// As well, where the body is free of the floor between the hands and the landing.
const WITH_FLIGHT: &[(EventKind, EventKind)] = &[
    (HandDeparture, FeetTouchdown),
    (HandDeparture, BackTouchdown),
    (HandDeparture, Settled),
];

/// Events that a kind of motion can't do without.
fn needed_by(motion: Motion) -> &'static [EventKind] {
    match motion {
        Motion::TurnOver | Motion::Handstand => &[HandPlacement],
        Motion::Hop => &[HandPlacement, HandDeparture, HandsReturn],
        Motion::FrontSupportBounce => &[HandDeparture, HandsReturn],
        Motion::Fall => &[],
        Motion::Hold => &[HoldStart, HoldEnd],
    }
}

/// Notes events listed twice, in an impossible order, or missing for the motion.
pub(crate) fn events_in_order(findings: &mut Findings<'_>, read: &EventsRead) {
    let mut seen: Vec<EventKind> = Vec::new();
    for event in read.expected.iter().chain(&read.optional) {
        if seen.contains(&event.value) {
            let found = format!("event {:?} a second time", event.value.id());
            findings.add(event.at, ProblemKind::Duplicate, found, "each event once");
        }
        seen.push(event.value);
    }
    let flight = read.events.as_ref().is_some_and(|events| events.flight);
    let with_flight: &[_] = if flight { WITH_FLIGHT } else { &[] };
    for list in [&read.expected, &read.optional] {
        for (index, later) in list.iter().enumerate() {
            let before = &list[..index];
            if seen.iter().filter(|event| **event == later.value).count() > 1 {
                continue;
            }
            let impossible = PHYSICS
                .iter()
                .chain(with_flight)
                .find(|(first, second)| *first == later.value && before.iter().any(|event| event.value == *second));
            if let Some((first, second)) = impossible {
                let found = format!("event {:?} after {:?}", first.id(), second.id());
                let expected = format!("{:?} first: it can't come later", first.id());
                findings.add(later.at, ProblemKind::Order, found, expected);
            }
        }
    }
    let Some(events) = read.events.as_ref().filter(|_| read.complete) else {
        return;
    };
    for needed in needed_by(events.motion) {
        if !seen.contains(needed) {
            let found = format!("no event {:?} for this motion", needed.id());
            let expected = "it in \"expected\" (or \"optional\")";
            findings.add(read.at, ProblemKind::NotListed, found, expected);
        }
    }
    let lands = seen.contains(&FeetTouchdown) || seen.contains(&BackTouchdown);
    let hops = seen.contains(&HandsReturn);
    if events.flight && !(seen.contains(&HandDeparture) && (lands || hops)) {
        let found = "flight = true without events at both its ends";
        let expected = "\"hand_departure\" and \"feet_touchdown\" or \"back_touchdown\" listed";
        findings.add(read.at, ProblemKind::NotListed, found, expected);
    }
}

/// Events that a measure with instants of its own is taken from; of each list, one must be there.
fn own_events(measure: Measure) -> &'static [&'static [EventKind]] {
    match measure {
        Measure::HandToFootDistance | Measure::HandStagger | Measure::HandsLandApart => &[&[HandPlacement]],
        Measure::LungeLength => &[&[PushOffFootDown]],
        Measure::SupportTime => &[&[HandPlacement], &[HandDeparture]],
        Measure::FlightTime => &[&[HandDeparture], &[FeetTouchdown, BackTouchdown]],
        Measure::HandFlightTime => &[&[HandDeparture], &[HandsReturn]],
        Measure::HandsLeaveApart | Measure::RiseAfterDeparture => &[&[HandDeparture]],
        Measure::LegsTogetherBeforeInverted => &[&[LegsTogether], &[Inverted]],
        Measure::LegsTogetherBeforeDeparture => &[&[LegsTogether], &[HandDeparture]],
        Measure::HoldTime => &[&[HoldStart], &[HoldEnd]],
        _ => &[],
    }
}

/// Notes checks at events, over phases or of measures whose events the drill does not list.
pub(crate) fn checks_at_listed_events(findings: &mut Findings<'_>, read: &EventsRead, checks: &[CheckRead]) {
    if !read.complete {
        return;
    }
    let all: Vec<EventKind> = read
        .expected
        .iter()
        .chain(&read.optional)
        .map(|event| event.value)
        .collect();
    let has_one = |events: &[EventKind]| events.iter().any(|event| all.contains(event));
    let mut note = |at: usize, what: String| {
        let found = format!("{what}, which this drill does not list");
        let expected = format!("one of its events: {}", listed(all.iter().map(|e| e.id())));
        findings.add(at, ProblemKind::NotListed, found, expected);
    };
    for check in checks {
        for event in &check.events {
            if !has_one(&[event.value]) {
                note(event.at, format!("event {:?}", event.value.id()));
            }
        }
        for phase in &check.phases {
            for end in phase_ends(phase.value) {
                if !has_one(&end) {
                    let missing = listed(end.iter().map(|event| event.id()));
                    let what = format!("phase {:?} needs event {missing}", phase.value.id());
                    note(phase.at, what);
                }
            }
        }
        for measure in &check.own_instants {
            for end in own_events(measure.value) {
                if !has_one(end) {
                    let missing = listed(end.iter().map(|event| event.id()));
                    let what = format!("{} needs event {missing}", measure.value.id());
                    note(measure.at, what);
                }
            }
        }
    }
}

fn phase_ends(phase: Phase) -> Vec<Vec<EventKind>> {
    match phase.bounds() {
        Some((start, ends)) => vec![vec![start], ends.to_vec()],
        None => Vec::new(),
    }
}

/// Notes ids that come a second time.
pub(crate) fn ids_once<'p>(findings: &mut Findings<'_>, what: &str, ids: impl Iterator<Item = &'p Placed<String>>) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for id in ids {
        if let Some(first) = seen.get(id.value.as_str()) {
            let line = findings.line(*first);
            let found = format!("{what} {} a second time", shown(&id.value));
            let expected = format!("another id: it is taken in line {line}");
            findings.add(id.at, ProblemKind::Duplicate, found, expected);
        } else {
            seen.insert(&id.value, id.at);
        }
    }
}

/// Notes faults that are pointed to but not defined, or defined but never pointed to.
pub(crate) fn faults_and_checks_meet(findings: &mut Findings<'_>, faults: &[FaultRead], checks: &[CheckRead]) {
    let defined: Vec<&str> = faults
        .iter()
        .filter_map(|fault| Some(fault.id.as_ref()?.value.as_str()))
        .collect();
    let mut used: Vec<&str> = Vec::new();
    for pointer in checks.iter().flat_map(|check| &check.faults) {
        used.push(&pointer.value);
        if !defined.contains(&pointer.value.as_str()) {
            let found = format!("fault {} is not defined", shown(&pointer.value));
            let expected = "the id of a [[fault]] of this file";
            let near = || nearest(&pointer.value, defined.iter().copied());
            findings.add_near(pointer.at, ProblemKind::NotDefined, found, expected, near);
        }
    }
    for id in faults.iter().filter_map(|fault| fault.id.as_ref()) {
        if !used.contains(&id.value.as_str()) {
            let found = format!("no check points to fault {}", shown(&id.value));
            let expected = "a check with it as \"below\" or \"above\"";
            findings.add(id.at, ProblemKind::NeverUsed, found, expected);
        }
    }
}

/// Notes ids in the pass rule that are no check's.
pub(crate) fn pass_names_checks(findings: &mut Findings<'_>, pass: &[Placed<String>], checks: &[CheckRead]) {
    let ids: Vec<&str> = checks
        .iter()
        .filter_map(|check| Some(check.id.as_ref()?.value.as_str()))
        .collect();
    ids_once(findings, "check", pass.iter());
    for name in pass {
        if !ids.contains(&name.value.as_str()) {
            let found = format!("check {} is not defined", shown(&name.value));
            let near = || nearest(&name.value, ids.iter().copied());
            let expected = "the id of a [[check]] of this file";
            findings.add_near(name.at, ProblemKind::NotDefined, found, expected, near);
        }
    }
}

/// Notes a drill that is in no catalogue.
pub(crate) fn drill_is_known(findings: &mut Findings<'_>, drill: &Placed<String>, known: &[&str]) {
    if !known.contains(&drill.value.as_str()) {
        let found = format!("unknown drill {}", shown(&drill.value));
        let expected = "the id of a shipped drill or of one in the same folder";
        let near = || nearest(&drill.value, known.iter().copied());
        findings.add_near(drill.at, ProblemKind::UnknownDrill, found, expected, near);
    }
}
