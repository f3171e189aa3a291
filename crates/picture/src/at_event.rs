//! Which event a check belongs to.

use springline_drills::{Check, Quantity, Reading, When};
use springline_kinematics::{EventKind, Measure};

/// The event at which a check is to be seen: the one it is taken at, or with two readings the later of them; for a time or
/// a distance that is taken once, the event with which it ends. `None` for what is taken over a phase.
#[must_use]
pub fn event_of(check: &Check) -> Option<EventKind> {
    match &check.quantity {
        Quantity::Single(reading) => of_reading(reading),
        Quantity::Difference(first, second) => Some(of_reading(first)?.max(of_reading(second)?)),
        Quantity::TimeBetween(_, to) => Some(*to),
    }
}

fn of_reading(reading: &Reading) -> Option<EventKind> {
    match reading.when {
        When::At { event, .. } => Some(event),
        When::Over { .. } => None,
        When::Itself => match reading.measure {
            Measure::LungeLength => Some(EventKind::PushOffFootDown),
            Measure::HandToFootDistance | Measure::HandStagger | Measure::HandsLandApart => {
                Some(EventKind::HandPlacement)
            }
            Measure::LegsTogetherBeforeInverted => Some(EventKind::Inverted),
            Measure::SupportTime | Measure::HandsLeaveApart | Measure::LegsTogetherBeforeDeparture => {
                Some(EventKind::HandDeparture)
            }
            Measure::HandFlightTime => Some(EventKind::HandsReturn),
            Measure::FlightTime => Some(EventKind::FeetTouchdown),
            Measure::HoldTime => Some(EventKind::HoldEnd),
            _ => None,
        },
    }
}

/// The measure that a check reads at its event itself, so that it can be drawn on that pose; `None` for differences, times
/// and readings some time before or after.
#[must_use]
pub fn drawn_of(check: &Check) -> Option<Measure> {
    let Quantity::Single(reading) = &check.quantity else {
        return None;
    };
    match reading.when {
        When::At { offset_s, .. } => (offset_s == 0.0).then_some(reading.measure),
        When::Over { .. } => None,
        When::Itself => Some(reading.measure),
    }
}
