//! The faults that must be found, each a dial of its own.

use crate::params::Params;
use crate::synthetic::Act;
use crate::truth::Truth;
use springline_kinematics::{EventKind, Measure, Side};

macro_rules! faults {
    ($($name:ident = $id:literal, $words:literal, $key:literal;)*) => {
        /// A fault of the front handspring. Its amount is the value of its key measure.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Fault { $(#[doc = concat!("Key measure: ", $key, ".")] $name,)* }

        impl Fault {
            /// Every fault.
            pub const ALL: &'static [Fault] = &[$(Fault::$name,)*];
            /// The kebab-case name.
            #[must_use]
            pub fn id(self) -> &'static str { match self { $(Fault::$name => $id,)* } }
            /// The name in plain words.
            #[must_use]
            pub fn words(self) -> &'static str { match self { $(Fault::$name => $words,)* } }
            /// The key measure in words, with its unit.
            #[must_use]
            pub fn key(self) -> &'static str { match self { $(Fault::$name => $key,)* } }
        }
    };
}

faults! {
    ShortLunge = "short-lunge", "short entry lunge", "lunge length, leg lengths";
    HandsNearFeet = "hands-near-feet", "hands too near the feet", "hand-to-foot distance, leg lengths";
    ChinTucked = "chin-tucked", "chin tucked, eyes off the hands", "head tilt at hand placement, degrees";
    ClosedShoulders = "closed-shoulders", "closed shoulders at placement", "shoulder opening at hand placement, degrees";
    StaggeredHands = "staggered-hands", "stepping or staggered hands", "hand stagger, leg lengths";
    BentArms = "bent-arms", "bent arms", "elbow angle throughout the support, degrees";
    ShouldersClosing = "shoulders-closing", "shoulders closing during support", "shoulder opening lost from placement to departure, degrees";
    BentKnees = "bent-knees", "bent knees kicking over", "knee angle at inverted, worse side, degrees";
    LegsLate = "legs-late", "legs late to join", "legs together before hand departure, seconds (negative: after it)";
    NoBlock = "no-block", "no block", "flight time, seconds (0 or less: through a bridge)";
    HandsPastVertical = "hands-past-vertical", "hands past vertical at departure", "body-line lean at hand departure, degrees";
    OverArch = "over-arched", "over-arch in support", "hip angle at hand departure, mean of both sides, degrees";
    PikeInFlight = "pike-in-flight", "pike in flight", "hip angle, mean over the flight and both sides, degrees";
    TuckedLanding = "tucked-landing", "tucked or squat landing", "knee angle at feet touchdown, degrees";
    FeetApart = "feet-apart", "feet apart at landing", "feet apart at touchdown, leg lengths";
    ArmsDropped = "arms-dropped", "arms dropped at landing", "shoulder opening at feet touchdown, degrees";
    HeelsDown = "heels-down", "heels down at landing", "heel height at feet touchdown, leg lengths";
    SittingHips = "sitting-hips", "sitting hips at landing", "hip angle at settled, degrees";
    LandingBehind = "landing-behind-feet", "landing behind the feet", "arrival lean at settled, degrees";
}

