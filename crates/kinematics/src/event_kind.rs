//! Names of the instants and phases of a skill.

/// An instant of the skill. Frame: the first of the new state.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EventKind {
    /// The push-off foot comes down in the lunge.
    PushOffFootDown,
    /// First hand contact.
    HandPlacement,
    /// The push-off foot leaves the floor.
    PushOffFootLeaves,
    /// The leg gap falls to 15° (coach-set) and stays there.
    LegsTogether,
    /// The line from the hands to mid-hip passes the vertical.
    Inverted,
    /// The last hand leaves the floor: the block.
    HandDeparture,
    /// Hands come down again after a hop.
    HandsReturn,
    /// First foot contact after the hands.
    FeetTouchdown,
    /// Hips or shoulders reach the mat (flat-back landings).
    BackTouchdown,
    /// Start of a held shape.
    HoldStart,
    /// End of a held shape.
    HoldEnd,
    /// Start of the first 0.10 s after touchdown with the landing lean slower than 30°/s.
    Settled,
}

impl EventKind {
    /// In the order in which they usually come.
    pub const ALL: [EventKind; 12] = [
        EventKind::PushOffFootDown,
        EventKind::HandPlacement,
        EventKind::PushOffFootLeaves,
        EventKind::LegsTogether,
        EventKind::Inverted,
        EventKind::HandDeparture,
        EventKind::HandsReturn,
        EventKind::FeetTouchdown,
        EventKind::BackTouchdown,
        EventKind::HoldStart,
        EventKind::HoldEnd,
        EventKind::Settled,
    ];

    /// The snake-case name used in files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            EventKind::PushOffFootDown => "push_off_foot_down",
            EventKind::HandPlacement => "hand_placement",
            EventKind::PushOffFootLeaves => "push_off_foot_leaves",
            EventKind::LegsTogether => "legs_together",
            EventKind::Inverted => "inverted",
            EventKind::HandDeparture => "hand_departure",
            EventKind::HandsReturn => "hands_return",
            EventKind::FeetTouchdown => "feet_touchdown",
            EventKind::BackTouchdown => "back_touchdown",
            EventKind::HoldStart => "hold_start",
            EventKind::HoldEnd => "hold_end",
            EventKind::Settled => "settled",
        }
    }

    /// The name in plain words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            EventKind::PushOffFootDown => "push-off foot down",
            EventKind::HandPlacement => "hand placement",
            EventKind::PushOffFootLeaves => "push-off foot leaves",
            EventKind::LegsTogether => "legs together",
            EventKind::Inverted => "inverted",
            EventKind::HandDeparture => "hand departure",
            EventKind::HandsReturn => "hands return",
            EventKind::FeetTouchdown => "feet touchdown",
            EventKind::BackTouchdown => "back touchdown",
            EventKind::HoldStart => "hold start",
            EventKind::HoldEnd => "hold end",
            EventKind::Settled => "settled",
        }
    }

    /// The event of that name in files.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }
}

/// A stretch of the skill between two instants.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Push-off foot down to hand placement.
    Entry,
    /// Push-off foot leaves to hand placement, where the feet leave first (vault, running entries).
    FirstFlight,
    /// Hand placement to hand departure.
    Support,
    /// Hand departure to feet touchdown (or back touchdown).
    Flight,
    /// Hand departure to the hands' return, in a hop.
    HandFlight,
    /// Feet touchdown to settled.
    Landing,
    /// Hold start to hold end.
    Hold,
    /// The whole clip.
    Clip,
}

impl Phase {
    /// In the order in which they come.
    pub const ALL: [Phase; 8] = [
        Phase::Entry,
        Phase::FirstFlight,
        Phase::Support,
        Phase::Flight,
        Phase::HandFlight,
        Phase::Landing,
        Phase::Hold,
        Phase::Clip,
    ];

    /// The snake-case name used in files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Phase::Entry => "entry",
            Phase::FirstFlight => "first_flight",
            Phase::Support => "support",
            Phase::Flight => "flight",
            Phase::HandFlight => "hand_flight",
            Phase::Landing => "landing",
            Phase::Hold => "hold",
            Phase::Clip => "clip",
        }
    }

    /// The phase of that name in files.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|phase| phase.id() == id)
    }

    /// The events at its ends; the later alternatives of the end are tried in order.
    #[must_use]
    pub fn bounds(self) -> Option<(EventKind, &'static [EventKind])> {
        match self {
            Phase::Entry => Some((EventKind::PushOffFootDown, &[EventKind::HandPlacement])),
            Phase::FirstFlight => Some((EventKind::PushOffFootLeaves, &[EventKind::HandPlacement])),
            Phase::Support => Some((EventKind::HandPlacement, &[EventKind::HandDeparture])),
            Phase::Flight => Some((
                EventKind::HandDeparture,
                &[EventKind::FeetTouchdown, EventKind::BackTouchdown],
            )),
            Phase::HandFlight => Some((EventKind::HandDeparture, &[EventKind::HandsReturn])),
            Phase::Landing => Some((EventKind::FeetTouchdown, &[EventKind::Settled])),
            Phase::Hold => Some((EventKind::HoldStart, &[EventKind::HoldEnd])),
            Phase::Clip => None,
        }
    }
}
