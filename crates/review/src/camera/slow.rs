//! Whether the camera is too slow for what the drill asks.

use springline_drills::{Check, Drill, Quantity, When};
use springline_kinematics::Phase;
use springline_kinematics::trial::Trial;

/// Fewer frames than this show nothing of a phase's course (a smoothed value takes its neighbours in).
const LEAST_FRAMES: f64 = 4.0;
/// Fewer than this and there is no such phase: a fault, and no matter of the rate.
const NO_FRAMES: f64 = 0.5;
/// From this rate on the camera is not what is wrong with a short phase, frames a second; what is meant to be 50 may be a little less.
const FAST_HZ: f64 = 49.0;
/// Rates that cameras have, frames a second.
const RATES_HZ: [f64; 5] = [50.0, 60.0, 100.0, 120.0, 240.0];

/// Phases of the drill that so slow a camera shows in too few frames, in words.
pub(crate) fn too_slow(drill: &Drill, trial: &Trial) -> Option<String> {
    let rate = 1.0 / trial.series().interval();
    if rate >= FAST_HZ {
        return None;
    }
    let short: Vec<(Phase, f64)> = Phase::ALL
        .into_iter()
        .filter(|phase| counts(*phase) && drill.checks.iter().any(|check| looks_over(check, *phase)))
        .filter_map(|phase| {
            let [(start, _), (end, _)] = trial.found().phase(phase, trial.clip())?;
            Some((phase, end - start))
        })
        // What reads as four is enough.
        .filter(|(_, seconds)| (NO_FRAMES..LEAST_FRAMES - 0.05).contains(&(seconds * rate)))
        .collect();
    let shortest = short.iter().map(|(_, seconds)| *seconds).min_by(f64::total_cmp)?;
    let told: Vec<String> = short
        .iter()
        .map(|(phase, seconds)| format!("the {} in {:.1}", phase.id().replace('_', " "), seconds * rate))
        .collect();
    let enough = RATES_HZ.into_iter().find(|rate| shortest * rate >= LEAST_FRAMES);
    let instead = match enough {
        Some(hz) => format!("film at {hz} frames a second or more"),
        None => "film as fast as the camera can".to_owned(),
    };
    Some(format!(
        "the camera is too slow for this drill: at {rate:.0} frames a second it shows {} frames, and what happens over them asks \
         for {LEAST_FRAMES}: {instead}",
        told.join(" and ")
    ))
}

/// A landing is the shorter the more upright it is, which is no matter of the rate; the clip is as long as it is.
fn counts(phase: Phase) -> bool {
    !matches!(phase, Phase::Landing | Phase::Clip)
}

fn looks_over(check: &Check, phase: Phase) -> bool {
    let over = |when: When| matches!(when, When::Over { phase: this, .. } if this == phase);
    match check.quantity {
        Quantity::Single(one) => over(one.when),
        Quantity::Difference(one, other) => over(one.when) || over(other.when),
        Quantity::TimeBetween(..) => false,
    }
}
