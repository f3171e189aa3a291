//! Each measure as a function of one pose. Degrees, px, percent, plain ratios.

use crate::events::LandingKind;
use crate::mass::centre_of_mass;
use crate::series::Pose;
use crate::trial::{Fold, NotSeen, Trial};
use crate::{Angle, Joint, Landmark, Measure, Point, Side, joint_angles as joints, segments};

/// A heel that never comes lower than this over the toe is never flat on the floor, leg lengths (our choice).
const NEVER_FLAT: f64 = 0.07;

/// A measure on one pose before folding: for unsigned measures the signed deviation from straight or zero.
pub(crate) struct Raw {
    pub value: f64,
    pub fold: Option<Fold>,
}

impl Trial {
    /// How a measure folds in this view, if it does.
    pub(crate) fn fold_of(&self, measure: Measure) -> Option<Fold> {
        match measure {
            Measure::ElbowAngle => Some(Fold::FromStraight),
            Measure::LegGap => Some(Fold::FromZero),
            Measure::ShoulderOpening
            | Measure::HipAngle
            | Measure::KneeAngle
            | Measure::AnkleAngle
            | Measure::TrunkInclination
                if self.frontal =>
            {
                Some(Fold::FromStraight)
            }
            _ => None,
        }
    }

    /// Full turn for angles, so that differences step over branch cuts.
    pub(crate) fn period_of(measure: Measure) -> Option<f64> {
        (measure.units()[0] == crate::Unit::Degrees).then_some(360.0)
    }

