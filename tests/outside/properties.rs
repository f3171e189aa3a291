//! What must hold for any figure: moving, turning, scaling and mirroring it; its mass within its outline; parabolas; and
//! series that a filter must leave alone. Drawn with a fixed seed.

use nalgebra::Rotation2;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use springline_kinematics::ballistics::fit_flight;
use springline_kinematics::joint_angles::{
    ankle_angle, elbow_angle, hip_angle, knee_angle, shoulder_opening, turn, unsigned,
};
use springline_kinematics::mass::{Cut, EndPoints, Piece, Segment, SegmentTable, centre_of_mass, combine};
use springline_kinematics::segments::{body_line_straightness, ear_offset, head_tilt, leg_gap};
use springline_kinematics::smoothing::Butterworth;
use springline_kinematics::{Angle, Landmark, Point, Vector};

fn seeded(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(20_260_314),
        ..ProptestConfig::default()
    }
}

type Body = [Point; Landmark::COUNT];

fn point() -> impl Strategy<Value = Point> {
    (-500.0..500.0f64, -500.0..500.0f64).prop_map(|(x, y)| Point::new(x, y))
}

fn body() -> impl Strategy<Value = Body> {
    prop::collection::vec(point(), Landmark::COUNT).prop_map(|points| points.try_into().expect("as many as asked for"))
}

/// Angles of a figure that don't depend on where up is, each with whether a mirror flips it about straight or zero.
fn angles(body: &Body) -> Vec<(&'static str, Option<Angle>)> {
    use Landmark as L;
    let at = |landmark: Landmark| body[landmark.index()];
    let (wrist, elbow, shoulder) = (at(L::LeftWrist), at(L::LeftElbow), at(L::LeftShoulder));
    let (hip, knee, ankle, toe) = (at(L::LeftHip), at(L::LeftKnee), at(L::LeftAnkle), at(L::LeftToe));
    vec![
        ("shoulder", shoulder_opening(hip, shoulder, elbow)),
        ("hip", hip_angle(shoulder, hip, knee)),
        ("knee", knee_angle(hip, knee, ankle)),
        ("ankle", ankle_angle(knee, ankle, toe)),
        ("head", head_tilt(hip, shoulder, at(L::LeftEar), at(L::Nose))),
        ("elbow", elbow_angle(shoulder, elbow, wrist)),
        ("legs", leg_gap(hip, ankle, at(L::RightHip), at(L::RightAnkle))),
        ("knee, unsigned", unsigned(hip - knee, ankle - knee)),
    ]
}

/// Those of the list above that are signed.
const SIGNED: usize = 5;

fn ratios(body: &Body) -> [Option<f64>; 2] {
    use Landmark as L;
    let at = |landmark: Landmark| body[landmark.index()];
    [
        body_line_straightness(
            at(L::LeftWrist),
            at(L::LeftShoulder),
            at(L::LeftHip),
            at(L::LeftKnee),
            at(L::LeftAnkle),
        ),
        ear_offset(at(L::LeftShoulder), at(L::LeftElbow), at(L::LeftEar)),
    ]
}

/// Same direction, whatever the branch.
fn same(a: Option<Angle>, b: Option<Angle>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => {
            let difference = (a.degrees() - b.degrees()).rem_euclid(360.0);
            difference.min(360.0 - difference) < 1e-6
        }
        (a, b) => a.is_none() && b.is_none(),
    }
}

/// Every segment is long enough that rounding does not turn it.
fn usable(body: &Body) -> bool {
    let far = |a: Landmark, b: Landmark| (body[a.index()] - body[b.index()]).norm() > 1.0;
    Landmark::ALL
        .into_iter()
        .all(|a| Landmark::ALL.into_iter().all(|b| a == b || far(a, b)))
}

const ENDS: EndPoints = EndPoints {
    fingers: true,
    feet: true,
};

fn tables() -> [SegmentTable; 3] {
    [
        SegmentTable::de_leva_female(),
        SegmentTable::de_leva_male(),
        SegmentTable::dempster(),
    ]
}

fn mass(table: &SegmentTable, body: &Body) -> Point {
    centre_of_mass(table, ENDS, |landmark| Some(body[landmark.index()]), |_| false)
        .expect("all is seen")
        .position
}

/// Whether a point lies on no side farther out than all of the others: for every direction, some point lies as far.
fn within_hull(inside: Point, body: &Body) -> bool {
    (0..360).all(|degrees| {
        let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
        let along = Vector::new(cos, sin);
        let farthest = body.iter().map(|p| p.coords.dot(&along)).fold(f64::MIN, f64::max);
        inside.coords.dot(&along) <= farthest + 1e-9
    })
}

