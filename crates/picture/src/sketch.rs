//! What is drawn for a measure: an arc at a joint, a lean from the vertical, a distance.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use springline_kinematics::series::Pose;
use springline_kinematics::{Joint, Landmark, Measure, Point, Side, Vector};

use crate::body::{middle, unit};
use crate::scene::Known;

/// The drawing of one measure, gym plane. Directions in radians, anticlockwise from +X.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Sketch {
    /// An arc from direction `from`, turning by `sweep` (anticlockwise positive).
    Angle { vertex: Point, from: f64, sweep: f64 },
    /// A line of that length from `foot`, beside the vertical; `from` is up, `sweep` clockwise when it is negative.
    Lean { foot: Point, sweep: f64, length: f64 },
    /// A level distance, measured off at height `y`.
    Span { from: Point, to: Point, y: f64 },
    /// A straight distance.
    Chord { from: Point, to: Point },
    /// Just where to look.
    Spot { at: Point },
}

/// How far under the floor level distances are drawn, leg lengths.
const UNDER_FLOOR: f64 = 0.13;

impl Sketch {
    /// What is drawn for a measure on a pose; `None` if its points are missing or it has no place on the body.
    pub fn of(measure: Measure, side: Option<Side>, value: Option<f64>, pose: &Pose, known: Known) -> Option<Self> {
        let side = side.unwrap_or(known.near);
        let at = |joint| pose.at(Landmark::of(joint, side));
        let both = |joint| middle(pose, joint);
        // Anticlockwise where positive, unless the view leaves no sign.
        let angle = |vertex: Point, from: Vector, to: Vector, sense: f64| {
            let (from, to) = (direction(from)?, direction(to)?);
            let turned = to - from;
            let sweep = match measure {
                _ if known.frontal || matches!(measure, Measure::ElbowAngle | Measure::LegGap) => nearest(turned),
                // On the branch (−90°, 270°], as the value is.
                Measure::ShoulderOpening => sense * ((sense * turned + FRAC_PI_2).rem_euclid(TAU) - FRAC_PI_2),
                _ => sense * (sense * turned).rem_euclid(TAU),
            };
            Some(Sketch::Angle { vertex, from, sweep })
        };
        let lean = |foot: Point, head: Point| {
            let line = head - foot;
            let sweep = nearest(direction(line)? - FRAC_PI_2);
            Some(Sketch::Lean {
                foot,
                sweep,
                length: line.norm(),
            })
        };
        match measure {
            Measure::ShoulderOpening => {
                let (shoulder, arm) = (at(Joint::Shoulder)?, at(Joint::Elbow).or_else(|| at(Joint::Wrist))?);
                angle(shoulder, at(Joint::Hip)? - shoulder, arm - shoulder, 1.0)
            }
            Measure::HipAngle => {
                let hip = at(Joint::Hip)?;
                angle(hip, at(Joint::Shoulder)? - hip, at(Joint::Knee)? - hip, -1.0)
            }
            Measure::KneeAngle => {
                let knee = at(Joint::Knee)?;
                angle(knee, at(Joint::Hip)? - knee, at(Joint::Ankle)? - knee, 1.0)
            }
            Measure::ElbowAngle => {
                let elbow = at(Joint::Elbow)?;
                angle(elbow, at(Joint::Shoulder)? - elbow, at(Joint::Wrist)? - elbow, 1.0)
            }
            Measure::AnkleAngle => {
                let ankle = at(Joint::Ankle)?;
                angle(ankle, at(Joint::Knee)? - ankle, at(Joint::Toe)? - ankle, -1.0)
            }
            Measure::LegGap => {
                let leg = |side| {
                    let end = [Joint::Ankle, Joint::Knee].map(|joint| pose.at(Landmark::of(joint, side)));
                    Some(end[0].or(end[1])? - pose.at(Landmark::of(Joint::Hip, side))?)
                };
                angle(both(Joint::Hip)?, leg(Side::Left)?, leg(Side::Right)?, 1.0)
            }
            Measure::HeadTilt => {
                let (ear, shoulder) = (both(Joint::Ear)?, both(Joint::Shoulder)?);
                let cranial = shoulder - both(Joint::Hip)?;
                angle(ear, cranial, pose.at(Landmark::Nose)? - ear, -1.0)
            }
            Measure::TrunkInclination => lean(both(Joint::Hip)?, both(Joint::Shoulder)?),
            Measure::BodyLineLean => lean(both(Joint::Wrist)?, both(Joint::Ankle)?),
            Measure::LandingLean | Measure::ArrivalLean => Some(Sketch::Lean {
                foot: match known.landed_first {
                    Some(side) => pose.at(Landmark::of(Joint::Ankle, side))?,
                    None => both(Joint::Ankle)?,
                },
                sweep: nearest(-value?.to_radians()),
                length: 1.05 * known.leg,
            }),
            Measure::HandToFootDistance => {
                let foot = foot_end(pose, known.push_off?)?;
                let hands: Vec<Point> = Side::BOTH.into_iter().filter_map(|side| hand_end(pose, side)).collect();
                let sum = hands.iter().fold(Vector::zeros(), |sum, hand| sum + hand.coords);
                (!hands.is_empty()).then(|| span(foot, Point::from(sum / hands.len() as f64), known))
            }
            Measure::LungeLength => Some(span(foot_end(pose, Side::Left)?, foot_end(pose, Side::Right)?, known)),
            Measure::HandStagger => Some(span(hand_end(pose, Side::Left)?, hand_end(pose, Side::Right)?, known)),
            Measure::FeetApart => Some(Sketch::Chord {
                from: pose.at(Landmark::LeftAnkle)?,
                to: pose.at(Landmark::RightAnkle)?,
            }),
            Measure::BodyLineStraightness => Some(Sketch::Chord {
                from: at(Joint::Wrist)?,
                to: at(Joint::Ankle)?,
            }),
            Measure::HipLead | Measure::AnkleLead => {
                let (hip, ankle) = (both(Joint::Hip)?, both(Joint::Ankle)?);
                let y = if measure == Measure::HipLead { hip.y } else { ankle.y };
                Some(Sketch::Span {
                    from: hip,
                    to: ankle,
                    y,
                })
            }
            // From the heel to where the mass falls.
            Measure::MassOverFoot => {
                let of_foot = |joint| match known.landed_first {
                    Some(side) => pose.at(Landmark::of(joint, side)),
                    None => both(joint),
                };
                let (heel, toe) = (of_foot(Joint::Heel)?, of_foot(Joint::Toe)?);
                let under_mass = Point::new(heel.x + 0.01 * value? * (toe.x - heel.x), heel.y.min(toe.y));
                Some(span(heel, under_mass, known))
            }
            Measure::HeelHeight => Some(Sketch::Spot { at: at(Joint::Heel)? }),
            Measure::EarOffset => Some(Sketch::Spot { at: at(Joint::Ear)? }),
            Measure::ShoulderHeight => Some(Sketch::Spot {
                at: both(Joint::Shoulder)?,
            }),
            _ => None,
        }
    }

