//! Inclinations and distances of segments, in the gym plane (X the way the athlete faces, Y up).

use crate::joint_angles::{turn, unsigned};
use crate::{Angle, Point, Vector};

/// Angle of `from`→`to` from the vertical: 0° straight up, positive toward +X, on (−180°, 180°].
///
/// Trunk inclination is this from mid-hip to mid-shoulder, body-line lean from hands to ankles,
/// landing lean from the landing ankle to the centre of mass.
///
/// ```
/// use springline_kinematics::{Point, segments::inclination};
/// let lean = inclination(Point::new(0.0, 0.0), Point::new(1.0, 1.0)).expect("has length");
/// assert!((lean.degrees() - 45.0).abs() < 1e-12);
/// assert!(inclination(Point::new(2.0, 2.0), Point::new(2.0, 2.0)).is_none());
/// ```
#[must_use]
pub fn inclination(from: Point, to: Point) -> Option<Angle> {
    turn(to - from, Vector::y())
}

/// Makes a series of angles continuous: neighbours differ by at most half a turn.
///
/// # Inputs
/// `n` angles in radians, `None` where missing; gaps are stepped over.
/// # Returns
/// `n` values; the first seen one is unchanged.
#[must_use]
pub fn unwrap(angles: &[Option<f64>]) -> Vec<Option<f64>> {
    let mut last: Option<f64> = None;
    angles
        .iter()
        .map(|angle| {
            let value = (*angle)?;
            let unwrapped = match last {
                Some(before) => value - std::f64::consts::TAU * ((value - before) / std::f64::consts::TAU).round(),
                None => value,
            };
            last = Some(unwrapped);
            Some(unwrapped)
        })
        .collect()
}

/// Body-line straightness: the largest distance of shoulder, hip and knee from the wrist–ankle chord,
/// as a fraction of the chord; positive where that point lies ventral (arch), negative dorsal
/// (hollow, pike, closed shoulders).
///
/// # Inputs
/// Gym plane, any one length unit. Ventral is clockwise of the cranial direction ankle→wrist.
/// # Returns
/// A fraction (0.05 is 5 %); `None` if wrist and ankle coincide.
#[must_use]
pub fn body_line_straightness(wrist: Point, shoulder: Point, hip: Point, knee: Point, ankle: Point) -> Option<f64> {
    let chord = wrist - ankle;
    let square = chord.norm_squared();
    if square == 0.0 {
        return None;
    }
    let offset = |point: Point| -chord.perp(&(point - ankle)) / square;
    [shoulder, hip, knee]
        .into_iter()
        .map(offset)
        .max_by(|a, b| a.abs().total_cmp(&b.abs()))
}

/// Leg gap: size of the angle between the left and the right hip→ankle line, each from its own hip.
///
/// Give the knees as `ankle` where an ankle is missing, on both sides alike.
#[must_use]
pub fn leg_gap(left_hip: Point, left_ankle: Point, right_hip: Point, right_ankle: Point) -> Option<Angle> {
    unsigned(left_ankle - left_hip, right_ankle - right_hip)
}

/// Ear offset: distance of the ear from the shoulder–elbow line in upper-arm lengths, positive ventral
/// (clockwise of shoulder→elbow). 0: ear covered by the arm. Meaningful for shoulder openings above 90° only.
#[must_use]
pub fn ear_offset(shoulder: Point, elbow: Point, ear: Point) -> Option<f64> {
    let arm = elbow - shoulder;
    let square = arm.norm_squared();
    (square > 0.0).then(|| -arm.perp(&(ear - shoulder)) / square)
}

/// Head tilt: clockwise from the trunk's cranial direction to ear→nose. 90° neutral (nose tips read
/// 10–15° more \[M\]); smaller: eyes toward the hands; larger: chin tucked. On (−90°, 270°].
#[must_use]
pub fn head_tilt(mid_hip: Point, mid_shoulder: Point, ear: Point, nose: Point) -> Option<Angle> {
    turn(nose - ear, mid_shoulder - mid_hip).map(|angle| angle.wrapped_above(-90.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    #[test]
    fn arch_is_positive_upside_down_and_upright() {
        // Upright facing +X, arms overhead, hips pushed forward: arch.
        let arch = body_line_straightness(p(0., 2.), p(0., 1.5), p(0.1, 1.0), p(0., 0.5), p(0., 0.));
        assert!((arch.expect("chord") - 0.05).abs() < 1e-12);
        // The same figure turned by half a turn.
        let turned = body_line_straightness(p(0., -2.), p(0., -1.5), p(-0.1, -1.0), p(0., -0.5), p(0., 0.));
        assert!((turned.expect("chord") - 0.05).abs() < 1e-12);
    }

    #[test]
    fn head_reads_the_same_upside_down() {
        let upright = head_tilt(p(0., 0.), p(0., 1.), p(0., 1.2), p(0.1, 1.2)).expect("length");
        let inverted = head_tilt(p(0., 0.), p(0., -1.), p(0., -1.2), p(-0.1, -1.2)).expect("length");
        assert!((upright.degrees() - 90.0).abs() < 1e-9);
        assert!((inverted.degrees() - 90.0).abs() < 1e-9);
        let tucked = head_tilt(p(0., 0.), p(0., 1.), p(0., 1.2), p(0.1, 1.1)).expect("length");
        assert!(tucked.degrees() > 130.0);
        let ventral = ear_offset(p(0., 1.), p(0., 2.), p(0.2, 1.3)).expect("length");
        assert!((ventral - 0.2).abs() < 1e-12);
    }

    #[test]
    fn unwrapping_a_full_turn() {
        let wrapped: Vec<Option<f64>> = (0..=36)
            .map(|step| {
                let turn = f64::from(step) * 10f64.to_radians();
                (step != 7).then(|| turn.sin().atan2(turn.cos()))
            })
            .collect();
        let open = unwrap(&wrapped);
        assert!((open[36].expect("seen") - std::f64::consts::TAU).abs() < 1e-9);
        assert!(open[7].is_none());
    }
}
