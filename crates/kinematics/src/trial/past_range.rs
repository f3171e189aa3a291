//! Joint angles that no joint makes: a reason to look at the points again.

use std::fmt;

use crate::range_of_motion::{Past, RANGES, RangeOfMotion};
use crate::trial::Trial;
use crate::uncertainty::angle_variance;
use crate::{Angle, Joint, Landmark, Measure, Side, joint_angles as joints};

/// So many standard deviations past the limit before anything is said.
const SURE: f64 = 2.0;
/// So many frames in a row, all seen: one wild frame is the business of smoothing.
const FRAMES: usize = 3;

/// A stretch of frames in which a joint reads past what joints do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PastRange {
    /// The joint and its limits.
    pub range: &'static RangeOfMotion,
    /// The athlete's side.
    pub side: Side,
    /// First and last frame, from 0.
    pub frames: (usize, usize),
    /// The limit and the farthest reading past it.
    pub past: Past,
}

impl fmt::Display for PastRange {
    /// `left knee reads 214° in frames 31 to 35, past what a knee does (190°)`, without a full stop.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let joint = self.range.joint;
        let article = if joint.starts_with(['a', 'e', 'i', 'o', 'u']) {
            "an"
        } else {
            "a"
        };
        write!(
            f,
            "{} {joint} reads {:.0}° in frames {} to {}, past what {article} {joint} does ({:.0}°)",
            self.side.id(),
            self.past.reading,
            self.frames.0,
            self.frames.1,
            self.past.limit
        )
    }
}

impl Trial {
    /// Joints that read past their range of motion, by more than 2 standard deviations in at least 3 frames in a row that
    /// were all seen: of each joint the stretch that goes farthest.
    ///
    /// Raw points, before bridging and smoothing. Nothing in a frontal view or while the facing is undecided, where angles
    /// have no sign. It changes no value and no verdict. An elbow is measured without a sign, so only its bend has a limit.
    #[must_use]
    pub fn past_range(&self) -> &[PastRange] {
        self.past_range.get_or_init(|| {
            if self.frontal || !self.knows_facing() {
                return Vec::new();
            }
            let joints = RANGES.iter().flat_map(|range| Side::BOTH.map(|side| (range, side)));
            joints
                .filter_map(|(range, side)| self.farthest_past(range, side))
                .collect()
        })
    }

    fn farthest_past(&self, range: &'static RangeOfMotion, side: Side) -> Option<PastRange> {
        let mut farthest: Option<PastRange> = None;
        let mut running: Option<PastRange> = None;
        let frames = self.series.raw().len();
        for frame in 0..=frames {
            let past = (frame < frames).then(|| self.surely_past(range, side, frame)).flatten();
            match (past, &mut running) {
                (Some(past), Some(stretch)) => {
                    stretch.frames.1 = frame;
                    if past.by > stretch.past.by {
                        stretch.past = past;
                    }
                }
                (Some(past), None) => {
                    running = Some(PastRange {
                        range,
                        side,
                        frames: (frame, frame),
                        past,
                    });
                }
                (None, _) => {
                    let Some(stretch) = running.take() else { continue };
                    let long = stretch.frames.1 + 1 - stretch.frames.0 >= FRAMES;
                    if long && farthest.is_none_or(|other| stretch.past.by > other.past.by) {
                        farthest = Some(stretch);
                    }
                }
            }
        }
        farthest
    }

    /// Past the limit in this frame by more than its uncertainty explains.
    fn surely_past(&self, range: &RangeOfMotion, side: Side, frame: usize) -> Option<Past> {
        let raw = self.series.raw();
        let landmarks = joints_of(range.measure)?.map(|joint| Landmark::of(joint, side));
        let [a, b, c] = landmarks.map(|landmark| raw.at(landmark, frame));
        let (a, b, c) = (a?, b?, c?);
        let angle: Option<Angle> = match range.measure {
            Measure::ShoulderOpening => joints::shoulder_opening(a, b, c),
            Measure::ElbowAngle => joints::elbow_angle(a, b, c),
            Measure::HipAngle => joints::hip_angle(a, b, c),
            Measure::KneeAngle => joints::knee_angle(a, b, c),
            Measure::AnkleAngle => joints::ankle_angle(a, b, c),
            _ => None,
        };
        let angle = angle?;
        let past = range.past(angle)?;
        let sds = landmarks.map(|landmark| raw.sd_at(landmark, frame));
        let variance = angle_variance((a - b).norm(), (c - b).norm(), angle.radians(), sds);
        (past.by > SURE * variance.sqrt().to_degrees()).then_some(past)
    }
}

/// The joints that an angle lies between, in the order in which its function takes them.
fn joints_of(measure: Measure) -> Option<[Joint; 3]> {
    match measure {
        Measure::ShoulderOpening => Some([Joint::Hip, Joint::Shoulder, Joint::Elbow]),
        Measure::ElbowAngle => Some([Joint::Shoulder, Joint::Elbow, Joint::Wrist]),
        Measure::HipAngle => Some([Joint::Shoulder, Joint::Hip, Joint::Knee]),
        Measure::KneeAngle => Some([Joint::Hip, Joint::Knee, Joint::Ankle]),
        Measure::AnkleAngle => Some([Joint::Knee, Joint::Ankle, Joint::Toe]),
        _ => None,
    }
}
