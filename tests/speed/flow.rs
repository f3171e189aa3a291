//! Points followed through frames that lie in memory, for `flow.py`, which does the same with OpenCV.
//!
//!     flow FRAMES WIDTH HEIGHT RATE CLICKS.json POINTS|ANEW|LIMBS
//!
//! FRAMES: grey pictures one after the other. CLICKS.json: `[{"frame": 0, "places": [[x, y] or null, ...]}, ...]`. From the
//! clicks of each such frame every point is followed to the frame of the next. POINTS follows each by itself, ANEW too but makes the scales of both pictures twice for each step, LIMBS the whole
//! body as `springline track` does, forward only. Prints seconds and the places in every frame as JSON.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

use serde_json::{Value, json};
use springline_keypoints::{ImportOptions, import_bytes};
use springline_kinematics::Landmark;
use springline_track::{Error, Flow, Frames, Grey, Settings, track};

struct Film<'a> {
    frames: &'a [Grey],
    times: Vec<f64>,
}

impl Frames for Film<'_> {
    fn times(&self) -> &[f64] {
        &self.times
    }

    fn size(&self) -> (u32, u32) {
        (self.frames[0].width() as u32, self.frames[0].height() as u32)
    }

    fn grey(&mut self, frame: usize) -> Result<Grey, Error> {
        Ok(self.frames[frame].clone())
    }
}

type Places = Vec<Option<[f64; 2]>>;

fn main() {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let [frames, width, height, rate, clicks, way] = given.as_slice() else {
        panic!("expected FRAMES WIDTH HEIGHT RATE CLICKS.json POINTS|ANEW|LIMBS");
    };
    let (width, height): (usize, usize) = (width.parse().unwrap(), height.parse().unwrap());
    let rate: f64 = rate.parse().unwrap();
    let bytes = std::fs::read(frames).unwrap();
    let frames: Vec<Grey> = bytes
        .chunks_exact(width * height)
        .map(|frame| Grey::new(width, height, frame.to_vec()).unwrap())
        .collect();
    let clicks: Value = serde_json::from_slice(&std::fs::read(clicks).unwrap()).unwrap();
    let clicks: Vec<(usize, Places)> = clicks["clicks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| {
            let places = serde_json::from_value(one["places"].clone()).unwrap();
            (one["frame"].as_u64().unwrap() as usize, places)
        })
        .collect();
    let start = std::time::Instant::now();
    let mut found: Vec<Value> = Vec::new();
    for pair in clicks.windows(2) {
        let part = &frames[pair[0].0..=pair[1].0];
        let places = match way.as_str() {
            "LIMBS" => limbs(part, &pair[0].1, rate),
            way => points(part, &pair[0].1, way == "ANEW"),
        };
        found.push(json!(places));
    }
    let seconds = start.elapsed().as_secs_f64();
    println!(
        "{}",
        json!({"seconds": seconds, "frames": frames.len(), "found": found})
    );
}

/// Each point by itself.
fn points(part: &[Grey], clicks: &Places, anew: bool) -> Vec<Places> {
    let mut flow = Flow::new();
    let mut all = vec![clicks.clone()];
    flow.advance(&part[0]);
    for pair in part.windows(2) {
        if anew {
            for picture in [&pair[0], &pair[1], &pair[0]] {
                flow.advance(picture);
            }
        }
        flow.advance(&pair[1]);
        let mut places = all.last().unwrap().clone();
        let starts: Vec<[f64; 2]> = places.iter().flatten().copied().collect();
        let mut next = flow.points(&starts, &starts).into_iter();
        for place in places.iter_mut().filter(|place| place.is_some()) {
            // Lost: it stays where it was.
            *place = next.next().unwrap().or(*place);
        }
        all.push(places);
    }
    all
}

/// The body as a whole.
fn limbs(part: &[Grey], clicks: &Places, rate: f64) -> Vec<Places> {
    let times: Vec<f64> = (0..part.len()).map(|frame| frame as f64 / rate).collect();
    let ids: Vec<&str> = Landmark::ALL.iter().map(|landmark| landmark.id()).collect();
    let none: Places = vec![None; Landmark::COUNT];
    let rows: Vec<Value> = times
        .iter()
        .enumerate()
        .map(|(frame, t)| json!({"t": t, "points": if frame == 0 { clicks } else { &none }}))
        .collect();
    let file = json!({
        "format": "springline-attempt", "version": 1, "points": ids, "from": "clicked", "given": {"stature_px": stature(clicks)},
        "sd": {"kind": "given", "px": 0.3}, "frames": rows,
    });
    let options = ImportOptions {
        keep_sides: true,
        ..ImportOptions::default()
    };
    let clicked = import_bytes("clicks.json", file.to_string().as_bytes(), &options).unwrap();
    let tracked = track(&mut Film { frames: part, times }, &clicked, &Settings::default()).unwrap();
    let mut last = clicks.clone();
    let mut all = Vec::new();
    for points in &tracked.points {
        for (last, point) in last.iter_mut().zip(points) {
            *last = point.map(|point| point.place).or(*last);
        }
        all.push(last.clone());
    }
    all
}

/// From how far the points lie apart: only for the widths of limbs.
fn stature(clicks: &Places) -> f64 {
    let all = || clicks.iter().flatten();
    let reach = |axis: usize| {
        let low = all().map(|place| place[axis]).fold(f64::INFINITY, f64::min);
        let high = all().map(|place| place[axis]).fold(f64::NEG_INFINITY, f64::max);
        high - low
    };
    (0.8 * reach(0).hypot(reach(1))).max(40.0)
}
