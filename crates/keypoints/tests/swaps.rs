//! Swaps of left and right: mended where they are, left alone where legs only cross.

#![allow(clippy::unwrap_used)]

mod figure;

use figure::{ARMS, LEGS, Seen, TRUNK};
use springline_keypoints::{Attempt, ImportOptions, import_bytes};
use springline_kinematics::{Joint, Landmark, Side};

/// The first `points` landmarks as an attempt file, imported.
fn imported_points(clip: &Seen, points: usize, rate_hz: f64, options: &ImportOptions) -> Attempt {
    let mut file = figure::attempt_file(clip, rate_hz);
    file.points.truncate(points);
    for frame in &mut file.frames.0 {
        frame.points.truncate(points);
    }
    let text = serde_json::to_string(&file).unwrap();
    import_bytes("figure.json", text.as_bytes(), options).unwrap()
}

fn imported(clip: &Seen, rate_hz: f64, options: &ImportOptions) -> Attempt {
    imported_points(clip, Landmark::COUNT, rate_hz, options)
}

/// Frames in which a joint pair that lies clearly apart has its sides exchanged or not as they were.
fn wrong(attempt: &Attempt, truth: &Seen, joints: &[Joint]) -> usize {
    (0..truth.len())
        .filter(|frame| {
            joints.iter().any(|joint| {
                let sides = Side::BOTH.map(|side| Landmark::of(*joint, side));
                let before = sides.map(|landmark| truth[*frame][landmark.index()]);
                if let [Some(a), Some(b)] = before
                    && (a[0] - b[0]).hypot(a[1] - b[1]) < 0.25 * TRUNK
                {
                    return false;
                }
                sides.iter().zip(before).any(|(landmark, before)| {
                    match (attempt.tracks.at(*landmark, *frame), before) {
                        (Some(point), Some([x, y])) => (point.x - x).hypot(point.y - y) > 1e-6,
                        (after, before) => after.is_some() != before.is_some(),
                    }
                })
            })
        })
        .count()
}

#[test]
fn runs_of_swapped_frames_are_mended() {
    let (mut clips, mut mended, mut bad) = (0, 0, Vec::new());
    for rate in [30.0, 60.0, 120.0, 240.0] {
        let exact = figure::film(figure::over_the_hands, figure::DURATION, rate);
        for length in [1_usize, 2, 3, 5, 8, 13, 20] {
            for place in 0..6_u32 {
                let seed = u64::from(place) * 1000 + length as u64;
                let truth = figure::seen(&exact, 3.0, 0.1, seed);
                // Legs are clearly apart from 0.5 to 1.1 s.
                let first = (rate * (0.5 + 0.1 * f64::from(place))) as usize;
                let last = first + length - 1;
                if last as f64 / rate > 1.15 {
                    continue;
                }
                let mut clip = truth.clone();
                figure::swap(&mut clip, &LEGS, first, last);
                for points in [17, 23] {
                    let attempt = imported_points(&clip, points, rate, &ImportOptions::default());
                    clips += 1;
                    let joints = if points == 17 { &LEGS[..3] } else { &LEGS[..] };
                    let left = wrong(&attempt, &truth, joints);
                    if left == 0 {
                        mended += 1;
                    } else {
                        bad.push((points, rate, length, first, left, attempt.swaps.clone()));
                    }
                }
            }
        }
    }
    assert!(clips > 200);
    // With all points every run is mended; the 17 have two telling pairs, and a dropout can hide both.
    assert!(bad.iter().all(|(points, ..)| *points == 17), "{bad:?}");
    assert!(mended * 100 >= clips * 98, "{mended} of {clips}: {bad:?}");
}

