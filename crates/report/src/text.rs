//! The review as text for a coach.

use springline_drills::{Band, NOT_A_SCORE, band_in_words};
use springline_kinematics::{EventKind, Unit};

use crate::digits::{amount, unit_words, with_sd};
use crate::origins::{doubtful_in_words, origins_in_words};
use crate::page::{Page, Style};
use crate::part::Part;
use crate::record::{CameraSetupFacts, CheckEntry, FaultEntry, Review, Word};
use crate::ruler::{RULER_CELLS, ruler};

/// The mark of a verdict: shape and word always stand together.
#[must_use]
pub fn shape(word: Word) -> char {
    match word {
        Word::Good => '●',
        Word::TooClose => '◐',
        Word::Fault => '◆',
        Word::NotSeen => '○',
    }
}

/// The review in words, 80 columns wide.
#[must_use]
pub fn text(review: &Review, style: Style) -> String {
    let mut page = Page::new(style);
    title(&mut page, review);
    outcome(&mut page, review);
    fix_first(&mut page, review);
    measures(&mut page, review);
    further_faults(&mut page, review);
    open_questions(&mut page, review);
    deductions(&mut page, review);
    events(&mut page, review);
    provenance(&mut page, review);
    cautions(&mut page, &review.cautions);
    page.finish()
}

/// The review without what goes with every one: what came out, what to fix first, each measure in a line, further
/// faults, open questions. The cautions are told beside it, by [`cautions_in_words`].
#[must_use]
pub fn in_short(review: &Review, style: Style) -> String {
    let mut page = Page::new(style);
    page.strong(&format!("{}: {}", review.attempt.file, review.drill.title));
    needs_facing(&mut page, review);
    outcome(&mut page, review);
    fix_first(&mut page, review);
    if !review.checks.is_empty() {
        page.heading("MEASURES");
    }
    for part in Part::ALL {
        let mut checks = review.checks.iter().filter(|check| check.part == part).peekable();
        if checks.peek().is_some() {
            page.paragraph(2, 2, part.words());
        }
        for check in checks {
            let left = format!("{} {}", shape(check.verdict.word), check.title);
            let value = value_of(check).map(|value| format!("{value}; {}", bounds_of(check)));
            page.two_ends(4, &left, &value.unwrap_or_else(|| "not seen".to_owned()));
        }
    }
    further_faults(&mut page, review);
    open_questions(&mut page, review);
    page.finish()
}

/// Cautions as a page of their own.
#[must_use]
pub fn cautions_in_words(list: &[String], style: Style) -> String {
    let mut page = Page::new(style);
    cautions(&mut page, list);
    page.finish().trim_start().to_owned()
}

fn cautions(page: &mut Page, list: &[String]) {
    page.heading("CAUTIONS");
    for caution in list {
        page.paragraph(2, 4, &format!("- {caution}"));
    }
}

/// A measured value with its uncertainty and unit: `138.4 ± 0.8 degrees`; `None` if it was not seen.
#[must_use]
pub fn value_of(check: &CheckEntry) -> Option<String> {
    let measured = check.measured.as_ref()?;
    let unit = Unit::from_id(&check.unit).unwrap_or(Unit::Ratio);
    let value = with_sd(measured.value, measured.sd, unit);
    let unit = unit_words(unit);
    let gap = if unit.is_empty() { "" } else { " " };
    Some(format!("{value}{gap}{unit}"))
}

/// The band of a check without its unit: `at most 15`.
#[must_use]
pub fn bounds_of(check: &CheckEntry) -> String {
    let unit = Unit::from_id(&check.unit).unwrap_or(Unit::Ratio);
    let band = band_in_words(
        &Band {
            at_least: check.band.at_least,
            at_most: check.band.at_most,
        },
        unit,
    );
    // The unit stands once, with the value.
    let band = band.strip_suffix(unit_words(unit)).map_or(band.as_str(), str::trim_end);
    band.to_owned()
}

/// What came out in one line: `not yet      fix first: Hands too near the feet`.
#[must_use]
pub fn in_one_line(review: &Review) -> String {
    let first = review
        .faults
        .first()
        .map_or_else(String::new, |fault| format!("fix first: {}", fault.name));
    let line = format!("{:<14}  {first}", review.outcome.word);
    crate::page::shown_safely(line.trim_end())
}

