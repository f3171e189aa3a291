//! Events against their true times.

use rayon::prelude::*;
use springline_kinematics::EventKind;
use springline_kinematics::series::Smoothing;

use crate::figures::Figures;
use crate::scene::{self, Spoilt};
use crate::truths;

const ATTEMPTS: u64 = 500;
/// Legs that end up about as far apart as counts as together join at no clear instant, nor do legs that join in the last
/// two frames before the hands leave or the feet land: left out. By this much they are told apart, degrees.
const CLEAR_GAP: f64 = 3.0;

#[derive(Default, Clone)]
struct Tally {
    found: usize,
    within_one: usize,
    within_two: usize,
    within_33_ms: usize,
    missed: usize,
    invented: usize,
    /// Attempts in which every event is within one, within two frames.
    whole: [usize; 2],
}

pub fn check(figures: &mut Figures) {
    let exact = tally(60.0, Spoilt::Independent(0.0), 0.0);
    let section = "events, exact points at 60 fps";
    let share = |part: usize, whole: usize| 100.0 * part as f64 / whole as f64;
    let (one, two) = (
        share(exact.within_one, exact.found),
        share(exact.within_two, exact.found),
    );
    figures.must(
        section,
        &format!("within 1 frame ({} events of {ATTEMPTS} attempts)", exact.found),
        format!("{one:.1} %"),
        "at least 95 %",
        one >= 95.0,
    );
    figures.must(
        section,
        "within 2 frames",
        format!("{two:.1} %"),
        "at least 99 %",
        two >= 99.0,
    );
    let attempts = ATTEMPTS as usize;
    figures.tell(
        section,
        "attempts with every event within 1 frame, within 2 frames",
        format!(
            "{:.1} %, {:.1} %",
            share(exact.whole[0], attempts),
            share(exact.whole[1], attempts)
        ),
        "",
        true,
    );
    figures.must(
        section,
        "events missed, invented",
        format!("{}, {}", exact.missed, exact.invented),
        "none",
        exact.missed + exact.invented == 0,
    );
    let section = "events, 3 px noise at 1080p, 10 % dropouts";
    for rate in [24.0, 30.0, 60.0, 120.0, 240.0] {
        let noisy = tally(rate, Spoilt::Independent(3.0), 0.1);
        let all = noisy.found + noisy.missed;
        let good = share(noisy.within_33_ms, all);
        let what = format!("within 33 ms at {rate} fps ({all} events; a missed one counts as wrong)");
        if rate < 30.0 {
            figures.tell(section, &what, format!("{good:.1} %"), "", true);
        } else {
            figures.must(
                section,
                &what,
                format!("{good:.1} %"),
                "at least 90 % (aim 95 %)",
                good >= 90.0,
            );
        }
        figures.tell(
            section,
            &format!("missed, invented at {rate} fps"),
            format!("{}, {}", noisy.missed, noisy.invented),
            "",
            true,
        );
    }
}

fn tally(rate: f64, spoilt: Spoilt, dropouts: f64) -> Tally {
    let drill = scene::drill();
    let all: Vec<Tally> = (0..ATTEMPTS)
        .into_par_iter()
        .map(|seed| {
            let act = scene::any(seed);
            let filmed = scene::film(&act, rate, spoilt, dropouts, seed);
            let exact = spoilt == Spoilt::Independent(0.0);
            let trial = scene::trial(
                &filmed,
                &drill,
                if exact { Smoothing::Off } else { Smoothing::default() },
            );
            let mut tally = Tally {
                whole: [1, 1],
                ..Tally::default()
            };
            let interval = 1.0 / rate;
            for (kind, truth) in truths::events(&filmed.truth) {
                if kind == EventKind::LegsTogether && !clear_gap(&filmed.truth, 2.0 * interval) {
                    continue;
                }
                match (truth, trial.found().event(kind)) {
                    (Some(truth), Some(found)) => {
                        let off = (found.time - truth).abs();
                        tally.found += 1;
                        tally.within_one += usize::from(off <= interval + 1e-9);
                        tally.within_two += usize::from(off <= 2.0 * interval + 1e-9);
                        tally.within_33_ms += usize::from(off <= 0.0334);
                        tally.whole[0] &= usize::from(off <= interval + 1e-9);
                        tally.whole[1] &= usize::from(off <= 2.0 * interval + 1e-9);
                    }
                    (Some(_), None) => {
                        tally.missed += 1;
                        tally.whole = [0, 0];
                    }
                    (None, Some(_)) => {
                        tally.invented += 1;
                        tally.whole = [0, 0];
                    }
                    (None, None) => {}
                }
            }
            tally
        })
        .collect();
    all.into_iter().fold(Tally::default(), |a, b| Tally {
        found: a.found + b.found,
        within_one: a.within_one + b.within_one,
        within_two: a.within_two + b.within_two,
        within_33_ms: a.within_33_ms + b.within_33_ms,
        missed: a.missed + b.missed,
        invented: a.invented + b.invented,
        whole: [a.whole[0] + b.whole[0], a.whole[1] + b.whole[1]],
    })
}

/// Whether the true gap at departure and touchdown is clearly within or beyond what counts as together, then and `before`
/// seconds before.
fn clear_gap(truth: &springline_simulate::Truth, before: f64) -> bool {
    let gap = |time: f64| {
        truth
            .value(springline_kinematics::Measure::LegGap, None, time)
            .unwrap_or(0.0)
    };
    [EventKind::HandDeparture, EventKind::FeetTouchdown]
        .into_iter()
        .filter_map(|kind| truth.event(kind))
        .all(|time| {
            let (then, earlier) = (gap(time), gap(time - 1.25 * before));
            (then - 15.0).abs() > CLEAR_GAP && (earlier - 15.0).abs() > CLEAR_GAP && (then > 15.0) == (earlier > 15.0)
        })
}
