//! Point layouts: which points a file holds, in which order, and which landmarks they are.

use springline_kinematics::{Joint, Landmark, Measure};

use crate::names;
use crate::shape::Shape;
use crate::sheet::Unit;

/// How the scores of a layout are read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ScoreRange {
    /// Score of a point that wasn't seen at all.
    pub low: f64,
    /// Score of a sure point.
    pub high: f64,
    /// Greatest score that is accepted; what lies above `high` counts as `high`.
    pub accepted: f64,
}

impl ScoreRange {
    /// 0 to 1. Heat-map peaks of pose models overshoot 1 a little, so up to 1.25 is taken as 1
    /// (our choice); percentages stay far outside.
    pub(crate) const UNIT: ScoreRange = ScoreRange {
        low: 0.0,
        high: 1.0,
        accepted: 1.25,
    };
}

/// A point layout: the points that a tool writes, and which of our landmarks they are.
///
/// Built in: `coco-17`, `coco-wholebody-133`, `points-25`, `points-33` and `named-23` (our own
/// ids). Any other is described in a layout file, see [`Layout::from_toml`].
///
/// ```
/// use springline_keypoints::Layout;
/// use springline_kinematics::{Landmark, Measure};
/// let coco = Layout::builtin("coco-17").expect("built in");
/// assert_eq!(coco.points()[5], Some(Landmark::LeftShoulder));
/// assert!(coco.measures_allowed().contains(&Measure::ShoulderOpening));
/// assert!(!coco.measures_allowed().contains(&Measure::AnkleAngle)); // no toe among the 17
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    pub(crate) name: String,
    pub(crate) about: String,
    pub(crate) points: Vec<Option<Landmark>>,
    /// Names of the points in the file, where points are named; same length as `points`, or empty.
    pub(crate) names: Vec<String>,
    pub(crate) scores: ScoreRange,
    pub(crate) unit: Unit,
    /// In the file y grows upward.
    pub(crate) y_up: bool,
    /// A value of both x and y that stands for a missing point.
    pub(crate) missing_value: Option<f64>,
    /// Points without score at exactly (0, 0) are missing.
    pub(crate) zero_is_missing: bool,
    /// Where things sit, as far as a layout file says so.
    pub(crate) shape: Shape,
}

impl Layout {
    /// The layouts that need no file.
    #[must_use]
    pub fn builtins() -> Vec<Layout> {
        use Landmark as L;
        let coco: Vec<Option<Landmark>> = L::ALL[..17].iter().copied().map(Some).collect();

        // 17 body, 6 feet, 68 face, 21 left hand, 21 right hand.
        let mut whole_body = coco.clone();
        whole_body.resize(133, None);
        for (index, landmark) in [
            (17, L::LeftToe),
            (19, L::LeftHeel),
            (20, L::RightToe),
            (22, L::RightHeel),
            (91 + 12, L::LeftFingertip),
            (112 + 12, L::RightFingertip),
        ] {
            whole_body[index] = Some(landmark);
        }

        let points_25 = [
            Some(L::Nose),
            None, // neck
            Some(L::RightShoulder),
            Some(L::RightElbow),
            Some(L::RightWrist),
            Some(L::LeftShoulder),
            Some(L::LeftElbow),
            Some(L::LeftWrist),
            None, // mid-hip
            Some(L::RightHip),
            Some(L::RightKnee),
            Some(L::RightAnkle),
            Some(L::LeftHip),
            Some(L::LeftKnee),
            Some(L::LeftAnkle),
            Some(L::RightEye),
            Some(L::LeftEye),
            Some(L::RightEar),
            Some(L::LeftEar),
            Some(L::LeftToe),
            None, // left small toe
            Some(L::LeftHeel),
            Some(L::RightToe),
            None, // right small toe
            Some(L::RightHeel),
        ];

        let mut points_33 = vec![None; 33];
        for (index, landmark) in [
            (0, L::Nose),
            (2, L::LeftEye),
            (5, L::RightEye),
            (7, L::LeftEar),
            (8, L::RightEar),
            (11, L::LeftShoulder),
            (12, L::RightShoulder),
            (13, L::LeftElbow),
            (14, L::RightElbow),
            (15, L::LeftWrist),
            (16, L::RightWrist),
            (19, L::LeftFingertip),
            (20, L::RightFingertip),
            (23, L::LeftHip),
            (24, L::RightHip),
            (25, L::LeftKnee),
            (26, L::RightKnee),
            (27, L::LeftAnkle),
            (28, L::RightAnkle),
            (29, L::LeftHeel),
            (30, L::RightHeel),
            (31, L::LeftToe),
            (32, L::RightToe),
        ] {
            points_33[index] = Some(landmark);
        }

        vec![
            Layout::plain("coco-17", "17 points of the COCO keypoint task", coco),
            Layout::plain(
                "coco-wholebody-133",
                "133 whole-body points: 17 body, 6 feet, 68 face, 21 each hand; fingertip is the middle finger's",
                whole_body,
            ),
            Layout::plain(
                "points-25",
                "25 body and foot points, neck and mid-hip among them",
                points_25.to_vec(),
            ),
            Layout::plain(
                "points-33",
                "33 points with heels, feet and finger knuckles; fingertip is the index finger's",
                points_33,
            ),
            Layout::plain(
                "named-23",
                "our 23 landmarks, by their ids",
                Landmark::ALL.into_iter().map(Some).collect(),
            ),
        ]
    }

