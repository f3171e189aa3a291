//! The steps of measuring one synthetic handspring at 60 frames a second: events, single values, extremes, all checks.

#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use springline_assess::{assess, search_of};
use springline_drills::Catalogue;
use springline_kinematics::series::{Series, Smoothing};
use springline_kinematics::trial::{Settings, Statistic, Trial};
use springline_kinematics::{EventKind, Measure, Phase, Side, Unit};
use springline_simulate::{Act, Params, Recording};

fn steps(c: &mut Criterion) {
    let catalogue = Catalogue::shipped();
    let drill = catalogue.drill("handspring-floor").unwrap();
    let filmed = Act::handspring(&Params::clean())
        .unwrap()
        .film(&Recording::exact().noisy(3.0), 7);
    let settings = Settings {
        search: search_of(drill, &[]),
        ..Settings::default()
    };
    let trial = Trial::new(filmed.tracks.clone(), &settings).unwrap();
    let placed = *trial.found().event(EventKind::HandPlacement).unwrap();

    let mut group = c.benchmark_group("measure");
    group.bench_function("smooth every point", |b| {
        b.iter(|| black_box(Series::new(filmed.tracks.clone(), Smoothing::default())));
    });
    group.bench_function("points to events", |b| {
        b.iter(|| black_box(Trial::new(filmed.tracks.clone(), &settings).unwrap()));
    });
    group.bench_function("shoulder opening at hand placement", |b| {
        let at = || {
            trial.at(
                Measure::ShoulderOpening,
                Side::Left,
                placed.time,
                placed.sd,
                true,
                Unit::Degrees,
            )
        };
        b.iter(|| black_box(at().unwrap()));
    });
    for (name, statistic) in [("mean", Statistic::Mean), ("least", Statistic::Least)] {
        group.bench_function(format!("{name} elbow angle over support"), |b| {
            let over = || {
                trial.over(
                    Measure::ElbowAngle,
                    Side::Left,
                    Phase::Support,
                    statistic,
                    Unit::Degrees,
                )
            };
            b.iter(|| black_box(over().unwrap()));
        });
    }
    group.bench_function("all checks of a drill", |b| b.iter(|| black_box(assess(drill, &trial))));
    group.finish();
}

criterion_group!(benches, steps);
criterion_main!(benches);
