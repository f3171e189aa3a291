//! Whole-body centre of mass by the segment method.

use crate::{Joint, Landmark, Point, Side};

/// A table of segment mass fractions and centre-of-mass positions.
#[derive(Clone, Debug, PartialEq)]
pub struct SegmentTable {
    /// Name printed with every result.
    pub name: String,
    head: f64,
    trunk: (f64, f64),
    limbs: [(Segment, f64, f64); 6],
    /// Further cuts: the centre of mass as a fraction from the first-named end.
    further: &'static [(Cut, f64)],
}

/// A limb segment, left and right alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Segment {
    /// Shoulder to elbow.
    UpperArm,
    /// Elbow to wrist.
    Forearm,
    /// Wrist to fingertip.
    Hand,
    /// Hip to knee.
    Thigh,
    /// Knee to ankle.
    Shank,
    /// Heel to toe tip (de Leva), or ankle to toe (Dempster).
    Foot,
}

/// How a piece of the body is cut: which two ends it lies between, the first-named one first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// A limb segment between the ends that its name says, one side.
    Limb(Segment),
    /// Wrist to the knuckle of the middle finger (Dempster: knuckle II), one side: the hand without fingers.
    HandToKnuckle,
    /// Mid-shoulder to mid-hip.
    Trunk,
    /// Crown of the head to the middle of the jaw angles (gonions).
    HeadToJaw,
    /// Crown of the head to the seventh neck vertebra (C7).
    HeadToNeck,
    /// Seventh neck vertebra and first rib to the ear canal: head and neck.
    NeckToEar,
}

impl SegmentTable {
    /// de Leva (1996) J Biomech 29(9):1223-1230, Table 4, female: mid-shoulder–mid-hip trunk,
    /// joint-centre limbs, hand to fingertip. \[R\]
    #[must_use]
    pub fn de_leva_female() -> Self {
        Self::new(
            "de Leva 1996 female",
            0.0668,
            (0.4257, 0.3782),
            [
                (Segment::UpperArm, 0.0255, 0.5754),
                (Segment::Forearm, 0.0138, 0.4559),
                (Segment::Hand, 0.0056, 0.3427),
                (Segment::Thigh, 0.1478, 0.3612),
                (Segment::Shank, 0.0481, 0.4352),
                (Segment::Foot, 0.0129, 0.4014),
            ],
            &[
                (Cut::HeadToJaw, 0.5894),
                (Cut::HeadToNeck, 0.4841),
                (Cut::HandToKnuckle, 0.7474),
            ],
        )
    }

    /// The same table, male. \[R\]
    #[must_use]
    pub fn de_leva_male() -> Self {
        Self::new(
            "de Leva 1996 male",
            0.0694,
            (0.4346, 0.4310),
            [
                (Segment::UpperArm, 0.0271, 0.5772),
                (Segment::Forearm, 0.0162, 0.4574),
                (Segment::Hand, 0.0061, 0.3624),
                (Segment::Thigh, 0.1416, 0.4095),
                (Segment::Shank, 0.0433, 0.4395),
                (Segment::Foot, 0.0137, 0.4415),
            ],
            &[
                (Cut::HeadToJaw, 0.5976),
                (Cut::HeadToNeck, 0.5002),
                (Cut::HandToKnuckle, 0.7900),
            ],
        )
    }

    /// Dempster via Winter (2009) 4th ed., Table 4.1. \[R\] Its hand ends at the knuckle, here placed at 0.506 of
    /// the way to the fingertip's knuckle, 0.55 of wrist–fingertip (our choice). Foot: ankle to toe tip.
    #[must_use]
    pub fn dempster() -> Self {
        Self::new(
            "Dempster (Winter 2009)",
            0.081,
            (0.497, 0.5),
            [
                (Segment::UpperArm, 0.028, 0.436),
                (Segment::Forearm, 0.016, 0.430),
                (Segment::Hand, 0.006, 0.506 * 0.55),
                (Segment::Thigh, 0.100, 0.433),
                (Segment::Shank, 0.0465, 0.433),
                (Segment::Foot, 0.0145, 0.5),
            ],
            &[(Cut::NeckToEar, 1.0), (Cut::HandToKnuckle, 0.506)],
        )
    }

    fn new(
        name: &str,
        head: f64,
        trunk: (f64, f64),
        limbs: [(Segment, f64, f64); 6],
        further: &'static [(Cut, f64)],
    ) -> Self {
        let mut table = Self {
            name: name.to_owned(),
            head,
            trunk,
            limbs,
            further,
        };
        table.normalise();
        table
    }

