//! The scale that gravity gives is as sure as it says: simulated flights of known scale.

#![allow(clippy::unwrap_used)]

use springline_assess::search_of;
use springline_drills::Catalogue;
use springline_kinematics::ballistics::{BODY_MODEL_SHARE, GravityScale};
use springline_kinematics::gym_plane::FloorLine;
use springline_kinematics::trial::{Settings, Trial};
use springline_kinematics::{Measure, Uncertain, Unit};
use springline_simulate::{Act, Noise, Params, Recording};

/// Error and stated uncertainty of the scale, both as shares of it, for flights that were not refused.
fn errors(rate_hz: f64, noise: Noise) -> Vec<(f64, f64)> {
    let catalogue = Catalogue::shipped();
    let search = search_of(catalogue.drill("handspring-floor").unwrap(), &[]);
    (0..150)
        .filter_map(|seed| {
            let act = Act::handspring(&Params::random(seed)).ok()?;
            let mut recording = Recording::exact().at_rate(rate_hz);
            recording.noise = noise;
            let filmed = act.film(&recording, seed);
            let settings = Settings {
                floor: Some(FloorLine {
                    points: filmed.truth.view().floor_line(),
                    sd: 0.5,
                }),
                search: search.clone(),
                ..Settings::default()
            };
            let found = Trial::new(filmed.tracks.clone(), &settings)
                .unwrap()
                .scale_from_gravity()
                .ok()
                .filter(|found| found.good_for != GravityScale::Refused)?;
            let truth = 1.0 / filmed.recording.camera.px_per_m();
            Some((found.scale.value / truth - 1.0, found.scale.sd / found.scale.value))
        })
        .collect()
}

#[test]
fn a_scale_from_gravity_is_as_sure_as_it_says() {
    for (rate_hz, noise) in [
        (
            60.0,
            Noise {
                independent_px: 1.0,
                ..Noise::default()
            },
        ),
        (
            60.0,
            Noise {
                independent_px: 3.0,
                ..Noise::default()
            },
        ),
        (
            120.0,
            Noise {
                correlated_px: 3.0,
                rho: 0.6,
                ..Noise::default()
            },
        ),
    ] {
        let errors = errors(rate_hz, noise);
        assert!(errors.len() >= 120, "{} of 150", errors.len());
        // The simulated body is the table's, so the body model's share is taken out again.
        let square: f64 = errors
            .iter()
            .map(|(error, sd)| error * error / (sd * sd - BODY_MODEL_SHARE * BODY_MODEL_SHARE))
            .sum();
        let ratio = (square / errors.len() as f64).sqrt();
        assert!((0.7..1.15).contains(&ratio), "{noise:?} at {rate_hz}: {ratio}");
        let within = errors.iter().filter(|(error, sd)| error.abs() <= 2.0 * sd).count();
        assert!(within * 100 >= errors.len() * 95, "{within} of {}", errors.len());
    }
}

#[test]
fn a_rise_is_as_sure_as_it_says() {
    let catalogue = Catalogue::shipped();
    let search = search_of(catalogue.drill("handspring-floor").unwrap(), &[]);
    // Scales that are off by what they say, 4 %: quantiles of the normal curve, in turn.
    let quantiles = [
        -1.645, -1.036, -0.674, -0.385, -0.126, 0.126, 0.385, 0.674, 1.036, 1.645,
    ];
    for independent_px in [1.0, 3.0] {
        let (mut square, mut count) = (0.0, 0);
        for seed in 0..150 {
            let Ok(act) = Act::handspring(&Params::random(seed)) else {
                continue;
            };
            let mut recording = Recording::exact();
            recording.noise.independent_px = independent_px;
            let filmed = act.film(&recording, seed);
            let off = 1.0 + 0.04 * quantiles[seed as usize % 10];
            let scale = off / filmed.recording.camera.px_per_m();
            let settings = Settings {
                floor: Some(FloorLine {
                    points: filmed.truth.view().floor_line(),
                    sd: 0.5,
                }),
                metres_per_px: Some(Uncertain::new(scale, 0.04 * scale)),
                search: search.clone(),
                ..Settings::default()
            };
            let trial = Trial::new(filmed.tracks.clone(), &settings).unwrap();
            let (Ok(rise), Some(truth)) = (
                trial.once(Measure::RiseAfterDeparture, Unit::Metres),
                filmed.truth.once(Measure::RiseAfterDeparture),
            ) else {
                continue;
            };
            square += ((rise.value - truth) / rise.sd).powi(2);
            count += 1;
        }
        let ratio = (square / f64::from(count)).sqrt();
        assert!(count >= 120 && (0.8..1.3).contains(&ratio), "{ratio} over {count}");
    }
}