    /// The built-in layout of that name.
    #[must_use]
    pub fn builtin(name: &str) -> Option<Layout> {
        Self::builtins().into_iter().find(|layout| layout.name == name)
    }

    /// The built-in layout that a bare count of unnamed points stands for.
    pub(crate) fn of_count(count: usize) -> Option<Layout> {
        let name = match count {
            17 => "coco-17",
            25 => "points-25",
            33 => "points-33",
            133 => "coco-wholebody-133",
            _ => return None,
        };
        Self::builtin(name)
    }

    /// A layout of named points: every name that means one of our landmarks is taken.
    pub(crate) fn of_names(names: Vec<String>) -> Option<Layout> {
        let mut points: Vec<Option<Landmark>> = Vec::with_capacity(names.len());
        for name in &names {
            points.push(names::landmark(name).filter(|landmark| !points.contains(&Some(*landmark))));
        }
        let known = points.iter().flatten().count();
        let mut layout = Layout::plain(&format!("named-{known}"), "named points", points);
        layout.names = names;
        (known > 0).then_some(layout)
    }

    pub(crate) fn plain(name: &str, about: &str, points: Vec<Option<Landmark>>) -> Layout {
        Layout {
            name: name.to_owned(),
            about: about.to_owned(),
            points,
            names: Vec::new(),
            scores: ScoreRange::UNIT,
            unit: Unit::Unsaid,
            y_up: false,
            missing_value: None,
            zero_is_missing: true,
            shape: Shape::default(),
        }
    }

    /// Name for outputs (`coco-17`).
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// One line about it.
    #[must_use]
    pub fn about(&self) -> &str {
        &self.about
    }

    /// The points in the order of the file; `None` for those that no measure uses.
    #[must_use]
    pub fn points(&self) -> &[Option<Landmark>] {
        &self.points
    }

    /// The landmarks it has, in the order of [`Landmark::ALL`].
    #[must_use]
    pub fn landmarks(&self) -> Vec<Landmark> {
        Landmark::ALL
            .into_iter()
            .filter(|landmark| self.points.contains(&Some(*landmark)))
            .collect()
    }

    /// Whether it has a joint, on one side at least.
    #[must_use]
    pub fn has(&self, joint: Joint) -> bool {
        self.points
            .iter()
            .flatten()
            .any(|landmark| landmark.joint() == Some(joint))
    }

    /// The measures that these points allow; a pose model may still fail to see some in a clip.
    #[must_use]
    pub fn measures_allowed(&self) -> Vec<Measure> {
        Measure::ALL
            .iter()
            .copied()
            .filter(|measure| measure.needs().iter().all(|joint| self.has(*joint)))
            .collect()
    }

    /// What to call the point at a position, in messages.
    pub(crate) fn point_name(&self, index: usize) -> String {
        match (self.points.get(index), self.names.get(index)) {
            (Some(Some(landmark)), _) => landmark.id().to_owned(),
            (_, Some(name)) if !name.is_empty() => name.clone(),
            _ => format!("point {index}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_no_landmark_twice() {
        let counts: Vec<(String, usize)> = Layout::builtins()
            .into_iter()
            .map(|layout| (layout.name.clone(), layout.points.len()))
            .collect();
        let expected = [
            ("coco-17", 17),
            ("coco-wholebody-133", 133),
            ("points-25", 25),
            ("points-33", 33),
            ("named-23", 23),
        ];
        assert_eq!(counts, expected.map(|(name, count)| (name.to_owned(), count)));
        for layout in Layout::builtins() {
            let mut landmarks: Vec<Landmark> = layout.points.iter().flatten().copied().collect();
            let before = landmarks.len();
            landmarks.sort_unstable();
            landmarks.dedup();
            assert_eq!(landmarks.len(), before, "{}", layout.name);
            assert_eq!(landmarks, layout.landmarks());
        }
    }

    #[test]
    fn measures_follow_the_points() {
        let allowed = |name: &str| Layout::builtin(name).unwrap().measures_allowed();
        for name in ["points-25", "points-33", "coco-wholebody-133", "named-23"] {
            assert!(allowed(name).contains(&Measure::AnkleAngle), "{name}");
            assert!(allowed(name).contains(&Measure::MassOverFoot), "{name}");
        }
        assert!(!allowed("coco-17").contains(&Measure::HeelHeight));
        assert!(!allowed("coco-17").contains(&Measure::MassOverFoot));
        assert!(allowed("coco-17").contains(&Measure::LandingLean));
        assert_eq!(allowed("named-23"), Measure::ALL);
    }
}
