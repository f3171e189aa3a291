//! Reads a ladder file.

use crate::names::{POLICIES, Policy, listed};
use crate::problem::{Findings, ProblemKind, shown};
use crate::read_band::read_basis;
use crate::rules;
use crate::spec::{Ladder, Rung, StepBack};
use crate::table::{Placed, Table};

/// Keys of the file itself.
pub(crate) const LADDER_KEYS: &[&str] = &[
    "id",
    "title",
    "skill",
    "advance_after",
    "step_back",
    "run_survives_the_day",
    "retest_after_days",
    "basis",
    "rung",
];
/// Keys of `[step_back]`.
pub(crate) const STEP_BACK_KEYS: &[&str] = &["policy", "attempts"];
/// Keys of a `[[rung]]`.
pub(crate) const RUNG_KEYS: &[&str] = &["drill", "after", "proves"];

/// Good attempts in a row before moving on, unless the file says otherwise (common practice).
pub(crate) const ADVANCE_AFTER: u32 = 3;

struct RungRead {
    rung: Option<Rung>,
    drill: Option<Placed<String>>,
    after: Vec<Placed<String>>,
}

/// Whether a parsed file is a ladder: it has rungs or the rule for moving on.
pub(crate) fn is_ladder(file: &Table<'_>) -> bool {
    ["rung", "advance_after", "step_back"]
        .into_iter()
        .any(|key| file.key_at(key).is_some())
}

/// Reads the ladder of a parsed file. `known_drills`: ids that a rung may name; `None`: unchecked.
pub(crate) fn read(findings: &mut Findings<'_>, file: &Table<'_>, known_drills: Option<&[&str]>) -> Option<Ladder> {
    file.allow_only(findings, LADDER_KEYS);
    let id = file.needed_id(findings, "id");
    let title = file.needed_text(findings, "title");
    let skill = file.needed_text(findings, "skill");
    let advance_after = match file.key_at("advance_after") {
        Some(_) => file.whole(findings, "advance_after", (1, 100)).map(|count| count.value),
        None => Some(ADVANCE_AFTER),
    };
    file.need(findings, "step_back", "a table, [step_back]");
    let step_back = file
        .inner(findings, "step_back", "step_back")
        .and_then(|table| read_step_back(findings, &table, advance_after));
    let run_survives_the_day = file.truth(findings, "run_survives_the_day").unwrap_or(false);
    let retest_after_days = file.whole(findings, "retest_after_days", (1, 3650));
    let basis = read_basis(findings, file);
    file.need(findings, "rung", "at least one rung, beginning [[rung]]");
    let tables = file.list(findings, "rung");
    let rungs: Vec<_> = tables.iter().map(|table| read_rung(findings, table)).collect();

    rules::ids_once(findings, "rung", rungs.iter().filter_map(|rung| rung.drill.as_ref()));
    rungs_climb(findings, &rungs);
    if let Some(known) = known_drills {
        for drill in rungs.iter().filter_map(|rung| rung.drill.as_ref()) {
            rules::drill_is_known(findings, drill, known);
        }
    }
    Some(Ladder {
        id: id?.value,
        title: title?.value,
        skill: skill?.value,
        advance_after: advance_after?,
        step_back: step_back?,
        run_survives_the_day,
        retest_after_days: retest_after_days.map(|days| days.value),
        rungs: rungs.into_iter().map(|rung| rung.rung).collect::<Option<_>>()?,
        basis: basis?,
    })
}

fn read_step_back(findings: &mut Findings<'_>, table: &Table<'_>, advance_after: Option<u32>) -> Option<StepBack> {
    table.allow_only(findings, STEP_BACK_KEYS);
    table.need(findings, "policy", &listed(POLICIES.iter().map(|(word, _)| *word)));
    let policy = table.choice(findings, "policy", "policy", POLICIES)?.value;
    table.need(findings, "attempts", "a whole number of attempts");
    let attempts = table.whole(findings, "attempts", (1, 1000))?;
    let run = advance_after.unwrap_or(1);
    if attempts.value < run {
        let found = format!("attempts {} with advance_after {run}", attempts.value);
        let expected = format!("at least {run}: fewer attempts can't hold the run");
        findings.add(attempts.at, ProblemKind::Range, found, expected);
    }
    let attempts = attempts.value;
    Some(match policy {
        Policy::Set => StepBack::Set { attempts },
        Policy::Patient => StepBack::Patient { attempts },
    })
}

fn read_rung(findings: &mut Findings<'_>, table: &Table<'_>) -> RungRead {
    table.allow_only(findings, RUNG_KEYS);
    let drill = table.needed_id(findings, "drill");
    let after = table.texts(findings, "after");
    let proves = table.needed_text(findings, "proves");
    let rung = (|| {
        Some(Rung {
            drill: drill.clone()?.value,
            after: after.iter().map(|drill| drill.value.clone()).collect(),
            proves: proves?.value,
        })
    })();
    RungRead { rung, drill, after }
}

/// Notes rungs that come after unknown rungs, after themselves by a circle, or after later ones.
fn rungs_climb(findings: &mut Findings<'_>, rungs: &[RungRead]) {
    let ids: Vec<&str> = rungs
        .iter()
        .map(|rung| rung.drill.as_ref().map_or("", |id| id.value.as_str()))
        .collect();
    let place = |id: &str| ids.iter().position(|this| *this == id);
    let before: Vec<Vec<usize>> = rungs
        .iter()
        .map(|rung| rung.after.iter().filter_map(|after| place(&after.value)).collect())
        .collect();
    for (index, rung) in rungs.iter().enumerate() {
        for after in &rung.after {
            let Some(earlier) = place(&after.value) else {
                let found = format!("rung {} is not on this ladder", shown(&after.value));
                let expected = "the drill of another rung";
                let near = || crate::names::nearest(&after.value, ids.iter().copied().filter(|i| !i.is_empty()));
                findings.add_near(after.at, ProblemKind::NotDefined, found, expected, near);
                continue;
            };
            if let Some(path) = way_back(&before, earlier, index) {
                let round: Vec<&str> = std::iter::once(index).chain(path).map(|rung| ids[rung]).collect();
                let found = format!("circular ladder: {}", round.join(" after "));
                findings.add(after.at, ProblemKind::Circular, found, "rungs that lead upwards only");
            } else if earlier > index {
                let found = format!("rung {} comes later in the file", shown(&after.value));
                findings.add(after.at, ProblemKind::Order, found, "an earlier rung");
            }
        }
    }
}

/// The way from one rung to another along "after", both ends included.
fn way_back(before: &[Vec<usize>], from: usize, to: usize) -> Option<Vec<usize>> {
    let mut came_from: Vec<Option<usize>> = vec![None; before.len()];
    let mut seen = vec![false; before.len()];
    let mut open = vec![from];
    seen[from] = true;
    while let Some(here) = open.pop() {
        if here == to {
            let mut path = vec![here];
            let mut step = here;
            while let Some(previous) = came_from[step] {
                path.push(previous);
                step = previous;
            }
            path.reverse();
            return Some(path);
        }
        for next in &before[here] {
            if !seen[*next] {
                seen[*next] = true;
                came_from[*next] = Some(here);
                open.push(*next);
            }
        }
    }
    None
}
