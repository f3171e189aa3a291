//! From joints to a body: how thick it is where. All thicknesses are ours, by eye, as shares of stature.

use super::look::{Hair, Look, Outfit};
use super::shape::{ARM, Flesh, HAIR, HEAD, LEG, Part, Rod, Root, TRUNK};
use super::skeleton::{Axes, Skeleton};
use super::space::{V3, mix, unit_or, v};
use crate::body::at;
use springline_kinematics::{Joint, Landmark, Side};

/// One clothed body at one instant.
#[derive(Clone, Debug)]
pub(crate) struct Figure {
    pub flesh: Flesh,
    pub look: Look,
    pub stature: f32,
    pub trunk: Axes,
    /// Middle of the hips.
    pub hips: V3,
    pub head: Axes,
    /// Middle of the ears.
    pub ear: V3,
    /// Turns of arms (0, 1) and legs (2, 3): across them, for patterns that go along.
    pub across: V3,
}

/// Collects rods, lengths given as shares of stature.
struct Builder {
    rods: Vec<Rod>,
    h: f32,
}

impl Builder {
    fn rod(&mut self, chain: usize, part: Part, ends: [V3; 2], radius: [f32; 2]) -> &mut Rod {
        let h = self.h;
        let rod = Rod::new(chain, part, ends[0], ends[1], [radius[0] * h, radius[1] * h]);
        let at = self.rods.len();
        self.rods.push(rod);
        &mut self.rods[at]
    }
}

impl Figure {
    /// The body around a skeleton. `before` is the same person a twentieth of a second earlier: hair lags.
    pub fn new(skeleton: &Skeleton, before: &Skeleton, look: &Look) -> Self {
        let h = skeleton.stature;
        let trunk = skeleton.trunk();
        let head = skeleton.head();
        let hips = skeleton.middle(Joint::Hip);
        let ear = skeleton.middle(Joint::Ear);
        let mut b = Builder { rods: Vec::new(), h };
        torso(&mut b, skeleton, &trunk, look);
        skull(&mut b, skeleton, &head, look);
        let drag = skeleton.middle(Joint::Ear) - before.middle(Joint::Ear);
        hair(&mut b, &head, ear, drag, look);
        for side in Side::BOTH {
            arm(&mut b, skeleton, &trunk, side, look);
        }
        for side in Side::BOTH {
            leg(&mut b, skeleton, &trunk, side, look);
        }
        let mut roots = vec![Root {
            chain: HEAD,
            place: mix(skeleton.middle(Joint::Shoulder), ear, 0.55),
            melt: 0.02 * h,
            within: 0.09 * h,
        }];
        for side in Side::BOTH {
            roots.push(Root {
                chain: ARM[at(side)],
                place: skeleton.of(Joint::Shoulder, side),
                melt: 0.055 * h,
                within: 0.10 * h,
            });
            roots.push(Root {
                chain: LEG[at(side)],
                place: skeleton.of(Joint::Hip, side),
                melt: 0.045 * h,
                within: 0.12 * h,
            });
        }
        Self {
            flesh: Flesh::new(b.rods, roots),
            look: look.clone(),
            stature: h,
            trunk,
            hips,
            head,
            ear,
            across: trunk.right,
        }
    }
}

