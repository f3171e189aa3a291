//! The catalogue of measures: names, units, what each needs.

use crate::{Joint, Unit};

/// When a measure may be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// At any instant or over any phase.
    AnyTime,
    /// Once per attempt; it carries its own instants.
    OncePerAttempt,
}

macro_rules! measures {
    ($($name:ident = $id:literal, $words:literal, [$($unit:ident),+], $sided:literal, $taken:ident, [$($joint:ident),*], $doc:literal;)*) => {
        /// A quantity that can be measured on an attempt. The exact definition of each is in the doc
        /// comment of the function that computes it.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Measure { $(#[doc = $doc] $name,)* }

        impl Measure {
            /// Every measure.
            pub const ALL: &'static [Measure] = &[$(Measure::$name,)*];
            /// The snake-case name used in files.
            #[must_use]
            pub fn id(self) -> &'static str { match self { $(Measure::$name => $id,)* } }
            /// The name in plain words.
            #[must_use]
            pub fn words(self) -> &'static str { match self { $(Measure::$name => $words,)* } }
            /// The units it may be asked in; the first is its own.
            #[must_use]
            pub fn units(self) -> &'static [Unit] { match self { $(Measure::$name => &[$(Unit::$unit),+],)* } }
            /// Whether left and right have a value each.
            #[must_use]
            pub fn is_sided(self) -> bool { match self { $(Measure::$name => $sided,)* } }
            /// When it may be taken.
            #[must_use]
            pub fn taken(self) -> Taken { match self { $(Measure::$name => Taken::$taken,)* } }
            /// Joints that a point layout must have for it (on one side at least); substitutes such as
            /// wrist for fingertip are not listed as needed.
            #[must_use]
            pub fn needs(self) -> &'static [Joint] { match self { $(Measure::$name => &[$(Joint::$joint),*],)* } }
            /// One sentence that defines it.
            #[must_use]
            pub fn definition(self) -> &'static str { match self { $(Measure::$name => $doc,)* } }
        }
    };
}