    fn normalise(&mut self) {
        let total: f64 = self.head + self.trunk.0 + 2.0 * self.limbs.iter().map(|limb| limb.1).sum::<f64>();
        self.head /= total;
        self.trunk.0 /= total;
        for limb in &mut self.limbs {
            limb.1 /= total;
        }
    }

    /// The table with a child's head mass; the other fractions shrink so that all sum to 1.
    ///
    /// # Inputs
    /// `age` in years, 4 to 20; `None` outside.
    /// # Source
    /// Jensen (1989) J Biomech 22:529-536: head mass fraction = 0.27881 − 0.021152 a + 0.00053168 a² \[R\].
    /// Jensen's cut of head and neck differs from de Leva's.
    #[must_use]
    pub fn with_child_head(mut self, age: f64) -> Option<Self> {
        if !(4.0..=20.0).contains(&age) {
            return None;
        }
        let head = jensen_head_fraction(age);
        let rest = 1.0 - self.head;
        let shrink = (1.0 - head) / rest;
        self.head = head;
        self.trunk.0 *= shrink;
        for limb in &mut self.limbs {
            limb.1 *= shrink;
        }
        self.name = format!("{}, head mass of age {age} (Jensen 1989)", self.name);
        Some(self)
    }

    /// Mass fraction of a limb segment, one side.
    #[must_use]
    pub fn mass(&self, segment: Segment) -> f64 {
        self.limbs
            .iter()
            .find(|limb| limb.0 == segment)
            .map_or(0.0, |limb| limb.1)
    }

    /// Mass fractions of head and trunk.
    #[must_use]
    pub fn axial_masses(&self) -> (f64, f64) {
        (self.head, self.trunk.0)
    }

    /// A piece of the body between two ends that are given, not found among landmarks.
    ///
    /// # Inputs
    /// `first`, `second`: the ends in the order in which `cut` names them, any one plane and length unit. Limbs: one side.
    /// # Returns
    /// Its share of body mass and its own centre of mass; `None` if the table has no such cut.
    /// # Example
    /// ```
    /// use springline_kinematics::{Point, mass::{Cut, Segment, SegmentTable}};
    /// let (hip, knee) = (Point::new(0.0, 1.0), Point::new(0.0, 0.0));
    /// let thigh = SegmentTable::dempster().piece(Cut::Limb(Segment::Thigh), hip, knee).expect("in every table");
    /// assert!((thigh.mass - 0.100).abs() < 1e-12 && (thigh.centre.y - 0.567).abs() < 1e-12);
    /// // Dempster cuts the head at the ear, not at the crown.
    /// assert!(SegmentTable::dempster().piece(Cut::HeadToJaw, hip, knee).is_none());
    /// ```
    #[must_use]
    pub fn piece(&self, cut: Cut, first: Point, second: Point) -> Option<Piece> {
        let further = || self.further.iter().find(|(known, _)| *known == cut).map(|(_, at)| *at);
        let (mass, fraction) = match cut {
            Cut::Limb(segment) => {
                let (_, mass, fraction) = self.limbs.iter().find(|limb| limb.0 == segment)?;
                (*mass, *fraction)
            }
            Cut::HandToKnuckle => (self.mass(Segment::Hand), further()?),
            Cut::Trunk => self.trunk,
            Cut::HeadToJaw | Cut::HeadToNeck | Cut::NeckToEar => (self.head, further()?),
        };
        Some(Piece {
            mass,
            centre: first + (second - first) * fraction,
        })
    }
}

/// A piece of the body as a point of mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Share of body mass (or a mass: any one unit).
    pub mass: f64,
    /// Its own centre of mass.
    pub centre: Point,
}

/// Several pieces as one: their mass and their common centre of mass `Σ m r / Σ m`.
///
/// All pieces of the body give the whole-body centre of mass; the pieces of a leg that of the leg.
///
/// # Returns
/// `None` if their masses don't add up to more than nothing.
/// # Example
/// ```
/// use springline_kinematics::{Point, mass::{Piece, combine}};
/// let one = Piece { mass: 1.0, centre: Point::new(0.0, 0.0) };
/// let other = Piece { mass: 3.0, centre: Point::new(4.0, 8.0) };
/// let both = combine(&[one, other]).expect("they have mass");
/// assert_eq!((both.mass, both.centre), (4.0, Point::new(3.0, 6.0)));
/// assert!(combine(&[]).is_none());
/// ```
#[must_use]
pub fn combine(pieces: &[Piece]) -> Option<Piece> {
    let mass: f64 = pieces.iter().map(|piece| piece.mass).sum();
    let moment: crate::Vector = pieces.iter().map(|piece| piece.centre.coords * piece.mass).sum();
    (mass > 0.0).then(|| Piece {
        mass,
        centre: Point::from(moment / mass),
    })
}

