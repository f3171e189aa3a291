//! Worked examples of other people: textbooks, open courses and papers, row by row.
//!
//! Tags: \[R\] read in the source, \[R2\] read in a source that quotes it, \[C\] computed from a stated formula or from
//! inputs that were read, \[M\] from memory, unchecked. Every expected number is typed from the source, none comes from
//! this program.

use springline_kinematics::ballistics::{flight_time, height_of_symmetric_flight, rise};
use springline_kinematics::joint_angles::{hip_angle, knee_angle, turn, unsigned};
use springline_kinematics::mass::{Cut, Piece, Segment, SegmentTable, combine};
use springline_kinematics::smoothing::{Butterworth, TWO_PASS_CORRECTION};
use springline_kinematics::uncertainty::{angle_variance, interval_sd, quotient, yawed_inclination};
use springline_kinematics::{Angle, Point, Uncertain, Vector};

mod properties;

fn p((x, y): (f64, f64)) -> Point {
    Point::new(x, y)
}

/// `digits` after the point are printed in the source: the check allows half of the last one.
#[track_caller]
fn printed(what: &str, got: f64, expected: f64, digits: i32) {
    let half = 0.5 * 10f64.powi(-digits);
    assert!(
        (got - expected).abs() <= half * (1.0 + 1e-9),
        "{what}: got {got}, published {expected}"
    );
}

fn degrees(angle: Option<Angle>) -> f64 {
    angle.expect("has length").degrees()
}

/// From the right horizontal, anticlockwise, at the distal end of a segment.
fn segment_angle(distal: Point, proximal: Point) -> f64 {
    degrees(turn(Vector::x(), proximal - distal))
}

#[test]
fn rows_1_and_2_directions_and_the_angle_between_two() {
    // BMC open course, KinematicsAngular2D [R]
    let origin = Point::origin();
    printed("row 1", segment_angle(origin, p((1.0, 1.0))), 45.0, 9);
    printed("row 1", segment_angle(origin, p((-1.0, -1.0))), -135.0, 9);
    let between = unsigned(p((1.0, 1.0)) - origin, p((2.1, 0.0)) - p((1.1, 1.0)));
    printed("row 2", degrees(between), 90.0, 9);
}

/// Hip, knee and ankle with the angles that follow.
struct Leg {
    row: &'static str,
    rib: Option<(f64, f64)>,
    hip: (f64, f64),
    knee: (f64, f64),
    ankle: (f64, f64),
    thigh: Option<f64>,
    shank: Option<f64>,
    knee_included: f64,
    hip_included: Option<f64>,
}

#[test]
fn rows_3_to_6_legs_of_walkers() {
    for leg in [
        // physicsforums 251371, a course's question: knee flexion 29.42 [R]; three digits [C]
        Leg {
            row: "row 3",
            rib: None,
            hip: (1.0183, 0.7959),
            knee: (1.1223, 0.5042),
            ankle: (1.0539, 0.1081),
            thigh: Some(109.623),
            shank: Some(80.203),
            knee_included: 150.580,
            hip_included: None,
        },
        // wizedu 75672: coordinates [R], angle [C]
        Leg {
            row: "row 4",
            rib: None,
            hip: (1.14, 0.79),
            knee: (1.17, 0.51),
            ankle: (1.10, 0.08),
            thigh: None,
            shank: None,
            knee_included: 164.638,
            hip_included: None,
        },
        // Winter (2009) 4th ed., Table A.1, frames 1 and 10: coordinates in cm [R], angles [C]
        Leg {
            row: "row 5",
            rib: Some((46.98, 104.41)),
            hip: (44.94, 78.58),
            knee: (41.0, 47.4),
            ankle: (9.31, 21.44),
            thigh: Some(82.798),
            shank: Some(39.324),
            knee_included: 136.526,
            hip_included: Some(177.314),
        },
        Leg {
            row: "row 6",
            rib: Some((63.54, 107.46)),
            hip: (62.78, 82.01),
            knee: (73.22, 51.73),
            ankle: (48.15, 21.06),
            thigh: Some(109.023),
            shank: Some(50.737),
            knee_included: 121.714,
            hip_included: Some(159.266),
        },
    ] {
        let (hip, knee, ankle) = (p(leg.hip), p(leg.knee), p(leg.ankle));
        if let (Some(thigh), Some(shank)) = (leg.thigh, leg.shank) {
            printed(leg.row, segment_angle(knee, hip), thigh, 3);
            printed(leg.row, segment_angle(ankle, knee), shank, 3);
        }
        // They walk to the right with the knee bent backward, so the signed angle is the included one.
        printed(leg.row, degrees(knee_angle(hip, knee, ankle)), leg.knee_included, 3);
        if let (Some(rib), Some(included)) = (leg.rib, leg.hip_included) {
            let signed = degrees(hip_angle(p(rib), hip, knee));
            printed(leg.row, 180.0 - (180.0 - signed).abs(), included, 3);
        }
    }
    // The hip of frame 1 is extended, that of frame 10 flexed: the signed angle tells them apart.
    let hip = |rib, hip, knee| degrees(hip_angle(p(rib), p(hip), p(knee)));
    assert!(hip((46.98, 104.41), (44.94, 78.58), (41.0, 47.4)) > 180.0);
    assert!(hip((63.54, 107.46), (62.78, 82.01), (73.22, 51.73)) < 180.0);
    // The published answer itself: flexion from straight, 29.42 [R].
    let flexion = 180.0
        - degrees(knee_angle(
            p((1.0183, 0.7959)),
            p((1.1223, 0.5042)),
            p((1.0539, 0.1081)),
        ));
    printed("row 3", flexion, 29.42, 2);
}

