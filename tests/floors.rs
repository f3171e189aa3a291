//! A crate uses only crates on lower floors, and the ground floor touches nothing but numbers.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Crates and their floors; crates of one floor don't use each other.
const FLOORS: [(&str, u32); 12] = [
    ("kinematics", 0),
    ("keypoints", 1),
    ("drills", 1),
    ("footage", 1),
    ("draft", 2),
    ("track", 2),
    ("turns", 2),
    ("assess", 2),
    ("report", 3),
    ("picture", 3),
    ("review", 4),
    ("cli", 6),
];

/// For tests, examples and the demo alone: no crate is built on it.
const SUPPORT: [&str; 1] = ["simulate"];

fn crates() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Our crates among the dependencies of a manifest: those it is built on, and those of its tests.
fn edges(manifest: &str) -> (Vec<String>, Vec<String>) {
    let (mut built_on, mut tests) = (Vec::new(), Vec::new());
    let mut section = "";
    for line in manifest.lines().map(str::trim) {
        if line.starts_with('[') {
            section = line.trim_matches(['[', ']']);
            continue;
        }
        let Some(rest) = line.strip_prefix("springline-") else {
            continue;
        };
        let name: String = rest
            .chars()
            .take_while(|c| c.is_ascii_alphanumeric() || *c == '-')
            .collect();
        if section.ends_with("dev-dependencies") {
            tests.push(name);
        } else if section.ends_with("dependencies") {
            built_on.push(name);
        }
    }
    (built_on, tests)
}

#[test]
fn crates_use_lower_floors_only() {
    let floors: BTreeMap<&str, u32> = FLOORS.into_iter().collect();
    let mut seen = Vec::new();
    for entry in std::fs::read_dir(crates()).unwrap() {
        let folder = entry.unwrap().path();
        let Ok(manifest) = std::fs::read_to_string(folder.join("Cargo.toml")) else {
            continue;
        };
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let (built_on, tests) = edges(&manifest);
        let support = SUPPORT.contains(&name.as_str());
        let floor = floors.get(name.as_str()).copied();
        assert!(support || floor.is_some(), "{name} has no floor");
        for other in &built_on {
            let Some(below) = floors.get(other.as_str()) else {
                panic!("{name} is built on {other}, which is for tests alone");
            };
            if let Some(floor) = floor {
                assert!(
                    *below < floor,
                    "{name} (floor {floor}) is built on {other} (floor {below})"
                );
            }
        }
        for other in &tests {
            let known = floors.contains_key(other.as_str()) || SUPPORT.contains(&other.as_str());
            assert!(known, "{name} is tested with {other}, which has no floor");
        }
        seen.push(name);
    }
    for (name, _) in FLOORS {
        assert!(seen.iter().any(|found| found == name), "{name} is not there");
    }
    // The reader of manifests does find edges.
    let cli = std::fs::read_to_string(crates().join("cli/Cargo.toml")).unwrap();
    assert!(edges(&cli).0.contains(&"review".to_owned()));
    assert!(edges(&cli).1.contains(&"simulate".to_owned()));
}

#[test]
fn the_ground_floor_touches_no_file_clock_or_thread() {
    let mut files = vec![crates().join("kinematics/src")];
    let mut count = 0;
    while let Some(path) = files.pop() {
        if path.is_dir() {
            files.extend(std::fs::read_dir(&path).unwrap().map(|entry| entry.unwrap().path()));
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        count += 1;
        for module in ["fs", "io", "time", "thread", "env", "net", "process"] {
            let used = format!("std::{module}::");
            assert!(!text.contains(&used), "{}: {used}", path.display());
        }
        for random in ["thread_rng", "from_os_rng", "rand::rng()"] {
            assert!(!text.contains(random), "{}: {random}", path.display());
        }
    }
    assert!(count > 10);
}