    /// The point that its number belongs to, and the direction in which there is most room for it. `reach`: radius of arcs.
    pub fn anchor(&self, reach: f64) -> (Point, Vector) {
        let toward = |direction: f64| Vector::new(direction.cos(), direction.sin());
        match *self {
            Sketch::Angle { vertex, from, sweep } => {
                let out = toward(from + 0.5 * sweep);
                (vertex + out * reach, out)
            }
            Sketch::Lean { foot, sweep, length } => {
                let out = toward(FRAC_PI_2 + 0.5 * sweep);
                (
                    foot + out * 0.8 * length,
                    toward(FRAC_PI_2 + sweep - sweep.signum() * FRAC_PI_2),
                )
            }
            Sketch::Span { from, to, y } => (Point::new(0.5 * (from.x + to.x), y), Vector::new(0.0, -1.0)),
            Sketch::Chord { from, to } => {
                let across = unit(to - from).map_or(Vector::new(1.0, 0.0), |along| Vector::new(along.y, -along.x));
                (Point::from(0.5 * (from.coords + to.coords)), across)
            }
            Sketch::Spot { at } => (at, Vector::new(1.0, 0.0)),
        }
    }

    /// Points that must be within the picture.
    pub fn extent(&self, reach: f64) -> Vec<(Point, f64)> {
        match *self {
            Sketch::Angle { vertex, .. } => vec![(vertex, reach)],
            Sketch::Lean { foot, sweep, length } => {
                let end = |turn: f64| foot + Vector::new((FRAC_PI_2 + turn).cos(), (FRAC_PI_2 + turn).sin()) * length;
                vec![(end(0.0), 0.0), (end(sweep), 0.0)]
            }
            Sketch::Span { from, to, y } => vec![(Point::new(from.x, y), 0.0), (Point::new(to.x, y), 0.0)],
            Sketch::Chord { from, to } => vec![(from, 0.0), (to, 0.0)],
            Sketch::Spot { at } => vec![(at, 0.0)],
        }
    }
}

fn span(from: Point, to: Point, known: Known) -> Sketch {
    Sketch::Span {
        from,
        to,
        y: from.y.min(to.y) - UNDER_FLOOR * known.leg,
    }
}

/// The point of a foot that distances are taken from.
pub(crate) fn foot_end(pose: &Pose, side: Side) -> Option<Point> {
    [Joint::Toe, Joint::Ankle]
        .into_iter()
        .find_map(|joint| pose.at(Landmark::of(joint, side)))
}

/// The point of a hand that distances are taken to.
pub(crate) fn hand_end(pose: &Pose, side: Side) -> Option<Point> {
    [Joint::Fingertip, Joint::Wrist]
        .into_iter()
        .find_map(|joint| pose.at(Landmark::of(joint, side)))
}

fn direction(vector: Vector) -> Option<f64> {
    unit(vector).map(|it| it.y.atan2(it.x))
}

/// The same turn on (−180°, 180°].
fn nearest(turn: f64) -> f64 {
    PI - (PI - turn).rem_euclid(TAU)
}

#[cfg(test)]
mod tests {
    use super::*;
    use springline_kinematics::joint_angles;