impl Fault {
    /// The key measure on a finished attempt; `None` where it is not defined.
    #[must_use]
    pub fn key_value(self, truth: &Truth) -> Option<f64> {
        use EventKind as E;
        use Measure as M;
        let both = |measure, time: f64| Side::BOTH.map(|side| truth.joint_angle(measure, side, time));
        let mean = |measure, time: f64| {
            let [left, right] = both(measure, time);
            Some(0.5 * (left? + right?))
        };
        match self {
            Fault::ShortLunge => truth.once(M::LungeLength),
            Fault::HandsNearFeet => truth.once(M::HandToFootDistance),
            Fault::ChinTucked => truth.value(M::HeadTilt, None, truth.event(E::HandPlacement)?),
            Fault::ClosedShoulders => mean(M::ShoulderOpening, truth.event(E::HandPlacement)?),
            Fault::StaggeredHands => truth.once(M::HandStagger),
            Fault::BentArms => {
                let halfway = 0.5 * (truth.event(E::HandPlacement)? + truth.event(E::HandDeparture)?);
                mean(M::ElbowAngle, halfway)
            }
            Fault::ShouldersClosing => {
                let at = |event| mean(M::ShoulderOpening, truth.event(event)?);
                Some(at(E::HandPlacement)? - at(E::HandDeparture)?)
            }
            Fault::BentKnees => {
                let [left, right] = both(M::KneeAngle, truth.event(E::Inverted)?);
                Some(left?.min(right?))
            }
            Fault::LegsLate => truth.once(M::LegsTogetherBeforeDeparture),
            Fault::NoBlock => truth.once(M::FlightTime),
            Fault::HandsPastVertical => truth.value(M::BodyLineLean, None, truth.event(E::HandDeparture)?),
            Fault::OverArch => mean(M::HipAngle, truth.event(E::HandDeparture)?),
            Fault::PikeInFlight => {
                let (from, to) = (truth.event(E::HandDeparture)?, truth.event(E::FeetTouchdown)?);
                let steps = 200;
                let each = (0..steps).map(|i| {
                    mean(
                        M::HipAngle,
                        from + (to - from) * (f64::from(i) + 0.5) / f64::from(steps),
                    )
                });
                Some(each.sum::<Option<f64>>()? / f64::from(steps))
            }
            Fault::TuckedLanding => mean(M::KneeAngle, truth.event(E::FeetTouchdown)?),
            Fault::FeetApart => truth.value(M::FeetApart, None, truth.event(E::FeetTouchdown)?),
            Fault::ArmsDropped => mean(M::ShoulderOpening, truth.event(E::FeetTouchdown)?),
            Fault::HeelsDown => {
                let touch = truth.event(E::FeetTouchdown)?;
                truth.value(M::HeelHeight, truth.first_foot(), touch)
            }
            Fault::SittingHips => mean(M::HipAngle, truth.event(E::Settled)?),
            Fault::LandingBehind => truth.value(M::ArrivalLean, None, truth.event(E::Settled)?),
        }
    }
}

impl Params {
    /// The same handspring with a fault of that amount (the value of the fault's key measure; see
    /// [`Fault::key`]). Everything else stays as it was as far as the body allows.
    #[must_use]
    pub fn with_fault(&self, fault: Fault, amount: f64) -> Self {
        let mut dial = amount;
        let mut params = self.dialled(fault, dial);
        let miss = |params: &Params| {
            let act = Act::handspring(params).ok()?;
            Some(fault.key_value(&act.truth())? - amount)
        };
        // Dials that don't set their key measure outright are turned until they do.
        let Some(mut off) = miss(&params) else { return params };
        let (mut slope, mut step): (f64, f64) = (1.0, 1.0);
        for _ in 0..25 {
            if off.abs() < 1e-5 {
                break;
            }
            let next = dial - step * off / slope;
            let candidate = self.dialled(fault, next);
            match miss(&candidate).filter(|new| new.abs() < off.abs()) {
                Some(new_off) => {
                    slope = ((new_off - off) / (next - dial)).clamp(0.2, 5.0);
                    (dial, off, params, step) = (next, new_off, candidate, 1.0);
                }
                None => step *= 0.5,
            }
        }
        params
    }