fn torso(b: &mut Builder, skeleton: &Skeleton, axes: &Axes, look: &Look) {
    let (h, g) = (b.h, look.girth);
    let hips = skeleton.middle(Joint::Hip);
    let chest = skeleton.middle(Joint::Shoulder);
    let half_hips = (skeleton.of(Joint::Hip, Side::Left) - hips).norm() / h;
    let half_shoulders = (skeleton.of(Joint::Shoulder, Side::Left) - chest).norm() / h;
    let at = |ahead: f32, up: f32, right: f32| axes.place(hips, ahead * h, up * h, right * h);
    let loose = if matches!(look.outfit, Outfit::Shorts | Outfit::Tracksuit) {
        0.007 * h
    } else {
        0.0
    };
    let hip_wide = (half_hips + 0.030) / 0.047;
    let pelvis = b.rod(
        TRUNK,
        Part::Torso,
        [at(-0.004, -0.012, 0.0), at(-0.002, 0.05, 0.0)],
        [0.047 * g, 0.043 * g],
    );
    *pelvis = pelvis
        .wide(axes.right, hip_wide.max(1.3))
        .melting(0.03 * h)
        .clothed(-1.0, 2.0, loose);
    let waist = b.rod(
        TRUNK,
        Part::Torso,
        [at(-0.002, 0.05, 0.0), at(0.004, 0.125, 0.0)],
        [0.042 * g, 0.038 * g],
    );
    *waist = waist.wide(axes.right, 1.5).melting(0.03 * h).clothed(-1.0, 2.0, loose);
    let ribs = b.rod(
        TRUNK,
        Part::Torso,
        [at(0.004, 0.125, 0.0), at(0.004, 0.215, 0.0)],
        [0.038 * g, 0.047 * g],
    );
    *ribs = ribs.wide(axes.right, 1.48).melting(0.03 * h).clothed(-1.0, 2.0, loose);
    let top = b.rod(
        TRUNK,
        Part::Torso,
        [at(0.004, 0.215, 0.0), at(-0.004, 0.268, 0.0)],
        [0.046 * g, 0.031 * g],
    );
    *top = top.wide(axes.right, 1.55).melting(0.03 * h).clothed(-1.0, 2.0, loose);
    for out in [-1.0_f32, 1.0] {
        let seat = b.rod(
            TRUNK,
            Part::Torso,
            [at(-0.027, -0.02, out * 0.038), at(-0.018, 0.02, out * 0.038)],
            [0.038 * g, 0.030 * g],
        );
        *seat = seat.melting(0.03 * h).clothed(-1.0, 2.0, loose);
        // From the neck out to the shoulder, and the breast muscle with the armpit's folds.
        let side = if out > 0.0 { Side::Right } else { Side::Left };
        let shoulder = skeleton.of(Joint::Shoulder, side);
        let inner = mix(chest, shoulder, 0.2);
        let yoke = b.rod(
            TRUNK,
            Part::Torso,
            [
                inner + 0.022 * h * axes.up - 0.006 * h * axes.ahead,
                mix(chest, shoulder, 0.85),
            ],
            [0.021 * g, 0.018 * g],
        );
        *yoke = yoke.melting(0.03 * h).clothed(-1.0, 2.0, 0.5 * loose);
        let blade = b.rod(
            TRUNK,
            Part::Torso,
            [
                at(0.006, 0.19, out * 0.046),
                mix(chest, shoulder, (0.08 / half_shoulders).min(0.8)) - 0.012 * h * axes.up,
            ],
            [0.036 * g, 0.024 * g],
        );
        *blade = blade.melting(0.03 * h).clothed(-1.0, 2.0, loose);
    }
    let ear = skeleton.middle(Joint::Ear);
    let head = skeleton.head();
    let nape = ear - 0.022 * h * head.ahead - 0.03 * h * head.up;
    let neck = b.rod(
        TRUNK,
        Part::Neck,
        [chest + 0.012 * h * axes.up - 0.006 * h * axes.ahead, nape],
        [0.031 * g, 0.0275],
    );
    *neck = neck.wide(axes.right, 1.08).melting(0.035 * h);
}