/// What the facing would bring, where it is undecided.
fn needs_facing(page: &mut Page, review: &Review) {
    let more = review.body.seen_with_facing;
    if more > 0 {
        let checks = if more == 1 { "check" } else { "checks" };
        page.paragraph(
            0,
            2,
            &format!("Give --facing left or right: then up to {more} more {checks} can be seen."),
        );
    }
}

fn title(page: &mut Page, review: &Review) {
    let attempt = &review.attempt;
    let who: Vec<&str> = [&attempt.athlete, &attempt.date]
        .into_iter()
        .flatten()
        .map(String::as_str)
        .collect();
    page.strong(&review.drill.title);
    needs_facing(page, review);
    if !who.is_empty() {
        page.paragraph(0, 0, &who.join(", "));
    }
    page.paragraph(0, 2, &format!("{}: {}", attempt.file, attempt.recognised));
    let body = &review.body;
    let facing = match (&body.facing, body.facing_how.as_str()) {
        (Some(side), how) => format!("faces {side} ({how})"),
        (None, _) => "which way the athlete faces is undecided (--facing left|right gives it)".to_owned(),
    };
    // Which side is near follows from the facing, where it was not given.
    let near = match (body.near_side.as_str(), &body.facing) {
        ("undecided", _) => "near side undecided".to_owned(),
        (side, Some(_)) => format!("{side} side near"),
        (side, None) => format!("{side} side taken as near"),
    };
    let setup = body.camera_setup.as_ref();
    let floor = if setup.is_some_and(|setup| setup.gave.iter().any(|entry| entry == "floor line")) {
        "floor line from the camera set-up"
    } else if body.floor_marked {
        "floor line marked"
    } else {
        "floor assumed level"
    };
    let scale = match (&body.metres_per_px, &body.scale_from) {
        (Some(scale), Some(from)) => format!(
            "scale {} mm per px, {from}",
            with_sd(1000.0 * scale.value, 1000.0 * scale.sd, Unit::Metres)
        ),
        _ => "no scale".to_owned(),
    };
    let span = attempt.span_s[1] - attempt.span_s[0];
    page.paragraph(
        0,
        2,
        &format!(
            "{:.2} s at {} frames a second; {facing}; {near}; {floor}; {scale}.",
            span,
            amount((attempt.rate_hz * 10.0).round() / 10.0),
        ),
    );
    if let Some(setup) = setup {
        page.paragraph(0, 2, &camera_setup(setup));
    }
    if !body.scale_checks.is_empty() {
        let checks: Vec<String> = body
            .scale_checks
            .iter()
            .map(|check| {
                let verdict = if check.agrees { "agrees" } else { "does not agree" };
                let ratio = with_sd(check.ratio.value, check.ratio.sd, Unit::Ratio);
                format!("{} {verdict} (ratio {ratio})", check.against)
            })
            .collect();
        page.paragraph(0, 2, &format!("Scale checked: {}.", checks.join("; ")));
    }
    if attempt.synthetic {
        let seed = attempt.seed.map_or_else(String::new, |seed| format!(" (seed {seed})"));
        page.paragraph(
            0,
            2,
            &format!("Synthetic points{seed}: a made-up figure, not a person."),
        );
    }
    if let Some(choice) = &attempt.chosen {
        page.paragraph(
            0,
            2,
            &format!(
                "{} people in view; person {} was taken: {}.",
                choice.people, choice.chosen, choice.why
            ),
        );
    }
    if !attempt.swaps.is_empty() {
        let runs: Vec<String> = attempt
            .swaps
            .iter()
            .map(|swap| format!("{} {}-{}", swap.group, swap.first_frame, swap.last_frame))
            .collect();
        page.paragraph(
            0,
            2,
            &format!("Left and right were swapped back in frames: {}.", runs.join(", ")),
        );
    }
    if let Some(words) = origins_in_words(attempt) {
        page.paragraph(0, 2, &format!("Points: {words}."));
    }
    if let Some(words) = doubtful_in_words(attempt) {
        page.paragraph(0, 2, &format!("Want a look: {words}."));
    }
    for remark in &attempt.remarks {
        page.paragraph(0, 2, &format!("Note: {remark}."));
    }
}

