//! Whether a probability of lying outside is one.
//!
//! As measures section 8 defines it: truths spread evenly to 4 sd either side of the limit. The truth of an attempt is what
//! it is; so the limit is drawn evenly to 4 sd either side of it, which spreads the truth evenly about the limit.

use rayon::prelude::*;
use springline_assess::{probability_outside, take};
use springline_drills::Band;
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::Fold;

use crate::figures::Figures;
use crate::scene::{self, Spoilt};
use crate::truths;

const ATTEMPTS: u64 = 640;

#[derive(Clone)]
struct Checked {
    id: String,
    outside: f64,
    truly: bool,
}

pub fn check(figures: &mut Figures) {
    for (words, spoilt, must) in [
        ("independent noise, 3 px", Spoilt::Independent(3.0), true),
        ("one offset a landmark and clip, 3 px", Spoilt::Shared(3.0), false),
    ] {
        let checks = checks(spoilt);
        by_check(&checks);
        let section = if must {
            "verdicts: share truly outside, by tenth of probability"
        } else {
            "the same with errors shared by all frames"
        };
        for tenth in 0..10 {
            let low = f64::from(tenth) / 10.0;
            let inside: Vec<Checked> = checks
                .iter()
                .filter(|c| c.outside >= low && (c.outside < low + 0.1 || tenth == 9))
                .cloned()
                .collect();
            let stated = inside.iter().map(|c| c.outside).sum::<f64>() / inside.len() as f64;
            let truly = inside.iter().filter(|c| c.truly).count() as f64 / inside.len() as f64;
            let what = format!("{low:.1} to {:.1}, {words} ({} checks)", low + 0.1, inside.len());
            let got = format!("{truly:.3} at {stated:.3}");
            let good = (truly - stated).abs() <= 0.05 && inside.len() >= 800;
            if must {
                figures.must(section, &what, got, "within 0.05, 800 checks", good);
            } else {
                figures.tell(section, &what, got, "within 0.05, 800 checks", good);
            }
        }
    }
}

fn checks(spoilt: Spoilt) -> Vec<Checked> {
    let drill = scene::drill();
    (0..ATTEMPTS)
        .into_par_iter()
        .flat_map_iter(|seed| {
            let act = scene::any(seed);
            let filmed = scene::film(&act, 60.0, spoilt, 0.0, seed + 90_000);
            let trial = scene::trial(&filmed, &drill, Smoothing::default());
            let mut draws = scene::draws(seed);
            let mut checked = Vec::new();
            for check in &drill.checks {
                for _ in 0..3 {
                    // The worse side depends on which way the band is open, so the band comes first.
                    let upper = draws.unit() < 0.5;
                    let open = |limit| {
                        if upper {
                            Band {
                                at_least: None,
                                at_most: Some(limit),
                            }
                        } else {
                            Band {
                                at_least: Some(limit),
                                at_most: None,
                            }
                        }
                    };
                    let Ok((first, _)) = take(&trial, check.quantity, check.unit, open(0.0)) else {
                        continue;
                    };
                    let Some(truth) = truths::of(&filmed.truth, check.quantity, &trial, open(0.0)) else {
                        continue;
                    };
                    if first.sd == 0.0 {
                        continue;
                    }
                    let limit = truth + draws.between(-4.0, 4.0) * first.sd;
                    // A limit that no value can pass is none.
                    let possible = match first.fold {
                        Some(Fold::FromStraight) => (0.0..=180.0).contains(&limit),
                        Some(Fold::FromZero) => limit >= 0.0,
                        None => true,
                    };
                    if !possible {
                        continue;
                    }
                    let band = open(limit);
                    let Ok(outside) = springline_assess::outside(&trial, check.quantity, check.unit, band) else {
                        continue;
                    };
                    let _ = probability_outside(&first, band);
                    checked.push(Checked {
                        id: check.id.clone(),
                        outside,
                        truly: truths::outside(truth, band) > 0.0,
                    });
                }
            }
            checked
        })
        .collect()
}

/// Tells, check by check, how far the share truly outside is from what was stated (seen with `--nocapture`).
fn by_check(checks: &[Checked]) {
    let mut ids: Vec<&str> = checks.iter().map(|c| c.id.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    for id in ids {
        let middle: Vec<&Checked> = checks
            .iter()
            .filter(|c| c.id == id && (0.1..0.9).contains(&c.outside))
            .collect();
        let all = middle.len().max(1) as f64;
        let stated = middle.iter().map(|c| c.outside).sum::<f64>() / all;
        let truly = middle.iter().filter(|c| c.truly).count() as f64 / all;
        println!(
            "    {id}: truly outside {truly:.2} where {stated:.2} was stated ({} checks)",
            middle.len()
        );
    }
}
