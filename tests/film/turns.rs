//! Attempts found in film of a station: gymnasts who wait, walk up, go, walk back, some who turn round without an attempt, and other
//! people. The film is rendered; nobody in it is real.
//!
//! With `SPRINGLINE_STATION=FOLDER` every film in it that has a `.story.json` (made by
//! `cargo run --release -p springline-simulate --example film -- --long 112 --balks 8 --pipe …`) is looked through, and a line told
//! for each.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::path::Path;

use springline_footage::{Clip, Error, Picture};
use springline_simulate::film::{self, FilmSettings, Plan};
use springline_simulate::{Camera, Lens};
use springline_turns::{Attempt, Film, List, Order, deal, find_attempts, hints};

/// A film that is rendered while it is looked at.
struct Rendered {
    film: film::Film,
    times: Vec<f64>,
}

impl Rendered {
    fn station(plan: Plan, seed: u64, others: usize) -> Self {
        let settings = FilmSettings {
            size: (240, 136),
            rate_hz: 12.0,
            sub_frames: 1,
            others,
            seed,
            ..FilmSettings::default()
        };
        let camera = Camera {
            lens: Lens::Pinhole {
                distance_m: 8.0,
                height_m: 1.1,
                yaw: 0.0,
                focal_px: 2800.0,
                radial: 0.0,
            },
            ..Camera::pinhole()
        };
        let film = film::Film::of_station(plan, camera, settings).unwrap();
        let times = (0..film.frames()).map(|frame| film.time(frame)).collect();
        Self { film, times }
    }
}

impl Film for Rendered {
    fn size(&self) -> (u32, u32) {
        self.film.settings().size
    }

    fn times(&self) -> &[f64] {
        &self.times
    }

    fn reduced(&mut self, frame: usize, factor: u32) -> Result<Picture, Error> {
        let (width, height) = self.size();
        let picture = Picture::new(width, height, self.film.frame(frame)).unwrap();
        Ok(picture.reduced(factor))
    }
}

/// How many of the true attempts a proposal covers by three quarters or more, and how many proposals cover none.
fn tally(found: &[Attempt], truth: &[(f64, f64)]) -> (usize, usize) {
    let covers = |attempt: &Attempt, (start, end): (f64, f64)| {
        (attempt.to_s.min(end) - attempt.from_s.max(start)) / (end - start) >= 0.75
    };
    let hits = truth
        .iter()
        .filter(|span| found.iter().filter(|attempt| covers(attempt, **span)).count() == 1);
    let wrong = found
        .iter()
        .filter(|attempt| !truth.iter().any(|span| covers(attempt, *span)));
    (hits.count(), wrong.count())
}

#[test]
fn every_attempt_of_a_station_is_found_and_nothing_else() {
    let plan = Plan {
        attempts: 4,
        gymnasts: 3,
        balks: 1,
    };
    let mut station = Rendered::station(plan, 77, 2);
    let turns = station.film.turns().to_vec();
    let mut shares = Vec::new();
    let found = find_attempts(&mut station, &mut |share| shares.push(share)).unwrap();
    assert!(shares.windows(2).all(|two| two[0] <= two[1]) && shares.last() == Some(&1.0));
    assert_eq!((found.lost, found.looked), (0, station.times.len()));
    let truth: Vec<(f64, f64)> = turns.iter().map(|turn| (turn.start_s, turn.end_s)).collect();
    assert_eq!(tally(&found.attempts, &truth), (4, 0), "{:?} {truth:?}", found.attempts);
    // What a review needs lies within: the events with room around them.
    for (attempt, turn) in found.attempts.iter().zip(&turns) {
        for (event, time) in &turn.events {
            assert!(
                (attempt.from_s + 0.2..attempt.to_s - 0.2).contains(time),
                "{event:?} at {time}: {attempt:?}"
            );
        }
    }
    let mut list = List::new("station.mp4", &found, None);
    deal(&mut list, &Order::new("Ada,Ben,Cleo").unwrap());
    assert_eq!(hints(&mut list), 0);
    let names: Vec<&str> = list.rows.iter().map(|row| row.athlete.as_str()).collect();
    assert_eq!(names, ["Ada", "Ben", "Cleo", "Ada"]);
}

#[test]
fn a_hall_without_attempts_has_none() {
    let plan = Plan {
        attempts: 1,
        gymnasts: 2,
        balks: 1,
    };
    let mut station = Rendered::station(plan, 78, 4);
    // Up to where the only attempt begins: somebody walks up, stands there and goes back.
    let start = station.film.turns()[0].start_s - 0.3;
    assert!(start > 10.0);
    station.times.retain(|time| *time < start);
    let found = find_attempts(&mut station, &mut |_| ()).unwrap();
    assert_eq!(found.attempts, []);
}

#[test]
fn films_of_long_stations() {
    let Some(folder) = std::env::var_os("SPRINGLINE_STATION") else {
        return;
    };
    let mut paths: Vec<_> = std::fs::read_dir(Path::new(&folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "mp4") && path.with_extension("story.json").exists())
        .collect();
    paths.sort();
    assert!(!paths.is_empty());
    let (mut hits, mut wrong, mut all) = (0, 0, 0);
    for path in paths {
        let text = std::fs::read_to_string(path.with_extension("story.json")).unwrap();
        let story: serde_json::Value = serde_json::from_str(&text).unwrap();
        let attempts = story["attempts"].as_array().unwrap();
        let second = |attempt: &serde_json::Value, at: &str| attempt[at].as_f64().unwrap();
        let truth: Vec<(f64, f64)> = attempts
            .iter()
            .map(|attempt| (second(attempt, "start_s"), second(attempt, "end_s")))
            .collect();
        let mut clip = Clip::open(&path).unwrap();
        let length = clip.times()[clip.len() - 1];
        // A film may break off before its story does.
        let truth: Vec<(f64, f64)> = truth.into_iter().filter(|(_, end)| *end < length).collect();
        let clock = std::time::Instant::now();
        let found = find_attempts(&mut clip, &mut |_| ()).unwrap();
        let spent = clock.elapsed().as_secs_f64();
        let (found_here, wrong_here) = tally(&found.attempts, &truth);
        // Dealt in the true order of the attempts that were found, the colour should have no doubt.
        let mut list = List::new("film", &found, None);
        for row in &mut list.rows {
            let middle = f64::midpoint(row.from_s, row.to_s);
            let whose = attempts
                .iter()
                .find(|attempt| second(attempt, "start_s") < middle && middle < second(attempt, "end_s"));
            row.athlete = whose.map_or(String::new(), |attempt| attempt["gymnast"].as_str().unwrap().to_owned());
        }
        let right = hints(&mut list);
        // Dealt wrongly by one from the middle on.
        let half = list.rows.len() / 2;
        let names: Vec<String> = list.rows.iter().map(|row| row.athlete.clone()).collect();
        for at in half..names.len().saturating_sub(1) {
            list.rows[at].athlete.clone_from(&names[at + 1]);
        }
        let shifted = hints(&mut list);
        println!(
            "{}: {length:.0} s of film in {spent:.0} s; {found_here} of {} found, {wrong_here} of {} wrong; \
             colour doubts {right} of {} rightly dealt, {shifted} with {} dealt wrongly",
            path.display(),
            truth.len(),
            found.attempts.len(),
            list.rows.len(),
            names.len().saturating_sub(half + 1)
        );
        (hits, wrong, all) = (hits + found_here, wrong + wrong_here, all + truth.len());
    }
    assert!(
        hits * 100 >= 95 * all && wrong * 100 <= 5 * (hits + wrong),
        "{hits} and {wrong} of {all}"
    );
}
