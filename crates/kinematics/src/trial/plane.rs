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

    /// The points of a measure that were bridged in the frames used (first and last included), and in how many of these
    /// frames any of them was. `side`: `None` for both. Measures that no points enter frame by frame, such as times and
    /// contact points, have none.
    #[must_use]
    pub fn bridged(&self, measure: Measure, side: Option<Side>, frames: (usize, usize)) -> (Vec<Landmark>, usize) {
        let sides: &[Side] = match &side {
            Some(side) => std::slice::from_ref(side),
            None => &Side::BOTH,
        };
        let pose = self.series.pose_at_frame(frames.0);
        let used: Vec<Landmark> = sides.iter().flat_map(|side| self.used(measure, *side, &pose)).collect();
        let inside = |landmark: Landmark| {
            let all = self.series.bridged(landmark).iter().copied();
            all.filter(move |frame| (frames.0..=frames.1).contains(frame))
        };
        let landmarks = Landmark::ALL
            .into_iter()
            .filter(|landmark| used.contains(landmark) && inside(*landmark).next().is_some())
            .collect();
        let any: std::collections::BTreeSet<usize> = used.into_iter().flat_map(inside).collect();
        (landmarks, any.len())
    }

    fn turned(&self, from: Landmark, to: Landmark, frames: (usize, usize)) -> Option<f64> {
        let limbs = self.limbs.get_or_init(|| self.limbs_in_full());
        let limb = limbs.iter().find(|limb| limb.from == from && limb.to == to)?;
        let used = (frames.0..=frames.1)
            .filter_map(|frame| self.mean_length(from, to, frame))
            .fold(f64::INFINITY, f64::min);
        if limb.reference <= 0.0 || !used.is_finite() {
            return None;
        }
        let raw = self.series.raw();
        let sd = raw.sd_at(from, frames.0).hypot(raw.sd_at(to, frames.0));
        let averaged = match raw.temporal_error {
            crate::TemporalError::Shared => 1.0,
            _ => (FRAMES as f64).sqrt(),
        };
        let ratio = used / limb.reference;
        let ratio_sd = sd / averaged / limb.reference;
        (ratio + 1.645 * ratio_sd < DOUBT_DEG.to_radians().cos()).then(|| ratio.min(1.0).acos().to_degrees())
    }

    /// Mean length of a limb over the five frames around one, px.
    fn mean_length(&self, from: Landmark, to: Landmark, middle: usize) -> Option<f64> {
        let length = |frame| Some((self.series.filled(to, frame)? - self.series.filled(from, frame)?).norm());
        (middle.checked_sub(FRAMES / 2)?..=middle + FRAMES / 2)
            .map(length)
            .sum::<Option<f64>>()
            .map(|sum| sum / FRAMES as f64)
    }

    /// How long each limb is when it is seen in full; taken once per attempt.
    fn limbs_in_full(&self) -> Vec<Limb> {
        let pairs = [
            (Joint::Shoulder, Joint::Elbow),
            (Joint::Elbow, Joint::Wrist),
            (Joint::Hip, Joint::Shoulder),
            (Joint::Hip, Joint::Knee),
            (Joint::Knee, Joint::Ankle),
        ];
        let mut limbs = Vec::with_capacity(2 * pairs.len());
        for side in Side::BOTH {
            for (from, to) in pairs {
                let (from, to) = (Landmark::of(from, side), Landmark::of(to, side));
                let mut means: Vec<f64> = (0..self.series.raw().len())
                    .filter_map(|frame| self.mean_length(from, to, frame))
                    .collect();
                let Some(rank) = means.len().checked_sub(1).map(|last| last * 9 / 10) else {
                    continue;
                };
                let reference = *means.select_nth_unstable_by(rank, f64::total_cmp).1;
                limbs.push(Limb { from, to, reference });
            }
        }
        limbs
    }
}

/// A limb through a clip.
#[derive(Clone, Debug)]
pub(crate) struct Limb {
    from: Landmark,
    to: Landmark,
    /// 90th percentile of its mean lengths, px: the longest that it is seen (one longest is noise).
    reference: f64,
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