    const NEAR: Side = Side::Right;

    fn known() -> Known {
        Known {
            near: NEAR,
            leg: 100.0,
            mirrored: false,
            frontal: false,
            push_off: None,
            landed_first: None,
        }
    }

    fn posed(points: &[(Joint, f64, f64)]) -> Pose {
        let mut all = [None; Landmark::COUNT];
        for (joint, x, y) in points {
            all[Landmark::of(*joint, NEAR).index()] = Some(Point::new(*x, *y));
        }
        Pose::new(0.0, all, [1.0; Landmark::COUNT])
    }

    fn sweep(sketch: Option<Sketch>) -> f64 {
        match sketch {
            Some(Sketch::Angle { sweep, .. } | Sketch::Lean { sweep, .. }) => sweep.to_degrees(),
            other => panic!("{other:?}"),
        }
    }

    /// The arc that is drawn is as wide as the angle that is told, on whichever side it bends.
    #[test]
    fn arcs_are_the_angles() {
        for turn in (0..360).step_by(7) {
            let turn = f64::from(turn).to_radians();
            let end = |from: (f64, f64)| (from.0 + 40.0 * turn.cos(), from.1 + 40.0 * turn.sin());
            let p = |(x, y): (f64, f64)| Point::new(x, y);
            let (hip, shoulder, knee) = ((3.0, 100.0), (8.0, 150.0), (1.0, 52.0));
            let angle = |angle: Option<springline_kinematics::Angle>| angle.map(|it| it.degrees()).expect("has length");
            let of = |measure, points: [(Joint, (f64, f64)); 3]| {
                let pose = posed(&points.map(|(joint, (x, y))| (joint, x, y)));
                sweep(Sketch::of(measure, None, None, &pose, known()))
            };
            let (arm, shin, toe) = (end(shoulder), end(knee), end(shin_end()));
            let opening = of(
                Measure::ShoulderOpening,
                [(Joint::Hip, hip), (Joint::Shoulder, shoulder), (Joint::Elbow, arm)],
            );
            assert!((opening - angle(joint_angles::shoulder_opening(p(hip), p(shoulder), p(arm)))).abs() < 1e-9);
            let thigh = end(hip);
            let bend = of(
                Measure::HipAngle,
                [(Joint::Shoulder, shoulder), (Joint::Hip, hip), (Joint::Knee, thigh)],
            );
            assert!((-bend - angle(joint_angles::hip_angle(p(shoulder), p(hip), p(thigh)))).abs() < 1e-9);
            let bend = of(
                Measure::KneeAngle,
                [(Joint::Hip, hip), (Joint::Knee, knee), (Joint::Ankle, shin)],
            );
            assert!((bend - angle(joint_angles::knee_angle(p(hip), p(knee), p(shin)))).abs() < 1e-9);
            let bend = of(
                Measure::AnkleAngle,
                [(Joint::Knee, knee), (Joint::Ankle, shin_end()), (Joint::Toe, toe)],
            );
            assert!((-bend - angle(joint_angles::ankle_angle(p(knee), p(shin_end()), p(toe)))).abs() < 1e-9);
        }
    }

    fn shin_end() -> (f64, f64) {
        (0.0, 6.0)
    }

    #[test]
    fn elbows_have_no_sign() {
        for (wrist_y, bend) in [(40.0, 45.0), (-40.0, -45.0)] {
            let arm = [
                (Joint::Shoulder, 40.0, 0.0),
                (Joint::Elbow, 0.0, 0.0),
                (Joint::Wrist, 40.0, wrist_y),
            ];
            let drawn = sweep(Sketch::of(Measure::ElbowAngle, None, None, &posed(&arm), known()));
            assert!((drawn - bend).abs() < 1e-9, "{drawn}");
        }
    }

    /// Forward is clockwise of the vertical, as the athlete faces.
    #[test]
    fn leans_go_the_way_they_are_told() {
        let line = posed(&[(Joint::Wrist, 0.0, 0.0), (Joint::Ankle, 10.0, 100.0)]);
        let drawn = sweep(Sketch::of(Measure::BodyLineLean, None, None, &line, known()));
        assert!((drawn + (0.1_f64).atan().to_degrees()).abs() < 1e-9, "{drawn}");
        let drawn = sweep(Sketch::of(Measure::LandingLean, None, Some(-16.7), &line, known()));
        assert!((drawn - 16.7).abs() < 1e-9, "{drawn}");
    }

    #[test]
    fn what_is_not_seen_is_not_drawn() {
        let pose = posed(&[(Joint::Hip, 0.0, 0.0), (Joint::Knee, 0.0, -50.0)]);
        for measure in Measure::ALL {
            let sketch = Sketch::of(*measure, None, None, &pose, known());
            assert_eq!(sketch, None, "{}", measure.id());
        }
        let one_place = posed(&[
            (Joint::Hip, 0.0, 0.0),
            (Joint::Knee, 0.0, 0.0),
            (Joint::Ankle, 1.0, 0.0),
        ]);
        assert_eq!(Sketch::of(Measure::KneeAngle, None, None, &one_place, known()), None);
    }
}
