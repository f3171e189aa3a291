//! Included angles at the joints, in the gym plane (X the way the athlete faces, Y up).
//!
//! Straight is 180°. The sense of each is body-fixed, so it holds upside down.

use crate::{Angle, Point, Vector};

/// Angle from `from` to `to`, anticlockwise positive, on (−180°, 180°]; `None` if either has no length.
///
/// # Source
/// `atan2(cross, dot)`, well-conditioned at 0° and 180° where the arc cosine is not.
#[must_use]
pub fn turn(from: Vector, to: Vector) -> Option<Angle> {
    if from.norm_squared() == 0.0 || to.norm_squared() == 0.0 {
        return None;
    }
    Angle::from_radians(from.perp(&to).atan2(from.dot(&to)))
}

/// Size of the angle between two directions, 0 to 180°; `None` if either has no length.
///
/// ```
/// use springline_kinematics::{Vector, joint_angles::unsigned};
/// let angle = unsigned(Vector::new(1.0, 0.0), Vector::new(0.0, -2.0)).expect("both have length");
/// assert!((angle.degrees() - 90.0).abs() < 1e-12);
/// assert!(unsigned(Vector::zeros(), Vector::new(0.0, 1.0)).is_none());
/// ```
#[must_use]
pub fn unsigned(one: Vector, other: Vector) -> Option<Angle> {
    turn(one, other).map(|angle| Angle::rad(angle.radians().abs()))
}

/// Shoulder opening: at the shoulder, anticlockwise from shoulder→hip to shoulder→elbow.
///
/// 180° arm in line with the trunk overhead, 90° arm straight out in front, 0° arm by the side,
/// −10° arm a little behind the trunk, above 180° past overhead.
///
/// # Inputs
/// Gym plane, any one length unit. Give the wrist as `elbow` where no elbow is seen, and say so.
/// # Returns
/// On the branch (−90°, 270°]; `None` if a segment has no length.
/// # Limits
/// True only for motion in a plane parallel to the picture.
/// # Example
/// ```
/// use springline_kinematics::{Point, joint_angles::shoulder_opening};
/// let (hip, shoulder) = (Point::new(0.0, 0.0), Point::new(0.0, 1.0));
/// let front = shoulder_opening(hip, shoulder, Point::new(1.0, 1.0)).expect("has length");
/// assert!((front.degrees() - 90.0).abs() < 1e-12);
/// assert!(shoulder_opening(hip, hip, shoulder).is_none());
/// ```
#[must_use]
pub fn shoulder_opening(hip: Point, shoulder: Point, elbow: Point) -> Option<Angle> {
    turn(hip - shoulder, elbow - shoulder).map(|angle| angle.wrapped_above(-90.0))
}

/// Hip angle: at the hip, clockwise from hip→shoulder to hip→knee. 180° straight, below pike, above arch.
///
/// # Inputs
/// Gym plane, any one length unit.
/// # Returns
/// On (0°, 360°]; `None` if a segment has no length.
/// # Example
/// ```
/// use springline_kinematics::{Point, joint_angles::hip_angle};
/// let (shoulder, hip) = (Point::new(0.0, 1.0), Point::new(0.0, 0.0));
/// let pike = hip_angle(shoulder, hip, Point::new(1.0, 0.0)).expect("has length");
/// assert!((pike.degrees() - 90.0).abs() < 1e-12);
/// assert!(hip_angle(shoulder, hip, hip).is_none());
/// ```
#[must_use]
pub fn hip_angle(shoulder: Point, hip: Point, knee: Point) -> Option<Angle> {
    turn(knee - hip, shoulder - hip).map(|angle| angle.wrapped_above(0.0))
}

/// Knee angle: at the knee, anticlockwise from knee→hip to knee→ankle. 180° straight, below bent.
///
/// # Inputs
/// Gym plane, any one length unit.
/// # Returns
/// On (0°, 360°]; `None` if a segment has no length.
#[must_use]
pub fn knee_angle(hip: Point, knee: Point, ankle: Point) -> Option<Angle> {
    turn(hip - knee, ankle - knee).map(|angle| angle.wrapped_above(0.0))
}

/// Elbow angle: at the elbow, shoulder to wrist, unsigned (a bent arm in support leaves the plane).
///
/// # Inputs
/// Any plane, any one length unit.
/// # Returns
/// 0 to 180°; `None` if a segment has no length.
#[must_use]
pub fn elbow_angle(shoulder: Point, elbow: Point, wrist: Point) -> Option<Angle> {
    unsigned(shoulder - elbow, wrist - elbow)
}

/// Ankle angle: at the ankle, clockwise from ankle→knee to ankle→toe. Near 180° pointed, below flexed.
///
/// # Inputs
/// Gym plane, any one length unit.
/// # Returns
/// On (0°, 360°]; `None` if a segment has no length.
#[must_use]
pub fn ankle_angle(knee: Point, ankle: Point, toe: Point) -> Option<Angle> {
    turn(toe - ankle, knee - ankle).map(|angle| angle.wrapped_above(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    #[test]
    fn senses_hold_upright() {
        // Upright, facing +X.
        let degrees = |angle: Option<Angle>| angle.expect("has length").degrees();
        assert!((degrees(shoulder_opening(p(0., 0.), p(0., 1.), p(0., 2.))) - 180.0).abs() < 1e-9);
        assert!((degrees(shoulder_opening(p(0., 0.), p(0., 1.), p(-0.1, 0.))) + 5.7106).abs() < 1e-4);
        assert!((degrees(hip_angle(p(0., 1.), p(0., 0.), p(-0.1, -1.))) - 185.7106).abs() < 1e-4);
        assert!((degrees(knee_angle(p(0., 1.), p(0., 0.), p(-1., 0.))) - 90.0).abs() < 1e-9);
        assert!((degrees(ankle_angle(p(0., 1.), p(0., 0.), p(1., 0.))) - 90.0).abs() < 1e-9);
    }

    #[test]
    fn knee_flexion_of_a_published_stance() {
        // physicsforums 251371 [R], digits [C]; published-values worked example 3.
        let knee = knee_angle(p(1.0183, 0.7959), p(1.1223, 0.5042), p(1.0539, 0.1081));
        assert!((knee.expect("has length").degrees() - 150.580).abs() < 5e-4);
    }
}
