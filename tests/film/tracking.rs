//! Clicks followed through film of known truth: how far off the points are, and how honest their sds.
//!
//! Rendered clips: `tests/film/render.sh FOLDER`, then `SPRINGLINE_FILM=FOLDER cargo test --release -p springline-track --test
//! tracking -- --nocapture`.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

use std::path::{Path, PathBuf};

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};
use serde_json::{Value, json};
use springline_footage::Clip;
use springline_keypoints::{Attempt, ImportOptions, import_bytes};
use springline_kinematics::{Landmark, Side};
use springline_track::{Settings, Tracked, Trust, track};

/// Where every joint is and whether it is in sight.
struct Truth {
    attempt: Value,
    places: Vec<Vec<[f64; 2]>>,
    plain: Vec<Vec<bool>>,
    first: usize,
    stature_px: f64,
}

/// Without a story the joints of the near side count as in sight.
fn truth(attempt: &str, story: Option<&str>) -> Truth {
    let attempt: Value = serde_json::from_str(attempt).unwrap();
    let places: Vec<Vec<[f64; 2]>> = attempt["frames"]
        .as_array()
        .unwrap()
        .iter()
        .map(|frame| serde_json::from_value(frame["points"].clone()).unwrap())
        .collect();
    let given = &attempt["given"];
    let far = if given["near_side"] == "right" {
        Side::Left
    } else {
        Side::Right
    };
    let near: Vec<bool> = Landmark::ALL
        .iter()
        .map(|landmark| landmark.side() != Some(far))
        .collect();
    let (plain, first) = match story {
        Some(story) => {
            let story: Value = serde_json::from_str(story).unwrap();
            let of = &story["attempts"][0];
            let seen = of["seen"].as_array().unwrap().iter();
            let plain = seen.map(|frame| frame.as_str().unwrap().chars().map(|seen| seen == 'p').collect());
            (plain.collect(), of["first_frame"].as_u64().unwrap())
        }
        None => (vec![near; places.len()], 0),
    };
    Truth {
        places,
        plain,
        first: usize::try_from(first).unwrap(),
        stature_px: given["stature_m"].as_f64().unwrap() / given["metres_per_px"].as_f64().unwrap(),
        attempt,
    }
}

/// Joints in sight clicked every so many frames, each click off by a hand error.
fn clicked(truth: &Truth, every: usize, off_px: f64, seed: u64) -> Attempt {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let hand = Normal::new(0.0, off_px.max(1e-9)).unwrap();
    let mut file = truth.attempt.clone();
    for (frame, entry) in file["frames"].as_array_mut().unwrap().iter_mut().enumerate() {
        let points: Vec<Value> = (0..Landmark::COUNT)
            .map(|landmark| {
                let [x, y] = truth.places[frame][landmark];
                let off = [hand.sample(&mut random), hand.sample(&mut random)];
                if frame % every == 0 && truth.plain[frame][landmark] {
                    json!([x + off[0], y + off[1]])
                } else {
                    Value::Null
                }
            })
            .collect();
        entry["points"] = json!(points);
    }
    file["sd"] = json!({"kind": "given", "px": off_px.max(0.3)});
    file["from"] = json!("clicked");
    import_bytes("clicked.json", file.to_string().as_bytes(), &ImportOptions::default()).unwrap()
}

/// What came out, of joints in sight between their first and last click.
#[derive(Default, Debug)]
struct Figures {
    asked: usize,
    given: usize,
    near: usize,
    sure: usize,
    sure_near: usize,
    /// Errors per axis as shares of the stated sds, clicks left out.
    ratios: Vec<f64>,
    /// The same of those that are not doubtful.
    sure_ratios: Vec<f64>,
    off: Vec<f64>,
    by_landmark: Vec<(usize, usize)>,
    by_sd: Vec<(f64, f64)>,
}

