//! A standard uncertainty for every point that the file gives none for.

use springline_kinematics::{Joint, Landmark, Side};

use crate::clip::Clip;
use crate::error::Error;
use crate::frames::median;
use crate::{Given, ImportOptions, SdChoice, SdKind};

/// Area of the body as a share of the box around its points [M].
const AREA_OF_BOX: f64 = 0.53;
/// A pose model is surer of an upright body: factor while the trunk is past 90° (our choice).
const INVERTED_FACTOR: f32 = 1.5;
/// Clicking default as a share of stature (our choice).
const CLICKED_OF_STATURE: f64 = 0.005;
/// Leg length (hip, knee, ankle) as a share of stature [M].
const LEG_OF_STATURE: f64 = 0.49;

/// The COCO OKS sigma of a landmark: spread of human annotators, in square roots of the body's area.
///
/// The 17 of COCO are those of the cocoapi source \[R\]: nose .026, eye .025, ear .035, shoulder
/// .079, elbow .072, wrist .062, hip .107, knee .087, ankle .089. Heel and toe are taken like the
/// ankle, the fingertip like the wrist (our choice: COCO's 17 have none).
#[must_use]
pub fn oks_sigma(landmark: Landmark) -> f64 {
    match landmark.joint() {
        None => 0.026,
        Some(Joint::Eye) => 0.025,
        Some(Joint::Ear) => 0.035,
        Some(Joint::Shoulder) => 0.079,
        Some(Joint::Elbow) => 0.072,
        Some(Joint::Wrist | Joint::Fingertip) => 0.062,
        Some(Joint::Hip) => 0.107,
        Some(Joint::Knee) => 0.087,
        Some(Joint::Ankle | Joint::Heel | Joint::Toe) => 0.089,
    }
}

/// Says where the point sds come from, and sets the clip's usual ones for points without their own.
///
/// `file_kind`: what the file says about its points, if it says anything.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn fill(
    file: &str,
    clip: &mut Clip,
    given: &Given,
    file_kind: Option<SdKind>,
    options: &ImportOptions,
) -> Result<SdKind, Error> {
    let kind = match options.sd {
        Some(SdChoice::Px(px)) => {
            if !(px.is_finite() && (0.0..=10_000.0).contains(&px)) {
                return Err(Error::Option {
                    option: "point sd",
                    found: px.to_string(),
                    expected: "0 to 10000 px",
                });
            }
            clip.sds.clear();
            clip.usual_sds.fill(px as f32);
            return Ok(SdKind::Given);
        }
        Some(SdChoice::Clicked) => {
            clip.sds.clear();
            SdKind::Clicked
        }
        Some(SdChoice::PoseModel) => {
            clip.sds.clear();
            SdKind::PoseModel
        }
        None => file_kind.unwrap_or(if clip.sds.is_empty() && clip.every_sd.is_none() {
            SdKind::PoseModel
        } else {
            SdKind::Given
        }),
    };
    if options.sd.is_none()
        && let Some(px) = clip.every_sd
    {
        clip.usual_sds.fill(px);
        return Ok(kind);
    }
    let complete = !clip.sds.is_empty()
        && clip
            .spots
            .iter()
            .zip(&clip.sds)
            .all(|(spot, sd)| spot.is_none() || sd.is_some());
    if complete {
        return Ok(kind);
    }
    if kind == SdKind::Clicked {
        let stature = stature_px(clip, given).ok_or_else(|| Error::NoStature { file: file.to_owned() })?;
        clip.usual_sds.fill((CLICKED_OF_STATURE * stature) as f32);
    } else {
        let per_axis = (AREA_OF_BOX * box_area(clip)).sqrt() / std::f64::consts::SQRT_2;
        clip.usual_sds = clip
            .slots
            .iter()
            .map(|slot| (oks_sigma(*slot) * per_axis) as f32)
            .collect();
        clip.inverted_factor = INVERTED_FACTOR;
    }
    Ok(kind)
}