/// BMC BodySegmentParameters [R]: a lower limb by Dempster's table, m. Foot (from the ankle), leg, thigh.
fn lower_limb() -> [Piece; 3] {
    let (toe, ankle) = (p((1.011, 0.013)), p((0.849, 0.110)));
    let (knee, hip) = (p((0.864, 0.549)), p((0.721, 0.928)));
    let table = SegmentTable::dempster();
    [
        (Segment::Foot, ankle, toe),
        (Segment::Shank, knee, ankle),
        (Segment::Thigh, hip, knee),
    ]
    .map(|(segment, first, second)| {
        table
            .piece(Cut::Limb(segment), first, second)
            .expect("a limb is in every table")
    })
}

#[test]
fn row_7_lower_limb_of_the_open_course() {
    // BMC BodySegmentParameters [R]
    let limb = lower_limb();
    for (piece, (x, y)) in limb.iter().zip([(0.930, 0.062), (0.858, 0.359), (0.783, 0.764)]) {
        // The source prints three digits and rounds halves either way: .0615 as .062.
        printed("row 7, x", piece.centre.x, x, 3);
        printed("row 7, y", piece.centre.y, y, 3);
    }
    let whole = combine(&limb).expect("a leg has mass");
    printed("row 7, x", whole.centre.x, 0.818, 3);
    printed("row 7, y", whole.centre.y, 0.584, 3);
    // Computed again to six digits [C]
    printed("row 7, x", whole.centre.x, 0.817_707, 6);
    printed("row 7, y", whole.centre.y, 0.583_668, 6);
    printed("row 7, mass", whole.mass, 0.161, 9);
}

#[test]
fn row_8_moments_of_inertia_by_the_parallel_axis_theorem() {
    // BMC BodySegmentParameters, 100 kg [R]. The moments of the segments about their own centres are taken from the source:
    // no measure needs radii of gyration, so the tables here have none. What is checked are masses and centres.
    let limb = lower_limb();
    let own = [0.012, 0.082, 0.171];
    let about = |axis: Point| -> f64 {
        limb.iter()
            .zip(own)
            .map(|(piece, own)| own + 100.0 * piece.mass * (piece.centre - axis).norm_squared())
            .sum()
    };
    let whole = combine(&limb).expect("a leg has mass");
    // Three rounded summands and a rounded sum: 2 of the last digit.
    assert!(
        (about(whole.centre) - 1.257).abs() <= 0.002,
        "row 8: {}",
        about(whole.centre)
    );
    let hip = p((0.721, 0.928));
    assert!((about(hip) - 3.317).abs() <= 0.002, "row 8: {}", about(hip));
}

