//! A camera set-up in words, for who has just marked it.

use springline_keypoints::{CameraSetup, Given, MARKED_POINT_SD_PX};

use super::square;
use crate::scale;

/// What a set-up gives, and how sure: a line for each thing.
#[must_use]
pub fn setup_in_words(setup: &CameraSetup) -> Vec<String> {
    let mut lines = Vec::new();
    let (width, height) = setup.picture;
    lines.push(format!("{}, marked on {width} x {height} px", setup.name));
    match setup.floor_line {
        Some([a, b]) => {
            let (x, y) = (b.0 - a.0, b.1 - a.1);
            let sd = std::f64::consts::SQRT_2 * setup.floor_line_sd_px.unwrap_or(MARKED_POINT_SD_PX) / x.hypot(y);
            let tilt = (y / x).atan().to_degrees();
            // A level line has no sign.
            lines.push(format!(
                "floor line tilted by {:.2}° ± {:.2}°",
                tilt + 0.0,
                sd.to_degrees()
            ));
        }
        None => lines.push("no floor line: level is assumed, with 2° of doubt".to_owned()),
    }
    let given = Given {
        metres_per_px: setup.metres_per_px,
        known_length: setup.known_length,
        ..Given::default()
    };
    match scale::marked(&given).first() {
        Some(scale) => lines.push(format!(
            "scale {:.3} ± {:.3} mm per px, {}",
            1000.0 * scale.metres_per_px.value,
            1000.0 * scale.metres_per_px.sd,
            scale.source.words()
        )),
        None => lines.push("no scale: leg lengths and seconds only".to_owned()),
    }
    if setup.second_length.is_some() {
        lines.push(match square::of_lengths(setup) {
            None => "the two lengths don't lie the same way, both along the run or both upright: they can't tell whether the \
                     camera is square to the run"
                .to_owned(),
            Some(angle) => {
                let least = if setup.field_of_view_deg.is_some() { "" } else { "at least " };
                let side = if angle.value < 0.0 { "left" } else { "right" };
                let words = format!(
                    "by the two lengths the camera is {least}{:.0}° ± {:.0}° off square to the run, its {side} end farther away",
                    angle.value.abs(),
                    angle.sd
                );
                if square::told(&angle) {
                    format!("{words}: turn the camera, or move it, until both look the same, and mark again")
                } else {
                    words
                }
            }
        });
    }
    lines
}