/// Head mass fraction of a child of `age` years, Jensen (1989) \[R\].
#[must_use]
pub fn jensen_head_fraction(age: f64) -> f64 {
    0.27881 - 0.021152 * age + 0.000_531_68 * age * age
}

/// Which end points of the hands and feet a clip has, for all its frames alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EndPoints {
    /// Fingertips are seen; else the hand's mass is put at the wrist.
    pub fingers: bool,
    /// Heels and toes are seen; else the foot's mass is put at the ankle.
    pub feet: bool,
}

/// Why no centre of mass can be given.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MassError {
    /// No ear is seen.
    #[error("no ear seen, so the head has no place")]
    Head,
    /// A shoulder pair or hip pair is missing.
    #[error("the trunk is missing (shoulders and hips are needed)")]
    Trunk,
    /// A limb is missing and could not be filled.
    #[error("{0} is missing on both sides, or the sides were too far apart to stand in for each other")]
    Limb(&'static str),
    /// More than one arm and one leg would be substituted.
    #[error("over 26 % of body mass would be substituted")]
    TooMuch,
}

/// The centre of mass of one frame as a weighted sum of landmarks.
#[derive(Clone, Debug, PartialEq)]
pub struct CentreOfMass {
    /// Where it is, in the units and plane of the points.
    pub position: Point,
    /// Weight of each landmark, indexed by [`Landmark::index`]; they sum to 1.
    pub weights: [f64; Landmark::COUNT],
    /// Share of body mass that the other side stood in for.
    pub substituted: f64,
}

/// Whole-body centre of mass of one frame.
///
/// # Inputs
/// `point`: position of a landmark in this frame, bridged points included; `may_stand_in(joint_chain)`: whether the
/// other side may stand in for a missing arm (`Joint::Shoulder`) or leg (`Joint::Hip`): the two were within
/// 20° when last seen, or the coach says so.
/// # Returns
/// Position, the weight of every landmark, and the share substituted.
/// # Errors
/// No ear, no trunk, a limb that cannot be filled, or over 26 % of body mass substituted.
/// # Source
/// Segment method; tables as named in `table`.
pub fn centre_of_mass(
    table: &SegmentTable,
    ends: EndPoints,
    point: impl Fn(Landmark) -> Option<Point>,
    may_stand_in: impl Fn(Joint) -> bool,
) -> Result<CentreOfMass, MassError> {
    let mut weights = [0.0; Landmark::COUNT];
    let mut substituted = 0.0;
    add_middle(&mut weights, &point, Joint::Ear, table.head).ok_or(MassError::Head)?;
    let (trunk, fraction) = table.trunk;
    add_middle(&mut weights, &point, Joint::Shoulder, trunk * (1.0 - fraction)).ok_or(MassError::Trunk)?;
    add_middle(&mut weights, &point, Joint::Hip, trunk * fraction).ok_or(MassError::Trunk)?;
    for (root, name) in [(Joint::Shoulder, "an arm"), (Joint::Hip, "a leg")] {
        for side in Side::BOTH {
            let own = limb_weights(table, ends, root, side, &point);
            let chosen = match own {
                Some(own) => own,
                None if may_stand_in(root) => {
                    let other = limb_weights(table, ends, root, side.other(), &point).ok_or(MassError::Limb(name))?;
                    substituted += other.iter().map(|(_, weight)| weight).sum::<f64>();
                    other
                }
                None => return Err(MassError::Limb(name)),
            };
            for (landmark, weight) in chosen {
                weights[landmark.index()] += weight;
            }
        }
    }
    if substituted > 0.26 {
        return Err(MassError::TooMuch);
    }
    let mut position = Point::origin();
    for landmark in Landmark::ALL {
        let weight = weights[landmark.index()];
        if weight != 0.0 {
            position += point(landmark).ok_or(MassError::Trunk)?.coords * weight;
        }
    }
    Ok(CentreOfMass {
        position,
        weights,
        substituted,
    })
}

fn add_middle(
    weights: &mut [f64; Landmark::COUNT],
    point: &impl Fn(Landmark) -> Option<Point>,
    joint: Joint,
    mass: f64,
) -> Option<()> {
    let sides = Side::BOTH
        .map(|side| Landmark::of(joint, side))
        .map(|landmark| point(landmark).map(|_| landmark));
    let seen = sides.iter().flatten().count();
    for landmark in sides.into_iter().flatten() {
        weights[landmark.index()] += mass / seen as f64;
    }
    (seen > 0).then_some(())
}

