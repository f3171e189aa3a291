//! From a pose to a body: which limbs there are, and how thick. All thicknesses are ours, by eye, in leg lengths.

use springline_kinematics::series::Pose;
use springline_kinematics::{Joint, Landmark, Point, Side, Vector};

use crate::scene::Known;

/// Half the thickness at each joint.
const HIP: f64 = 0.092;
const KNEE: f64 = 0.066;
const ANKLE: f64 = 0.043;
const HEEL: f64 = 0.034;
const TOE: f64 = 0.024;
const SHOULDER: f64 = 0.066;
const ELBOW: f64 = 0.048;
const WRIST: f64 = 0.036;
const FINGERTIP: f64 = 0.024;
const NECK: f64 = 0.055;
const CHEST: f64 = 0.112;
const PELVIS: f64 = 0.108;
/// Radius of the head.
pub(crate) const HEAD: f64 = 0.150;
/// From mid-shoulder to the middle of the head, along the trunk, where the head is not seen.
const SHOULDER_TO_HEAD: f64 = 0.25;

/// What a part of the body belongs to, for its shade.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tone {
    Near,
    Trunk,
    Far,
}

/// The hull of discs: a limb, the trunk, a foot.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    /// Middle and radius, gym plane.
    pub discs: Vec<(Point, f64)>,
    pub tone: Tone,
}

/// The head.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Head {
    pub middle: Point,
    pub radius: f64,
    /// Where the nose points, if it is seen.
    pub nose: Option<Point>,
    /// Whether any point of it is seen; else it is where the trunk says.
    pub seen: bool,
}

/// A body in its parts, the farthest from the camera first.
#[derive(Clone, Debug)]
pub(crate) struct Body {
    pub behind: Vec<Part>,
    pub head: Option<Head>,
    pub before: Vec<Part>,
    /// Joints with half the thickness of the limb there, those behind first.
    pub joints: Vec<(Landmark, Point, f64)>,
}

impl Body {
    pub fn of(pose: &Pose, known: Known) -> Self {
        let leg = known.leg;
        let far = known.near.other();
        let mut behind = limbs(pose, far, leg, Tone::Far);
        behind.extend(trunk(pose, leg));
        let head = head(pose, leg);
        if let (Some(head), Some(shoulders)) = (head, middle(pose, Joint::Shoulder)) {
            behind.push(Part {
                discs: vec![(shoulders, NECK * leg), (head.middle, NECK * leg)],
                tone: Tone::Trunk,
            });
        }
        let joints = [far, known.near]
            .into_iter()
            .flat_map(|side| THICKNESS.map(|(joint, half)| (Landmark::of(joint, side), half)))
            .filter_map(|(landmark, half)| Some((landmark, pose.at(landmark)?, half * leg)))
            .collect();
        Self {
            behind,
            head,
            before: limbs(pose, known.near, leg, Tone::Near),
            joints,
        }
    }

    /// Every disc that the body is made of.
    pub fn discs(&self) -> impl Iterator<Item = (Point, f64)> + '_ {
        let parts = self.behind.iter().chain(&self.before);
        let head = self.head.iter().map(|head| (head.middle, head.radius));
        parts.flat_map(|part| part.discs.iter().copied()).chain(head)
    }
}

/// The joints that are marked.
const THICKNESS: [(Joint, f64); 6] = [
    (Joint::Shoulder, SHOULDER),
    (Joint::Elbow, ELBOW),
    (Joint::Wrist, WRIST),
    (Joint::Hip, HIP),
    (Joint::Knee, KNEE),
    (Joint::Ankle, ANKLE),
];

fn limbs(pose: &Pose, side: Side, leg: f64, tone: Tone) -> Vec<Part> {
    let chains: [&[(Joint, f64)]; 6] = [
        &[(Joint::Hip, HIP), (Joint::Knee, KNEE)],
        &[(Joint::Knee, KNEE), (Joint::Ankle, ANKLE)],
        &[(Joint::Ankle, ANKLE), (Joint::Heel, HEEL), (Joint::Toe, TOE)],
        &[(Joint::Shoulder, SHOULDER), (Joint::Elbow, ELBOW)],
        &[(Joint::Elbow, ELBOW), (Joint::Wrist, WRIST)],
        &[(Joint::Wrist, WRIST), (Joint::Fingertip, FINGERTIP)],
    ];
    let mut parts = Vec::new();
    for chain in chains {
        let seen: Vec<(Point, f64)> = chain
            .iter()
            .filter_map(|(joint, half)| Some((pose.at(Landmark::of(*joint, side))?, half * leg)))
            .collect();
        // Of a foot two points are enough; a limb without one of its ends is not drawn.
        if seen.len() >= 2 {
            parts.push(Part { discs: seen, tone });
        }
    }
    parts
}

fn trunk(pose: &Pose, leg: f64) -> Option<Part> {
    let of = |joint, half: f64| {
        let sides = Side::BOTH.into_iter();
        let seen = sides.filter_map(move |side| pose.at(Landmark::of(joint, side)));
        seen.map(|point| (point, half * leg)).collect::<Vec<_>>()
    };
    let (shoulders, hips) = (of(Joint::Shoulder, CHEST), of(Joint::Hip, PELVIS));
    let whole = !shoulders.is_empty() && !hips.is_empty();
    whole.then(|| Part {
        discs: shoulders.into_iter().chain(hips).collect(),
        tone: Tone::Trunk,
    })
}

/// Where the head is: around the ears; else behind eyes and nose; else where neck and trunk lead.
pub(crate) fn head(pose: &Pose, leg: f64) -> Option<Head> {
    let radius = HEAD * leg;
    let nose = pose.at(Landmark::Nose);
    let along_trunk = middle(pose, Joint::Shoulder)
        .zip(middle(pose, Joint::Hip))
        .and_then(|(shoulder, hip)| Some(shoulder + unit(shoulder - hip)? * SHOULDER_TO_HEAD * leg));
    if let Some(ear) = middle(pose, Joint::Ear) {
        return Some(Head {
            middle: ear,
            radius,
            nose,
            seen: true,
        });
    }
    if let Some(face) = nose.or_else(|| middle(pose, Joint::Eye)) {
        let inward = along_trunk.and_then(|inside| unit(inside - face));
        return Some(Head {
            middle: face + inward.unwrap_or_default() * 0.8 * radius,
            radius,
            nose,
            seen: true,
        });
    }
    along_trunk.map(|middle| Head {
        middle,
        radius,
        nose: None,
        seen: false,
    })
}

/// Mean of both sides, or the one that is seen.
pub(crate) fn middle(pose: &Pose, joint: Joint) -> Option<Point> {
    let [left, right] = Side::BOTH.map(|side| pose.at(Landmark::of(joint, side)));
    match (left, right) {
        (Some(a), Some(b)) => Some(Point::from(0.5 * (a.coords + b.coords))),
        (one, other) => one.or(other),
    }
}

/// Of length 1; `None` if it has no length.
pub(crate) fn unit(vector: Vector) -> Option<Vector> {
    let length = vector.norm();
    (length > 0.0).then(|| vector / length)
}
