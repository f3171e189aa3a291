//! A cartwheel to the athlete's left, filmed from the front.
//!
//! The figure lies in the frontal plane: X the way it travels (the athlete's left, when upright), Y up.
//! Fingers and feet point at the camera, so hand and foot are as short as they look from there. The
//! second half is the first half mirrored and run backward.

use crate::body::{Body, Pose, direction, unit};
use crate::curve::Curve;
use crate::error::{Error, within};
use crate::motion::{FootContact, HandContact};
use crate::story::Story;
use crate::synthetic::Act;
use springline_kinematics::{Joint, Landmark, Point, Side, Vector};

/// A cartwheel filmed from the front.
#[derive(Clone, Debug, PartialEq)]
pub struct Cartwheel {
    /// Standing height, m.
    pub stature_m: f64,
    /// Standing before, and after, s.
    pub stand_s: f64,
    /// From standing to the first hand, s.
    pub entry_s: f64,
    /// How much later the second hand lands (and leaves), s.
    pub hands_apart_s: f64,
    /// Both hands down, s.
    pub both_hands_s: f64,
    /// Elbow angle in support, degrees.
    pub elbow: f64,
    /// Knee angle upside down, degrees.
    pub knee: f64,
    /// Leg gap upside down, degrees.
    pub straddle: f64,
}

impl Default for Cartwheel {
    fn default() -> Self {
        Self {
            stature_m: 1.45,
            stand_s: 0.4,
            entry_s: 0.75,
            hands_apart_s: 0.17,
            both_hands_s: 0.16,
            elbow: 177.0,
            knee: 178.0,
            straddle: 125.0,
        }
    }
}

/// Trunk, and shoulder line's distance from 270, at the first hand's placement, degrees.
const PLACE_TRUNK: f64 = 120.0;
const PLACE_TILT: f64 = 52.0;
/// The push-off foot leaves this long after the first hand is down, s.
const PUSH_S: f64 = 0.02;

/// The first half; times in s, directions in degrees clockwise from vertical.
#[derive(Clone, Debug)]
pub(crate) struct Wheel {
    body: Body,
    place: f64,
    second: f64,
    middle: f64,
    leave: f64,
    trunk: Curve,
    shoulders: Curve,
    elbow: f64,
    arm_left: Curve,
    arm_right: Curve,
    /// Hip→toe of both legs and knees.
    leg_left: Curve,
    knee_left: Curve,
    leg_right: Curve,
    knee_right: Curve,
    /// The left hand's wrist and the left toe while down.
    wrist: Point,
    toe: Point,
}

/// One limb of two links.
struct Limb {
    upper_m: f64,
    lower_m: f64,
}

impl Limb {
    fn span(&self, angle: f64) -> f64 {
        let product = 2.0 * self.upper_m * self.lower_m * angle.to_radians().cos();
        (self.upper_m.powi(2) + self.lower_m.powi(2) - product).sqrt()
    }

    /// The joint between, bent to the clockwise side of `from`→`to` for `bend` 1, else for -1.
    fn joint(&self, from: Point, to: Point, bend: f64) -> Point {
        let reach = to - from;
        let span = reach.norm().min(self.upper_m + self.lower_m);
        let cos = (self.upper_m.powi(2) + span * span - self.lower_m.powi(2)) / (2.0 * self.upper_m * span);
        from + self.upper_m * unit(direction(reach) + bend * cos.clamp(-1.0, 1.0).acos().to_degrees())
    }
}

impl Wheel {
    fn arm(&self) -> Limb {
        Limb {
            upper_m: self.body.upper_arm_m,
            lower_m: self.body.forearm_m,
        }
    }

    /// The foot continues the shank, as short as it looks from the front.
    fn leg(&self) -> Limb {
        Limb {
            upper_m: self.body.thigh_m,
            lower_m: self.body.shank_m + self.body.ankle_height_m,
        }
    }

    fn root_over_foot(&self, t: f64) -> Point {
        let hip = self.toe - self.leg().span(self.knee_left.at(t)) * unit(self.leg_left.at(t));
        hip - self.body.half_hips_m * unit(self.trunk.at(t) + 90.0)
    }