#[test]
fn row_9_a_straight_handstand() {
    // Heights in m [C] from de Leva (1996) Table 4 [R]: trunk from mid-shoulder to mid-hip, head from crown to C7, hand from
    // wrist to knuckle with the knuckle at 0, foot taken from ankle to toe.
    let at = |y: f64| Point::new(0.0, y);
    for (table, expected) in [
        (SegmentTable::de_leva_female(), 0.87038),
        (SegmentTable::de_leva_male(), 0.87002),
    ] {
        let mut pieces = vec![(Cut::HeadToNeck, 0.28, 0.50), (Cut::Trunk, 0.54, 0.98)];
        for _side in 0..2 {
            pieces.extend([
                (Cut::HandToKnuckle, 0.08, 0.0),
                (Cut::Limb(Segment::Forearm), 0.30, 0.08),
                (Cut::Limb(Segment::UpperArm), 0.54, 0.30),
                (Cut::Limb(Segment::Thigh), 0.98, 1.34),
                (Cut::Limb(Segment::Shank), 1.34, 1.70),
                (Cut::Limb(Segment::Foot), 1.70, 1.85),
            ]);
        }
        let pieces: Vec<Piece> = pieces
            .into_iter()
            .map(|(cut, first, second)| table.piece(cut, at(first), at(second)).expect("de Leva has it"))
            .collect();
        let body = combine(&pieces).expect("a body has mass");
        printed("row 9, mass", body.mass, 1.0, 9);
        printed("row 9", body.centre.y, expected, 5);
    }
}

#[test]
fn row_10_two_masses() {
    // BMC CenterOfMass [R]: r1 + m2 / (m1 + m2) (r2 − r1)
    for (m1, m2, r1, r2) in [
        (1.0, 1.0, (0.0, 0.0), (2.0, 0.0)),
        (3.0, 1.5, (-1.0, 4.0), (5.0, 0.25)),
        (0.2, 70.0, (10.0, -3.0), (0.5, 0.5)),
    ] {
        let (r1, r2) = (p(r1), p(r2));
        let both = combine(&[Piece { mass: m1, centre: r1 }, Piece { mass: m2, centre: r2 }]).expect("they have mass");
        let expected = r1 + (r2 - r1) * (m2 / (m1 + m2));
        assert!((both.centre - expected).norm() < 1e-12, "row 10: {}", both.centre);
    }
}

#[test]
fn rows_11_to_15_and_23_flights_that_end_where_they_began() {
    // h = g t²/8: BMC [R]; digits [C]
    printed("row 11", height_of_symmetric_flight(0.5, 9.81), 0.30656, 5);
    printed("row 11, by its velocity", rise(2.4525, 9.81), 0.30656, 5);
    printed(
        "row 11, back to its time",
        flight_time(2.4525, 0.0, 9.81).expect("lands"),
        0.5,
        9,
    );
    // BMC VerticalJump [R]; the source prints .213 from unrounded times
    printed("row 12", height_of_symmetric_flight(1.323 - 0.907, 9.8), 0.212, 3);
    for (t, h) in [
        (0.10, 0.01226),
        (0.15, 0.02759),
        (0.20, 0.04905),
        (0.30, 0.11036),
        (0.40, 0.19620),
    ] {
        printed("row 13", height_of_symmetric_flight(t, 9.81), h, 5);
    }
    // sciencing.com [R]: apex after .14 s; rise .0958 [C], rounded to .09 on the page
    printed("row 14", flight_time(1.37, 0.0, 9.8).expect("lands") / 2.0, 0.14, 2);
    printed("row 14", rise(1.37, 9.8), 0.0958, 4);
    // RIT Physics 211, quiz 5 [R]: .5 s; .499 [C]
    printed("row 15", flight_time(0.0, 1.22, 9.8).expect("falls"), 0.499, 3);
    // One frame of 60 per second more on .5 s: g t dt / 4 [C]; the central difference of a parabola is exact.
    let (t, dt) = (0.5, 1.0 / 60.0);
    let one_frame = height_of_symmetric_flight(t + dt / 2.0, 9.81) - height_of_symmetric_flight(t - dt / 2.0, 9.81);
    printed("row 23", one_frame, 0.0204, 4);
}

