//! The figure: segment lengths, joint state, positions of the landmarks, centre of mass.
//!
//! All directions are angles in degrees *clockwise from vertical* in the gym plane (X the way the
//! athlete faces, Y up), so a direction `d` is the vector `(sin d, cos d)` and grows as the body
//! turns forward. Joint angles follow the included-angle conventions of the kinematics crate, so
//! each segment's direction is a sum:
//!
//! ```text
//! upper arm = trunk + 180 - shoulder        forearm = upper arm - (180 - elbow)
//! thigh     = trunk + hip                   shank   = thigh + 180 - knee
//! foot      = shank + 180 + ankle           hand    = forearm + hand
//! ```

use springline_kinematics::{Joint, Landmark, Point, Side, Vector};

/// Acceleration of free fall, m/s².
pub const GRAVITY: f64 = 9.81;

/// The unit vector of a direction, degrees clockwise from vertical.
pub(crate) fn unit(degrees: f64) -> Vector {
    let (sin, cos) = degrees.to_radians().sin_cos();
    Vector::new(sin, cos)
}

/// The direction of a vector, degrees clockwise from vertical, in (-180, 180].
pub(crate) fn direction(v: Vector) -> f64 {
    v.x.atan2(v.y).to_degrees()
}

/// Position in per-side arrays: left 0, right 1.
pub(crate) fn at(side: Side) -> usize {
    match side {
        Side::Left => 0,
        Side::Right => 1,
    }
}

/// Segment lengths in metres. Shares of stature after Drillis & Contini (\[M\]), head from a plain
/// proportion of ours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Standing height, m.
    pub stature_m: f64,
    /// Hip joint to knee joint, m.
    pub thigh_m: f64,
    /// Knee joint to ankle joint, m.
    pub shank_m: f64,
    /// Mid-hip to mid-shoulder, m.
    pub trunk_m: f64,
    /// Shoulder to elbow, m.
    pub upper_arm_m: f64,
    /// Elbow to wrist, m.
    pub forearm_m: f64,
    /// Wrist to fingertip, m.
    pub hand_m: f64,
    /// Heel to toe, m.
    pub foot_m: f64,
    /// Ankle joint over the floor with the foot flat, m.
    pub ankle_height_m: f64,
    /// Wrist joint over the floor with the palm flat, m.
    pub wrist_height_m: f64,
    /// Half the distance between the shoulder joints, m.
    pub half_shoulders_m: f64,
    /// Half the distance between the hip joints, m.
    pub half_hips_m: f64,
}

impl Body {
    /// A body of that stature (m) whose half hip width is `half_hips` times the stature (.05 to .095).
    #[must_use]
    pub fn new(stature_m: f64, half_hips: f64) -> Self {
        let h = stature_m;
        Self {
            stature_m: h,
            thigh_m: 0.245 * h,
            shank_m: 0.246 * h,
            trunk_m: 0.288 * h,
            upper_arm_m: 0.186 * h,
            forearm_m: 0.146 * h,
            hand_m: 0.108 * h,
            foot_m: 0.152 * h,
            ankle_height_m: 0.039 * h,
            wrist_height_m: 0.022 * h,
            half_shoulders_m: 0.129 * h,
            half_hips_m: half_hips * h,
        }
    }

    /// Leg length: thigh and shank, m.
    #[must_use]
    pub fn leg_m(&self) -> f64 {
        self.thigh_m + self.shank_m
    }

    /// Hip to ankle when the knee is at that angle, m.
    pub(crate) fn leg_span(&self, knee: f64) -> f64 {
        let cos = knee.to_radians().cos();
        (self.thigh_m.powi(2) + self.shank_m.powi(2) - 2.0 * self.thigh_m * self.shank_m * cos).sqrt()
    }

    /// How far the toe lies ahead of the ankle with the foot flat, m.
    pub(crate) fn toe_ahead(&self) -> f64 {
        0.75 * self.foot_m
    }

    /// Ankle to toe, m.
    pub(crate) fn instep(&self) -> f64 {
        self.toe_ahead().hypot(self.ankle_height_m)
    }

    /// Direction of ankle to toe with the foot flat.
    pub(crate) fn flat_foot(&self) -> f64 {
        direction(Vector::new(self.toe_ahead(), -self.ankle_height_m))
    }

    /// Where the ankle is when the toe is there and the heel is raised by `pitch` degrees.
    pub(crate) fn ankle_over(&self, toe: Point, pitch: f64) -> Point {
        toe - self.instep() * unit(self.flat_foot() + pitch)
    }

    /// The pitch at which the heel is that high, m.
    pub(crate) fn pitch_for_heel(&self, height_m: f64) -> f64 {
        (height_m / self.foot_m).clamp(0.0, 0.95).asin().to_degrees()
    }

    /// How far the fingertip lies ahead of the wrist with the palm flat, m.
    pub(crate) fn palm_ahead(&self) -> f64 {
        (self.hand_m.powi(2) - self.wrist_height_m.powi(2)).sqrt()
    }