    fn root_over_hand(&self, t: f64) -> Point {
        self.wrist - self.wrist_from_root(t)
    }

    fn wrist_from_root(&self, t: f64) -> Vector {
        self.body.trunk_m * unit(self.trunk.at(t))
            + self.body.half_shoulders_m * unit(self.shoulders.at(t))
            + self.arm().span(self.elbow) * unit(self.arm_left.at(t))
    }

    /// Hip→toe direction and knee of the left leg while hand and foot are down.
    fn pushing(&self, t: f64) -> (f64, f64) {
        let hip = self.root_over_hand(t) + self.body.half_hips_m * unit(self.trunk.at(t) + 90.0);
        let reach = self.toe - hip;
        let leg = self.leg();
        let cos =
            (leg.upper_m.powi(2) + leg.lower_m.powi(2) - reach.norm_squared()) / (2.0 * leg.upper_m * leg.lower_m);
        (
            direction(reach).rem_euclid(360.0),
            cos.clamp(-1.0, 1.0).acos().to_degrees(),
        )
    }

    /// Where every landmark is, m; for times of both halves.
    pub fn pose(&self, t: f64) -> Pose {
        if t > self.middle {
            return mirrored(
                &self.first_half(2.0 * self.middle - t),
                self.wrist.x + self.body.half_shoulders_m,
            );
        }
        self.first_half(t)
    }

    fn first_half(&self, t: f64) -> Pose {
        let root = if t < self.place {
            self.root_over_foot(t)
        } else {
            self.root_over_hand(t)
        };
        let (left_leg, left_knee) = if t >= self.place && t < self.leave {
            self.pushing(t)
        } else {
            (self.leg_left.at(t), self.knee_left.at(t))
        };
        let body = &self.body;
        let h = body.stature_m;
        let trunk = self.trunk.at(t);
        let chest = root + body.trunk_m * unit(trunk);
        let ear = chest + 0.12 * h * unit(trunk);
        let mut pose = Pose {
            points: [root; Landmark::COUNT],
            depth: [0.0; Landmark::COUNT],
        };
        pose.points[Landmark::Nose.index()] = ear;
        for side in Side::BOTH {
            let out = if side == Side::Left { 1.0 } else { -1.0 };
            let mut put = |joint, point| pose.points[Landmark::of(joint, side).index()] = point;
            put(Joint::Ear, ear + out * 0.043 * h * unit(trunk + 90.0));
            put(
                Joint::Eye,
                ear + out * 0.018 * h * unit(trunk + 90.0) + 0.02 * h * unit(trunk),
            );
            let shoulder = chest + out * body.half_shoulders_m * unit(self.shoulders.at(t));
            let arm = if side == Side::Left || t >= self.second {
                &self.arm_left
            } else {
                &self.arm_right
            };
            let arm = arm.at(t);
            let wrist = shoulder + self.arm().span(self.elbow) * unit(arm);
            put(Joint::Shoulder, shoulder);
            put(Joint::Elbow, self.arm().joint(shoulder, wrist, out));
            put(Joint::Wrist, wrist);
            let down = t >= self.second || (t >= self.place && side == Side::Left);
            put(
                Joint::Fingertip,
                wrist + body.hand_m * unit(if down { 180.0 } else { self.hanging(t, side, arm) }),
            );
            let hip = root + out * body.half_hips_m * unit(trunk + 90.0);
            let (along, knee) = match side {
                Side::Left => (left_leg, left_knee),
                Side::Right => (self.leg_right.at(t), self.knee_right.at(t)),
            };
            let toe = hip + self.leg().span(knee) * unit(along);
            let knee = self.leg().joint(hip, toe, -out);
            let shank = (toe - knee) / (body.shank_m + body.ankle_height_m);
            put(Joint::Hip, hip);
            put(Joint::Knee, knee);
            put(Joint::Ankle, knee + body.shank_m * shank);
            put(Joint::Heel, toe);
            put(Joint::Toe, toe);
        }
        pose
    }

