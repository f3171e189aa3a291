//! One review from bytes to record, on seeded synthetic clips of three sizes, in frames per second.

#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use springline_drills::Catalogue;
use springline_review::{Reviewer, Settings};
use springline_simulate::{Act, Facts, Layout, Params, Recording};

fn reviews(c: &mut Criterion) {
    let catalogue = Catalogue::shipped();
    let drill = catalogue.drill("handspring-floor").unwrap();
    let act = Act::handspring(&Params::clean()).unwrap();
    let mut group = c.benchmark_group("review");
    for rate in [30.0, 60.0, 240.0] {
        let filmed = act.film(&Recording::exact().noisy(3.0).at_rate(rate), 7);
        let file = filmed.to_attempt_json(Layout::Named23, &Facts::measured());
        group.throughput(Throughput::Elements(filmed.tracks.len() as u64));
        group.bench_function(format!("{rate} frames a second, {} frames", filmed.tracks.len()), |b| {
            let mut reviewer = Reviewer::new(&catalogue, Settings::default());
            b.iter(|| black_box(reviewer.review_bytes("bench", file.as_bytes(), drill).unwrap()));
        });
    }
    group.finish();
}

criterion_group!(benches, reviews);
criterion_main!(benches);
