//! Camera, noise, gaps, swaps and files.

use springline_kinematics::{Joint, Landmark, Side, TemporalError};
use springline_simulate::{
    Act, Camera, Dropouts, Facing, Facts, Group, Layout, Lens, Noise, Params, Recording, Swap, Synthetic, pinhole,
};

fn clean() -> Act {
    Act::handspring(&Params::clean()).expect("the clean one is possible")
}

/// Errors per axis of one landmark against the exact picture, px.
fn errors(attempt: &Synthetic, landmark: Landmark) -> Vec<f64> {
    let mut all = Vec::new();
    for (frame, &t) in attempt.tracks.times.iter().enumerate() {
        if let Some(point) = attempt.tracks.at(landmark, frame) {
            let miss = point - attempt.truth.picture(t)[landmark.index()];
            all.extend([miss.x, miss.y]);
        }
    }
    all
}

fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|x| x * x).sum::<f64>() / values.len() as f64).sqrt()
}

#[test]
fn a_square_camera_is_a_scale_and_a_flip() {
    for (facing, sign, near) in [(Facing::Right, 1.0, Side::Right), (Facing::Left, -1.0, Side::Left)] {
        let mut recording = Recording::exact();
        recording.camera = recording.camera.facing(facing);
        let attempt = clean().film(&recording, 1);
        assert_eq!(recording.camera.near_side(), near);
        for (frame, &t) in attempt.tracks.times.iter().enumerate() {
            let (pose, at) = (attempt.truth.pose(t), |l| attempt.tracks.at(l, frame).expect("seen"));
            let real = pose.at(Landmark::LeftAnkle) - pose.at(Landmark::Nose);
            let seen = at(Landmark::LeftAnkle) - at(Landmark::Nose);
            assert!((seen.x - sign * 350.0 * real.x).abs() < 1e-9);
            assert!((seen.y + 350.0 * real.y).abs() < 1e-9);
        }
        let [a, b] = attempt.truth.view().floor_line();
        assert!(a.x < b.x && (a.y - b.y).abs() < 1e-9);
        let toe = attempt.tracks.at(Landmark::LeftToe, 0).expect("seen");
        assert!((toe.y - a.y).abs() < 1e-9);
    }
}

#[test]
fn a_pinhole_draws_the_near_side_larger_and_keeps_the_middle_plane_to_scale() {
    let mut recording = Recording::exact();
    recording.camera = Camera::pinhole();
    let attempt = clean().film(&recording, 1);
    let picture = attempt.truth.picture(0.0);
    let long = |side| {
        let at = |joint| picture[Landmark::of(joint, side).index()];
        (at(Joint::Hip) - at(Joint::Knee)).norm()
    };
    let thigh = 350.0 * attempt.truth.body().thigh_m;
    assert!(long(Side::Right) > thigh && thigh > long(Side::Left));
    assert!((long(Side::Right) / thigh - 8.0 / (8.0 - 0.087)).abs() < 1e-3);
    // Yaw shortens what lies along the floor.
    let mut turned = recording.clone();
    turned.camera.lens = pinhole(800.0, 1.0, 30.0);
    let view = clean().film(&turned, 1).truth.view();
    let [a, b] = view.floor_line();
    assert!(((b.x - a.x) / (350.0 * 4.4) - 30f64.to_radians().cos()).abs() < 1e-3);
    let radial = Lens::Pinhole {
        distance_m: 8.0,
        height_m: 1.0,
        yaw: 0.0,
        focal_px: 2800.0,
        radial: -0.1,
    };
    let mut bent = recording.clone();
    bent.camera.lens = radial;
    let (straight, bent) = (attempt.truth.view(), clean().film(&bent, 1).truth.view());
    let centre = springline_kinematics::Point::new(960.0, 540.0);
    for (a, b) in straight.floor_line().iter().zip(bent.floor_line()) {
        assert!((b - centre).norm() < (a - centre).norm());
    }
}