fn skull(b: &mut Builder, skeleton: &Skeleton, axes: &Axes, look: &Look) {
    let (h, s) = (b.h, look.head);
    let ear = skeleton.middle(Joint::Ear);
    let at = |ahead: f32, up: f32, right: f32| axes.place(ear, ahead * h, up * h, right * h);
    let brain = b.rod(
        HEAD,
        Part::Skull,
        [at(-0.012, 0.017, 0.0), at(0.012, 0.018, 0.0)],
        [0.049 * s, 0.047 * s],
    );
    *brain = brain.melting(0.02 * h);
    let face = b.rod(
        HEAD,
        Part::Skull,
        [at(0.018, 0.012, 0.0), at(0.024, -0.03, 0.0)],
        [0.040 * s, 0.031 * s],
    );
    *face = face.wide(axes.right, 1.03).melting(0.025 * h);
    let jaw = b.rod(
        HEAD,
        Part::Skull,
        [at(0.004, -0.034, 0.0), at(0.038, -0.052 * s, 0.0)],
        [0.030, 0.0165],
    );
    *jaw = jaw.wide(axes.right, 1.18).melting(0.022 * h);
    let nose_tip = skeleton.at(Landmark::Nose);
    let bridge = at(0.053, 0.014, 0.0);
    let tip = nose_tip - 0.007 * h * axes.ahead - 0.006 * h * axes.up;
    let nose = b.rod(HEAD, Part::Skull, [bridge, tip], [0.006, 0.0085]);
    *nose = nose.melting(0.01 * h);
    for out in [-1.0_f32, 1.0] {
        let lobe = b.rod(
            HEAD,
            Part::Ear,
            [at(-0.004, 0.012, out * 0.0475 * s), at(0.001, -0.014, out * 0.045 * s)],
            [0.0055, 0.004],
        );
        *lobe = lobe.wide(axes.ahead, 1.9).melting(0.004 * h);
    }
    let lips = b.rod(
        HEAD,
        Part::Skull,
        [at(0.052, -0.034, -0.008), at(0.052, -0.034, 0.008)],
        [0.0055, 0.0055],
    );
    *lips = lips.melting(0.012 * h);
}

fn hair(b: &mut Builder, axes: &Axes, ear: V3, drag: V3, look: &Look) {
    let (h, s) = (b.h, look.head);
    let at = |ahead: f32, up: f32, right: f32| axes.place(ear, ahead * h, up * h, right * h);
    let cap = b.rod(
        HAIR,
        Part::Hair,
        [at(-0.017, 0.017, 0.0), at(0.006, 0.026, 0.0)],
        [0.051 * s, 0.0465 * s],
    );
    *cap = cap.melting(0.015 * h);
    let nape = b.rod(
        HAIR,
        Part::Hair,
        [at(-0.026, 0.0, 0.0), at(-0.028, -0.026, 0.0)],
        [0.041 * s, 0.028],
    );
    *nape = nape.wide(axes.right, 1.12).melting(0.02 * h);
    match look.hair {
        Hair::Short => {
            let tuft = b.rod(
                HAIR,
                Part::Hair,
                [at(0.0, 0.036, 0.0), at(0.03, 0.043, 0.006)],
                [0.034, 0.022],
            );
            *tuft = tuft.wide(axes.right, 1.25).melting(0.02 * h);
        }
        Hair::Bun => {
            b.rod(
                HAIR,
                Part::Hair,
                [at(-0.058, 0.04, -0.004), at(-0.062, 0.04, 0.004)],
                [0.024, 0.024],
            )
            .melt = 0.006 * h;
        }
        Hair::Ponytail => {
            let mut from = at(-0.058, 0.034, 0.0);
            let mut way = unit_or(-axes.ahead + 0.25 * axes.up, v(0.0, 1.0, 0.0));
            // It hangs, and stays behind what the head did lately.
            let pull = v(0.0, -0.055, 0.0) - 0.55 * drag;
            let mut radius = 0.0145;
            for (i, length) in [0.03_f32, 0.045, 0.05, 0.045].into_iter().enumerate() {
                let to = from + length * h * way;
                let next = [0.0185, 0.019, 0.0155, 0.006][i];
                b.rod(HAIR, Part::Hair, [from, to], [radius, next]).melt = 0.008 * h;
                (from, radius) = (to, next);
                way = unit_or(0.45 * way + 14.0 * pull, way);
            }
        }
    }
}