    /// The measure on a pose; `side` is the side asked for (ignored by measures without sides).
    pub(crate) fn on_pose(&self, measure: Measure, side: Side, pose: &Pose) -> Result<Raw, NotSeen> {
        let at = |joint| self.need(pose, Landmark::of(joint, side));
        let fold = self.fold_of(measure);
        let plain = |value: f64| Raw { value, fold: None };
        let degrees = |angle: Option<Angle>| {
            angle
                .map(Angle::degrees)
                .ok_or(NotSeen::Undefined("two points coincide"))
        };
        let signed = |angle: Option<Angle>| {
            degrees(angle).map(|value| match fold {
                Some(Fold::FromStraight) => Raw {
                    value: 180.0 - value,
                    fold,
                },
                _ => Raw { value, fold },
            })
        };
        match measure {
            Measure::ShoulderOpening => {
                let arm = at(Joint::Elbow).or_else(|_| at(Joint::Wrist))?;
                signed(joints::shoulder_opening(at(Joint::Hip)?, at(Joint::Shoulder)?, arm))
            }
            Measure::HipAngle => signed(joints::hip_angle(
                at(Joint::Shoulder)?,
                at(Joint::Hip)?,
                at(Joint::Knee)?,
            )),
            Measure::KneeAngle => signed(joints::knee_angle(at(Joint::Hip)?, at(Joint::Knee)?, at(Joint::Ankle)?)),
            Measure::ElbowAngle => {
                let (shoulder, elbow, wrist) = (at(Joint::Shoulder)?, at(Joint::Elbow)?, at(Joint::Wrist)?);
                signed(joints::turn(shoulder - elbow, wrist - elbow).map(|angle| angle.wrapped_above(0.0)))
            }
            Measure::AnkleAngle => signed(joints::ankle_angle(
                at(Joint::Knee)?,
                at(Joint::Ankle)?,
                at(Joint::Toe)?,
            )),
            Measure::TrunkInclination => {
                let (hip, shoulder) = (self.middle(pose, Joint::Hip)?, self.middle(pose, Joint::Shoulder)?);
                let leaning = degrees(segments::inclination(hip, shoulder))?;
                Ok(match fold {
                    // From straight upside down, either way.
                    Some(_) => Raw {
                        value: (leaning + 360.0) % 360.0 - 180.0,
                        fold,
                    },
                    None => plain(self.unwrapped_trunk(pose.time, leaning)),
                })
            }
            Measure::BodyLineLean => {
                let hands = self.middle(pose, Joint::Wrist)?;
                degrees(segments::inclination(hands, self.middle(pose, Joint::Ankle)?)).map(plain)
            }
            Measure::BodyLineStraightness => {
                let line = segments::body_line_straightness(
                    at(Joint::Wrist)?,
                    at(Joint::Shoulder)?,
                    at(Joint::Hip)?,
                    at(Joint::Knee)?,
                    at(Joint::Ankle)?,
                );
                line.map(|share| plain(100.0 * share))
                    .ok_or(NotSeen::Undefined("wrist and ankle coincide"))
            }
            Measure::LegGap => {
                let [left, right] = self.legs(pose)?;
                degrees(joints::turn(left, right)).map(|value| Raw { value, fold })
            }
            Measure::EarOffset => {
                let (shoulder, elbow) = (at(Joint::Shoulder)?, at(Joint::Elbow)?);
                let opening = degrees(joints::shoulder_opening(at(Joint::Hip)?, shoulder, elbow))?;
                if opening <= 90.0 {
                    return Err(NotSeen::Undefined(
                        "defined with the arm raised only (shoulder opening above 90°)",
                    ));
                }
                segments::ear_offset(shoulder, elbow, at(Joint::Ear)?)
                    .map(plain)
                    .ok_or(NotSeen::Undefined("shoulder and elbow coincide"))
            }
            Measure::HeadTilt => {
                let nose = self.need(pose, Landmark::Nose)?;
                let (hip, shoulder) = (self.middle(pose, Joint::Hip)?, self.middle(pose, Joint::Shoulder)?);
                degrees(segments::head_tilt(hip, shoulder, self.middle(pose, Joint::Ear)?, nose)).map(plain)
            }
            Measure::LandingLean | Measure::ArrivalLean => degrees(segments::inclination(
                self.landing_joint(pose, Joint::Ankle)?,
                self.mass(pose)?,
            ))
            .map(plain),
            Measure::MassOverFoot => {
                let (heel, toe) = (
                    self.landing_joint(pose, Joint::Heel)?,
                    self.landing_joint(pose, Joint::Toe)?,
                );
                self.over_span(self.mass(pose)?.x, heel.x, toe.x).map(plain)
            }
            Measure::HipLead => Ok(plain(
                self.middle(pose, Joint::Hip)?.x - self.landing_joint(pose, Joint::Ankle)?.x,
            )),
            Measure::HeelHeight => {
                let flat = self
                    .flat_heel(side)
                    .ok_or_else(|| self.never(Landmark::of(Joint::Heel, side)))?;
                Ok(plain(at(Joint::Heel)?.y - flat))
            }
            Measure::FeetApart => {
                let left = self.need(pose, Landmark::LeftAnkle)?;
                let right = self.need(pose, Landmark::RightAnkle)?;
                Ok(plain((right - left).norm()))
            }
            Measure::ShoulderHeight => {
                let hands = self
                    .hands_level()
                    .ok_or_else(|| self.lacks(crate::EventKind::HandPlacement))?;
                Ok(plain(self.middle(pose, Joint::Shoulder)?.y - hands))
            }
            Measure::AnkleLead => Ok(plain(
                self.middle(pose, Joint::Ankle)?.x - self.middle(pose, Joint::Hip)?.x,
            )),
            _ => Err(NotSeen::Undefined("taken once per attempt, not at an instant")),
        }
    }

    /// Distance of one joint from the wrist–ankle chord, in hundredths of the chord, positive ventral.
    pub(crate) fn off_line(&self, side: Side, pose: &Pose, joint: Joint) -> Option<f64> {
        let at = |joint| pose.at(Landmark::of(joint, side));
        let (wrist, ankle, point) = (at(Joint::Wrist)?, at(Joint::Ankle)?, at(joint)?);
        segments::body_line_straightness(wrist, point, point, point, ankle).map(|share| 100.0 * share)
    }