#[test]
fn rows_16_to_19_flights_that_end_elsewhere() {
    // BMC Projectile, problem 1: inputs [R], results [C]; g 9.8
    let takeoff = Vector::new(8.10, 3.58);
    printed("row 16, speed", takeoff.norm(), 8.856, 3);
    printed("row 16, angle", degrees(turn(Vector::x(), takeoff)), 23.84, 2);
    let time = flight_time(takeoff.y, 0.0, 9.8).expect("lands");
    printed("row 16, range", takeoff.x * time, 5.918, 3);
    // BMC Projectile [R]: released .6 m up at 9 m/s, farthest at 43.1°. Searched in steps of .01°.
    let range = |hundredths: i32| {
        let angle = (f64::from(hundredths) / 100.0).to_radians();
        9.0 * angle.cos() * flight_time(9.0 * angle.sin(), 0.6, 9.8).expect("lands")
    };
    let best = (0..9000).max_by(|a, b| range(*a).total_cmp(&range(*b))).expect("some");
    printed("row 17", f64::from(best) / 100.0, 43.1, 1);
    // v t − g t²/2 = −drop [C]
    printed("row 18", flight_time(1.5, 0.30, 9.81).expect("lands"), 0.44367, 5);
    printed("row 18", rise(1.5, 9.81), 0.11468, 5);
    printed("row 19", flight_time(2.2, 0.40, 9.81).expect("lands"), 0.58736, 5);
    // It never rises .4 m to a place that high.
    assert!(flight_time(2.2, -0.40, 9.81).is_none());
}

#[test]
fn row_20_density_by_linear_propagation() {
    // BMC PropagationUncertainty, after the GUM [R]: 4.0 ± .5 g in 2.0 ± .2 cm³ is 2.00 ± .32 g/cm³
    let density = quotient(Uncertain::new(4.0, 0.5), Uncertain::new(2.0, 0.2));
    printed("row 20", density.value, 2.0, 9);
    printed("row 20", density.sd, 0.32, 2);
}

#[test]
fn row_21_noise_of_angles() {
    // Derived, and checked with 400,000 draws: (lengths px, degrees, sd px, formula °, drawn °) [C]
    for (a, c, theta, sd, formula, drawn) in [
        (100.0, 100.0, 180.0f64, 2.0, 2.807, 2.802),
        (100.0, 100.0, 90.0, 2.0, 2.292, 2.297),
        (100.0, 100.0, 30.0, 2.0, 1.726, 1.727),
        (120.0, 150.0, 170.0, 3.0, 3.156, 3.159),
        (60.0, 90.0, 180.0, 2.0, 3.924, 3.928),
    ] {
        let got = angle_variance(a, c, theta.to_radians(), [sd; 3]).sqrt().to_degrees();
        printed("row 21", got, formula, 3);
        assert!((got / drawn - 1.0).abs() < 0.003, "row 21: {got}, drawn {drawn}");
    }
    // Shoulder opening, arm 120 px, trunk 110 px: clicks of 2 and 3 px, and noise as of a pose model [C]. The last is
    // printed with one digit for sds that are printed with one digit.
    for (sd, expected, digits) in [([2.0; 3], 2.45, 2), ([3.0; 3], 3.67, 2), ([6.2, 7.9, 10.7], 10.1, 1)] {
        let got = angle_variance(120.0, 110.0, std::f64::consts::PI, sd)
            .sqrt()
            .to_degrees();
        printed("row 21, shoulder", got, expected, digits);
    }
    // A segment of 100 px to the vertical, 2 px: 1.621 [C]. The vertical is a side without end and without noise.
    let to_vertical = angle_variance(100.0, 1e12, 0.3, [2.0, 2.0, 0.0]).sqrt().to_degrees();
    printed("row 21, segment", to_vertical, 1.621, 3);
}

#[test]
fn row_21_turned_planes_and_the_times_of_events() {
    // The plane of motion turned by 10, 20, 30° to the picture [C]: error of a segment at 45°, and what a joint of 150°
    // reads with the body upright and lying.
    for (yaw, error, upright, level) in [
        (10.0f64, 0.44, 150.44, 149.56),
        (20.0, 1.78, 151.73, 148.17),
        (30.0, 4.11, 153.87, 145.62),
    ] {
        let seen = |inclination: f64| yawed_inclination(inclination.to_radians(), yaw.to_radians()).to_degrees();
        printed("yaw, segment", 45.0 - seen(45.0), error, 2);
        printed("yaw, upright", 180.0 - (seen(15.0) - seen(-15.0)), upright, 2);
        printed("yaw, level", 2.0 * seen(75.0), level, 2);
    }
    // Time between two events known to the frame: 1/(fs √6), ms [C]
    for (rate, ms) in [
        (25.0, 16.3),
        (30.0, 13.6),
        (50.0, 8.2),
        (60.0, 6.8),
        (120.0, 3.4),
        (240.0, 1.7),
    ] {
        printed("timing", 1000.0 * interval_sd(1.0 / rate), ms, 1);
    }
}

