//! Reads a drill spec file.

use springline_kinematics::EventKind;

use crate::names::{self, MOTIONS, TOO_CLOSE, VIEWS, listed};
use crate::problem::{Findings, ProblemKind};
use crate::read_check::read_check;
use crate::rules;
use crate::spec::{Drill, Events, Fault, PassRule, SetUp, Thresholds, TooClose};
use crate::table::{Placed, Table};

/// Keys of the file itself.
pub(crate) const DRILL_KEYS: &[&str] = &[
    "id",
    "title",
    "purpose",
    "skill",
    "version",
    "author",
    "notes",
    "view",
    "setup",
    "events",
    "thresholds",
    "check",
    "fault",
    "pass",
];
/// Keys of `[setup]`.
pub(crate) const SETUP_KEYS: &[&str] = &[
    "surface",
    "mats",
    "minimum_mat_m",
    "blocks_m",
    "hand_surface_m",
    "foot_surface_m",
    "spotting",
    "cautions",
    "most_turns_per_day",
];
/// Keys of `[events]`.
pub(crate) const EVENTS_KEYS: &[&str] = &[
    "motion",
    "expected",
    "optional",
    "flight",
    "hands_need_trunk_past_deg",
    "hold_needs_trunk_past_deg",
    "legs_together_within_deg",
];
/// Keys of `[thresholds]`.
pub(crate) const THRESHOLDS_KEYS: &[&str] = &["fault", "good"];
/// Keys of a `[[fault]]`.
pub(crate) const FAULT_KEYS: &[&str] = &["id", "name", "seen_as", "likely_cause", "cue", "cured_by"];
/// Keys of `[pass]`.
pub(crate) const PASS_KEYS: &[&str] = &["must_be_good", "too_close_counts_as"];

/// Heights over the floor that a gym can have, m.
const HEIGHTS_M: (f64, f64) = (0.0, 3.0);
/// Trunk inclination for a hand contact unless the file says otherwise (measures section 5), degrees.
pub(crate) const TRUNK_PAST_DEG: f64 = 75.0;
/// Leg gap that counts as together unless the file says otherwise (coach-set), degrees.
pub(crate) const TOGETHER_WITHIN_DEG: f64 = 15.0;

/// The events of a drill with their places.
#[derive(Debug)]
pub(crate) struct EventsRead {
    pub events: Option<Events>,
    pub expected: Vec<Placed<EventKind>>,
    pub optional: Vec<Placed<EventKind>>,
    /// Every name in both lists could be read.
    pub complete: bool,
    pub at: usize,
}

/// A fault with its places.
#[derive(Debug)]
pub(crate) struct FaultRead {
    pub fault: Option<Fault>,
    pub id: Option<Placed<String>>,
    pub cured_by: Vec<Placed<String>>,
}

/// Reads the drill of a parsed file. `hash`: of the file's bytes. `known_drills`: ids that a cure may
/// name; `None` leaves cures unchecked.
pub(crate) fn read(
    findings: &mut Findings<'_>,
    file: &Table<'_>,
    hash: String,
    known_drills: Option<&[&str]>,
) -> Option<Drill> {
    file.allow_only(findings, DRILL_KEYS);
    let id = file.needed_id(findings, "id");
    let [title, purpose, skill, version, author] =
        ["title", "purpose", "skill", "version", "author"].map(|key| file.needed_text(findings, key));
    let notes = plain(file.texts(findings, "notes"));
    file.need(findings, "view", &listed(VIEWS.iter().map(|(word, _)| *word)));
    let view = file.choice(findings, "view", "view", VIEWS);
    file.need(findings, "setup", "a table, [setup]");
    let setup = file
        .inner(findings, "setup", "setup")
        .and_then(|t| read_setup(findings, &t));
    file.need(findings, "events", "a table, [events]");
    let events = file
        .inner(findings, "events", "events")
        .map(|t| read_events(findings, &t));
    let thresholds = match file.inner(findings, "thresholds", "thresholds") {
        Some(table) => read_thresholds(findings, &table),
        None => Some(Thresholds::default()),
    };
    file.need(findings, "check", "at least one check, beginning [[check]]");
    let tables = file.list(findings, "check");
    let checks: Vec<_> = tables.iter().map(|table| read_check(findings, table)).collect();
    let tables = file.list(findings, "fault");
    let faults: Vec<_> = tables.iter().map(|table| read_fault(findings, table)).collect();
    let pass = match file.inner(findings, "pass", "pass") {
        Some(table) => read_pass(findings, &table),
        None => (Vec::new(), Some(TooClose::Neither)),
    };

    if let Some(events) = &events {
        rules::events_in_order(findings, events);
        rules::checks_at_listed_events(findings, events, &checks);
    }
    rules::ids_once(findings, "check", checks.iter().filter_map(|check| check.id.as_ref()));
    rules::ids_once(findings, "fault", faults.iter().filter_map(|fault| fault.id.as_ref()));
    rules::faults_and_checks_meet(findings, &faults, &checks);
    rules::pass_names_checks(findings, &pass.0, &checks);
    if let Some(known) = known_drills {
        let known: Vec<&str> = known
            .iter()
            .copied()
            .chain(id.as_ref().map(|id| id.value.as_str()))
            .collect();
        for cure in faults.iter().flat_map(|fault| &fault.cured_by) {
            rules::drill_is_known(findings, cure, &known);
        }
    }

    Some(Drill {
        id: id?.value,
        title: title?.value,
        purpose: purpose?.value,
        skill: skill?.value,
        version: version?.value,
        author: author?.value,
        notes,
        setup: setup?,
        view: view?.value,
        events: events?.events?,
        thresholds: thresholds?,
        checks: checks.into_iter().map(|check| check.check).collect::<Option<_>>()?,
        faults: faults.into_iter().map(|fault| fault.fault).collect::<Option<_>>()?,
        pass: PassRule {
            must_be_good: plain(pass.0),
            too_close_counts_as: pass.1?,
        },
        hash,
    })
}