    /// Direction of a flat palm, fingers ahead.
    pub(crate) fn flat_palm(&self) -> f64 {
        direction(Vector::new(self.palm_ahead(), -self.wrist_height_m))
    }

    /// All landmarks for that joint state, mid-hip at `root`.
    #[must_use]
    pub fn pose(&self, state: &State, root: Point) -> Pose {
        let mut pose = Pose {
            points: [root; Landmark::COUNT],
            depth: [0.0; Landmark::COUNT],
        };
        let chest = root + self.trunk_m * unit(state.trunk());
        let tilt = state.head();
        // The neck takes part of the head's tilt, so the ears move with it.
        let ear = chest + 0.12 * self.stature_m * unit(state.trunk() + 0.35 * (tilt - 90.0));
        let gaze = state.trunk() + tilt;
        pose.set(Landmark::Nose, ear + 0.068 * self.stature_m * unit(gaze), 0.0);
        for side in Side::BOTH {
            // The right is toward +Z: forward (X) cross up (Y).
            let out = if side == Side::Right { 1.0 } else { -1.0 };
            let eye = ear + 0.056 * self.stature_m * unit(gaze - 18.0);
            pose.set(Landmark::of(Joint::Eye, side), eye, out * 0.018 * self.stature_m);
            pose.set(Landmark::of(Joint::Ear, side), ear, out * 0.043 * self.stature_m);

            let shift = state.shoulder_shift(side);
            let depth = out * (self.half_shoulders_m.powi(2) - shift * shift).max(0.0).sqrt();
            let shoulder = chest + Vector::new(shift, 0.0);
            let elbow = shoulder + self.upper_arm_m * unit(state.upper_arm_direction(side));
            let wrist = elbow + self.forearm_m * unit(state.forearm_direction(side));
            let tip = wrist + self.hand_m * unit(state.hand_direction(side));
            for (joint, point) in [
                (Joint::Shoulder, shoulder),
                (Joint::Elbow, elbow),
                (Joint::Wrist, wrist),
                (Joint::Fingertip, tip),
            ] {
                pose.set(Landmark::of(joint, side), point, depth);
            }

            let knee = root + self.thigh_m * unit(state.thigh_direction(side));
            let ankle = knee + self.shank_m * unit(state.shank_direction(side));
            let foot = state.foot_direction(side);
            let toe = ankle + self.instep() * unit(foot);
            let behind = Vector::new(-0.25 * self.foot_m, -self.ankle_height_m);
            let heel = ankle + behind.norm() * unit(foot - self.flat_foot() + direction(behind));
            for (joint, point) in [
                (Joint::Hip, root),
                (Joint::Knee, knee),
                (Joint::Ankle, ankle),
                (Joint::Heel, heel),
                (Joint::Toe, toe),
            ] {
                pose.set(Landmark::of(joint, side), point, out * self.half_hips_m);
            }
        }
        pose
    }
}

/// All joint angles of one instant, degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State(pub(crate) [f64; State::COUNT]);

impl State {
    pub(crate) const COUNT: usize = 15;
    pub(crate) const TRUNK: usize = 0;
    pub(crate) const HEAD: usize = 1;
    pub(crate) const TWIST: usize = 2;

    pub(crate) fn shoulder_at(side: Side) -> usize {
        3 + at(side)
    }
    pub(crate) fn elbow_at(side: Side) -> usize {
        5 + at(side)
    }
    pub(crate) fn hand_at(side: Side) -> usize {
        7 + at(side)
    }
    pub(crate) fn hip_at(side: Side) -> usize {
        9 + at(side)
    }
    pub(crate) fn knee_at(side: Side) -> usize {
        11 + at(side)
    }
    pub(crate) fn ankle_at(side: Side) -> usize {
        13 + at(side)
    }

    /// Trunk inclination, unwrapped.
    #[must_use]
    pub fn trunk(&self) -> f64 {
        self.0[Self::TRUNK]
    }
    /// Head tilt: clockwise from the trunk's cranial direction to ear→nose.
    #[must_use]
    pub fn head(&self) -> f64 {
        self.0[Self::HEAD]
    }
    /// How far that shoulder is ahead of mid-shoulder because the shoulder girdle turns, m.
    #[must_use]
    pub fn shoulder_shift(&self, side: Side) -> f64 {
        match side {
            Side::Left => self.0[Self::TWIST],
            Side::Right => -self.0[Self::TWIST],
        }
    }
    /// Shoulder opening between the trunk's midline and the upper arm.
    #[must_use]
    pub fn shoulder(&self, side: Side) -> f64 {
        self.0[Self::shoulder_at(side)]
    }
    /// Elbow angle, above 180 hyperextended.
    #[must_use]
    pub fn elbow(&self, side: Side) -> f64 {
        self.0[Self::elbow_at(side)]
    }
    /// Hand relative to the forearm: 0 in line, negative extended at the wrist.
    #[must_use]
    pub fn hand(&self, side: Side) -> f64 {
        self.0[Self::hand_at(side)]
    }
    /// Hip angle between the trunk's midline and the thigh.
    #[must_use]
    pub fn hip(&self, side: Side) -> f64 {
        self.0[Self::hip_at(side)]
    }
    /// Knee angle, above 180 hyperextended.
    #[must_use]
    pub fn knee(&self, side: Side) -> f64 {
        self.0[Self::knee_at(side)]
    }
    /// Ankle angle between the shank and ankle→toe.
    #[must_use]
    pub fn ankle(&self, side: Side) -> f64 {
        self.0[Self::ankle_at(side)]
    }

