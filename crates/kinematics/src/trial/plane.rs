//! Out-of-plane check: limbs that look shorter than they are.

use crate::trial::Trial;
use crate::{Joint, Landmark, Measure, Side};

/// Frames in a mean length.
const FRAMES: usize = 5;
/// A limb turned by more than this out of the plane is a reason for doubt, degrees.
const DOUBT_DEG: f64 = 20.0;

/// A limb that is seen shorter than it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Foreshortened {
    /// `left thigh`, and so on.
    pub limb: String,
    /// How far it is turned out of the plane at least likely, degrees: `acos(r)`.
    pub turned_deg: f64,
}

impl Trial {
    /// The limb of a measure that is turned farthest out of the plane in the frames used, if that gives reason for doubt:
    /// `r + 1.645 sd(r) < cos 20°`, with `r` the mean length of 5 frames by the 90th percentile of such means.
    #[must_use]
    pub fn foreshortened(&self, measure: Measure, side: Option<Side>, frames: (usize, usize)) -> Option<Foreshortened> {
        let sides: &[Side] = match &side {
            Some(side) => std::slice::from_ref(side),
            None => &Side::BOTH,
        };
        let limbs = limbs_of(measure);
        let mut worst: Option<Foreshortened> = None;
        for side in sides {
            for (name, from, to) in &limbs {
                let Some(turned_deg) = self.turned(Landmark::of(*from, *side), Landmark::of(*to, *side), frames) else {
                    continue;
                };
                if worst.as_ref().is_none_or(|other| turned_deg > other.turned_deg) {
                    worst = Some(Foreshortened {
                        limb: format!("{} {name}", side.id()),
                        turned_deg,
                    });
                }
            }
        }
        worst
    }

    fn turned(&self, from: Landmark, to: Landmark, frames: (usize, usize)) -> Option<f64> {
        let length = |frame: usize| Some((self.series.filled(to, frame)? - self.series.filled(from, frame)?).norm());
        let mean_around = |middle: usize| {
            let first = middle.saturating_sub(FRAMES / 2);
            let lengths: Vec<f64> = (first..first + FRAMES).filter_map(length).collect();
            (lengths.len() == FRAMES).then(|| lengths.iter().sum::<f64>() / FRAMES as f64)
        };
        let mut means: Vec<f64> = (0..self.series.raw().len()).filter_map(mean_around).collect();
        let rank = means.len().checked_sub(1)? * 9 / 10;
        let reference = *means.select_nth_unstable_by(rank, f64::total_cmp).1;
        let used = (frames.0..=frames.1)
            .filter_map(mean_around)
            .fold(f64::INFINITY, f64::min);
        if reference <= 0.0 || !used.is_finite() {
            return None;
        }
        let sd = self
            .series
            .raw()
            .sd_at(from, frames.0)
            .hypot(self.series.raw().sd_at(to, frames.0));
        let averaged = match self.series.raw().temporal_error {
            crate::TemporalError::Shared => 1.0,
            _ => (FRAMES as f64).sqrt(),
        };
        let ratio = used / reference;
        let ratio_sd = sd / averaged / reference;
        (ratio + 1.645 * ratio_sd < DOUBT_DEG.to_radians().cos()).then(|| ratio.min(1.0).acos().to_degrees())
    }
}

fn limbs_of(measure: Measure) -> Vec<(&'static str, Joint, Joint)> {
    let upper_arm = ("upper arm", Joint::Shoulder, Joint::Elbow);
    let forearm = ("forearm", Joint::Elbow, Joint::Wrist);
    let trunk = ("side of the trunk", Joint::Hip, Joint::Shoulder);
    let thigh = ("thigh", Joint::Hip, Joint::Knee);
    let shank = ("shank", Joint::Knee, Joint::Ankle);
    match measure {
        Measure::ShoulderOpening | Measure::EarOffset => vec![upper_arm, trunk],
        Measure::ElbowAngle => vec![upper_arm, forearm],
        Measure::HipAngle => vec![trunk, thigh],
        Measure::KneeAngle => vec![thigh, shank],
        Measure::AnkleAngle => vec![shank],
        Measure::LegGap => vec![thigh, shank],
        Measure::BodyLineStraightness | Measure::BodyLineLean => vec![upper_arm, forearm, trunk, thigh, shank],
        Measure::TrunkInclination | Measure::HeadTilt => vec![trunk],
        _ => Vec::new(),
    }
}
