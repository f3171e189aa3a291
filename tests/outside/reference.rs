//! The library against numbers that NumPy and SciPy computed at test time.
//!
//! `SPRINGLINE_REFERENCE` names the file that `reference.py` wrote. Built only with the feature `outside`.

use serde_json::Value;
use springline_kinematics::ballistics::gravity_sd;
use springline_kinematics::gym_plane::{make_upright, mirror};
use springline_kinematics::series::{Series, Smoothing};
use springline_kinematics::smoothing::{Butterworth, cubic_weights};
use springline_kinematics::uncertainty::{angle_variance, normal_cdf, probability_size_above, variance_factor};
use springline_kinematics::{Landmark, Point, TemporalError, Tracks, joint_angles as joints, segments};

fn reference() -> Value {
    let path = std::env::var("SPRINGLINE_REFERENCE").expect("SPRINGLINE_REFERENCE names the file of reference.py");
    let text = std::fs::read_to_string(&path).expect("the reference file can be read");
    serde_json::from_str(&text).expect("it is JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(number).collect()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

#[track_caller]
fn close(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (got - expected).abs() <= tolerance * expected.abs().max(1.0),
        "{what}: got {got}, expected {expected}"
    );
}

#[test]
fn filters_are_those_of_scipy() {
    let reference = reference();
    for design in list(&reference["filter"]["designs"]) {
        let (rate, asked) = (number(&design["rate_hz"]), number(&design["asked_cutoff_hz"]));
        let filter = Butterworth::two_pass(asked, rate).expect("usable");
        for k in 0..3 {
            close(filter.b[k], number(&design["b"][k]), 1e-8, "b");
            close(filter.a[k], number(&design["a"][k]), 1e-8, "a");
        }
        let gains = numbers(&design["gain_both_passes"]);
        for (frequency, gain) in numbers(&design["response_hz"]).into_iter().zip(gains) {
            close(filter.gain(frequency, rate).powi(2), gain, 1e-8, "gain");
        }
    }
    let mut compared = 0;
    for case in list(&reference["filter"]["series"]) {
        let filter = Butterworth::two_pass(number(&case["cutoff_hz"]), number(&case["rate_hz"])).expect("usable");
        for (got, expected) in filter
            .smooth(&numbers(&case["input"]))
            .into_iter()
            .zip(numbers(&case["output"]))
        {
            close(got, expected, 1e-7, "filtfilt");
            compared += 1;
        }
    }
    assert!(compared > 5000, "{compared}");
}

#[test]
fn weights_carry_the_variance_of_simulated_noise() {
    for case in list(&reference()["weights"]) {
        let filter = Butterworth::two_pass(number(&case["cutoff_hz"]), number(&case["rate_hz"])).expect("usable");
        let n = case["length"].as_u64().expect("a count") as usize;
        let rho = number(&case["rho"]);
        let (factors, simulated) = (numbers(&case["variance_factor"]), numbers(&case["simulated"]));
        for index in 0..n {
            let factor = variance_factor(&filter.weights(n, index).1, rho);
            close(factor, factors[index], 1e-5, "variance factor");
            // 40,000 draws: 5 standard errors of a variance.
            close(
                factor / simulated[index],
                1.0,
                5.0 * (2.0 / 40_000.0f64).sqrt(),
                "simulated variance",
            );
        }
    }
}

#[test]
fn angles_are_those_of_numpy() {
    let reference = reference();
    for body in list(&reference["angles"]) {
        let mut tracks = Tracks::new(vec![0.0], TemporalError::Independent);
        let names = [
            ("wrist", Landmark::LeftWrist),
            ("elbow", Landmark::LeftElbow),
            ("shoulder", Landmark::LeftShoulder),
            ("hip", Landmark::LeftHip),
            ("knee", Landmark::LeftKnee),
            ("ankle", Landmark::LeftAnkle),
            ("toe", Landmark::LeftToe),
            ("ear", Landmark::LeftEar),
            ("nose", Landmark::Nose),
            ("other_hip", Landmark::RightHip),
            ("other_ankle", Landmark::RightAnkle),
        ];
        for (name, landmark) in names {
            let xy = numbers(&body["image"][name]);
            tracks.track_mut(landmark).positions = vec![Some(Point::new(xy[0], xy[1]))];
        }
        make_upright(&mut tracks, None);
        if body["facing"] == "left" {
            mirror(&mut tracks);
        }
        let p = |landmark| tracks.at(landmark, 0).expect("given");
        let (wrist, elbow, shoulder) = (
            p(Landmark::LeftWrist),
            p(Landmark::LeftElbow),
            p(Landmark::LeftShoulder),
        );
        let (hip, knee, ankle) = (p(Landmark::LeftHip), p(Landmark::LeftKnee), p(Landmark::LeftAnkle));
        let expected = |key: &str| number(&body["degrees"][key]);
        let check = |got: Option<springline_kinematics::Angle>, key: &str| {
            let got = got.expect("has length").degrees();
            let turns = ((got - expected(key)) / 360.0).round();
            close(got - 360.0 * turns, expected(key), 1e-9, key);
            // Measures name no branch for the head; ours is (−90°, 270°].
            assert!(
                turns == 0.0 || key == "head_tilt",
                "{key} on another branch: {got}, {}",
                expected(key)
            );
        };
        check(joints::shoulder_opening(hip, shoulder, elbow), "shoulder");
        check(joints::hip_angle(shoulder, hip, knee), "hip");
        check(joints::knee_angle(hip, knee, ankle), "knee");
        check(joints::ankle_angle(knee, ankle, p(Landmark::LeftToe)), "ankle");
        check(joints::elbow_angle(shoulder, elbow, wrist), "elbow");
        check(joints::unsigned(hip - shoulder, elbow - shoulder), "shoulder_unsigned");
        check(joints::unsigned(shoulder - hip, knee - hip), "hip_unsigned");
        check(joints::unsigned(hip - knee, ankle - knee), "knee_unsigned");
        check(segments::inclination(hip, shoulder), "trunk_inclination");
        check(segments::inclination(wrist, ankle), "body_line_lean");
        check(
            segments::leg_gap(hip, ankle, p(Landmark::RightHip), p(Landmark::RightAnkle)),
            "leg_gap",
        );
        check(
            segments::head_tilt(hip, shoulder, p(Landmark::LeftEar), p(Landmark::Nose)),
            "head_tilt",
        );
        let straight = segments::body_line_straightness(wrist, shoulder, hip, knee, ankle).expect("chord");
        close(
            100.0 * straight,
            expected("body_line_straightness_percent"),
            1e-9,
            "straightness",
        );
        let ear = segments::ear_offset(shoulder, elbow, p(Landmark::LeftEar)).expect("arm");
        close(ear, expected("ear_offset"), 1e-9, "ear offset");
    }
}

#[test]
fn tails_are_those_of_scipy() {
    let reference = reference();
    let normal = &reference["normal"];
    for ((z, below), above) in numbers(&normal["z"])
        .into_iter()
        .zip(numbers(&normal["below"]))
        .zip(numbers(&normal["above"]))
    {
        close(normal_cdf(z), below, 1e-12, "below");
        assert!((normal_cdf(-z) / above - 1.0).abs() < 1e-9, "above {z}");
    }
    for case in list(&normal["folded"]) {
        let p = probability_size_above(number(&case["x"]), number(&case["sd"]), number(&case["limit"]));
        close(p, number(&case["above"]), 1e-10, "folded tail");
    }
}

#[test]
fn angle_noise_agrees_with_four_hundred_thousand_draws() {
    for case in list(&reference()["angle_noise"]) {
        let sd = numbers(&case["sd_px"]);
        let sd = if sd.len() == 3 {
            [sd[0], sd[1], sd[2]]
        } else {
            [sd[0]; 3]
        };
        let theta = number(&case["degrees"]).to_radians();
        let got = angle_variance(number(&case["a_px"]), number(&case["c_px"]), theta, sd)
            .sqrt()
            .to_degrees();
        close(got, number(&case["first_order_sd"]), 1e-9, "first-order sd");
        // First order holds to 1.5 % at these sizes where the sd is small against the limbs.
        if got < 5.0 {
            close(got / number(&case["simulated_sd"]), 1.0, 0.015, "simulated sd");
        }
    }
}

#[test]
fn gravity_from_a_parabola_is_as_sure_as_stated() {
    for case in list(&reference()["gravity"]) {
        let frames = case["frames"].as_u64().expect("a count") as usize;
        let got = gravity_sd(frames, number(&case["sd_m"]), number(&case["rate_hz"])).expect("enough");
        close(got, number(&case["formula_sd"]), 1e-9, "formula");
        close(got / number(&case["simulated_sd"]), 1.0, 0.02, "simulated");
    }
}

#[test]
fn short_gaps_are_bridged_by_the_same_cubic() {
    for case in list(&reference()["bridge"]) {
        let (t, y) = (numbers(&case["t"]), numbers(&case["y"]));
        for (at, expected) in numbers(&case["at"]).into_iter().zip(numbers(&case["bridged"])) {
            let weights = cubic_weights(at, [t[0], t[1], t[2], t[3]]);
            let got: f64 = weights.iter().zip(&y).map(|(w, y)| w * y).sum();
            close(got, expected, 1e-7, "bridge");
        }
    }
}

#[test]
fn unwrapping_and_medians_agree() {
    for case in list(&reference()["series"]) {
        let wrapped: Vec<Option<f64>> = numbers(&case["wrapped_deg"])
            .iter()
            .map(|d| Some(d.to_radians()))
            .collect();
        for (got, expected) in segments::unwrap(&wrapped)
            .into_iter()
            .zip(numbers(&case["unwrapped_deg"]))
        {
            close(got.expect("seen").to_degrees(), expected, 1e-9, "unwrap");
        }
    }
    // An evenly sampled clip is smoothed as filtfilt smooths it, through the whole path of tracks.
    let reference = self::reference();
    let case = list(&reference["filter"]["series"])
        .iter()
        .find(|case| list(&case["input"]).len() == 120)
        .expect("one of 120");
    let (input, rate) = (numbers(&case["input"]), number(&case["rate_hz"]));
    let times = (0..input.len()).map(|k| k as f64 / rate).collect();
    let mut tracks = Tracks::new(times, TemporalError::Independent);
    let hip = tracks.track_mut(Landmark::LeftHip);
    hip.positions = input.iter().map(|x| Some(Point::new(*x, -*x))).collect();
    hip.sd = vec![1.0; input.len()];
    let series = Series::new(tracks, Smoothing::CutoffHz(number(&case["cutoff_hz"])));
    for (k, expected) in numbers(&case["output"]).into_iter().enumerate() {
        close(
            series.smooth(Landmark::LeftHip, k).expect("seen").x,
            expected,
            1e-7,
            "tracks",
        );
    }
}