proptest! {
    #![proptest_config(seeded(256))]

    #[test]
    fn moving_turning_and_scaling_keep_every_joint_angle(
        body in body().prop_filter("segments have length", usable),
        by in point(),
        degrees in -180.0..180.0f64,
        scale in 0.05..20.0f64,
    ) {
        let rotation = Rotation2::new(degrees.to_radians());
        let moved = body.map(|point| rotation * Point::from(point.coords * scale) + by.coords);
        for ((name, before), (_, after)) in angles(&body).into_iter().zip(angles(&moved)) {
            prop_assert!(same(before, after), "{name}: {before:?} {after:?}");
        }
        for (before, after) in ratios(&body).into_iter().zip(ratios(&moved)) {
            let (before, after) = (before.expect("has length"), after.expect("has length"));
            prop_assert!((before - after).abs() <= 1e-6 * (1.0 + before.abs()), "{before} {after}");
        }
    }

    #[test]
    fn a_mirror_flips_what_is_signed_and_keeps_what_is_not(body in body().prop_filter("segments have length", usable)) {
        let mirrored = body.map(|point| Point::new(-point.x, point.y));
        let both = angles(&body).into_iter().zip(angles(&mirrored));
        for (k, ((name, before), (_, after))) in both.enumerate() {
            let expected = match (k < SIGNED, before) {
                (true, Some(angle)) => Angle::from_degrees(-angle.degrees()),
                (_, same) => same,
            };
            prop_assert!(same(expected, after), "{name}: {before:?} {after:?}");
        }
        for (before, after) in ratios(&body).into_iter().zip(ratios(&mirrored)) {
            let (before, after) = (before.expect("has length"), after.expect("has length"));
            prop_assert!((before + after).abs() <= 1e-9 * (1.0 + before.abs()), "{before} {after}");
        }
    }

    #[test]
    fn the_mass_lies_within_the_outline_and_follows_the_figure(
        body in body(),
        by in point(),
        degrees in -180.0..180.0f64,
        scale in 0.05..20.0f64,
    ) {
        let rotation = Rotation2::new(degrees.to_radians());
        for table in tables() {
            let here = mass(&table, &body);
            prop_assert!(within_hull(here, &body), "{} {here}", table.name);
            let scaled = mass(&table, &body.map(|point| Point::from(point.coords * scale)));
            prop_assert!((scaled.coords - here.coords * scale).norm() < 1e-9 * (1.0 + scale * 1000.0));
            let moved = mass(&table, &body.map(|point| rotation * point + by.coords));
            prop_assert!((moved - (rotation * here + by.coords)).norm() < 1e-9 * 1000.0);
        }
    }

    #[test]
    fn pieces_put_together_step_by_step_are_the_whole(
        body in body(),
        first in 1usize..7,
    ) {
        use Landmark as L;
        let at = |landmark: Landmark| body[landmark.index()];
        for table in tables() {
            let pieces: Vec<Piece> = [
                (Cut::Trunk, L::LeftShoulder, L::LeftHip),
                (Cut::HandToKnuckle, L::LeftWrist, L::LeftFingertip),
                (Cut::Limb(Segment::Forearm), L::LeftElbow, L::LeftWrist),
                (Cut::Limb(Segment::UpperArm), L::LeftShoulder, L::LeftElbow),
                (Cut::Limb(Segment::Thigh), L::LeftHip, L::LeftKnee),
                (Cut::Limb(Segment::Shank), L::LeftKnee, L::LeftAnkle),
                (Cut::Limb(Segment::Foot), L::LeftAnkle, L::LeftToe),
            ]
            .into_iter()
            .map(|(cut, a, b)| table.piece(cut, at(a), at(b)).expect("every table has it"))
            .collect();
            let whole = combine(&pieces).expect("has mass");
            let (one, other) = pieces.split_at(first);
            let parts = [combine(one).expect("has mass"), combine(other).expect("has mass")];
            let again = combine(&parts).expect("has mass");
            prop_assert!((again.mass - whole.mass).abs() < 1e-12);
            prop_assert!((again.centre - whole.centre).norm() < 1e-9 * 1000.0);
            prop_assert!(within_hull(whole.centre, &body));
        }
    }

    #[test]
    fn the_second_difference_of_a_parabola_is_its_acceleration(
        height in -2.0..2.0f64,
        velocity in -5.0..5.0f64,
        gravity in 1.0..20.0f64,
        rate in prop::sample::select(vec![24.0, 30.0, 60.0, 120.0, 240.0]),
    ) {
        let at = |k: i32| {
            let t = f64::from(k) / rate;
            (t, Point::new(t, height + velocity * t - 0.5 * gravity * t * t))
        };
        let track: Vec<(f64, Point)> = (0..12).map(at).collect();
        for three in track.windows(3) {
            let second = (three[2].1.y - 2.0 * three[1].1.y + three[0].1.y) * rate * rate;
            prop_assert!((second + gravity).abs() < 1e-12 * rate * rate * 10.0, "{second} {gravity}");
        }
        let flight = fit_flight(&track, 0.001, 0.0, 0.0);
        let fitted = flight.gravity.expect("enough frames").value;
        prop_assert!((fitted - gravity).abs() < 1e-6, "{fitted} {gravity}");
        prop_assert!((flight.velocity_with_gravity(gravity).value - velocity).abs() < 1e-6);
    }
}

proptest! {
    #![proptest_config(seeded(64))]

    #[test]
    fn a_filter_leaves_a_constant_and_the_middle_of_a_line(
        level in -1000.0..1000.0f64,
        slope in -20.0..20.0f64,
        n in 10usize..200,
        cutoff in 4.0..15.0f64,
        rate in prop::sample::select(vec![30.0, 60.0, 120.0, 240.0]),
    ) {
        let filter = Butterworth::two_pass(cutoff, rate).expect("usable");
        for value in filter.smooth(&vec![level; n]) {
            prop_assert!((value - level).abs() <= 1e-9 * (1.0 + level.abs()), "{value} {level}");
        }
        // The start-up state is that of a constant; its trace dies away with the response of the filter.
        let settles = (rate / cutoff * 3.0).ceil() as usize;
        let line: Vec<f64> = (0..n + 2 * settles).map(|k| level + slope * k as f64).collect();
        let smooth = filter.smooth(&line);
        for k in settles..n + settles {
            prop_assert!((smooth[k] - line[k]).abs() <= 1e-3 * (1.0 + slope.abs()), "{k}: {} {}", smooth[k], line[k]);
        }
    }

    #[test]
    fn turning_one_way_and_back_is_no_turn(a in point(), b in point()) {
        prop_assume!(a.coords.norm() > 1.0 && b.coords.norm() > 1.0);
        let (there, back) = (turn(a.coords, b.coords), turn(b.coords, a.coords));
        prop_assert!(same(there, back.map(|angle| -angle)));
    }
}