/// What came of a camera set-up, in words.
fn camera_setup(setup: &CameraSetupFacts) -> String {
    let gave = match setup.gave.as_slice() {
        [] => "nothing".to_owned(),
        entries => entries.join(", "),
    };
    let mut words = format!("From the camera set-up {} ({}): {gave}", setup.name, setup.file);
    if !setup.picture_size_known {
        words.push_str("; the clip does not say its picture's size, so its px were taken for those of the set-up");
    } else if setup.enlarged != 1.0 {
        words.push_str(&format!(
            "; marks brought to this picture's size ({:.3} times)",
            setup.enlarged
        ));
    }
    if !setup.gave_way.is_empty() {
        words.push_str(&format!(
            "; not used, as given for the attempt: {}",
            setup.gave_way.join(", ")
        ));
    }
    words.push('.');
    words
}

fn outcome(page: &mut Page, review: &Review) {
    let count = |word| review.checks.iter().filter(|check| check.verdict.word == word).count();
    page.heading(&review.outcome.word.to_uppercase());
    for why in &review.outcome.why {
        page.paragraph(2, 4, &format!("- {why}"));
    }
    if !review.checks.is_empty() {
        page.paragraph(
            2,
            2,
            &format!(
                "{} checks: {} good, {} fault, {} too close to call, {} not seen.",
                review.checks.len(),
                count(Word::Good),
                count(Word::Fault),
                count(Word::TooClose),
                count(Word::NotSeen)
            ),
        );
    }
}

fn fix_first(page: &mut Page, review: &Review) {
    let Some(fault) = review.faults.first() else {
        return;
    };
    page.heading("FIX FIRST");
    page.paragraph(2, 4, &format!("{} {}", shape(Word::Fault), name_of(fault)));
    for (label, words) in [("Seen as", &fault.seen_as), ("Likely", &fault.likely_cause)] {
        page.labelled(4, label, 9, words);
    }
    page.labelled(4, "Say", 9, &format!("\"{}\"", fault.cue));
    if let Some(drill) = fault.go_back_to.first() {
        let title = drill
            .title
            .as_ref()
            .map_or_else(String::new, |title| format!(" ({title})"));
        page.labelled(4, "Go to", 9, &format!("{}{title}", drill.id));
    }
}

fn name_of(fault: &FaultEntry) -> String {
    let note = if fault.note_only { ", note only" } else { "" };
    format!("{} ({}{note})", fault.name, fault.severity)
}

fn measures(page: &mut Page, review: &Review) {
    if review.checks.is_empty() {
        return;
    }
    page.heading("MEASURES");
    page.faint(
        2,
        "value ± one standard deviation; ━ inside the band, · outside, ┃ its limit; (note): told, never decides",
    );
    for part in Part::ALL {
        let mut checks = review.checks.iter().filter(|check| check.part == part).peekable();
        if checks.peek().is_none() {
            continue;
        }
        page.blank();
        page.paragraph(2, 2, part.words());
        for check in checks {
            one_check(page, check);
        }
    }
}

fn one_check(page: &mut Page, check: &CheckEntry) {
    let verdict = &check.verdict;
    let note = if check.must_hold { "" } else { " (note)" };
    let word = match &verdict.severity {
        Some(severity) => format!("{}, {severity}", verdict.word.as_str()),
        None => verdict.word.as_str().to_owned(),
    };
    page.two_ends(2, &format!("{} {}{note}", shape(verdict.word), check.title), &word);
    // Why something was not seen is told once for all checks, further down.
    if let Some(measured) = &check.measured {
        let unit = Unit::from_id(&check.unit).unwrap_or(Unit::Ratio);
        let side = check
            .side
            .as_ref()
            .map_or_else(String::new, |side| format!(" ({side})"));
        let unit_said = unit_words(unit);
        let band = bounds_of(check);
        let value = with_sd(measured.value, measured.sd, unit);
        let gap = if unit_said.is_empty() { "" } else { " " };
        let left = format!("{value}{gap}{unit_said}{side}; {band}");
        let drawn = ruler(&check.band, measured.value, shape(verdict.word));
        debug_assert!(drawn.is_empty() || drawn.chars().count() == RULER_CELLS);
        page.two_ends(6, &left, &drawn);
    }
    for remark in &check.remarks {
        page.faint(6, remark);
    }
}