/// The values without their places.
pub(crate) fn plain(texts: Vec<Placed<String>>) -> Vec<String> {
    texts.into_iter().map(|text| text.value).collect()
}

fn read_setup(findings: &mut Findings<'_>, table: &Table<'_>) -> Option<SetUp> {
    table.allow_only(findings, SETUP_KEYS);
    let surface = table.needed_text(findings, "surface");
    let mats = table.needed_text(findings, "mats");
    let height = |findings: &mut Findings<'_>, key| {
        table
            .number_within(findings, key, HEIGHTS_M, "m")
            .map(|height| height.value)
    };
    let minimum_mat_m = height(findings, "minimum_mat_m");
    let hand_surface_m = height(findings, "hand_surface_m").unwrap_or(0.0);
    let foot_surface_m = height(findings, "foot_surface_m").unwrap_or(0.0);
    let blocks_m = table.numbers_within(findings, "blocks_m", HEIGHTS_M, "m");
    table.need(
        findings,
        "spotting",
        "a list from full support to none, [\"...\", \"none\"]",
    );
    let spotting = plain(table.texts(findings, "spotting"));
    let cautions = plain(table.texts(findings, "cautions"));
    let most_turns_per_day = table.whole(findings, "most_turns_per_day", (1, 1000));
    Some(SetUp {
        surface: surface?.value,
        mats: mats?.value,
        minimum_mat_m,
        blocks_m,
        spotting,
        cautions,
        hand_surface_m,
        foot_surface_m,
        most_turns_per_day: most_turns_per_day.map(|turns| turns.value),
    })
}

fn read_events(findings: &mut Findings<'_>, table: &Table<'_>) -> EventsRead {
    table.allow_only(findings, EVENTS_KEYS);
    table.need(findings, "motion", &listed(MOTIONS.iter().map(|(word, _)| *word)));
    let motion = table.choice(findings, "motion", "motion", MOTIONS);
    table.need(
        findings,
        "expected",
        "a list of events, [\"hand_placement\", \"inverted\"]",
    );
    let before = findings.count();
    let expected = table.choices(findings, "expected", "event", &names::events());
    let optional = table.choices(findings, "optional", "event", &names::events());
    let complete = findings.count() == before && table.key_at("expected").is_some();
    table.need(findings, "flight", "true or false");
    let flight = table.truth(findings, "flight");
    let degrees = |findings: &mut Findings<'_>, key, limits, default| {
        table
            .number_within(findings, key, limits, "deg")
            .map_or(default, |number| number.value)
    };
    let trunk = degrees(findings, "hands_need_trunk_past_deg", (-180.0, 180.0), TRUNK_PAST_DEG);
    let held = degrees(findings, "hold_needs_trunk_past_deg", (0.0, 180.0), 0.0);
    let together = degrees(findings, "legs_together_within_deg", (1.0, 90.0), TOGETHER_WITHIN_DEG);
    let values = |events: &[Placed<EventKind>]| events.iter().map(|event| event.value).collect();
    let events = (|| {
        Some(Events {
            motion: motion?.value,
            expected: values(&expected),
            optional: values(&optional),
            flight: flight?,
            hands_need_trunk_past_deg: trunk,
            hold_needs_trunk_past_deg: held,
            legs_together_within_deg: together,
        })
    })();
    EventsRead {
        events,
        expected,
        optional,
        complete,
        at: table.at,
    }
}

fn read_thresholds(findings: &mut Findings<'_>, table: &Table<'_>) -> Option<Thresholds> {
    table.allow_only(findings, THRESHOLDS_KEYS);
    let usual = Thresholds::default();
    let fault = table.number_within(findings, "fault", (0.5, 1.0), "");
    let good = table.number_within(findings, "good", (0.0, 0.5), "");
    Some(Thresholds {
        fault: fault.map_or(usual.fault, |fault| fault.value),
        good: good.map_or(usual.good, |good| good.value),
    })
}

fn read_fault(findings: &mut Findings<'_>, table: &Table<'_>) -> FaultRead {
    table.allow_only(findings, FAULT_KEYS);
    let id = table.needed_id(findings, "id");
    let [name, seen_as, likely_cause, cue] =
        ["name", "seen_as", "likely_cause", "cue"].map(|key| table.needed_text(findings, key).map(|text| text.value));
    table.need(findings, "cured_by", "a list of drill ids, the one to go back to first");
    let cured_by = table.texts(findings, "cured_by");
    if cured_by.is_empty()
        && let Some(at) = table.key_at("cured_by")
    {
        let found = format!("no drill in cured_by of {}", table.name);
        findings.add(at, ProblemKind::MissingKey, found, "at least one drill id");
    }
    let cures = cured_by.iter().map(|cure| cure.value.clone()).collect();
    let fault = (|| {
        Some(Fault {
            id: id.clone()?.value,
            name: name?,
            seen_as: seen_as?,
            likely_cause: likely_cause?,
            cue: cue?,
            cured_by: cures,
        })
    })();
    FaultRead { fault, id, cured_by }
}

fn read_pass(findings: &mut Findings<'_>, table: &Table<'_>) -> (Vec<Placed<String>>, Option<TooClose>) {
    table.allow_only(findings, PASS_KEYS);
    let must_be_good = table.texts(findings, "must_be_good");
    let key = "too_close_counts_as";
    let too_close = match table.key_at(key) {
        None => Some(TooClose::Neither),
        Some(_) => table.choice(findings, key, key, TOO_CLOSE).map(|choice| choice.value),
    };
    (must_be_good, too_close)
}