fn measured(truth: &Truth, clicked: &Attempt, tracked: &Tracked, into: &mut Figures) {
    into.by_landmark.resize(Landmark::COUNT, (0, 0));
    for landmark in Landmark::ALL {
        let clicks: Vec<usize> = (0..clicked.tracks.len())
            .filter(|frame| clicked.tracks.at(landmark, *frame).is_some())
            .collect();
        let (Some(first), Some(last)) = (clicks.first(), clicks.last()) else {
            continue;
        };
        for frame in *first..=*last {
            if !truth.plain[frame][landmark.index()] {
                continue;
            }
            into.asked += 1;
            into.by_landmark[landmark.index()].1 += 1;
            let Some(point) = tracked.points[truth.first + frame][landmark.index()] else {
                continue;
            };
            let [x, y] = truth.places[frame][landmark.index()];
            let miss = [point.place[0] - x, point.place[1] - y];
            let off = miss[0].hypot(miss[1]) / truth.stature_px;
            let near = off < 0.01;
            into.given += 1;
            into.near += usize::from(near);
            into.by_landmark[landmark.index()].0 += usize::from(near);
            into.sure += usize::from(!point.doubtful);
            into.sure_near += usize::from(!point.doubtful && near);
            into.off.push(off);
            if !point.clicked {
                for miss in miss {
                    into.ratios.push(miss / point.sd);
                    into.by_sd.push((point.sd, miss));
                    if !point.doubtful {
                        into.sure_ratios.push(miss / point.sd);
                    }
                }
            }
        }
    }
}

fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|value| value * value).sum::<f64>() / values.len().max(1) as f64).sqrt()
}

impl Figures {
    fn told(&self, name: &str) {
        let percent = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
        let clipped: Vec<f64> = self.ratios.iter().map(|ratio| ratio.clamp(-4.0, 4.0)).collect();
        println!(
            "{name}: {} points, {:.1} % given, within 1 % {:.1} % of given; not doubtful {:.1} %, of these {:.1} %; error over sd {:.2} \
             (to 4: {:.2}), of the sure {:.2}",
            self.asked,
            percent(self.given, self.asked),
            percent(self.near, self.given),
            percent(self.sure, self.given),
            percent(self.sure_near, self.sure),
            rms(&self.ratios),
            rms(&clipped),
            rms(&self.sure_ratios),
        );
    }

    fn detail(&self) {
        let lines: Vec<String> = Landmark::ALL
            .iter()
            .filter(|landmark| self.by_landmark[landmark.index()].1 > 0)
            .map(|landmark| {
                let (near, asked) = self.by_landmark[landmark.index()];
                format!("{} {:.0}/{asked}", landmark.id(), 100.0 * near as f64 / asked as f64)
            })
            .collect();
        println!("   {}", lines.join(", "));
        let mut by_sd = self.by_sd.clone();
        by_sd.sort_by(|a, b| a.0.total_cmp(&b.0));
        let tenths: Vec<String> = by_sd
            .chunks(by_sd.len().div_ceil(8).max(1))
            .map(|part| {
                let sds: Vec<f64> = part.iter().map(|(sd, _)| *sd).collect();
                let misses: Vec<f64> = part.iter().map(|(_, miss)| *miss).collect();
                format!("{:.2}:{:.2}", rms(&sds), rms(&misses))
            })
            .collect();
        println!("   sd:rms {}", tenths.join("  "));
    }
}

/// Clips of a folder that have their truth beside them.
fn clips(folder: &Path) -> Vec<(String, PathBuf, Truth)> {
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    names.sort();
    let wanted = std::env::var("SPRINGLINE_CLIPS").unwrap_or_default();
    names
        .into_iter()
        .filter_map(|path| {
            let name = path.file_stem()?.to_str()?.to_owned();
            let is_film = path.extension().is_some_and(|end| end == "mp4" || end == "mov");
            let beside = |what: &str| std::fs::read_to_string(folder.join(format!("{name}.{what}.json"))).ok();
            let asked = wanted.is_empty() || wanted.split(',').any(|one| one == name);
            let truth = (is_film && asked && !name.contains(".part"))
                .then(|| Some(truth(&beside("truth")?, Some(&beside("story")?))))??;
            Some((name, path, truth))
        })
        .collect()
}

fn shipped() -> (Clip, Truth) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/film");
    let attempt = std::fs::read_to_string(folder.join("handspring.truth.json")).unwrap();
    (
        Clip::open(&folder.join("handspring.mp4")).unwrap(),
        truth(&attempt, None),
    )
}

/// Share of the points that are given within so many shares of stature.
fn within(figures: &Figures, share: f64) -> f64 {
    figures.off.iter().filter(|off| **off < share).count() as f64 / figures.given as f64
}