fn arm(b: &mut Builder, skeleton: &Skeleton, axes: &Axes, side: Side, look: &Look) {
    let (h, chain) = (b.h, ARM[at(side)]);
    let (g, m) = (look.girth, look.muscle);
    let [shoulder, elbow, wrist, tip] =
        [Joint::Shoulder, Joint::Elbow, Joint::Wrist, Joint::Fingertip].map(|joint| skeleton.of(joint, side));
    let sleeve = match look.outfit {
        Outfit::Shorts => Some((-1.0, 0.5, 0.0065 * h)),
        Outfit::Tracksuit => Some((-1.0, 0.7, 0.008 * h)),
        _ => None,
    };
    let upper = b.rod(chain, Part::UpperArm, [shoulder, elbow], [0.0262 * g, 0.0195 * g]);
    *upper = upper.melting(0.012 * h);
    upper.cloth = sleeve;
    let belly = b.rod(
        chain,
        Part::UpperArm,
        [mix(shoulder, elbow, 0.3), mix(shoulder, elbow, 0.65)],
        [0.0245 * g * m, 0.0215 * g * m],
    );
    *belly = belly.melting(0.012 * h);
    // The belly spans 0.3 to 0.65 of the arm: the sleeve's end in its own share.
    belly.cloth = sleeve.map(|(from, to, thick)| (from, (to - 0.3) / 0.35, thick));
    let fore = b.rod(chain, Part::Forearm, [elbow, wrist], [0.0195 * g, 0.0138]);
    *fore = fore.melting(0.012 * h);
    let bulge = b.rod(
        chain,
        Part::Forearm,
        [mix(elbow, wrist, 0.12), mix(elbow, wrist, 0.45)],
        [0.0208 * g * m, 0.0178 * g],
    );
    *bulge = bulge.melting(0.012 * h);
    hand(b, chain, wrist, tip, unit_or(wrist - elbow, axes.up), axes, side);
}

/// Palm, four fingers and a thumb; the hand is as wide as it can be across the arm's plane.
fn hand(b: &mut Builder, chain: usize, wrist: V3, tip: V3, fore: V3, axes: &Axes, side: Side) {
    let h = b.h;
    let along = unit_or(tip - wrist, fore);
    let across = Axes::from(along, axes.right, axes.ahead).right;
    let inward = if side == Side::Left { across } else { -across };
    let knuckles = mix(wrist, tip, 0.5);
    let palm = b.rod(chain, Part::Hand, [wrist, knuckles], [0.0115, 0.0105]);
    *palm = palm.wide(across, 2.2).melting(0.012 * h);
    for (i, reach) in [0.97_f32, 1.0, 0.96, 0.86].into_iter().enumerate() {
        let out = (1.5 - i as f32) * 0.0105;
        let from = knuckles + out * h * inward;
        let to = wrist + reach * (tip - wrist) + 1.35 * out * h * inward;
        let finger = b.rod(chain, Part::Hand, [from, to - 0.004 * h * along], [0.0058, 0.0046]);
        finger.melt = 0.002 * h;
    }
    let thumb_root = mix(wrist, tip, 0.2) + 0.014 * h * inward;
    let thumb_tip = mix(wrist, tip, 0.52) + 0.036 * h * inward;
    let thumb = b.rod(chain, Part::Hand, [thumb_root, thumb_tip], [0.0085, 0.0056]);
    thumb.melt = 0.008 * h;
}

