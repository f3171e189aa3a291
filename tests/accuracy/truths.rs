//! The true value of what a check looks at.

use springline_drills::{Band, Quantity, Reading, SideChoice, Statistic, When};
use springline_kinematics::trial::Trial;
use springline_kinematics::{EventKind, Measure, Phase, Side};
use springline_simulate::Truth;

/// True value of a measure at an instant, in its own unit.
pub fn at(truth: &Truth, measure: Measure, side: Side, time: f64) -> Option<f64> {
    truth
        .joint_angle(measure, side, time)
        .or_else(|| truth.value(measure, measure.is_sided().then_some(side), time))
}

/// True start and end of a phase.
pub fn phase(truth: &Truth, phase: Phase) -> Option<(f64, f64)> {
    let Some((start, ends)) = phase.bounds() else {
        return Some(truth.span());
    };
    let start = truth.event(start)?;
    let end = ends
        .iter()
        .filter_map(|kind| truth.event(*kind))
        .find(|end| *end > start)?;
    Some((start, end))
}

/// True value of a quantity on a side, in the measure's own unit. `None` where the truth has none.
pub fn of_side(truth: &Truth, quantity: Quantity, side: Side, band: Band) -> Option<f64> {
    match quantity {
        Quantity::TimeBetween(from, to) => Some(truth.event(to)? - truth.event(from)?),
        Quantity::Single(reading) => read(truth, reading, side, band),
        Quantity::Difference(one, other) => Some(read(truth, one, side, band)? - read(truth, other, side, band)?),
    }
}

/// True value of a quantity as the check takes it; the worse side by the band.
pub fn of(truth: &Truth, quantity: Quantity, trial: &Trial, band: Band) -> Option<f64> {
    let choice = match quantity {
        Quantity::Single(reading) | Quantity::Difference(reading, _) if reading.measure.is_sided() => reading.side,
        _ => SideChoice::Near,
    };
    let on = |side| of_side(truth, quantity, side, band);
    match choice {
        SideChoice::Near => on(trial.near()),
        SideChoice::Far => on(trial.near().other()),
        SideChoice::Own(side) => on(side),
        SideChoice::Both => Some(0.5 * (on(Side::Left)? + on(Side::Right)?)),
        SideChoice::Worse => {
            let (left, right) = (on(Side::Left)?, on(Side::Right)?);
            Some(if outside(left, band) >= outside(right, band) {
                left
            } else {
                right
            })
        }
    }
}

/// How far a value lies outside a band (negative inside).
pub fn outside(value: f64, band: Band) -> f64 {
    let below = band.at_least.map_or(f64::NEG_INFINITY, |limit| limit - value);
    let above = band.at_most.map_or(f64::NEG_INFINITY, |limit| value - limit);
    below.max(above)
}

fn read(truth: &Truth, reading: Reading, side: Side, band: Band) -> Option<f64> {
    match reading.when {
        When::Itself => truth.once(reading.measure),
        When::At { event, offset_s } => at(truth, reading.measure, side, truth.event(event)? + offset_s),
        When::Over {
            phase: which,
            statistic,
        } => {
            let (from, to) = phase(truth, which)?;
            let steps = 240;
            let values: Option<Vec<f64>> = (0..=steps)
                .map(|k| {
                    at(
                        truth,
                        reading.measure,
                        side,
                        from + (to - from) * f64::from(k) / f64::from(steps),
                    )
                })
                .collect();
            let values = values?;
            let least = values.iter().copied().fold(f64::INFINITY, f64::min);
            let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            Some(match statistic {
                Statistic::Least => least,
                Statistic::Most => most,
                Statistic::Range => most - least,
                Statistic::Mean => {
                    let ends = 0.5 * (values[0] + values[values.len() - 1]);
                    (values.iter().sum::<f64>() - ends) / f64::from(steps)
                }
                Statistic::AtWorst => {
                    if outside(least, band) >= outside(most, band) {
                        least
                    } else {
                        most
                    }
                }
            })
        }
    }
}

/// Every event of the true attempt that the search can find.
pub fn events(truth: &Truth) -> impl Iterator<Item = (EventKind, Option<f64>)> + '_ {
    EventKind::ALL.into_iter().map(|kind| (kind, truth.event(kind)))
}