    /// A free hand points along its arm and turns down to the floor in the last 0.1 s.
    fn hanging(&self, t: f64, side: Side, arm: f64) -> f64 {
        let lands = if side == Side::Left { self.place } else { self.second };
        let near = Curve::between((lands - 0.1, 0.0, 0.0), (lands, 1.0, 0.0)).at(t);
        arm + near * (180.0 - arm)
    }
}

/// The pose seen in a mirror standing at that X, left and right exchanged.
fn mirrored(pose: &Pose, x: f64) -> Pose {
    let mut other = *pose;
    for landmark in Landmark::ALL {
        let point = pose.at(landmark.mirrored());
        other.points[landmark.index()] = Point::new(2.0 * x - point.x, point.y);
    }
    other
}

impl Act {
    /// A cartwheel to the athlete's left, seen from the front: left hand, right hand, right foot, left
    /// foot.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do.
    pub fn cartwheel(dials: &Cartwheel) -> Result<Self, Error> {
        let wheel = wheel(dials)?;
        let (start, end) = (0.0, 2.0 * wheel.middle);
        let body = wheel.body;
        let other = |t: f64| end - t;
        let at = |t: f64, joint, side| wheel.pose(t).of(joint, side);
        let flat = Curve::through(&[(0.0, 0.0)]);
        let mut feet = Vec::new();
        let stands = dials.stand_s;
        for (side, on, off, seen) in [
            (Side::Right, f64::NEG_INFINITY, stands, 0.0),
            (Side::Left, f64::NEG_INFINITY, wheel.leave, 0.0),
            (Side::Right, other(wheel.leave), f64::INFINITY, end),
            (Side::Left, other(stands), f64::INFINITY, end),
        ] {
            feet.push(FootContact {
                side,
                on,
                off,
                toe: at(seen, Joint::Toe, side),
                pitch: flat.clone(),
            });
        }
        let hands = [
            (Side::Left, wheel.place, other(wheel.second)),
            (Side::Right, wheel.second, other(wheel.place)),
        ];
        let hands = hands.map(|(side, on, off)| HandContact {
            side,
            on,
            off,
            wrist: at(wheel.middle, Joint::Wrist, side),
            palm: 180.0,
        });
        let mut motion = super::through(body, &[], end);
        motion.start = start;
        motion.feet = feet;
        motion.hands = hands.to_vec();
        motion.wheel = Some(Box::new(wheel));
        for i in 0..2000 {
            let t = end * f64::from(i) / 2000.0;
            for landmark in Landmark::ALL {
                let height_m = motion.pose(t).at(landmark).y;
                if height_m < -5e-4 {
                    return Err(Error::UnderFloor {
                        point: landmark.id(),
                        time_s: t,
                        height_m,
                    });
                }
            }
        }
        let story = Story {
            push_off: Some(Side::Left),
            first_foot: Some(Side::Right),
            step_out: Some(true),
            ..Story::default()
        };
        Ok(Self {
            motion,
            story,
            title: "cartwheel from the front",
        })
    }
}