measures! {
    ShoulderOpening = "shoulder_opening", "shoulder opening", [Degrees], true, AnyTime, [Hip, Shoulder, Wrist],
        "Angle at the shoulder from hip to elbow: 180 arm in line with the trunk overhead, 90 arm straight out in front, above 180 past overhead.";
    HipAngle = "hip_angle", "hip angle", [Degrees], true, AnyTime, [Shoulder, Hip, Knee],
        "Angle at the hip from shoulder to knee: 180 straight, below pike, above arch.";
    KneeAngle = "knee_angle", "knee angle", [Degrees], true, AnyTime, [Hip, Knee, Ankle],
        "Angle at the knee from hip to ankle: 180 straight, below bent, above hyperextended.";
    ElbowAngle = "elbow_angle", "elbow angle", [Degrees], true, AnyTime, [Shoulder, Elbow, Wrist],
        "Angle at the elbow from shoulder to wrist, unsigned: 180 straight arm, below bent.";
    AnkleAngle = "ankle_angle", "ankle angle", [Degrees], true, AnyTime, [Knee, Ankle, Toe],
        "Angle at the ankle from knee to toe: near 180 pointed foot, below flexed foot.";
    TrunkInclination = "trunk_inclination", "trunk inclination", [Degrees], false, AnyTime, [Hip, Shoulder],
        "Angle of mid-hip to mid-shoulder from vertical: 0 upright, positive forward, unwrapped through the skill.";
    BodyLineLean = "body_line_lean", "body-line lean", [Degrees], false, AnyTime, [Wrist, Ankle],
        "Angle from vertical of the line from the hands to the ankles, positive toward the way the athlete faces.";
    BodyLineStraightness = "body_line_straightness", "body-line straightness", [Percent], true, AnyTime, [Wrist, Shoulder, Hip, Knee, Ankle],
        "Largest distance of shoulder, hip and knee from the wrist-ankle chord in hundredths of the chord: positive arch, negative hollow, pike or closed shoulders.";
    LegGap = "leg_gap", "leg gap", [Degrees], false, AnyTime, [Hip, Knee],
        "Size of the angle between the left and the right hip-to-ankle line, each from its own hip.";
    EarOffset = "ear_offset", "ear offset", [Ratio], true, AnyTime, [Ear, Shoulder, Elbow],
        "Distance of the ear from the shoulder-elbow line in upper-arm lengths: 0 covered by the arm, positive toward the front of the body.";
    HeadTilt = "head_tilt", "head tilt", [Degrees], false, AnyTime, [Hip, Shoulder, Ear],
        "Angle clockwise from the trunk's cranial direction to the line from ear to nose: 90 neutral, smaller eyes toward the hands, larger chin tucked.";
    HandToFootDistance = "hand_to_foot_distance", "hand-to-foot distance", [LegLengths, Metres, Pixels], false, OncePerAttempt, [Wrist, Hip, Knee, Ankle],
        "Horizontal distance from the toe of the push-off foot to the mean of the hands' contact points, positive when the hands are ahead.";
    LungeLength = "lunge_length", "lunge length", [LegLengths, Metres, Pixels], false, OncePerAttempt, [Hip, Knee, Ankle],
        "Horizontal distance from the rear toe to the front toe when the push-off foot has come down.";
    HandStagger = "hand_stagger", "hand stagger", [LegLengths, Metres, Pixels], false, OncePerAttempt, [Wrist, Hip, Knee, Ankle],
        "Distance between the two hands' contact points along the floor.";
    LandingLean = "landing_lean", "landing lean", [Degrees], false, AnyTime, [Shoulder, Elbow, Wrist, Hip, Knee, Ankle],
        "Angle from vertical of the line from the landing ankle (mid-ankle, or the first landing foot of a step-out) to the centre of mass, positive forward.";
    ArrivalLean = "arrival_lean", "arrival lean", [Degrees], false, AnyTime, [Shoulder, Elbow, Wrist, Hip, Knee, Ankle],
        "Landing lean of the velocity-adjusted centre of mass (extrapolated centre of mass); without a scale the plain landing lean, said so.";
    MassOverFoot = "mass_over_foot", "mass over foot", [Percent], false, AnyTime, [Shoulder, Elbow, Wrist, Hip, Knee, Ankle, Heel, Toe],
        "Where the velocity-adjusted centre of mass falls along the heel-to-toe span: 0 at the heel, 100 at the toe, negative behind the heel.";
    HipLead = "hip_lead", "hip lead", [LegLengths, Metres, Pixels], false, AnyTime, [Hip, Knee, Ankle],
        "Horizontal lead of mid-hip over the landing ankle, positive ahead.";
    HeelHeight = "heel_height", "heel height", [LegLengths, Metres, Pixels], true, AnyTime, [Hip, Knee, Ankle, Heel],
        "Rise of the heel over its height with the foot flat.";
    FeetApart = "feet_apart", "feet apart", [LegLengths, Metres, Pixels], false, AnyTime, [Hip, Knee, Ankle],
        "Distance between the two ankles in the plane seen.";
    ShoulderHeight = "shoulder_height", "shoulder height", [LegLengths, Metres, Pixels], false, AnyTime, [Shoulder, Hip, Knee, Ankle],
        "Height of mid-shoulder over the hands' contact points; its range over the support is the shoulders' travel at the push.";
    AnkleLead = "ankle_lead", "ankle lead", [LegLengths, Metres, Pixels], false, AnyTime, [Hip, Knee, Ankle],
        "Horizontal lead of mid-ankle over mid-hip, positive when the heels lead the hips.";
    SupportTime = "support_time", "support time", [Seconds], false, OncePerAttempt, [Wrist],
        "Hand placement to hand departure.";
    FlightTime = "flight_time", "flight time", [Seconds], false, OncePerAttempt, [Wrist, Ankle],
        "Hand departure to feet touchdown; negative when the feet land with the hands still down.";
    HandFlightTime = "hand_flight_time", "hand flight time", [Seconds], false, OncePerAttempt, [Wrist],
        "Hand departure to the hands' return, in a hop.";
    HandsLeaveApart = "hands_leave_apart", "hands leave apart", [Seconds], false, OncePerAttempt, [Wrist],
        "Time between the first and the last hand to leave the floor.";
    HandsLandApart = "hands_land_apart", "hands land apart", [Seconds], false, OncePerAttempt, [Wrist],
        "Time between the first and the second hand to touch the floor.";
    LegsTogetherBeforeInverted = "legs_together_before_inverted", "legs together before inverted", [Seconds], false, OncePerAttempt, [Hip, Knee],
        "From legs together to inverted, positive when the legs join first.";
    LegsTogetherBeforeDeparture = "legs_together_before_departure", "legs together before departure", [Seconds], false, OncePerAttempt, [Hip, Knee],
        "From legs together to hand departure, positive when the legs join first.";
    HoldTime = "hold_time", "hold time", [Seconds], false, OncePerAttempt, [],
        "Hold start to hold end.";
    RiseAfterDeparture = "rise_after_departure", "rise after departure", [Metres, LegLengths], false, OncePerAttempt, [Shoulder, Elbow, Wrist, Hip, Knee, Ankle],
        "Rise of the centre of mass from hand departure to the top of the flight, from a parabola with g fixed; needs a scale.";
}

impl Measure {
    /// The measure of that name in files.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|measure| measure.id() == id)
    }
}
