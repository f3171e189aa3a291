//! Whether the picture may stand on its head or lie on its side.
//!
//! Told only of a body that stands at both ends of the clip and turns over in between, all of it along the same direction
//! of the picture. So a clip of a held handstand, of a bridge or of somebody lying is never told of.

use springline_kinematics::Joint;

use crate::clip::Clip;

/// Least share of the seen frames in which the body stands.
const STANDS: f64 = 0.5;
/// Least share of the seen frames at either end in which it stands, and how long an end is.
const AT_AN_END: (f64, f64) = (0.7, 0.1);
/// Least share and number of frames in which it is turned over.
const OVER: (f64, usize) = (0.03, 3);
/// Least cosine between a direction and what points along it: within 45 degrees.
const ALONG: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// What to ask of the coach when the picture doesn't seem to be upright, on a floor as it is marked. In an attempt file y
/// always points down.
pub(crate) fn remark(clip: &Clip, floor: Option<[(f64, f64); 2]>, attempt_file: bool) -> Option<&'static str> {
    let down = down(floor);
    let bodies: Vec<[[f64; 2]; 2]> = (0..clip.times.len()).filter_map(|frame| body(clip, frame)).collect();
    let on_its_head = stands_along(&bodies, down);
    // A floor marked up or down the picture is that of a turned picture, and cannot say which side of it is up.
    if on_its_head && down[1] > ALONG {
        return Some(if attempt_file {
            "the body stands on its head for most of the clip: does y point up in this file? In an attempt file y points down"
        } else {
            "the body stands on its head for most of the clip: does y point up in this file? A layout file says so by the \
             key y = \"up\""
        });
    }
    if on_its_head || stands_along(&bodies, [down[1], -down[0]]) || stands_along(&bodies, [-down[1], down[0]]) {
        return Some("the body lies on its side where it should stand; the picture may be turned by 90 degrees");
    }
    None
}

/// The way down: square to the floor line, to that side where the picture's y grows.
fn down(floor: Option<[(f64, f64); 2]>) -> [f64; 2] {
    let along = floor.map(|[a, b]| [b.0 - a.0, b.1 - a.1]);
    let Some([x, y]) = along.filter(|[x, _]| x.abs() > 0.0) else {
        return [0.0, 1.0];
    };
    let length = x.hypot(y) * x.signum();
    [-y / length, x / length]
}

/// Unit vectors from hips to shoulders and from ankles to hips.
fn body(clip: &Clip, frame: usize) -> Option<[[f64; 2]; 2]> {
    let unit = |from: [f64; 2], to: [f64; 2]| {
        let (x, y) = (to[0] - from[0], to[1] - from[1]);
        let length = x.hypot(y);
        (length > 0.0).then(|| [x / length, y / length])
    };
    let hips = clip.middle(Joint::Hip, frame)?;
    let trunk = unit(hips, clip.middle(Joint::Shoulder, frame)?)?;
    let legs = unit(clip.middle(Joint::Ankle, frame)?, hips)?;
    Some([trunk, legs])
}

/// Whether the body stands along that direction of the picture, at both ends and mostly, and turns over in between.
#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]
fn stands_along(bodies: &[[[f64; 2]; 2]], way: [f64; 2]) -> bool {
    let along = |part: [f64; 2]| part[0] * way[0] + part[1] * way[1];
    let share = |bodies: &[[[f64; 2]; 2]]| {
        let standing = bodies
            .iter()
            .filter(|body| body.iter().all(|part| along(*part) > ALONG));
        standing.count() as f64 / bodies.len().max(1) as f64
    };
    let end = ((bodies.len() as f64 * AT_AN_END.1).ceil() as usize).max(3);
    if bodies.len() < 2 * end {
        return false;
    }
    let over = bodies.iter().filter(|[trunk, _]| along(*trunk) < -ALONG).count();
    share(bodies) > STANDS
        && share(&bodies[..end]) > AT_AN_END.0
        && share(&bodies[bodies.len() - end..]) > AT_AN_END.0
        && over >= OVER.1
        && over as f64 > OVER.0 * bodies.len() as f64
}