fn wheel(dials: &Cartwheel) -> Result<Wheel, Error> {
    let mut body = Body::new(dials.stature_m, 0.06);
    body.hand_m = body.wrist_height_m;
    let stand = dials.stand_s;
    let place = stand + dials.entry_s;
    let second = place + dials.hands_apart_s;
    let middle = second + 0.5 * dials.both_hands_s;
    let back = |t: f64| 2.0 * middle - t;
    within("second hand after the first, s", dials.hands_apart_s, 0.04, 0.6)?;
    let both_ways = |stands: f64, placed: f64, upside: f64, keys: &[(f64, f64)]| {
        let mut all = vec![(0.0, stands), (stand, stands), (place, placed)];
        all.extend_from_slice(keys);
        let turned: Vec<(f64, f64)> = all.iter().map(|&(t, v)| (back(t), 2.0 * upside - v)).collect();
        all.extend(turned);
        Curve::through(&all)
    };
    let trunk = both_ways(0.0, PLACE_TRUNK, 180.0, &[]);
    // The shoulder line is level while both hands are down; it gets there with the second hand's strike.
    let tilted = 270.0 - PLACE_TILT;
    let level_rate = 0.7 * PLACE_TILT / dials.hands_apart_s;
    let lowering = Curve::between((stand, 90.0, 0.0), (place, tilted, level_rate));
    let striking = Curve::between((place, tilted, level_rate), (second, 270.0, 0.6 * level_rate));
    let shoulders = Curve::through(&[(second, 270.0)])
        .preceded_by(&striking, second)
        .preceded_by(&lowering, place);
    let arm_left = both_ways(14.0, PLACE_TRUNK + 4.0, 180.0, &[]);
    let arm_rate = (arm_left.at(second + 1e-4) - arm_left.at(second - 1e-4)) / 2e-4;
    let behind = PLACE_TRUNK - 30.0;
    let catch_up = (arm_left.at(second) - behind) / dials.hands_apart_s;
    let raised = Curve::between((stand, -14.0, 0.0), (place, behind, catch_up));
    let arm_right =
        Curve::between((place, behind, catch_up), (second, arm_left.at(second), arm_rate)).preceded_by(&raised, place);
    let half = 0.5 * dials.straddle;
    let turning = (trunk.at(middle + 1e-4) - trunk.at(middle - 1e-4)) / 2e-4;
    let kicked = PLACE_TRUNK + 180.0 + 42.0;
    let kick_rate = (360.0 + half - kicked) / (middle - place);
    let leg_right = {
        let up = Curve::between((stand, 190.0, 0.0), (place, kicked, kick_rate));
        Curve::between((place, kicked, kick_rate), (middle, 360.0 + half, turning)).preceded_by(&up, place)
    };
    let knee_right = Curve::through(&[(stand, 178.0), (place, dials.knee), (middle, dials.knee)]);
    let placeholder = Curve::through(&[(0.0, 170.0)]);
    let mut wheel = Wheel {
        body,
        place,
        second,
        middle,
        leave: place + PUSH_S,
        trunk,
        shoulders,
        elbow: dials.elbow,
        arm_left,
        arm_right,
        leg_left: placeholder,
        knee_left: Curve::through(&[(stand, 178.0), (place, 128.0)]),
        leg_right,
        knee_right,
        wrist: Point::origin(),
        toe: Point::origin(),
    };
    // Lean over the left foot until the left wrist is down.
    let low = |wheel: &mut Wheel, lean: f64| {
        wheel.leg_left = Curve::through(&[(0.0, 170.0), (stand, 170.0), (place, lean)]);
        wheel.root_over_foot(place) + wheel.wrist_from_root(place)
    };
    let (mut tall, mut flat) = (180.0, 260.0);
    for _ in 0..60 {
        let lean = 0.5 * (tall + flat);
        if low(&mut wheel, lean).y > body.wrist_height_m {
            tall = lean
        } else {
            flat = lean
        }
    }
    wheel.wrist = low(&mut wheel, tall);
    within(
        "height of the wrist at hand placement, m",
        wheel.wrist.y,
        body.wrist_height_m - 1e-9,
        body.wrist_height_m + 1e-9,
    )?;
    wheel.wrist.y = body.wrist_height_m;
    let step = 1e-4;
    let (a, b) = (wheel.pushing(wheel.leave - step), wheel.pushing(wheel.leave));
    within("knee of the push-off leg as it leaves, degrees", b.1, 100.0, 179.0)?;
    let rate = ((b.0 - a.0) / step, (b.1 - a.1) / step);
    let lean = Curve::through(&[(0.0, 170.0), (stand, 170.0), (place, tall)]);
    let push_off = wheel.leave;
    let leg = Curve::between((push_off, b.0, rate.0), (middle, 360.0 - half, turning));
    wheel.leg_left = leg.preceded_by(&lean, push_off);
    let bent = wheel.knee_left.clone();
    let knee = Curve::between((push_off, b.1, rate.1), (push_off + 0.1, dials.knee, 0.0));
    wheel.knee_left = knee.preceded_by(&bent, push_off);
    Ok(wheel)
}