fn leg(b: &mut Builder, skeleton: &Skeleton, axes: &Axes, side: Side, look: &Look) {
    let (h, chain) = (b.h, LEG[at(side)]);
    let (g, m) = (look.girth, look.muscle);
    let [hip, knee, ankle, heel, toe] =
        [Joint::Hip, Joint::Knee, Joint::Ankle, Joint::Heel, Joint::Toe].map(|joint| skeleton.of(joint, side));
    let trousers = match look.outfit {
        Outfit::Shorts => Some((-1.0, 0.52, 0.008 * h)),
        Outfit::Tracksuit => Some((-1.0, 2.0, 0.009 * h)),
        _ => None,
    };
    // Down the leg, its right, and the way the knee cap looks.
    let thigh_axes = Axes::from(unit_or(hip - knee, axes.up), axes.right, axes.right);
    let shank_axes = Axes::from(unit_or(knee - ankle, axes.up), axes.right, axes.right);
    let thigh = b.rod(chain, Part::Thigh, [hip, knee], [0.046 * g, 0.0275 * g]);
    *thigh = thigh.melting(0.02 * h);
    thigh.cloth = trousers;
    let quads = mix(hip, knee, 0.35) + 0.008 * h * thigh_axes.ahead;
    let front = b.rod(
        chain,
        Part::Thigh,
        [quads, mix(hip, knee, 0.7) + 0.003 * h * thigh_axes.ahead],
        [0.039 * g * m, 0.0315 * g],
    );
    *front = front.melting(0.02 * h);
    front.cloth = trousers.map(|(from, to, thick)| (from, (to - 0.35) / 0.35, thick));
    let shin = b.rod(chain, Part::Shank, [knee, ankle], [0.0275 * g, 0.0180]);
    *shin = shin.melting(0.015 * h);
    shin.cloth = trousers.map(|(from, to, thick)| (from, if to > 1.0 { 0.97 } else { -1.0 }, thick));
    let calf_top = mix(knee, ankle, 0.2) - 0.009 * h * shank_axes.ahead;
    let calf_end = mix(knee, ankle, 0.48) - 0.005 * h * shank_axes.ahead;
    let calf = b.rod(
        chain,
        Part::Shank,
        [calf_top, calf_end],
        [0.0272 * g * m, 0.0225 * g * m],
    );
    *calf = calf.melting(0.02 * h);
    calf.cloth = trousers.map(|(from, to, thick)| (from, if to > 1.0 { 3.0 } else { -1.0 }, thick));
    let cap = knee + 0.012 * h * mix(thigh_axes.ahead, shank_axes.ahead, 0.5);
    b.rod(
        chain,
        Part::Shank,
        [cap, cap + 0.01 * h * thigh_axes.up],
        [0.0195 * g, 0.018 * g],
    )
    .melt = 0.014 * h;
    foot(b, chain, [ankle, heel, toe], &shank_axes, side);
}

fn foot(b: &mut Builder, chain: usize, [ankle, heel, toe]: [V3; 3], axes: &Axes, side: Side) {
    let h = b.h;
    let sole = unit_or(toe - heel, axes.ahead);
    let up = unit_or((ankle - heel) - (ankle - heel).dot(&sole) * sole, axes.up);
    let across = sole.cross(&up);
    let inward = if side == Side::Left { across } else { -across };
    let length = (toe - heel).norm();
    let bottom = |share: f32, raise: f32| heel + share * length * sole + raise * h * up;
    let back = b.rod(
        chain,
        Part::Foot,
        [ankle - 0.004 * h * sole, bottom(0.1, 0.0185)],
        [0.0195, 0.0195],
    );
    *back = back.melting(0.02 * h);
    let bridge = b.rod(
        chain,
        Part::Foot,
        [ankle + 0.012 * h * sole - 0.006 * h * up, bottom(0.66, 0.0125)],
        [0.0185, 0.0125],
    );
    *bridge = bridge.wide(across, 1.35).melting(0.02 * h);
    let flat = b.rod(
        chain,
        Part::Foot,
        [bottom(0.12, 0.0165), bottom(0.72, 0.0115)],
        [0.0165, 0.0115],
    );
    *flat = flat.wide(across, 1.75).melting(0.015 * h);
    for i in 0..5_u8 {
        let out = 0.0185 - 0.0095 * f32::from(i);
        let reach = 0.985 - 0.018 * f32::from(i) * f32::from(i) * 0.6;
        let thick = if i == 0 { 0.0078 } else { 0.0055 };
        let from = bottom(0.74, 0.009) + out * h * inward;
        let to = bottom(reach, thick) + 1.05 * out * h * inward;
        b.rod(chain, Part::Foot, [from, to], [thick + 0.001, thick]).melt = 0.004 * h;
    }
}
