//! Whether stated standard uncertainties are what the errors are.

use rayon::prelude::*;
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::Trial;
use springline_kinematics::{EventKind, Measure, Side};
use springline_simulate::Synthetic;

use crate::figures::Figures;
use crate::scene::{self, Spoilt};
use crate::truths;

/// The errors have heavy tails: over fewer attempts the figures wander by a tenth from one set of seeds to the next.
const ATTEMPTS: u64 = 1280;
const MEASURES: [Measure; 10] = [
    Measure::ShoulderOpening,
    Measure::HipAngle,
    Measure::KneeAngle,
    Measure::ElbowAngle,
    Measure::AnkleAngle,
    Measure::TrunkInclination,
    Measure::BodyLineLean,
    Measure::LegGap,
    Measure::HeadTilt,
    Measure::LandingLean,
];
const EVENTS: [EventKind; 5] = [
    EventKind::HandPlacement,
    EventKind::Inverted,
    EventKind::HandDeparture,
    EventKind::FeetTouchdown,
    EventKind::Settled,
];

pub fn check(figures: &mut Figures) {
    for (words, spoilt) in [
        ("independent noise, 3 px", Spoilt::Independent(3.0)),
        ("noise of correlation 0.6, 3 px", Spoilt::Correlated(3.0, 0.6)),
        ("one offset a landmark and clip, 3 px", Spoilt::Shared(3.0)),
    ] {
        let section = "angles at events: RMS error by RMS stated sd";
        let all = errors(spoilt);
        for measure in MEASURES {
            let pairs: Vec<(f64, f64)> = all.iter().filter(|one| one.0 == measure).map(|one| one.1).collect();
            let rms = |values: &mut dyn Iterator<Item = f64>| {
                let (sum, n) = values.fold((0.0, 0), |(sum, n), v| (sum + v * v, n + 1));
                (sum / f64::from(n)).sqrt()
            };
            let ratio = rms(&mut pairs.iter().map(|p| p.0)) / rms(&mut pairs.iter().map(|p| p.1));
            let what = format!("{}, {words} ({} values)", measure.words(), pairs.len());
            let good = (0.9..=1.1).contains(&ratio) && pairs.len() >= 500;
            let must = !matches!(spoilt, Spoilt::Shared(_));
            if must {
                figures.must(section, &what, format!("{ratio:.2}"), "0.9 to 1.1, 500 values", good);
            } else {
                figures.tell(section, &what, format!("{ratio:.2}"), "0.9 to 1.1, 500 values", good);
            }
        }
    }
}

/// `(error, stated sd)` of every value that the events give. Joints measured unsigned are taken where they are bent by
/// more than 2 sd: nearer to straight the unsigned value folds and errs less than its sd.
fn errors(spoilt: Spoilt) -> Vec<(Measure, (f64, f64))> {
    let drill = scene::drill();
    (0..ATTEMPTS)
        .into_par_iter()
        .flat_map_iter(|seed| {
            let act = scene::any(seed);
            let filmed = scene::film(&act, 60.0, spoilt, 0.0, seed + 7_000);
            let trial = scene::trial(&filmed, &drill, Smoothing::default());
            let mut pairs = Vec::new();
            for measure in MEASURES {
                for kind in EVENTS {
                    at_event(&filmed, &trial, measure, kind, &mut pairs);
                }
            }
            pairs
        })
        .collect()
}

fn at_event(
    filmed: &Synthetic,
    trial: &Trial,
    measure: Measure,
    kind: EventKind,
    pairs: &mut Vec<(Measure, (f64, f64))>,
) {
    let (Some(found), Some(time)) = (trial.found().event(kind), filmed.truth.event(kind)) else {
        return;
    };
    // A landing leans only once the feet are down.
    if measure == Measure::LandingLean && !matches!(kind, EventKind::FeetTouchdown | EventKind::Settled) {
        return;
    }
    let corner = !matches!(kind, EventKind::Inverted | EventKind::Settled);
    let sides = if measure.is_sided() { 2 } else { 1 };
    for side in Side::BOTH.into_iter().take(sides) {
        let unit = measure.units()[0];
        let (Ok(value), Some(truth)) = (
            trial.at(measure, side, found.time, found.sd, corner, unit),
            truths::at(&filmed.truth, measure, side, time),
        ) else {
            continue;
        };
        let folded = match measure {
            Measure::ElbowAngle => 180.0 - truth < 2.0 * value.sd,
            Measure::LegGap => truth < 2.0 * value.sd,
            _ => false,
        };
        if folded {
            continue;
        }
        let off = value.value - truth;
        pairs.push((measure, (off - 360.0 * (off / 360.0).round(), value.sd)));
    }
}
