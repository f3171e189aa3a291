//! Parts of the skill, in which a coach looks for a check.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use springline_drills::{Quantity, Reading, When};
use springline_kinematics::{EventKind, Measure, Phase};

/// A part of the skill, in the order in which they come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Up to hand placement.
    Entry,
    /// Between the feet leaving and the hands coming down.
    FirstFlight,
    /// As the hands come down.
    HandPlacement,
    /// While the hands are down.
    Support,
    /// As the hands leave.
    HandDeparture,
    /// Between hands and landing.
    Flight,
    /// From the landing on.
    Landing,
    /// A held shape.
    Hold,
    /// The whole clip.
    WholeClip,
}

impl Part {
    /// Every part, in order.
    pub const ALL: [Part; 9] = [
        Part::Entry,
        Part::FirstFlight,
        Part::HandPlacement,
        Part::Support,
        Part::HandDeparture,
        Part::Flight,
        Part::Landing,
        Part::Hold,
        Part::WholeClip,
    ];

    /// Heading for people.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Part::Entry => "Entry",
            Part::FirstFlight => "First flight",
            Part::HandPlacement => "At hand placement",
            Part::Support => "Support",
            Part::HandDeparture => "At hand departure",
            Part::Flight => "Flight",
            Part::Landing => "Landing",
            Part::Hold => "Held shape",
            Part::WholeClip => "Whole clip",
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Part::Entry => "entry",
            Part::FirstFlight => "first_flight",
            Part::HandPlacement => "hand_placement",
            Part::Support => "support",
            Part::HandDeparture => "hand_departure",
            Part::Flight => "flight",
            Part::Landing => "landing",
            Part::Hold => "hold",
            Part::WholeClip => "whole_clip",
        }
    }

    /// The part that a check belongs to; of two readings, the later one's.
    #[must_use]
    pub fn of(quantity: &Quantity) -> Part {
        match quantity {
            Quantity::Single(reading) => of_reading(reading),
            Quantity::Difference(first, second) => of_reading(first).max(of_reading(second)),
            Quantity::TimeBetween(from, to) => of_event(*from).max(of_event(*to)),
        }
    }
}

fn of_reading(reading: &Reading) -> Part {
    match reading.when {
        When::At { event, .. } => of_event(event),
        When::Over { phase, .. } => match phase {
            Phase::Entry => Part::Entry,
            Phase::FirstFlight => Part::FirstFlight,
            Phase::Support => Part::Support,
            Phase::Flight | Phase::HandFlight => Part::Flight,
            Phase::Landing => Part::Landing,
            Phase::Hold => Part::Hold,
            Phase::Clip => Part::WholeClip,
        },
        When::Itself => match reading.measure {
            Measure::LungeLength => Part::Entry,
            Measure::HandToFootDistance | Measure::HandStagger | Measure::HandsLandApart => Part::HandPlacement,
            Measure::FlightTime | Measure::HandFlightTime | Measure::RiseAfterDeparture => Part::Flight,
            Measure::HandsLeaveApart | Measure::LegsTogetherBeforeDeparture => Part::HandDeparture,
            Measure::SupportTime | Measure::LegsTogetherBeforeInverted => Part::Support,
            Measure::HoldTime => Part::Hold,
            _ => Part::WholeClip,
        },
    }
}

fn of_event(event: EventKind) -> Part {
    match event {
        EventKind::PushOffFootDown => Part::Entry,
        EventKind::HandPlacement => Part::HandPlacement,
        EventKind::PushOffFootLeaves | EventKind::LegsTogether | EventKind::Inverted => Part::Support,
        EventKind::HandDeparture => Part::HandDeparture,
        EventKind::HandsReturn | EventKind::FeetTouchdown | EventKind::BackTouchdown | EventKind::Settled => {
            Part::Landing
        }
        EventKind::HoldStart | EventKind::HoldEnd => Part::Hold,
    }
}
