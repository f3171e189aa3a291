//! The body as limbs: what moves together in the picture.

use springline_kinematics::{Joint, Landmark, Side};

/// A place for each landmark, as far as it has one.
pub(crate) type Places = [Option<[f64; 2]>; Landmark::COUNT];

/// A stretch of the body between two landmarks that moves as one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limb {
    pub ends: [usize; 2],
    /// Half its width as a share of stature (our choice: a little less than the skin, so that little background is in it).
    pub radius: f64,
}

/// Joints of one side that a limb joins, and its half width.
const OF_A_SIDE: [(Joint, Joint, f64); 10] = [
    (Joint::Shoulder, Joint::Hip, 0.05),
    (Joint::Shoulder, Joint::Elbow, 0.022),
    (Joint::Elbow, Joint::Wrist, 0.018),
    (Joint::Wrist, Joint::Fingertip, 0.014),
    (Joint::Hip, Joint::Knee, 0.036),
    (Joint::Knee, Joint::Ankle, 0.024),
    (Joint::Heel, Joint::Toe, 0.014),
    (Joint::Ankle, Joint::Toe, 0.014),
    (Joint::Ankle, Joint::Heel, 0.016),
    (Joint::Ear, Joint::Shoulder, 0.03),
];
/// Points of one side that the nose goes with, and the half width.
const WITH_THE_NOSE: [(Joint, f64); 2] = [(Joint::Ear, 0.05), (Joint::Eye, 0.03)];

/// Every limb.
pub(crate) fn limbs() -> Vec<Limb> {
    let mut limbs = Vec::new();
    for side in Side::BOTH {
        let place = |joint| Landmark::of(joint, side).index();
        limbs.extend(OF_A_SIDE.iter().map(|(a, b, radius)| Limb {
            ends: [place(*a), place(*b)],
            radius: *radius,
        }));
        limbs.extend(WITH_THE_NOSE.iter().map(|(joint, radius)| Limb {
            ends: [place(*joint), Landmark::Nose.index()],
            radius: *radius,
        }));
    }
    limbs
}

pub(crate) fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}
