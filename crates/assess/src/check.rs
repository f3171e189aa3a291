//! One check on one attempt.

use springline_drills::{Band, Check, Deduction, Quantity, Thresholds, Weight, When, quantity_in_words};
use springline_kinematics::trial::{PastRange, Trial, Value};
use springline_kinematics::{Landmark, Side, TemporalError, Unit};

use crate::reading::{Taken, measure_of, taken};
use crate::verdict::{Verdict, verdict};

/// A value as measured, for outputs.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Best estimate, in `unit`.
    pub value: f64,
    /// Standard uncertainty, in `unit`.
    pub sd: f64,
    /// Unit.
    pub unit: Unit,
    /// The side it was taken on; `None`: no sides, or their mean.
    pub side: Option<Side>,
    /// First and last frame used.
    pub frames: (usize, usize),
    /// Share of the variance from the timing of events.
    pub timing_share: f64,
}

/// What a published table would deduct. It is not a judge's score.
#[derive(Clone, Debug, PartialEq)]
pub struct ReportedDeduction {
    /// Points.
    pub points: f64,
    /// The table leaves it to the judge: the points are the most.
    pub up_to: bool,
    /// Source of the table with its tag.
    pub source: String,
}

/// A check with its result.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckResult {
    /// Id of the check in the drill.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// Must hold, or told only.
    pub weight: Weight,
    /// The value, if it could be taken.
    pub measured: Option<Measured>,
    /// The verdict.
    pub verdict: Verdict,
    /// Id of the fault that this result points to.
    pub fault: Option<String>,
    /// Reasons for doubt and substitutions, in words.
    pub remarks: Vec<String>,
    /// What a published table would deduct, if the drill asks for it.
    pub deduction: Option<ReportedDeduction>,
}

/// Runs one check.
pub(crate) fn run(check: &Check, trial: &Trial, thresholds: Thresholds) -> CheckResult {
    let mut result = CheckResult {
        id: check.id.clone(),
        title: check.title.clone(),
        weight: check.weight,
        measured: None,
        verdict: Verdict::NotSeen { why: String::new() },
        fault: None,
        remarks: Vec::new(),
        deduction: None,
    };
    match taken(trial, check.quantity, check.unit, check.band) {
        Err(reason) => {
            result.verdict = Verdict::NotSeen {
                why: reason.to_string(),
            }
        }
        Ok(Taken { value, side, outside }) => {
            result.verdict = verdict(check, &value, outside, thresholds, settles(trial, &value, check.band));
            if let Verdict::Fault { below, .. } = result.verdict {
                result.fault = if below {
                    check.fault_below.clone()
                } else {
                    check.fault_above.clone()
                };
            }
            result.remarks = value.remarks.clone();
            result.remarks.extend(below_nothing(check.quantity, value.value));
            let doubt = measure_of(check.quantity).and_then(|measure| trial.foreshortened(measure, side, value.frames));
            if let Some(limb) = doubt {
                result.remarks.push(format!(
                    "camera angle: the {} is seen about {:.0}° out of the plane",
                    limb.limb, limb.turned_deg
                ));
            }
            result.remarks.extend(bridged(check, trial, side, value.frames));
            result
                .remarks
                .extend(past_range(check, trial, side, value.frames).map(|past| past.to_string()));
            result.deduction = check.deduction.as_ref().and_then(|table| deduct(table, value.value));
            if check.deduction.is_some() && result.deduction.is_none() {
                result
                    .remarks
                    .push("no deduction told: the published table has no line for this value".to_owned());
            }
            result.measured = Some(Measured {
                value: value.value,
                sd: value.sd,
                unit: value.unit,
                side,
                frames: value.frames,
                timing_share: value.timing_share,
            });
        }
    }
    result
}

/// What a difference below 0 means.
fn below_nothing(quantity: Quantity, value: f64) -> Option<String> {
    let Quantity::Difference(first, second) = quantity else {
        return None;
    };
    let words = match (first.when, second.when) {
        (
            When::At {
                event: one,
                offset_s: 0.0,
            },
            When::At {
                event: other,
                offset_s: 0.0,
            },
        ) if first.measure == second.measure => {
            format!(
                "below 0: the {} is larger at {} than at {}",
                first.measure.words(),
                other.words(),
                one.words()
            )
        }
        _ => format!(
            "below 0: {} is the larger",
            quantity_in_words(&Quantity::Single(second))
        ),
    };
    (value < 0.0).then_some(words)
}

