//! How long an import takes beside only parsing the same bytes, on synthetic COCO results lists.

#![allow(missing_docs, clippy::unwrap_used)]

#[path = "../tests/figure/mod.rs"]
mod figure;

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use serde::Deserialize;
use springline_keypoints::{ImportOptions, import_bytes};

/// What a plain reader would parse.
#[derive(Deserialize)]
struct Entry {
    keypoints: Numbers,
}

/// 51 numbers, straight into an array.
struct Numbers([f32; 51]);

impl<'de> Deserialize<'de> for Numbers {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct List;
        impl<'de> serde::de::Visitor<'de> for List {
            type Value = Numbers;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("51 numbers")
            }
            fn visit_seq<A: serde::de::SeqAccess<'de>>(self, mut seq: A) -> Result<Numbers, A::Error> {
                let mut numbers = [0.0; 51];
                for number in &mut numbers {
                    *number = seq.next_element()?.ok_or_else(|| serde::de::Error::custom("short"))?;
                }
                match seq.next_element::<f32>()? {
                    None => Ok(Numbers(numbers)),
                    Some(_) => Err(serde::de::Error::custom("long")),
                }
            }
        }
        from.deserialize_seq(List)
    }
}

fn results(frames: usize) -> String {
    let rate = 60.0;
    let exact: Vec<_> = (0..frames)
        .map(|frame| figure::over_the_hands((frame % 120) as f64 / rate))
        .collect();
    figure::writers::coco_results(&[figure::seen(&exact, 1.5, 0.05, 1)], false)
}

fn benches(criterion: &mut Criterion) {
    for frames in [120_usize, 1_200, 12_000] {
        let text = results(frames);
        let mut group = criterion.benchmark_group(format!("coco-results/{frames}"));
        group.throughput(Throughput::Bytes(text.len() as u64)).sample_size(30);
        group.bench_function("parse only", |bench| {
            bench.iter(|| {
                let entries: Vec<Entry> = serde_json::from_slice(black_box(text.as_bytes())).unwrap();
                entries.iter().map(|entry| entry.keypoints.0[0]).sum::<f32>()
            });
        });
        let options = ImportOptions {
            rate_hz: Some(60.0),
            ..ImportOptions::default()
        };
        group.bench_function("import", |bench| {
            bench.iter(|| import_bytes("bench", black_box(text.as_bytes()), &options).unwrap());
        });
        let kept = ImportOptions {
            keep_sides: true,
            ..options
        };
        group.bench_function("import, sides kept", |bench| {
            bench.iter(|| import_bytes("bench", black_box(text.as_bytes()), &kept).unwrap());
        });
        group.finish();
    }
}

criterion_group!(import, benches);
criterion_main!(import);