fn limb_weights(
    table: &SegmentTable,
    ends: EndPoints,
    root: Joint,
    side: Side,
    point: &impl Fn(Landmark) -> Option<Point>,
) -> Option<[(Landmark, f64); 6]> {
    let segments = if root == Joint::Shoulder {
        [
            (Segment::UpperArm, Joint::Shoulder, Joint::Elbow),
            (Segment::Forearm, Joint::Elbow, Joint::Wrist),
            (
                Segment::Hand,
                Joint::Wrist,
                if ends.fingers { Joint::Fingertip } else { Joint::Wrist },
            ),
        ]
    } else {
        let dempster_foot = table.name.starts_with("Dempster");
        let (back, front) = match (ends.feet, dempster_foot) {
            (true, true) => (Joint::Ankle, Joint::Toe),
            (true, false) => (Joint::Heel, Joint::Toe),
            (false, _) => (Joint::Ankle, Joint::Ankle),
        };
        [
            (Segment::Thigh, Joint::Hip, Joint::Knee),
            (Segment::Shank, Joint::Knee, Joint::Ankle),
            (Segment::Foot, back, front),
        ]
    };
    let mut weights = [(Landmark::Nose, 0.0); 6];
    for (k, (segment, from, to)) in segments.into_iter().enumerate() {
        let (_, mass, fraction) = *table.limbs.iter().find(|limb| limb.0 == segment)?;
        for (end, (joint, share)) in [(from, mass * (1.0 - fraction)), (to, mass * fraction)]
            .into_iter()
            .enumerate()
        {
            let landmark = Landmark::of(joint, side);
            point(landmark)?;
            weights[2 * k + end] = (landmark, share);
        }
    }
    Some(weights)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_sum_to_one() {
        for table in [
            SegmentTable::de_leva_female(),
            SegmentTable::de_leva_male(),
            SegmentTable::dempster(),
        ] {
            let (head, trunk) = table.axial_masses();
            let limbs: f64 = table.limbs.iter().map(|limb| limb.1).sum();
            assert!((head + trunk + 2.0 * limbs - 1.0).abs() < 1e-12, "{}", table.name);
        }
        // published values 3.1: sums before normalising .9999 and 1.0000 [C]
        assert!((SegmentTable::de_leva_female().mass(Segment::Thigh) - 0.1478).abs() < 2e-5);
    }

    #[test]
    fn child_heads() {
        // published values 3.4 [C]
        for (age, fraction) in [
            (6.0, 0.1710),
            (8.0, 0.1436),
            (10.0, 0.1205),
            (12.0, 0.1015),
            (14.0, 0.0869),
        ] {
            assert!((jensen_head_fraction(age) - fraction).abs() < 6e-5, "{age}");
        }
        let child = SegmentTable::de_leva_female().with_child_head(8.0).expect("in range");
        assert!((child.axial_masses().0 - jensen_head_fraction(8.0)).abs() < 1e-12);
        assert!(SegmentTable::de_leva_female().with_child_head(2.0).is_none());
    }

    #[test]
    fn lower_limb_of_the_open_course() {
        // BMC BodySegmentParameters [R], recomputed [C]: lower limb (.817707, .583668), Dempster.
        let point = |x: f64, y: f64| Point::new(x, y);
        let (toe, ankle, knee, hip) = (
            point(1.011, 0.013),
            point(0.849, 0.110),
            point(0.864, 0.549),
            point(0.721, 0.928),
        );
        let see = |landmark: Landmark| match landmark.joint() {
            Some(Joint::Toe) => Some(toe),
            Some(Joint::Ankle) => Some(ankle),
            Some(Joint::Knee) => Some(knee),
            Some(Joint::Hip) => Some(hip),
            _ => None,
        };
        let ends = EndPoints {
            fingers: true,
            feet: true,
        };
        let table = SegmentTable::dempster();
        let weights = limb_weights(&table, ends, Joint::Hip, Side::Left, &see).expect("all seen");
        let total: f64 = weights.iter().map(|(_, w)| w).sum();
        let mut sum = Point::origin();
        for (landmark, weight) in weights {
            sum += see(landmark).expect("seen").coords * (weight / total);
        }
        assert!(
            (sum.x - 0.817_707).abs() < 1e-6 && (sum.y - 0.583_668).abs() < 1e-6,
            "{sum}"
        );
    }
}
