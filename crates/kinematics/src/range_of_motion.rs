//! How far joints go: published normal ranges, and limits past which a reading is doubted.
//!
//! A reading past its limit is no error and decides nothing: children and gymnasts are more supple than the samples behind
//! published norms. It is a reason to look at the points again. Angles are those of the measures: 180° straight.

use crate::{Angle, Measure};

/// Range of one joint angle, in the convention of its measure, degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RangeOfMotion {
    /// The joint angle.
    pub measure: Measure,
    /// The joint, for people.
    pub joint: &'static str,
    /// Least and largest angle in published normal values for adults.
    pub normal: [f64; 2],
    /// Where those come from, with the tag that says how they are known.
    pub normal_source: &'static str,
    /// Least and largest angle that is believed without a remark.
    pub sanity: [f64; 2],
    /// Where those come from.
    pub sanity_source: &'static str,
}

/// Ranges of the five joint angles that have one.
///
/// # Source
/// AAOS normals \[R, a secondary table\]; Macedo & Magee, women 18 to 59, n = 90 \[R\]; Castori (2012) ISRN Dermatol, Table 8
/// \[R; author M\]: elbows to 190–195° and knees to 180–190° in healthy adults. Hip and ankle measures take in the spine
/// and the shape of the foot, so their limits are ours and wide.
pub const RANGES: [RangeOfMotion; 5] = [
    RangeOfMotion {
        measure: Measure::ShoulderOpening,
        joint: "shoulder",
        normal: [-60.0, 188.0],
        normal_source: "extension 60, flexion 180 (AAOS), 188 (women, Macedo & Magee) [R]",
        sanity: [-100.0, 225.0],
        sanity_source: "ours: the measure takes in the arch of the upper back",
    },
    RangeOfMotion {
        measure: Measure::ElbowAngle,
        joint: "elbow",
        normal: [30.0, 180.0],
        normal_source: "flexion 150 (AAOS), 149 (women, Macedo & Magee) [R]",
        sanity: [10.0, 195.0],
        sanity_source: "195: Castori 2012 [R; author M]; 10: ours",
    },
    RangeOfMotion {
        measure: Measure::HipAngle,
        joint: "hip",
        normal: [60.0, 210.0],
        normal_source: "flexion 120 [M], extension up to 30 [R2]",
        sanity: [0.0, 280.0],
        sanity_source: "ours: the measure takes in the bend of the spine",
    },
    RangeOfMotion {
        measure: Measure::KneeAngle,
        joint: "knee",
        normal: [40.0, 180.0],
        normal_source: "flexion 135 to 140 [R2/M]",
        sanity: [10.0, 190.0],
        sanity_source: "190: Castori 2012 [R; author M]; 10: ours",
    },
    RangeOfMotion {
        measure: Measure::AnkleAngle,
        joint: "ankle",
        normal: [95.0, 165.0],
        normal_source: "plantar flexion 50, dorsiflexion 20 [R2]; from ankle to toe 25 more than by the sole (ours)",
        sanity: [20.0, 240.0],
        sanity_source: "ours: pointed feet of gymnasts read past 180",
    },
];

/// The range of a joint angle; `None` for measures that are none.
#[must_use]
pub fn range_of(measure: Measure) -> Option<&'static RangeOfMotion> {
    RANGES.iter().find(|range| range.measure == measure)
}

/// A reading past a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Past {
    /// The reading, degrees, as its measure gives it.
    pub reading: f64,
    /// The limit that it is past, degrees.
    pub limit: f64,
    /// How far to the nearer limit on the circle, degrees, positive.
    pub by: f64,
}

impl RangeOfMotion {
    /// How far an angle lies outside the sanity limits; `None` between the two.
    ///
    /// # Inputs
    /// `angle` as its measure gives it.
    /// # Example
    /// ```
    /// use springline_kinematics::{Angle, Measure, range_of_motion::range_of};
    /// let knee = range_of(Measure::KneeAngle).expect("a joint angle");
    /// let angle = |degrees| Angle::from_degrees(degrees).expect("finite");
    /// let past = knee.past(angle(214.0)).expect("a knee does not do that");
    /// assert!(past.limit == 190.0 && (past.by - 24.0).abs() < 1e-9);
    /// assert!(knee.past(angle(186.0)).is_none());
    /// ```
    #[must_use]
    pub fn past(&self, angle: Angle) -> Option<Past> {
        let [low, high] = self.sanity;
        // On a circle: 265° past overhead is 95° behind, which an arm swung back does.
        let reading = angle.degrees();
        let from_middle = (reading - 0.5 * (low + high) + 180.0).rem_euclid(360.0) - 180.0;
        let by = from_middle.abs() - 0.5 * (high - low);
        (by > 0.0).then_some(Past {
            reading,
            limit: if reading > high { high } else { low },
            by,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn past(measure: Measure, degrees: f64) -> Option<Past> {
        let range = range_of(measure).expect("a joint angle");
        range.past(Angle::from_degrees(degrees).expect("finite"))
    }

    #[test]
    fn published_limits_are_legal_input() {
        // Macedo & Magee 188 [R]; Castori 195 and 190 [R; author M]. A degree is not read to the last bit.
        for (measure, degrees) in [
            (Measure::ShoulderOpening, 188.0),
            (Measure::ElbowAngle, 195.0 - 1e-9),
            (Measure::KneeAngle, 190.0 - 1e-9),
        ] {
            assert_eq!(past(measure, degrees), None, "{measure:?}");
        }
        for range in RANGES {
            let [least, largest] = range.normal;
            assert!(
                range.sanity[0] <= least && largest <= range.sanity[1],
                "{}",
                range.joint
            );
            for degrees in [least, largest, 0.5 * (least + largest)] {
                assert_eq!(past(range.measure, degrees), None, "{} {degrees}", range.joint);
            }
        }
        assert!(range_of(Measure::LegGap).is_none());
    }

    #[test]
    fn either_limit_on_the_circle() {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        let knee = past(Measure::KneeAngle, 190.5).expect("past");
        assert!(near(knee.reading, 190.5) && near(knee.limit, 190.0) && near(knee.by, 0.5));
        let knee = past(Measure::KneeAngle, 1.0).expect("past");
        assert!(near(knee.limit, 10.0) && near(knee.by, 9.0));
        // Nearer to 10° by way of 360°, and said by the limit that it is beyond.
        let knee = past(Measure::KneeAngle, 355.0).expect("past");
        assert!(near(knee.limit, 190.0) && near(knee.by, 15.0));
        assert_eq!(past(Measure::ShoulderOpening, 265.0), None);
        let shoulder = past(Measure::ShoulderOpening, 240.0).expect("past");
        assert!(near(shoulder.limit, 225.0) && near(shoulder.by, 15.0));
    }
}
