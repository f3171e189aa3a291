//! The joints of a person in the hall.

use super::space::{V3, unit_or, v};
use crate::body::{Body, Pose};
use springline_kinematics::{Joint, Landmark, Side};

/// Every landmark of one person at one instant, in the hall.
#[derive(Clone, Debug)]
pub(crate) struct Skeleton {
    /// Places, m, indexed by landmark.
    pub points: [V3; Landmark::COUNT],
    /// Standing height, m.
    pub stature: f32,
    /// Direction of the athlete's right when standing.
    pub right: V3,
}

/// Where a figure of the plane stands in the hall.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spot {
    /// Where its origin goes.
    pub origin: V3,
    /// The way it faces, degrees: 0 toward +x, 90 toward the camera, 180 toward -x.
    pub facing: f32,
}

/// Half the shoulder width of the film's figures, as a share of stature: narrower than the planar
/// figure's, whose breadth out of its plane is of no account; ours, by eye.
const HALF_SHOULDERS: f64 = 0.106;

impl Skeleton {
    /// A pose of the planar figure, put into the hall. A figure seen from the front gets the depth that the
    /// planar one leaves out: the face ahead of the ears, the feet ahead of the heels.
    pub fn new(body: &Body, pose: &Pose, frontal: bool, spot: Spot) -> Self {
        let h = body.stature_m;
        let (sin, cos) = spot.facing.to_radians().sin_cos();
        let (ahead, right) = (v(cos, 0.0, sin), v(-sin, 0.0, cos));
        let chest = pose.middle(Joint::Shoulder);
        let points = std::array::from_fn(|i| {
            let landmark = Landmark::ALL[i];
            let mut depth = pose.depth[i];
            let place = pose.points[i];
            match landmark.joint() {
                None if frontal => depth += 0.068 * h,
                Some(Joint::Eye) if frontal => depth += 0.054 * h,
                Some(Joint::Toe) if frontal => depth += body.toe_ahead(),
                Some(Joint::Heel) if frontal => depth -= 0.25 * body.foot_m,
                Some(Joint::Shoulder | Joint::Elbow | Joint::Wrist | Joint::Fingertip) if !frontal => {
                    let side = landmark.side().unwrap_or(Side::Left);
                    let shift = pose.of(Joint::Shoulder, side) - chest;
                    let wide = (HALF_SHOULDERS * h).powi(2) - shift.norm_squared();
                    depth = depth.signum() * wide.max(0.0).sqrt();
                }
                _ => {}
            }
            let (x, y, z) = (place.x as f32, place.y as f32, depth as f32);
            spot.origin + x * ahead + v(0.0, y, 0.0) + z * right
        });
        Self {
            points,
            stature: h as f32,
            right: if frontal { -ahead } else { right },
        }
    }

    /// Where a landmark is.
    pub fn at(&self, landmark: Landmark) -> V3 {
        self.points[landmark.index()]
    }

    /// Where a joint of one side is.
    pub fn of(&self, joint: Joint, side: Side) -> V3 {
        self.at(Landmark::of(joint, side))
    }

    /// Mean of left and right.
    pub fn middle(&self, joint: Joint) -> V3 {
        0.5 * (self.of(joint, Side::Left) + self.of(joint, Side::Right))
    }

    /// Up the trunk, to its right, ahead of it: each of length 1 and square to the others.
    pub fn trunk(&self) -> Axes {
        let up = unit_or(self.middle(Joint::Shoulder) - self.middle(Joint::Hip), v(0.0, 1.0, 0.0));
        let across = |joint| self.of(joint, Side::Right) - self.of(joint, Side::Left);
        Axes::from(up, across(Joint::Hip) + across(Joint::Shoulder), self.right)
    }

    /// The head's axes: up the face, to its right, the way it looks.
    pub fn head(&self) -> Axes {
        let ear = self.middle(Joint::Ear);
        let across = self.of(Joint::Ear, Side::Right) - self.of(Joint::Ear, Side::Left);
        let right = unit_or(across, self.right);
        let look = self.at(Landmark::Nose) - ear;
        let ahead = unit_or(look - look.dot(&right) * right, v(1.0, 0.0, 0.0));
        Axes {
            up: right.cross(&ahead),
            right,
            ahead,
        }
    }

    /// Between this (`t` = 0) and another (`t` = 1).
    pub fn toward(&self, other: &Self, t: f32) -> Self {
        let mut blend = self.clone();
        for (mine, theirs) in blend.points.iter_mut().zip(&other.points) {
            *mine += t * (theirs - *mine);
        }
        blend.right = unit_or(self.right + t * (other.right - self.right), self.right);
        blend
    }
}

/// Three directions square to each other.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Axes {
    pub up: V3,
    pub right: V3,
    pub ahead: V3,
}

impl Axes {
    /// Axes along `up`, with `right` as near to `across` as possible.
    pub fn from(up: V3, across: V3, spare: V3) -> Self {
        let flat = |a: V3| a - a.dot(&up) * up;
        let right = unit_or(flat(across), unit_or(flat(spare), v(0.0, 0.0, 1.0)));
        Self {
            up,
            right,
            ahead: up.cross(&right),
        }
    }

    /// A place relative to `origin` along (ahead, up, right).
    pub fn local(&self, place: V3, origin: V3) -> V3 {
        let d = place - origin;
        v(d.dot(&self.ahead), d.dot(&self.up), d.dot(&self.right))
    }

    /// The place at (ahead, up, right) from `origin`.
    pub fn place(&self, origin: V3, ahead: f32, up: f32, right: f32) -> V3 {
        origin + ahead * self.ahead + up * self.up + right * self.right
    }
}