#[test]
fn nothing_is_mended_that_isnt_swapped() {
    for rate in [24.0, 30.0, 60.0, 120.0, 240.0] {
        for (name, motion, duration) in [
            (
                "over the hands",
                figure::over_the_hands as fn(f64) -> figure::Pose,
                figure::DURATION,
            ),
            ("scissors", figure::scissors, 1.6),
        ] {
            let exact = figure::film(motion, duration, rate);
            for (sd, dropouts) in [(0.0, 0.0), (3.0, 0.0), (3.0, 0.1), (5.0, 0.1)] {
                for seed in 0..10 {
                    let truth = figure::seen(&exact, sd, dropouts, seed);
                    let attempt = imported(&truth, rate, &ImportOptions::default());
                    assert!(
                        attempt.swaps.is_empty(),
                        "{name}, {rate} fps, {sd} px: {:?}",
                        attempt.swaps
                    );
                }
            }
        }
    }
}

#[test]
fn originals_are_kept_and_sides_can_be_kept() {
    let exact = figure::film(figure::over_the_hands, figure::DURATION, 60.0);
    let truth = figure::seen(&exact, 1.0, 0.1, 1);
    let mut clip = truth.clone();
    figure::swap(&mut clip, &LEGS, 40, 45);
    figure::swap(&mut clip, &ARMS, 50, 52);
    let mended = imported(&clip, 60.0, &ImportOptions::default());
    assert!(
        mended
            .swaps
            .iter()
            .any(|swap| swap.group == "legs" && (swap.first, swap.last) == (40, 45))
    );
    let mut restored = mended.tracks.clone();
    for (landmark, frame, place) in &mended.originals {
        restored.track_mut(*landmark).positions[*frame] = place.map(|(x, y)| springline_kinematics::Point::new(x, y));
    }
    let kept = imported(
        &clip,
        60.0,
        &ImportOptions {
            keep_sides: true,
            ..ImportOptions::default()
        },
    );
    assert!(kept.swaps.is_empty() && kept.originals.is_empty());
    for landmark in Landmark::ALL {
        assert_eq!(
            restored.track(landmark).positions,
            kept.tracks.track(landmark).positions,
            "{landmark:?}"
        );
    }
}

/// The state of fewer frames is the swapped one, also at the very start and the very end.
#[test]
fn swaps_at_the_ends() {
    let exact = figure::film(|time| figure::over_the_hands(time + 0.5), 0.6, 60.0);
    let truth = figure::seen(&exact, 3.0, 0.1, 5);
    for (first, last) in [(0, 4), (25, 36)] {
        let mut clip = truth.clone();
        figure::swap(&mut clip, &LEGS, first, last);
        let attempt = imported(&clip, 60.0, &ImportOptions::default());
        assert_eq!(wrong(&attempt, &truth, &LEGS), 0, "{:?}", attempt.swaps);
    }
}

/// A clicked point is the coach's word, but the coach may have slipped.
#[test]
fn swaps_of_clicked_points_are_told_and_left() {
    let exact = figure::film(figure::over_the_hands, figure::DURATION, 60.0);
    let truth = figure::seen(&exact, 1.0, 0.1, 1);
    let mut clip = truth.clone();
    figure::swap(&mut clip, &LEGS, 40, 45);
    let clicked = |keep_sides| ImportOptions {
        sd: Some(springline_keypoints::SdChoice::Clicked),
        keep_sides,
        ..ImportOptions::default()
    };
    let told = |attempt: &Attempt| {
        attempt
            .remarks
            .iter()
            .any(|remark| remark.starts_with("the two sides look"))
    };
    let attempt = imported(&clip, 60.0, &clicked(false));
    let note = "the two sides look exchanged in 6 frames (legs; first at 0.67 s); clicked points stay as they are, so look at \
                them again";
    assert!(
        attempt.remarks.iter().any(|remark| remark == note),
        "{:?}",
        attempt.remarks
    );
    assert!(attempt.swaps.is_empty());
    assert_eq!(wrong(&attempt, &clip, &LEGS), 0);
    assert!(!told(&imported(&truth, 60.0, &clicked(false))));
    assert!(!told(&imported(&clip, 60.0, &clicked(true))));
}