    /// Which of shoulder, hip and knee is farthest from the wrist–ankle chord.
    pub(crate) fn farthest_off_line(&self, side: Side, pose: &Pose) -> Option<Joint> {
        [Joint::Shoulder, Joint::Hip, Joint::Knee]
            .into_iter()
            .filter_map(|joint| Some((joint, self.off_line(side, pose, joint)?.abs())))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(joint, _)| joint)
    }

    /// The landmarks a measure looks at in a pose.
    pub(crate) fn used(&self, measure: Measure, side: Side, pose: &Pose) -> Vec<Landmark> {
        let own = |joint: &[Joint]| joint.iter().map(|j| Landmark::of(*j, side)).collect::<Vec<_>>();
        let both = |joint: &[Joint]| {
            joint
                .iter()
                .flat_map(|j| Side::BOTH.map(|side| Landmark::of(*j, side)))
                .collect::<Vec<_>>()
        };
        match measure {
            Measure::ShoulderOpening => own(&[
                Joint::Hip,
                Joint::Shoulder,
                if pose.at(Landmark::of(Joint::Elbow, side)).is_some() {
                    Joint::Elbow
                } else {
                    Joint::Wrist
                },
            ]),
            Measure::HipAngle => own(&[Joint::Shoulder, Joint::Hip, Joint::Knee]),
            Measure::KneeAngle => own(&[Joint::Hip, Joint::Knee, Joint::Ankle]),
            Measure::ElbowAngle => own(&[Joint::Shoulder, Joint::Elbow, Joint::Wrist]),
            Measure::AnkleAngle => own(&[Joint::Knee, Joint::Ankle, Joint::Toe]),
            Measure::TrunkInclination => both(&[Joint::Hip, Joint::Shoulder]),
            Measure::BodyLineLean => both(&[Joint::Wrist, Joint::Ankle]),
            Measure::BodyLineStraightness => {
                own(&[Joint::Wrist, Joint::Shoulder, Joint::Hip, Joint::Knee, Joint::Ankle])
            }
            Measure::LegGap => both(&[Joint::Hip, Joint::Ankle, Joint::Knee]),
            Measure::EarOffset => own(&[Joint::Shoulder, Joint::Elbow, Joint::Ear]),
            Measure::HeadTilt => {
                let mut used = both(&[Joint::Hip, Joint::Shoulder, Joint::Ear]);
                used.push(Landmark::Nose);
                used
            }
            Measure::LandingLean | Measure::ArrivalLean | Measure::MassOverFoot => Landmark::ALL.to_vec(),
            Measure::HipLead | Measure::AnkleLead => both(&[Joint::Hip, Joint::Ankle]),
            Measure::HeelHeight => own(&[Joint::Heel]),
            Measure::FeetApart => both(&[Joint::Ankle]),
            Measure::ShoulderHeight => both(&[Joint::Shoulder]),
            _ => Vec::new(),
        }
    }

    pub(crate) fn need(&self, pose: &Pose, landmark: Landmark) -> Result<Point, NotSeen> {
        pose.at(landmark).ok_or_else(|| {
            if self.series.raw().has(landmark) {
                NotSeen::Landmark {
                    landmark: landmark.id().to_owned(),
                    when: format!(" at {:.2} s", pose.time),
                }
            } else {
                self.never(landmark)
            }
        })
    }

    fn never(&self, landmark: Landmark) -> NotSeen {
        // Points that the layout lacks have no entries at all.
        let lacks = |landmark| self.series.raw().track(landmark).positions.is_empty();
        if lacks(landmark) {
            let neither = lacks(landmark.mirrored());
            return NotSeen::NoPoint {
                point: match landmark.joint().filter(|_| neither) {
                    Some(joint) => joint.word().to_owned(),
                    None => Landmark::in_words(&[landmark]),
                },
            };
        }
        NotSeen::Landmark {
            landmark: landmark.id().to_owned(),
            when: " in any frame".to_owned(),
        }
    }

    /// Mean of both sides of a joint; the side that is seen where the layout or the clip has only one.
    pub(crate) fn middle(&self, pose: &Pose, joint: Joint) -> Result<Point, NotSeen> {
        let [left, right] = Side::BOTH.map(|side| Landmark::of(joint, side));
        match (self.series.raw().has(left), self.series.raw().has(right)) {
            (true, false) => self.need(pose, left),
            (false, true) => self.need(pose, right),
            _ => Ok(nalgebra::center(&self.need(pose, left)?, &self.need(pose, right)?)),
        }
    }

    /// Directions of both legs, each from its own hip; thighs if an ankle is missing.
    fn legs(&self, pose: &Pose) -> Result<[crate::Vector; 2], NotSeen> {
        let ankles = Side::BOTH.map(|side| pose.at(Landmark::of(Joint::Ankle, side)));
        let joint = if ankles.iter().all(Option::is_some) {
            Joint::Ankle
        } else {
            Joint::Knee
        };
        let leg = |side| -> Result<crate::Vector, NotSeen> {
            Ok(self.need(pose, Landmark::of(joint, side))? - self.need(pose, Landmark::of(Joint::Hip, side))?)
        };
        Ok([leg(Side::Left)?, leg(Side::Right)?])
    }

    /// The first landing foot of a step-out; else the mean of both.
    pub(crate) fn landing_joint(&self, pose: &Pose, joint: Joint) -> Result<Point, NotSeen> {
        match self.found.feet.landing {
            Some((side, LandingKind::StepOut)) => self.need(pose, Landmark::of(joint, side)),
            _ => self.middle(pose, joint),
        }
    }

    pub(crate) fn over_span(&self, x: f64, heel: f64, toe: f64) -> Result<f64, NotSeen> {
        if (toe - heel).abs() < 1e-6 {
            return Err(NotSeen::Undefined("heel and toe lie one over the other"));
        }
        Ok(100.0 * (x - heel) / (toe - heel))
    }

    /// Whole-body centre of mass of a pose.
    pub(crate) fn mass(&self, pose: &Pose) -> Result<Point, NotSeen> {
        let stand_in = |root| self.sides_agree(root, pose.time);
        Ok(centre_of_mass(&self.table, self.ends, |landmark| pose.at(landmark), stand_in)?.position)
    }

    /// Whether both arms or both legs were within 20° of each other when last seen together.
    fn sides_agree(&self, root: Joint, time: f64) -> bool {
        let end = if root == Joint::Shoulder {
            Joint::Wrist
        } else {
            Joint::Ankle
        };
        let last = self.series.frame_before(time).unwrap_or(0);
        let limb = |frame, side| {
            let from = self.series.smooth(Landmark::of(root, side), frame)?;
            Some(self.series.smooth(Landmark::of(end, side), frame)? - from)
        };
        (0..=last)
            .rev()
            .find_map(|frame| joints::unsigned(limb(frame, Side::Left)?, limb(frame, Side::Right)?))
            .is_some_and(|angle| angle.degrees() <= 20.0)
    }

    /// A trunk inclination with the whole turns that the trunk has made since the clip began, degrees.
    fn unwrapped_trunk(&self, time: f64, leaning: f64) -> f64 {
        let turned = self.turned.get_or_init(|| {
            let trunk = |frame| {
                let pose = self.series.pose_at_frame(frame);
                let hip = self.middle(&pose, Joint::Hip).ok()?;
                let shoulder = self.middle(&pose, Joint::Shoulder).ok()?;
                segments::inclination(hip, shoulder).map(Angle::radians)
            };
            let frames: Vec<Option<f64>> = (0..self.series.raw().len()).map(trunk).collect();
            let mut last = 0.0;
            segments::unwrap(&frames)
                .into_iter()
                .map(|angle| {
                    last = angle.map_or(last, f64::to_degrees);
                    last
                })
                .collect()
        });
        let near = self.series.frame_before(time).map_or(0.0, |frame| turned[frame]);
        leaning + 360.0 * ((near - leaning) / 360.0).round()
    }

    /// Height of the heel with the foot flat, px: the median of the lowest quarter of its smoothed heights; where the foot
    /// never is flat in the clip (a heel that stays over the toes), that of the toe.
    fn flat_heel(&self, side: Side) -> Option<f64> {
        let low = |landmark| {
            let mut heights: Vec<f64> = (0..self.series.raw().len())
                .filter_map(|frame| self.series.smooth(landmark, frame))
                .map(|p| p.y)
                .collect();
            let rank = heights.len().checked_sub(1)? / 8;
            Some(*heights.select_nth_unstable_by(rank, f64::total_cmp).1)
        };
        let heel = low(Landmark::of(Joint::Heel, side))?;
        let toe = low(Landmark::of(Joint::Toe, side));
        Some(match toe {
            Some(toe) if heel - toe > NEVER_FLAT * self.leg.value => toe,
            _ => heel,
        })
    }

    /// Height of the hands' contact points, px.
    fn hands_level(&self) -> Option<f64> {
        self.contact_of_hands().map(|point| point.y)
    }
}
