//! Angles, times and lengths as types: the unit is never guessed from a bare number.

use std::fmt;
use std::ops::{Add, Neg, Sub};

/// A plane angle. Radians inside, degrees at print and in files.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// A right angle.
    pub const RIGHT: Angle = Angle(std::f64::consts::FRAC_PI_2);
    /// A straight angle, 180°.
    pub const STRAIGHT: Angle = Angle(std::f64::consts::PI);
    /// Zero.
    pub const ZERO: Angle = Angle(0.0);

    /// From degrees; `None` if not finite.
    ///
    /// ```
    /// use springline_kinematics::Angle;
    /// let right = Angle::from_degrees(90.0).expect("finite");
    /// assert_eq!(right, Angle::RIGHT);
    /// assert!(Angle::from_degrees(f64::NAN).is_none());
    /// ```
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Option<Self> {
        Self::from_radians(degrees.to_radians())
    }

    /// From radians; `None` if not finite.
    #[must_use]
    pub fn from_radians(radians: f64) -> Option<Self> {
        radians.is_finite().then_some(Self(radians))
    }

    /// For arithmetic on values already known to be finite.
    pub(crate) fn rad(radians: f64) -> Self {
        debug_assert!(radians.is_finite());
        Self(radians)
    }

    /// The value in degrees.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0.to_degrees()
    }

    /// The value in radians.
    #[must_use]
    pub fn radians(self) -> f64 {
        self.0
    }

    /// The same direction on the branch `(from, from + 360°]`.
    ///
    /// ```
    /// use springline_kinematics::Angle;
    /// let a = Angle::from_degrees(-90.0).expect("finite");
    /// assert!((a.wrapped_above(0.0).degrees() - 270.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn wrapped_above(self, from_degrees: f64) -> Self {
        let turn = std::f64::consts::TAU;
        let low = from_degrees.to_radians();
        let mut value = (self.0 - low).rem_euclid(turn);
        if value == 0.0 {
            value = turn;
        }
        Self(value + low)
    }
}

impl Add for Angle {
    type Output = Angle;
    fn add(self, other: Angle) -> Angle {
        Angle(self.0 + other.0)
    }
}

impl Sub for Angle {
    type Output = Angle;
    fn sub(self, other: Angle) -> Angle {
        Angle(self.0 - other.0)
    }
}

impl Neg for Angle {
    type Output = Angle;
    fn neg(self) -> Angle {
        Angle(-self.0)
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1}°", self.degrees())
    }
}

/// A point in time or a duration, seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Seconds(pub f64);

impl Add for Seconds {
    type Output = Seconds;
    fn add(self, other: Seconds) -> Seconds {
        Seconds(self.0 + other.0)
    }
}

impl Sub for Seconds {
    type Output = Seconds;
    fn sub(self, other: Seconds) -> Seconds {
        Seconds(self.0 - other.0)
    }
}

/// The unit that a measured value is stated in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// Degrees.
    Degrees,
    /// Leg lengths: hip–knee–ankle sum of the near side.
    LegLengths,
    /// Seconds.
    Seconds,
    /// Metres; only with a scale.
    Metres,
    /// Pixels of the picture.
    Pixels,
    /// Hundredths of a chord or of a span.
    Percent,
    /// A plain ratio (upper-arm lengths, foot lengths).
    Ratio,
}

impl Unit {
    /// Every unit, in the order of this list.
    pub const ALL: [Unit; 7] = [
        Unit::Degrees,
        Unit::LegLengths,
        Unit::Seconds,
        Unit::Metres,
        Unit::Pixels,
        Unit::Percent,
        Unit::Ratio,
    ];

    /// The word used in files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Unit::Degrees => "deg",
            Unit::LegLengths => "leg lengths",
            Unit::Seconds => "s",
            Unit::Metres => "m",
            Unit::Pixels => "px",
            Unit::Percent => "%",
            Unit::Ratio => "ratio",
        }
    }

    /// The unit of that name in files.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.id() == id)
    }
}

/// A value with its standard uncertainty (one standard deviation), same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertain {
    /// Best estimate.
    pub value: f64,
    /// Standard uncertainty, not negative.
    pub sd: f64,
}

impl Uncertain {
    /// A value with its standard uncertainty.
    #[must_use]
    pub fn new(value: f64, sd: f64) -> Self {
        Self { value, sd }
    }
}