    pub(crate) fn upper_arm_direction(&self, side: Side) -> f64 {
        self.trunk() + 180.0 - self.shoulder(side)
    }
    pub(crate) fn forearm_direction(&self, side: Side) -> f64 {
        self.upper_arm_direction(side) - (180.0 - self.elbow(side))
    }
    pub(crate) fn hand_direction(&self, side: Side) -> f64 {
        self.forearm_direction(side) + self.hand(side)
    }
    pub(crate) fn thigh_direction(&self, side: Side) -> f64 {
        self.trunk() + self.hip(side)
    }
    pub(crate) fn shank_direction(&self, side: Side) -> f64 {
        self.thigh_direction(side) + 180.0 - self.knee(side)
    }
    pub(crate) fn foot_direction(&self, side: Side) -> f64 {
        self.shank_direction(side) + 180.0 + self.ankle(side)
    }

    /// Turns the foot so that ankle→toe has that direction.
    pub(crate) fn aim_foot(&mut self, side: Side, foot: f64) {
        let angle = (foot - self.shank_direction(side) - 180.0).rem_euclid(360.0);
        self.0[Self::ankle_at(side)] = angle;
    }

    /// Turns the hand so that wrist→fingertip has that direction.
    pub(crate) fn aim_hand(&mut self, side: Side, hand: f64) {
        let angle = (hand - self.forearm_direction(side) + 180.0).rem_euclid(360.0) - 180.0;
        self.0[Self::hand_at(side)] = angle;
    }
}

/// Where every landmark is at one instant, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Positions in the gym plane, indexed by landmark.
    pub points: [Point; Landmark::COUNT],
    /// Distance out of the plane, positive to the athlete's right, indexed by landmark.
    pub depth: [f64; Landmark::COUNT],
}

/// Masses as shares of the whole and where they sit, de Leva (1996) female column [R].
const HEAD: f64 = 0.0668;
const TRUNK: (f64, f64) = (0.4257, 0.3782);
const UPPER_ARM: (f64, f64) = (0.0255, 0.5754);
const FOREARM: (f64, f64) = (0.0138, 0.4559);
const HAND: (f64, f64) = (0.0056, 0.3427);
const THIGH: (f64, f64) = (0.1478, 0.3612);
const SHANK: (f64, f64) = (0.0481, 0.4352);
const FOOT: (f64, f64) = (0.0129, 0.4014);

impl Pose {
    fn set(&mut self, landmark: Landmark, point: Point, depth: f64) {
        self.points[landmark.index()] = point;
        self.depth[landmark.index()] = depth;
    }

    /// Position of a landmark in the gym plane, m.
    #[must_use]
    pub fn at(&self, landmark: Landmark) -> Point {
        self.points[landmark.index()]
    }

    /// Position of a joint of one side, m.
    #[must_use]
    pub fn of(&self, joint: Joint, side: Side) -> Point {
        self.at(Landmark::of(joint, side))
    }

    /// Mean of left and right, m.
    #[must_use]
    pub fn middle(&self, joint: Joint) -> Point {
        nalgebra::center(&self.of(joint, Side::Left), &self.of(joint, Side::Right))
    }

    /// Whole-body centre of mass, m: de Leva (1996), female, head at mid-ear, hand to the fingertip,
    /// foot from heel to toe; shares divided by their sum.
    #[must_use]
    pub fn mass_centre(&self) -> Point {
        let mut sum = Vector::zeros();
        let mut total = 0.0;
        let mut add = |mass: f64, from: Point, to: Point, share: f64| {
            sum += mass * (from.coords + share * (to - from));
            total += mass;
        };
        let ear = self.middle(Joint::Ear);
        add(HEAD, ear, ear, 0.0);
        add(TRUNK.0, self.middle(Joint::Shoulder), self.middle(Joint::Hip), TRUNK.1);
        for side in Side::BOTH {
            for (part, from, to) in [
                (UPPER_ARM, Joint::Shoulder, Joint::Elbow),
                (FOREARM, Joint::Elbow, Joint::Wrist),
                (HAND, Joint::Wrist, Joint::Fingertip),
                (THIGH, Joint::Hip, Joint::Knee),
                (SHANK, Joint::Knee, Joint::Ankle),
                (FOOT, Joint::Heel, Joint::Toe),
            ] {
                add(part.0, self.of(from, side), self.of(to, side), part.1);
            }
        }
        Point::from(sum / total)
    }
}
