//! Exact points, smoothing off: angles and distances as they are.

use rayon::prelude::*;
use springline_kinematics::series::Smoothing;
use springline_kinematics::{Measure, Side, Taken, Unit};

use crate::figures::Figures;
use crate::{scene, truths};

const ATTEMPTS: u64 = 60;

pub fn check(figures: &mut Figures) {
    let drill = scene::drill();
    let worst: Vec<(f64, f64, usize)> = (0..ATTEMPTS)
        .into_par_iter()
        .map(|seed| {
            let filmed = scene::any(seed).film(&scene::exact(), seed);
            let trial = scene::trial(&filmed, &drill, Smoothing::Off);
            let (mut angle, mut length, mut values) = (0f64, 0f64, 0);
            let leg_px = filmed.truth.leg_m() * filmed.recording.camera.px_per_m();
            for &time in &filmed.tracks.times {
                for &measure in Measure::ALL.iter().filter(|m| m.taken() == Taken::AnyTime) {
                    for side in Side::BOTH {
                        let unit = measure.units()[0];
                        // Velocities are not exact: they come from frames.
                        let carried = matches!(measure, Measure::ArrivalLean | Measure::MassOverFoot);
                        let (false, Ok(value), Some(truth)) = (
                            carried,
                            trial.at(measure, side, time, 0.0, false, unit),
                            truths::at(&filmed.truth, measure, side, time),
                        ) else {
                            continue;
                        };
                        let off = value.value - truth;
                        values += 1;
                        match unit {
                            Unit::Degrees => angle = angle.max((off - 360.0 * (off / 360.0).round()).abs()),
                            // The heel's own flat height is taken from the clip, not given.
                            Unit::LegLengths if measure != Measure::HeelHeight => length = length.max(off.abs()),
                            _ => {}
                        }
                    }
                }
            }
            assert!(
                (trial.leg().value / leg_px - 1.0).abs() < 1e-3,
                "leg length {} of {leg_px}",
                trial.leg().value
            );
            (angle, length, values)
        })
        .collect();
    let angle = worst.iter().map(|w| w.0).fold(0.0, f64::max);
    let length = worst.iter().map(|w| w.1).fold(0.0, f64::max);
    let values: usize = worst.iter().map(|w| w.2).sum();
    let section = "exact points, smoothing off";
    figures.must(
        section,
        &format!("largest error of an angle ({values} values)"),
        format!("{angle:.4}°"),
        "at most 0.01°",
        angle <= 0.01,
    );
    figures.must(
        section,
        "largest error of a distance, share of leg length",
        format!("{:.3} %", 100.0 * length),
        "at most 0.1 %",
        length <= 0.001,
    );
}