fn further_faults(page: &mut Page, review: &Review) {
    if review.faults.len() < 2 {
        return;
    }
    page.heading("FURTHER FAULTS, in the order of cause: the first often explains the later ones");
    for fault in &review.faults[1..] {
        page.paragraph(2, 4, &format!("{} {}", shape(Word::Fault), name_of(fault)));
        let go = fault
            .go_back_to
            .first()
            .map_or_else(String::new, |drill| format!(" Go to {}.", drill.id));
        page.paragraph(4, 4, &format!("\"{}\"{go}", fault.cue));
    }
}

/// Titles of checks with the same answer to the same question, in order.
fn grouped(review: &Review, word: Word) -> Vec<(&str, Vec<String>)> {
    let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
    for check in review.checks.iter().filter(|check| check.verdict.word == word) {
        let why = check.verdict.why.as_deref().unwrap_or_default();
        let title = match check.verdict.outside {
            Some(outside) => format!("{} ({:.0} % likely outside its band)", check.title, outside * 100.0),
            None => check.title.clone(),
        };
        match groups.iter_mut().find(|group| group.0 == why) {
            Some(group) => group.1.push(title),
            None => groups.push((why, vec![title])),
        }
    }
    groups
}

fn open_questions(page: &mut Page, review: &Review) {
    let close = grouped(review, Word::TooClose);
    if !close.is_empty() {
        page.heading("TOO CLOSE TO CALL");
        for (settles, titles) in close {
            page.paragraph(2, 4, &format!("{} {}", shape(Word::TooClose), titles.join("; ")));
            page.paragraph(4, 4, &format!("Would settle it: {settles}."));
        }
    }
    let unseen = grouped(review, Word::NotSeen);
    if !unseen.is_empty() {
        page.heading("NOT SEEN");
        for (why, titles) in unseen {
            page.paragraph(2, 4, &format!("{} {}", shape(Word::NotSeen), titles.join("; ")));
            page.paragraph(4, 4, &format!("Because: {why}."));
        }
    }
}

fn deductions(page: &mut Page, review: &Review) {
    let mut asked = review
        .checks
        .iter()
        .filter_map(|check| Some((check, check.deduction.as_ref()?)))
        .peekable();
    if asked.peek().is_none() {
        return;
    }
    page.heading("DEDUCTIONS OF A PUBLISHED TABLE");
    page.paragraph(2, 2, NOT_A_SCORE);
    for (check, deduction) in asked {
        let most = if deduction.up_to { "up to " } else { "" };
        page.two_ends(2, &check.title, &format!("{most}{:.2}", deduction.points));
        page.faint(6, &deduction.source);
    }
}

fn events(page: &mut Page, review: &Review) {
    if review.events.is_empty() && review.missing_events.is_empty() {
        return;
    }
    let words = |id: &str| EventKind::from_id(id).map_or_else(|| id.to_owned(), |kind| kind.words().to_owned());
    page.heading("EVENTS");
    for event in &review.events {
        let stand_in = event
            .stand_in
            .as_ref()
            .map_or_else(String::new, |joint| format!(", by the {joint}"));
        page.paragraph(
            2,
            4,
            &format!(
                "{:.3} s ± {:.3}  {} ({}{stand_in})",
                event.time_s,
                event.sd_s,
                words(&event.event),
                event.how
            ),
        );
    }
    if !review.missing_events.is_empty() {
        let missing: Vec<String> = review.missing_events.iter().map(|id| words(id)).collect();
        page.paragraph(2, 4, &format!("Not found: {}.", missing.join(", ")));
    }
}

fn provenance(page: &mut Page, review: &Review) {
    let (drill, from) = (&review.drill, &review.provenance);
    let cutoff = from.cutoff_hz.map_or_else(
        || "smoothing off".to_owned(),
        |hz| format!("smoothed at {} Hz", amount((hz * 100.0).round() / 100.0)),
    );
    page.heading("HOW THESE NUMBERS CAME ABOUT");
    page.paragraph(
        2,
        2,
        &format!(
            "{}; drill {}, version {}, by {}; points {}; segment table {}; {cutoff}; point sd: {}, {}; Monte Carlo seed {}.",
            from.program,
            drill.id,
            drill.version,
            drill.author,
            from.layout,
            from.segment_table,
            from.point_sd,
            from.error_over_time,
            from.monte_carlo_seed
        ),
    );
    page.paragraph(2, 4, &format!("spec sha256 {}", drill.sha256));
}
