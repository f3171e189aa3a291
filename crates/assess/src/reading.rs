//! Taking what a check looks at.

use springline_drills::{Band, Quantity, Reading, SideChoice, Statistic, When};
use springline_kinematics::trial::{self, NotSeen, Trial, Value};
use springline_kinematics::{EventKind, Measure, Side, Unit};

use crate::verdict::probability_outside;

/// A value with the side it was taken on (`None`: no sides, or both), and the probabilities of lying below and above.
pub(crate) struct Taken {
    pub value: Value,
    pub side: Option<Side>,
    pub outside: [f64; 2],
}

/// Takes a quantity on an attempt.
///
/// # Errors
/// What is missing.
pub fn take(trial: &Trial, quantity: Quantity, unit: Unit, band: Band) -> Result<(Value, Option<Side>), NotSeen> {
    taken(trial, quantity, unit, band).map(|taken| (taken.value, taken.side))
}

/// Probability that the true value of a quantity lies outside a band, as a check would state it.
///
/// # Errors
/// What is missing.
pub fn outside(trial: &Trial, quantity: Quantity, unit: Unit, band: Band) -> Result<f64, NotSeen> {
    taken(trial, quantity, unit, band).map(|taken| (taken.outside[0] + taken.outside[1]).min(1.0))
}

pub(crate) fn taken(trial: &Trial, quantity: Quantity, unit: Unit, band: Band) -> Result<Taken, NotSeen> {
    let (reading, other) = match quantity {
        Quantity::TimeBetween(from, to) => {
            let value = trial.between(from, to)?;
            let outside = probability_outside(&value, band);
            return Ok(Taken {
                value,
                side: None,
                outside,
            });
        }
        Quantity::Single(reading) => (reading, None),
        Quantity::Difference(reading, other) => (reading, Some(other)),
    };
    let on = |side: Side| -> Result<Value, NotSeen> {
        let first = read(trial, reading, side, unit, band)?;
        match other {
            Some(other) => {
                let other_side = match other.side {
                    SideChoice::Worse | SideChoice::Both => side,
                    choice => sides_of(trial, choice)[0],
                };
                Ok(trial.difference(&first, &read(trial, other, other_side, unit, band)?))
            }
            None => Ok(first),
        }
    };
    if !reading.measure.is_sided() {
        let value = on(trial.near())?;
        let outside = probability_outside(&value, band);
        return Ok(Taken {
            value,
            side: None,
            outside,
        });
    }
    match reading.side {
        SideChoice::Near | SideChoice::Far | SideChoice::Own(_) => {
            let side = sides_of(trial, reading.side)[0];
            let value = on(side)?;
            let outside = probability_outside(&value, band);
            Ok(Taken {
                value,
                side: Some(side),
                outside,
            })
        }
        SideChoice::Both => match Side::BOTH.map(on) {
            [Ok(left), Ok(right)] => {
                let value = trial.mean_of(&left, &right);
                let outside = probability_outside(&value, band);
                Ok(Taken {
                    value,
                    side: None,
                    outside,
                })
            }
            [left, right] => one_side(left, right, band),
        },
        SideChoice::Worse => match Side::BOTH.map(on) {
            [Ok(left), Ok(right)] => Ok(worse(trial, left, right, band)),
            [left, right] => one_side(left, right, band),
        },
    }
}

fn sides_of(trial: &Trial, choice: SideChoice) -> [Side; 1] {
    [match choice {
        SideChoice::Far => trial.near().other(),
        SideChoice::Own(side) => side,
        _ => trial.near(),
    }]
}

fn one_side(left: Result<Value, NotSeen>, right: Result<Value, NotSeen>, band: Band) -> Result<Taken, NotSeen> {
    let (mut value, side) = match (left, right) {
        (Ok(value), _) => (value, Side::Left),
        (_, Ok(value)) => (value, Side::Right),
        (Err(error), _) => return Err(error),
    };
    value
        .remarks
        .push(format!("{} side only: the other was not seen", side.id()));
    let outside = probability_outside(&value, band);
    Ok(Taken {
        value,
        side: Some(side),
        outside,
    })
}

/// The side more likely outside. Of two noisy values the farther one is biased outward; so, as far as the sides don't
/// differ by more than their sds explain, they are taken as two readings of one value.
fn worse(trial: &Trial, left: Value, right: Value, band: Band) -> Taken {
    let outsides = [probability_outside(&left, band), probability_outside(&right, band)];
    let sum = |p: [f64; 2]| p[0] + p[1];
    let pooled = trial.mean_of(&left, &right);
    let together = probability_outside(&pooled, band);
    let noise = left.sd * left.sd + right.sd * right.sd;
    let difference = (left.value - right.value).powi(2);
    let apart = if difference > 0.0 {
        (1.0 - noise / difference).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let either = |k: usize| 1.0 - (1.0 - outsides[0][k]) * (1.0 - outsides[1][k]);
    let outside = [0, 1].map(|k| apart * either(k) + (1.0 - apart) * together[k]);
    let (side, mut value) = if sum(outsides[0]) >= sum(outsides[1]) {
        (Side::Left, left)
    } else {
        (Side::Right, right)
    };
    value.value = apart * value.value + (1.0 - apart) * pooled.value;
    value.sd = apart * value.sd + (1.0 - apart) * pooled.sd;
    Taken {
        value,
        side: Some(side),
        outside,
    }
}

fn read(trial: &Trial, reading: Reading, side: Side, unit: Unit, band: Band) -> Result<Value, NotSeen> {
    let Reading { measure, when, .. } = reading;
    match when {
        When::Itself => trial.once(measure, unit),
        When::At { event, offset_s } => {
            let found = trial.found().event(event).ok_or(NotSeen::Event(event))?;
            let corner = offset_s.abs() < 0.05 && is_contact(event);
            trial.at(measure, side, found.time + offset_s, found.sd, corner, unit)
        }
        When::Over { phase, statistic } => {
            let over = |statistic| trial.over(measure, side, phase, statistic, unit);
            match statistic {
                Statistic::Least => over(trial::Statistic::Least),
                Statistic::Most => over(trial::Statistic::Most),
                Statistic::Mean => over(trial::Statistic::Mean),
                Statistic::Range => over(trial::Statistic::Range),
                Statistic::AtWorst => match (band.at_least, band.at_most) {
                    (Some(_), None) => over(trial::Statistic::Least),
                    (None, _) => over(trial::Statistic::Most),
                    (Some(_), Some(_)) => {
                        let (least, most) = (over(trial::Statistic::Least)?, over(trial::Statistic::Most)?);
                        let sum = |value: &Value| probability_outside(value, band).iter().sum::<f64>();
                        Ok(if sum(&least) >= sum(&most) { least } else { most })
                    }
                },
            }
        }
    }
}

fn is_contact(event: EventKind) -> bool {
    !matches!(
        event,
        EventKind::LegsTogether | EventKind::Inverted | EventKind::Settled | EventKind::HoldStart | EventKind::HoldEnd
    )
}

/// The measure a quantity looks at, if it is one.
pub(crate) fn measure_of(quantity: Quantity) -> Option<Measure> {
    match quantity {
        Quantity::Single(reading) | Quantity::Difference(reading, _) => Some(reading.measure),
        Quantity::TimeBetween(..) => None,
    }
}