/// Winter's K1, K2 and K3 and the pre-warped cut-off, from the coefficients alone.
fn winter(filter: &Butterworth) -> [f64; 4] {
    let k2 = 1.0 / (1.0 - filter.a[1] / (2.0 * filter.b[0]));
    let wc = k2.sqrt();
    [wc, std::f64::consts::SQRT_2 * wc, k2, 2.0 * filter.b[0] / k2]
}

#[test]
fn row_22_filters() {
    // Correction of two passes: (√2 − 1)^(1/4) = .802 [R2], .8022432629 [C]
    printed("correction", TWO_PASS_CORRECTION, 0.802_243_262_9, 10);
    printed("correction", (2f64.sqrt() - 1.0).powf(0.25), TWO_PASS_CORRECTION, 10);
    // (cut-off Hz, rate Hz, a0, b1, b2), two passes, correction on the pre-warped value [C]
    for (cutoff, rate, a0, b1, b2) in [
        (10.0, 100.0, 0.094_447, 0.962_641, -0.340_428),
        (6.0, 30.0, 0.264_494, 0.115_977, -0.173_952),
        (6.0, 120.0, 0.029_569, 1.458_104, -0.576_380),
        (8.0, 240.0, 0.014_275, 1.634_729, -0.691_827),
    ] {
        let filter = Butterworth::two_pass(cutoff, rate).expect("usable");
        printed("a0", filter.b[0], a0, 6);
        printed("a1", filter.b[1], 2.0 * a0, 5);
        printed("b1", -filter.a[1], b1, 6);
        printed("b2", -filter.a[2], b2, 6);
        // The one that has gain .7071 at the cut-off after both passes.
        let gain = filter.gain(cutoff, rate).powi(2);
        printed("gain", gain, std::f64::consts::FRAC_1_SQRT_2, 9);
    }
    let [wc, ..] = winter(&Butterworth::two_pass(10.0, 100.0).expect("usable"));
    printed("wc", wc, 0.405_014, 6);
    // Winter's own ratio fs/fc = 10, one pass: example [M], values [C]
    let one = Butterworth::one_pass(6.0, 60.0).expect("usable");
    let [wc, k1, k2, k3] = winter(&one);
    for (what, got, expected) in [
        ("wc", wc, 0.324_920),
        ("K1", k1, 0.459_506),
        ("K2", k2, 0.105_573),
        ("K3", k3, 1.277_891),
        ("a0", one.b[0], 0.067_455),
        ("a1", one.b[1], 0.134_911),
        ("b1", -one.a[1], 1.142_981),
        ("b2", -one.a[2], -0.412_802),
    ] {
        printed(what, got, expected, 6);
    }
    // Second order, Wn .1 [R BMC output]; and the simplified correction, which is another filter: 12.465 Hz [R]
    for (filter, b, a) in [
        (
            Butterworth::one_pass(0.05, 1.0),
            [0.020_083_37, 0.040_166_73, 0.020_083_37],
            [1.0, -1.561_018_08, 0.641_351_54],
        ),
        (
            Butterworth::one_pass(12.465_047_027_709_272, 100.0),
            [0.097_185_22, 0.194_370_45, 0.097_185_22],
            [1.0, -0.945_570_29, 0.334_311_19],
        ),
    ] {
        let filter = filter.expect("usable");
        for k in 0..3 {
            printed("b", filter.b[k], b[k], 8);
            printed("a", filter.a[k], a[k], 8);
        }
    }
    // Σb = 1 + Σa: a constant passes unchanged [R]
    for (cutoff, rate) in [(10.0, 100.0), (6.0, 30.0), (6.0, 120.0), (8.0, 240.0), (10.0, 60.0)] {
        let filter = Butterworth::two_pass(cutoff, rate).expect("usable");
        let sum = |c: &[f64]| c.iter().sum::<f64>();
        printed("gain at 0 Hz", sum(&filter.b) - sum(&filter.a[1..]), 1.0, 9);
    }
}

#[test]
fn row_24_rise_of_a_measured_back_handspring() {
    // Penitente, Merni & Sands (2011) Gym Coach 4:1-11 [R abstract]: 1.0 m/s leaving the hands, CoM rise .06 m.
    // .0510 m [C]; the published numbers agree as far as they are rounded.
    printed("row 24", rise(1.0, 9.81), 0.0510, 4);
    let most = rise(1.05, 9.81);
    assert!(
        most >= 0.055,
        "no velocity that is printed 1.0 gives a rise that is printed .06: {most}"
    );
}