#[test]
fn noise_has_the_standard_deviation_and_the_correlation_that_it_says() {
    let act = clean();
    let all = |noise: Noise| {
        let mut recording = Recording::exact().at_rate(240.0);
        recording.noise = noise;
        (0..8).map(|seed| act.film(&recording, seed)).collect::<Vec<_>>()
    };
    let spread = |attempts: &[Synthetic]| {
        let each = attempts.iter().flat_map(|a| Landmark::ALL.map(|l| errors(a, l)));
        rms(&each.flatten().collect::<Vec<_>>())
    };
    let lag = |attempts: &[Synthetic]| {
        let (mut with, mut own) = (0.0, 0.0);
        for series in attempts.iter().flat_map(|a| Landmark::ALL.map(|l| errors(a, l))) {
            with += series.iter().zip(&series[2..]).map(|(a, b)| a * b).sum::<f64>();
            own += series.iter().map(|a| a * a).sum::<f64>();
        }
        with / own
    };
    let independent = all(Noise {
        independent_px: 3.0,
        ..Noise::default()
    });
    assert!((spread(&independent) - 3.0).abs() < 0.05);
    assert!(lag(&independent).abs() < 0.02);
    assert_eq!(independent[0].tracks.temporal_error, TemporalError::Independent);
    assert!((independent[0].tracks.sd_at(Landmark::Nose, 3) - 3.0).abs() < 1e-6);

    let correlated = all(Noise {
        correlated_px: 3.0,
        rho: 0.6,
        ..Noise::default()
    });
    assert!((spread(&correlated) - 3.0).abs() < 0.08);
    assert!((lag(&correlated) - 0.6).abs() < 0.03);
    assert_eq!(correlated[0].tracks.temporal_error, TemporalError::Correlated(0.6));

    let shared = all(Noise {
        shared_px: 4.0,
        ..Noise::default()
    });
    assert_eq!(shared[0].tracks.temporal_error, TemporalError::Shared);
    let series = errors(&shared[0], Landmark::LeftKnee);
    assert!(series.chunks(2).all(|xy| (xy[0] - series[0]).abs() < 1e-9));
    let offsets = rms(&shared
        .iter()
        .flat_map(|a| Landmark::ALL.map(|l| errors(a, l)[0]))
        .collect::<Vec<_>>());
    assert!((offsets - 4.0).abs() < 0.7, "{offsets}");

    let mixed = Noise {
        independent_px: 3.0,
        correlated_px: 4.0,
        rho: 0.8,
        shared_px: 0.0,
    };
    assert!((mixed.sd_px() - 5.0).abs() < 1e-12);
    assert!((spread(&all(mixed)) - 5.0).abs() < 0.2);
}

#[test]
fn points_are_lost_and_swapped_as_asked() {
    let mut recording = Recording::exact();
    recording.dropouts = Dropouts {
        single: 0.1,
        ..Dropouts::default()
    };
    let attempt = clean().film(&recording, 5);
    let lost = |attempt: &Synthetic| {
        let seen: usize = Landmark::ALL
            .iter()
            .map(|&l| attempt.tracks.track(l).positions.iter().flatten().count())
            .sum();
        1.0 - seen as f64 / (23 * attempt.tracks.len()) as f64
    };
    assert!((lost(&attempt) - 0.1).abs() < 0.02);
    recording.dropouts = Dropouts {
        single: 0.0,
        burst: 0.01,
        burst_frames: 10,
    };
    let share = lost(&clean().film(&recording, 5));
    assert!((0.05..0.15).contains(&share), "{share}");

    recording.dropouts = Dropouts::default();
    recording.swaps = vec![Swap {
        group: Group::Legs,
        first: 10,
        last: 20,
    }];
    let swapped = clean().film(&recording, 5);
    let straight = clean().film(&Recording::exact(), 5);
    for frame in 0..straight.tracks.len() {
        let mirrored = (10..=20).contains(&frame);
        for landmark in Landmark::ALL {
            let turned = mirrored && Group::Legs.holds(landmark);
            let source = if turned { landmark.mirrored() } else { landmark };
            assert_eq!(swapped.tracks.at(landmark, frame), straight.tracks.at(source, frame));
        }
    }
}

#[test]
fn frames_come_at_the_rate_asked_for() {
    for rate in [24.0, 30.0, 60.0, 240.0] {
        let attempt = clean().film(&Recording::exact().at_rate(rate), 3);
        for pair in attempt.tracks.times.windows(2) {
            assert!((pair[1] - pair[0] - 1.0 / rate).abs() < 1e-9);
        }
    }
    let mut recording = Recording::exact();
    recording.jitter = 0.3;
    let times = clean().film(&recording, 3).tracks.times;
    assert!(times.windows(2).all(|pair| pair[1] > pair[0]));
    let steps: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0] - 1.0 / 60.0).collect();
    assert!(rms(&steps) > 0.001);
}

#[test]
fn the_same_seed_gives_the_same_file_and_it_says_that_it_is_synthetic() {
    let mut recording = Recording::exact().noisy(3.0);
    recording.dropouts.single = 0.1;
    recording.score = Some(0.9);
    let file = |seed| {
        clean()
            .film(&recording, seed)
            .to_attempt_json(Layout::Named23, &Facts::measured())
    };
    assert_eq!(file(7), file(7));
    assert_ne!(file(7), file(8));
    let value: serde_json::Value = serde_json::from_str(&file(7)).expect("it is JSON");
    assert_eq!(value["format"], "springline-attempt");
    assert_eq!(value["synthetic"], true);
    assert_eq!(value["seed"], 7);
    assert_eq!(value["points"].as_array().map(Vec::len), Some(23));
    assert_eq!(value["given"]["facing"], "right");
    assert_eq!(value["given"]["near_side"], "right");
    let frames = value["frames"].as_array().expect("a list");
    assert!(frames.iter().all(|f| f["points"].as_array().map(Vec::len) == Some(23)));
    assert!(frames.iter().all(|f| f["score"].as_array().map(Vec::len) == Some(23)));
    let short = clean()
        .film(&recording, 7)
        .to_attempt_json(Layout::Coco17, &Facts::default());
    let short: serde_json::Value = serde_json::from_str(&short).expect("it is JSON");
    assert_eq!(short["layout"], "coco-17");
    assert_eq!(short["points"][16], "right_ankle");
    assert!(short["given"].get("facing").is_none());
}
