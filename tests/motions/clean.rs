//! Motions done as they should be, by the drills that they are for: events where they are, and no fault.

use springline_assess::{Assessment, Outcome, Verdict};
use springline_drills::Drill;
use springline_kinematics::EventKind;
use springline_kinematics::events::Found;
use springline_simulate::Facing;

use crate::catalogue::{self, Motion};
use crate::scene::{self, Clip, Extra, Film};

/// The events that differ from the truth, in words.
fn wrong_events(drill: &Drill, clip: &Clip, found: &Found, film: &Film) -> Vec<String> {
    // Two frames, but hops are known to no better than 0.02 s.
    let frames = (2.0 / film.rate_hz + 1e-9).max(0.02);
    let tolerance = if film.noise_px > 0.0 { frames.max(0.05) } else { frames };
    let listed = drill.events.expected.iter().chain(&drill.events.optional);
    listed
        .filter_map(|kind| {
            let found = found.event(*kind);
            match (clip.truth.event(*kind), found) {
                // What follows a hold keeps still too, so that the hold goes on.
                _ if *kind == EventKind::HoldEnd && film.after != Extra::None => None,
                // A hop's own sd says how well its instants can be known.
                (Some(truth), Some(event)) => ((event.time - truth).abs() > tolerance.max(3.0 * event.sd))
                    .then(|| format!("{} off by {:+.3} s", kind.id(), event.time - truth)),
                (Some(_), None) => Some(format!("{} missed", kind.id())),
                // A handstand short of the vertical is inverted where it comes nearest to it.
                (None, Some(_)) if *kind != EventKind::Inverted => Some(format!("{} invented", kind.id())),
                _ => None,
            }
        })
        .collect()
}

/// What is not as it should be, in words. Noise may leave a check too close to call, never make it a fault.
fn wrong_checks(assessment: &Assessment, noisy: bool) -> Vec<String> {
    let outcome = match &assessment.outcome {
        Outcome::Good => None,
        Outcome::NotCounted { why } if noisy && !why.contains("not seen") => None,
        other => Some(format!("{}: {other:?}", other.word())),
    };
    let checks = assessment.checks.iter().filter_map(|check| match &check.verdict {
        Verdict::Good { .. } => None,
        Verdict::TooClose { .. } if noisy => None,
        other => Some(format!("{}: {other:?} of {:?}", check.id, check.measured)),
    });
    outcome.into_iter().chain(checks).collect()
}

fn check(motion: &Motion, film: Film) -> Option<String> {
    let drill = scene::drill(motion.drill);
    let clip = scene::film(&motion.act, film);
    let (trial, assessment) = scene::review(&clip, &drill);
    let mut wrong = wrong_events(&drill, &clip, trial.found(), &film);
    wrong.extend(wrong_checks(&assessment, film.noise_px > 0.0));
    (!wrong.is_empty()).then(|| format!("{} by {}, {film:?}: {}", motion.name, motion.drill, wrong.join("; ")))
}

#[test]
fn every_motion_is_good_by_its_own_drill() {
    let mut wrong = Vec::new();
    for motion in catalogue::clean() {
        for padded in [false, true] {
            for noise_px in [0.0, 3.0] {
                for (k, rate_hz) in [30.0, 60.0, 120.0].into_iter().enumerate() {
                    for seed in 0..if noise_px > 0.0 { 2 } else { 1 } {
                        let film = Film {
                            rate_hz,
                            noise_px,
                            facing: if (k as u64 + seed).is_multiple_of(2) {
                                Facing::Right
                            } else {
                                Facing::Left
                            },
                            seed,
                            before: if padded { motion.before } else { Extra::None },
                            after: if padded { motion.after } else { Extra::None },
                            girdle: motion.girdle,
                            ..Film::exact()
                        };
                        wrong.extend(check(&motion, film));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}