/// Points that were bridged where this check looked.
fn bridged(check: &Check, trial: &Trial, side: Option<Side>, frames: (usize, usize)) -> Option<String> {
    let (landmarks, count) = trial.bridged(measure_of(check.quantity)?, side, frames);
    let of = frames.1 - frames.0 + 1;
    (count > 0).then(|| format!("bridged in {count} of {of} frames: {}", Landmark::in_words(&landmarks)))
}

/// Joints that read past their range of motion where this check looked.
fn past_range<'a>(
    check: &Check,
    trial: &'a Trial,
    side: Option<Side>,
    (first, last): (usize, usize),
) -> impl Iterator<Item = &'a PastRange> {
    let measure = measure_of(check.quantity);
    trial.past_range().iter().filter(move |past| {
        Some(past.range.measure) == measure
            && side.is_none_or(|side| side == past.side)
            && past.frames.0 <= last
            && first <= past.frames.1
    })
}

fn deduct(table: &Deduction, value: f64) -> Option<ReportedDeduction> {
    let amount = table.of(value)?;
    Some(ReportedDeduction {
        points: amount.points,
        up_to: amount.up_to,
        source: table.source.clone(),
    })
}

/// Fastest rate that is asked for, frames a second: few cameras go faster.
const MOST_HZ: f64 = 240.0;
/// 90 % of a normal distribution lie below so many sds.
const NINETY: f64 = 1.281_551_6;

/// The frame rate at which a value would be decided if it stayed as it is: the share of its variance that comes from timing goes
/// down with the square of the rate. `off`: how far the nearest limit is. `None`: no rate that cameras have.
fn enough_hz(rate: f64, off: f64, sd: f64, timing_share: f64) -> Option<f64> {
    let left = (off / NINETY / sd).powi(2) - (1.0 - timing_share);
    // Rounded up to tens: it is no more exact than that.
    let hz = (rate * (timing_share / left).sqrt() / 10.0).ceil() * 10.0;
    (left > 0.0 && hz > rate && hz <= MOST_HZ).then_some(hz)
}

/// What would settle a value too close to call: what its uncertainty mostly comes from.
fn settles(trial: &Trial, value: &Value, band: Band) -> String {
    let rate = 1.0 / trial.series().interval();
    if value.timing_share > 0.5 {
        let limits = band.at_least.into_iter().chain(band.at_most);
        let off = limits.map(|limit| (value.value - limit).abs()).min_by(f64::total_cmp);
        let enough = off.and_then(|off| enough_hz(rate, off, value.sd, value.timing_share));
        let enough = enough.map_or_else(String::new, |hz| format!(", about {hz:.0} a second"));
        format!("a higher frame rate{enough} (this clip: {rate:.0} frames a second)")
    } else if value.tilt_share > 0.5 {
        "a marked floor line (it was assumed level)".to_owned()
    } else if trial.series().raw().temporal_error == TemporalError::Shared {
        "joint points clicked by hand at the frames that count".to_owned()
    } else {
        "clearer clicks, a closer camera square to the run, or one more attempt".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rate_that_would_settle_a_time() {
        // 0.02 s off with 0.0312 s of uncertainty, all of it from the frames: half of that decides, so twice the rate.
        assert_eq!(enough_hz(60.0, 0.02, 0.0312, 1.0), Some(120.0));
        assert_eq!(enough_hz(25.0, 0.02, 0.0312, 1.0), Some(50.0));
        // Half of the variance comes from elsewhere and would alone be too much.
        assert_eq!(enough_hz(60.0, 0.02, 0.0312, 0.5), None);
        // So near to the limit that no camera decides.
        assert_eq!(enough_hz(60.0, 0.001, 0.0312, 1.0), None);
        assert_eq!(enough_hz(60.0, 0.0, 0.0312, 1.0), None);
        assert_eq!(enough_hz(60.0, f64::NAN, 0.0, 1.0), None);
    }
}
