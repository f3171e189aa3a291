//! One hour at 60 frames per second, as a COCO results list of over 90 MB, is imported in memory
//! under three times its size. By itself in this file: the peak is that of the whole process.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used)]

mod figure;

use std::fs;
use std::io::Write;

use figure::writers;
use springline_keypoints::{ImportOptions, import};

/// Resident memory of this process, bytes: the peak since the last reset, or now.
fn memory(field: &str) -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with(field)).unwrap();
    line.split_whitespace().nth(1).unwrap().parse::<u64>().unwrap() * 1024
}

#[test]
fn an_hour_fits_in_three_times_its_size() {
    let exact: Vec<_> = (0..120)
        .map(|frame| figure::over_the_hands(f64::from(frame) / 60.0))
        .collect();
    let turn = writers::coco_results(&[figure::seen(&exact, 1.5, 0.05, 1)], true).replace(",0.91", ",0.912345");
    let entries: Vec<&str> = turn.trim().trim_matches(['[', ']']).split(",\n").collect();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("hour.json");
    let mut file = std::io::BufWriter::new(fs::File::create(&path).unwrap());
    let frames = 216_000;
    for frame in 0..frames {
        let entry = entries[frame % 120];
        let rest = entry.split_once(',').unwrap().1;
        let before = if frame == 0 { "[" } else { ",\n" };
        write!(file, "{before}{{\"image_id\":{frame},{rest}").unwrap();
    }
    file.write_all(b"]\n").unwrap();
    drop(file);
    let size = fs::metadata(&path).unwrap().len();
    assert!(size > 90_000_000, "{size}");

    // Makes the peak start from here.
    fs::write("/proc/self/clear_refs", "5").unwrap();
    let before = memory("VmRSS");
    let options = ImportOptions {
        rate_hz: Some(60.0),
        ..ImportOptions::default()
    };
    let attempt = import(&path, &options).unwrap();
    let peak = memory("VmHWM");
    assert_eq!(attempt.tracks.len(), frames);
    let used = peak.saturating_sub(before);
    println!(
        "file {} MB, peak {} MB over the {} MB before",
        size >> 20,
        used >> 20,
        before >> 20
    );
    assert!(used < 3 * size, "{used} of {size}");
    // Well under the bound, not by luck.
    assert!(peak < 3 * size, "{peak} of {size}");
}