/// Box around the points, px², median over the frames that show at least half of the landmarks
/// seen in the fullest frame.
fn box_area(clip: &Clip) -> f64 {
    let frames = || (0..clip.times.len()).map(|frame| clip.frame(frame));
    let seen = |spots: &[Option<crate::sheet::Spot>]| spots.iter().flatten().count();
    let fullest = frames().map(seen).max().unwrap_or(0);
    let areas = frames()
        .filter(|spots| 2 * seen(spots) >= fullest && seen(spots) > 0)
        .map(|spots| {
            let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
            for spot in spots.iter().flatten() {
                low = [low[0].min(spot.x), low[1].min(spot.y)];
                high = [high[0].max(spot.x), high[1].max(spot.y)];
            }
            (high[0] - low[0]) * (high[1] - low[1])
        })
        .collect();
    median(areas).unwrap_or(0.0)
}

/// Standing height in px: given, else from stature in m and a scale, else leg length / 0.49 [M].
fn stature_px(clip: &Clip, given: &Given) -> Option<f64> {
    if given.stature_px.is_some() {
        return given.stature_px;
    }
    let scale = given
        .metres_per_px
        .or_else(|| given.known_length.and_then(|known| known.scale()));
    if let (Some(metres), Some((scale, _))) = (given.stature_m, scale) {
        return Some(metres / scale);
    }
    let sides: Vec<Side> = given.near_side.map_or_else(|| Side::BOTH.to_vec(), |side| vec![side]);
    let mut legs: Vec<f64> = Vec::new();
    for side in sides {
        let [Some(hip), Some(knee), Some(ankle)] =
            [Joint::Hip, Joint::Knee, Joint::Ankle].map(|joint| clip.slot(Landmark::of(joint, side)))
        else {
            continue;
        };
        for frame in 0..clip.times.len() {
            let spots = clip.frame(frame);
            if let (Some(hip), Some(knee), Some(ankle)) = (spots[hip], spots[knee], spots[ankle]) {
                legs.push((hip.x - knee.x).hypot(hip.y - knee.y) + (knee.x - ankle.x).hypot(knee.y - ankle.y));
            }
        }
    }
    median(legs).filter(|leg| *leg > 0.0).map(|leg| leg / LEG_OF_STATURE)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The values of the published table for an area of 20,000 px² [C].
    #[test]
    fn sigmas_for_a_known_area() {
        let px = |landmark| oks_sigma(landmark) * 20_000_f64.sqrt();
        for (landmark, expected) in [
            (Landmark::LeftHip, 15.1),
            (Landmark::LeftAnkle, 12.6),
            (Landmark::RightKnee, 12.3),
            (Landmark::RightShoulder, 11.2),
            (Landmark::LeftElbow, 10.2),
            (Landmark::LeftWrist, 8.8),
        ] {
            assert!((px(landmark) - expected).abs() < 0.05, "{landmark:?}: {}", px(landmark));
        }
    }

    /// Object keypoint similarity `exp(−d² / (2 s² k²))`, `k = 2 σ` as in the code of the evaluation \[R\], `s²` the area of
    /// the object \[M\]: area 20,000 px², 10 px off: hip .946873, wrist .849939 \[C\].
    #[test]
    fn sigmas_give_the_similarity_of_the_evaluation_code() {
        let similarity = |landmark: Landmark, distance: f64, area: f64| {
            let k = 2.0 * oks_sigma(landmark);
            (-distance * distance / (2.0 * area * k * k)).exp()
        };
        for (landmark, expected) in [
            (Landmark::LeftHip, 0.946_873),
            (Landmark::RightHip, 0.946_873),
            (Landmark::LeftWrist, 0.849_939),
            (Landmark::RightWrist, 0.849_939),
        ] {
            let got = similarity(landmark, 10.0, 20_000.0);
            assert!((got - expected).abs() < 5.1e-7, "{landmark:?}: {got}");
        }
    }

    /// All 17, in the order of the layout, as the array in the evaluation code divided by 10 \[R\].
    #[test]
    fn sigmas_are_those_of_the_evaluation_code() {
        let tenths = [
            0.26, 0.25, 0.25, 0.35, 0.35, 0.79, 0.79, 0.72, 0.72, 0.62, 0.62, 1.07, 1.07, 0.87, 0.87, 0.89, 0.89,
        ];
        for (landmark, tenth) in Landmark::ALL.into_iter().zip(tenths) {
            assert!((oks_sigma(landmark) - tenth / 10.0).abs() < 1e-12, "{landmark:?}");
        }
    }
}