    fn dialled(&self, fault: Fault, x: f64) -> Self {
        let mut p = self.clone();
        match fault {
            Fault::ShortLunge => p.lunge_length = x,
            Fault::HandsNearFeet => p.hand_to_foot = x,
            Fault::ChinTucked => {
                p.placement_head = x;
                p.support_head = p.support_head.max(x - 5.0);
            }
            Fault::ClosedShoulders => {
                p.placement_shoulder = x;
                p.least_shoulder = p.least_shoulder.min(0.5 * (x + p.departure_shoulder));
            }
            Fault::StaggeredHands => {
                p.hand_stagger = x;
                // The turned shoulders open the hip on one side; the hips stay inside their band.
                p.support_hip -= 22.0 * x.abs();
            }
            Fault::BentArms => p.support_elbow = x,
            Fault::ShouldersClosing => {
                p.departure_shoulder = p.placement_shoulder - x;
                p.least_shoulder = p.placement_shoulder - 0.7 * x;
            }
            Fault::BentKnees => p.kick_knee = x,
            Fault::LegsLate => p.legs_join_before_departure_s = x,
            Fault::NoBlock if x > 0.0 => p.fly_for(x),
            Fault::NoBlock => p.bridge(x),
            Fault::HandsPastVertical => {
                p.departure_lean = x;
                p.support_s = p.support_s.max(0.27 + 0.002 * x);
                p.flight_s = p.flight_s.min(p.turning_time());
            }
            Fault::OverArch => {
                p.support_hip = x;
                p.residual_gap = 0.0;
            }
            Fault::PikeInFlight => p.flight_hip = x,
            Fault::TuckedLanding => {
                p.touchdown_knee = x;
                p.settled_knee = p.settled_knee.min(x);
                let give = (162.0 - p.settled_knee).max(0.0);
                p.settled_hip = p.settled_hip.min(180.0 - 0.3 * give);
                p.touchdown_hip = p.touchdown_hip.min(188.0 - 0.3 * give);
            }
            Fault::FeetApart => {
                p.feet_apart = x;
                p.touchdown_lean = p.touchdown_lean.max((30.0 * x - 12.0).min(-2.0));
                p.touchdown_knee = p.touchdown_knee.min(168.0);
            }
            Fault::ArmsDropped => {
                p.touchdown_shoulder = x;
                p.settled_shoulder = p.settled_shoulder.min(x);
            }
            Fault::HeelsDown => {
                p.touchdown_heel = x;
                p.settled_heel = p.settled_heel.min(x);
            }
            Fault::SittingHips => {
                p.settled_hip = x;
                p.touchdown_hip = p.touchdown_hip.min((x + 18.0).max(152.0));
            }
            Fault::LandingBehind => {
                p.settled_lean = x;
                p.touchdown_lean = p.touchdown_lean.min(x - 10.0);
            }
        }
        p
    }

    /// The flight time in which the trunk turns from departure to touchdown at a human rate, s.
    pub(crate) fn turning_time(&self) -> f64 {
        let touch = 338.0 + (self.touchdown_lean + 12.0) - 0.8 * (self.touchdown_hip - 188.0);
        let depart = 180.0 + self.departure_lean - 0.5 * (self.support_hip - 184.0);
        (touch - depart) / 560.0
    }

    /// A flight of that length: short ones leave the hands late and arch into the landing.
    fn fly_for(&mut self, flight_s: f64) {
        self.flight_s = flight_s;
        if flight_s < 0.1 {
            // Hardly any: nearly the bridge, the hands just leave before the feet are down.
            self.bridge(flight_s);
            self.support_s = 0.4;
            self.departure_lean = 87.0 - 260.0 * flight_s;
            self.support_hip = 222.0 - 60.0 * flight_s;
            self.flight_hip = 222.0;
            self.flight_knee = 151.0;
            self.touchdown_lean = -59.0;
            self.touchdown_shoulder = 196.0;
            return;
        }
        let short = ((0.27 - flight_s) / 0.27).clamp(0.0, 1.0);
        self.departure_lean += 45.0 * short;
        self.touchdown_hip += 30.0 * short;
        self.touchdown_lean -= 22.0 * short;
        self.touchdown_knee -= 30.0 * short;
        self.support_hip += 25.0 * short;
        self.flight_hip += 28.0 * short;
        self.support_s += 0.14 * short;
        self.departure_shoulder += 8.0 * short;
    }

    /// Through a bridge: the feet land `-flight_s` before the hands leave.
    fn bridge(&mut self, flight_s: f64) {
        self.flight_s = flight_s;
        self.departure_shoulder = 196.0;
        self.touchdown_hip = 222.0;
        self.touchdown_knee = 149.0;
        self.support_hip = 205.0;
        self.support_s = self.support_s.max(0.36) - flight_s;
        self.landing_s = 0.6;
        self.touchdown_heel = self.touchdown_heel.min(0.05);
        self.settled_heel = 0.0;
    }
}
