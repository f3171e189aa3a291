//! Legs together.

use crate::events::{Event, Scene};
use crate::segments::leg_gap;
use crate::{EventKind, Joint, Landmark, Side};

/// Leg gap in one frame, radians: each leg from its own hip, thighs if an ankle is missing.
pub(crate) fn gap_at(scene: &Scene<'_>, frame: usize) -> Option<f64> {
    let at = |joint, side| scene.series.smooth(Landmark::of(joint, side), frame);
    let ends = [Joint::Ankle, Joint::Knee]
        .into_iter()
        .find_map(|joint| Some((at(joint, Side::Left)?, at(joint, Side::Right)?)));
    let (left, right) = ends?;
    leg_gap(at(Joint::Hip, Side::Left)?, left, at(Joint::Hip, Side::Right)?, right).map(|gap| gap.radians())
}

/// The start of the last stretch with the gap within the limit that lasts until `ends` (the first that is closed then).
pub(crate) fn legs_together(scene: &Scene<'_>, from: f64, ends: &[f64]) -> Option<Event> {
    let limit = scene.search.legs_together_within.radians();
    for end in ends {
        // The last frame before the end decides whether the legs are together then.
        let last = scene.times().partition_point(|t| t < end).checked_sub(1)?;
        let Some(gap) = gap_at(scene, last) else { continue };
        if gap > limit {
            continue;
        }
        let first = scene.frame_at(from);
        let mut frame = last;
        while frame > first {
            match gap_at(scene, frame - 1) {
                Some(before) if before > limit => {
                    let here = gap_at(scene, frame)?;
                    let (t0, t1) = (scene.times()[frame - 1], scene.times()[frame]);
                    let rate = (before - here) / (t1 - t0);
                    let time = t0 + (before - limit) / rate;
                    // Closed only in the last two frames before the end: whether before or after it is not known.
                    if end - time < 2.0 * scene.series.interval() {
                        break;
                    }
                    let noise = gap_noise(scene, frame);
                    let slow = smooth_rate(scene, frame).unwrap_or(rate).abs().max(0.2);
                    return Some(scene.crossing_event(EventKind::LegsTogether, time, noise / slow));
                }
                _ => frame -= 1,
            }
        }
        if frame <= first {
            // Together since before the stretch looked at: no instant to name.
            return None;
        }
    }
    None
}

/// Rate of closing over three frames to each side, rad/s.
fn smooth_rate(scene: &Scene<'_>, frame: usize) -> Option<f64> {
    let reach = ((0.03 / scene.series.interval()).ceil() as usize).max(1);
    let (low, high) = (frame.saturating_sub(reach), (frame + reach).min(scene.frames() - 1));
    Some((gap_at(scene, low)? - gap_at(scene, high)?) / (scene.times()[high] - scene.times()[low]))
}

fn gap_noise(scene: &Scene<'_>, frame: usize) -> f64 {
    let pose = scene.series.pose_at_frame(frame);
    let mut square = 0.0;
    for side in Side::BOTH {
        let (hip, ankle) = (Landmark::of(Joint::Hip, side), Landmark::of(Joint::Ankle, side));
        if let (Some(a), Some(b)) = (pose.at(hip), pose.at(ankle)) {
            square += (pose.sd(hip).powi(2) + pose.sd(ankle).powi(2)) / (b - a).norm_squared();
        }
    }
    square.sqrt()
}