#[test]
fn clicks_are_followed_better_than_straight_lines_and_the_sds_are_honest() {
    let (mut clip, truth) = shipped();
    let (mut all, mut lines) = (Figures::default(), Figures::default());
    for seed in 0..4 {
        let clicked = clicked(&truth, 15, 1.0, 7100 + seed);
        let tracked = track(&mut clip, &clicked, &Settings::default()).unwrap();
        measured(&truth, &clicked, &tracked, &mut all);
        measured(&truth, &clicked, &straight(&clicked, &tracked), &mut lines);
        for landmark in Landmark::ALL {
            for frame in 0..clicked.tracks.len() {
                let Some(click) = clicked.tracks.at(landmark, frame) else {
                    continue;
                };
                let point = tracked.points[frame][landmark.index()].unwrap();
                assert!(point.clicked && !point.doubtful);
                assert_eq!(point.place, [click.x, click.y]);
            }
        }
    }
    all.told("shipped film, 1 px");
    lines.told("straight lines, 1 px");
    assert!(within(&all, 0.01) > within(&lines, 0.01) + 0.2);
    // A small picture: 2 % of stature are 3.6 px.
    assert!(within(&all, 0.02) > 0.75, "{}", within(&all, 0.02));
    let honest = rms(&all.ratios);
    assert!((0.8..1.25).contains(&honest), "{honest}");
}

/// Straight lines between the clicks, with the sds of the clicks.
fn straight(clicked: &Attempt, tracked: &Tracked) -> Tracked {
    let mut lines = tracked.clone();
    for landmark in Landmark::ALL {
        let at = |frame: usize| clicked.tracks.at(landmark, frame);
        for (frame, points) in lines.points.iter_mut().enumerate() {
            let before = (0..=frame.min(clicked.tracks.len() - 1))
                .rev()
                .find_map(|frame| Some((frame, at(frame)?)));
            let after = (frame..clicked.tracks.len()).find_map(|frame| Some((frame, at(frame)?)));
            if let (Some((from, a)), Some((to, b)), Some(point)) = (before, after, &mut points[landmark.index()]) {
                let share = (frame - from) as f64 / (to - from).max(1) as f64;
                point.place = [a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)];
            }
        }
    }
    lines
}

#[test]
fn points_of_another_film_are_refused() {
    let (mut clip, truth) = shipped();
    let told = |clip: &mut Clip, attempt: &Attempt| track(clip, attempt, &Settings::default()).unwrap_err().to_string();
    let mut other = clicked(&truth, 15, 1.0, 1);
    other.picture = Some((1280.0, 720.0));
    assert_eq!(
        told(&mut clip, &other),
        "clicked.json: points in a picture of 1280 x 720 px, expected the clip's 640 x 360 px"
    );
    let mut short = Clip::open(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/film/h264.mp4")).unwrap();
    other.picture = None;
    assert!(told(&mut short, &other).ends_with("60 frames, expected at most the clip's 12"));
    let none = clicked(&truth, 15, 1.0, 1);
    let none = Attempt {
        origins: springline_keypoints::Origins::all(springline_keypoints::Origin::Drafted),
        ..none
    };
    assert_eq!(
        told(&mut clip, &none),
        "clicked.json: no clicked point, expected some on a few frames"
    );
}

#[test]
fn film_of_a_folder() {
    let Some(folder) = std::env::var_os("SPRINGLINE_FILM") else {
        return;
    };
    let off: Vec<f64> = std::env::var("SPRINGLINE_OFF").map_or(vec![0.0, 2.0], |text| {
        text.split(',').map(|one| one.parse().unwrap()).collect()
    });
    let clips = clips(Path::new(&folder));
    let mut settings = Settings::default();
    if let Ok(text) = std::env::var("SPRINGLINE_TRUST") {
        let n: Vec<f64> = text.split(',').map(|one| one.parse().unwrap()).collect();
        settings.trust = Trust {
            still_px: n[0],
            per_px: n[1],
            unlike_px: n[2],
            lost_from: n[3],
            lost_px: n[4],
            path: (n[5], n[6]),
            differ: n[7],
        };
    }
    if let Ok(text) = std::env::var("SPRINGLINE_ROUNDS") {
        settings.rounds = text.parse().unwrap();
    }
    let seed = std::env::var("SPRINGLINE_FIRST_SEED").map_or(1, |text| text.parse().unwrap());
    for off in off {
        let mut all = Figures::default();
        for (name, path, truth) in &clips {
            let mut clip = Clip::open(path).unwrap();
            let clicked = clicked(truth, 15, off, seed);
            let start = std::time::Instant::now();
            let tracked = track(&mut clip, &clicked, &settings).unwrap();
            let seconds = start.elapsed().as_secs_f64();
            let mut figures = Figures::default();
            measured(truth, &clicked, &tracked, &mut figures);
            figures.told(&format!("{name}, {off} px, {seconds:.1} s"));
            figures.detail();
            measured(truth, &clicked, &tracked, &mut all);
        }
        all.told(&format!("all, {off} px"));
        all.detail();
    }
}
