//! Motions done as they should be.

use springline_assess::{Outcome, Verdict};
use springline_kinematics::EventKind;
use springline_simulate::Facing;

use crate::catalogue::{self, Motion};
use crate::scene::{self, Clip, Extra, Film};

/// The true time of an event in the clip.
fn truth(clip: &Clip, kind: EventKind) -> Option<f64> {
    clip.truth.event(kind)
}

#[test]
fn explore() {
    let verbose = std::env::var_os("V").is_some();
    for motion in catalogue::clean() {
        let drill = scene::drill(motion.drill);
        for padded in [false, true] {
            for noise_px in [0.0, 3.0] {
                for rate_hz in [30.0, 60.0, 120.0] {
                    let mut lines = std::collections::BTreeMap::<String, usize>::new();
                    for facing in [Facing::Right, Facing::Left] {
                        for seed in 0..if noise_px > 0.0 { 5 } else { 1 } {
                            let film = Film {
                                rate_hz,
                                noise_px,
                                facing,
                                seed,
                                before: if padded { motion.before } else { Extra::None },
                                after: if padded { motion.after } else { Extra::None },
                                ..Film::exact()
                            };
                            let clip = scene::film(&motion.act, film);
                            let (trial, assessment) = scene::review(&clip, &drill);
                            let tolerance = if noise_px > 0.0 { 0.05f64 } else { 2.0 / rate_hz + 1e-9 };
                            let listed = drill.events.expected.iter().chain(&drill.events.optional);
                            for kind in listed {
                                match (truth(&clip, *kind), trial.found().event(*kind)) {
                                    (Some(t), Some(f)) if (f.time - t).abs() > tolerance => {
                                        *lines.entry(format!("{} off", kind.id())).or_default() += 1;
                                        if verbose {
                                            println!(
                                                "   {} off {:+.3} (true {t:.3}) seed {seed} sd {:.3}",
                                                kind.id(),
                                                f.time - t,
                                                f.sd
                                            )
                                        }
                                    }
                                    (Some(_), None) => *lines.entry(format!("{} missed", kind.id())).or_default() += 1,
                                    (None, Some(f)) => {
                                        *lines.entry(format!("{} invented", kind.id())).or_default() += 1;
                                        if verbose {
                                            println!("   {} invented at {:.3}", kind.id(), f.time)
                                        }
                                    }
                                    _ => {}
                                }
                            }
                            match &assessment.outcome {
                                Outcome::Good => {}
                                Outcome::NotThere { missing } => {
                                    *lines.entry(format!("NOT THERE {missing:?}")).or_default() += 1
                                }
                                Outcome::NotCounted { why } => {
                                    *lines.entry(format!("not counted {why}")).or_default() += 1
                                }
                                Outcome::NotGood => *lines.entry("NOT GOOD".into()).or_default() += 1,
                            }
                            for check in &assessment.checks {
                                match &check.verdict {
                                    Verdict::Good { .. } => {}
                                    Verdict::Fault { .. } => {
                                        *lines
                                            .entry(format!(
                                                "fault {} {:?}",
                                                check.id,
                                                check.measured.as_ref().map(|m| (m.value, m.sd))
                                            ))
                                            .or_default() += 1
                                    }
                                    Verdict::NotSeen { why } => {
                                        *lines.entry(format!("not seen {}: {why}", check.id)).or_default() += 1
                                    }
                                    Verdict::TooClose { outside, .. } => {
                                        *lines.entry(format!("close {}", check.id)).or_default() += 1;
                                        if verbose {
                                            println!(
                                                "   close {} {outside:.2} {:?}",
                                                check.id,
                                                check.measured.as_ref().map(|m| (m.value, m.sd))
                                            )
                                        }
                                    }
                                }
                            }
                        }
                    }
                    println!(
                        "{:16} {:28} {} {noise_px} px {rate_hz} Hz: {lines:?}",
                        motion.name,
                        motion.drill,
                        if padded { "padded" } else { "bare  " }
                    );
                }
            }
        }
    }
}

#[allow(dead_code)]
fn unused(_: &Motion) {}
