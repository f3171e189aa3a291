//! How far the camera is off square to the run.
//!
//! A pinhole camera that looks along its axis sees a plane that is turned by ψ out of square at the depth d with
//! 1/d = (1 − (x − c) tan ψ / f) / D: px per metre of upright lengths go as 1/d, so they fall evenly across the picture, and from
//! two places of it ψ follows. c: the picture's middle; f: focal length; all in px.

use springline_keypoints::{CameraSetup, KnownLength};
use springline_kinematics::Uncertain;

/// Focal length over the picture's width where the field of view is not given (our choice: 71° across, as wide as the main camera
/// of a phone or a camcorder films; a narrower one makes the angle larger).
pub(crate) const LEAST_FOCAL: f64 = 0.7;
/// 90 % of a normal distribution lie below so many sds.
pub(crate) const NINETY: f64 = 1.281_551_6;
/// An angle off square from which it is told, degrees (our choice: by then a length along the run reads 1.5 % short, and one end of
/// the run is several percent larger than the other).
pub(crate) const TOLD_FROM_DEG: f64 = 10.0;
/// Lengths within this of the floor line lie along the run, beyond its complement they stand upright, degrees.
const ALONG_DEG: f64 = 30.0;

/// Size in the picture at a place across it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Seen {
    /// Place across the picture, px.
    pub x: f64,
    /// What goes as 1/depth there, in any unit: px per metre of an upright length, or px of a limb.
    pub size: f64,
    /// Its relative standard uncertainty.
    pub share: f64,
}

/// The lens as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lens {
    /// The picture's width, px.
    pub width: f64,
    /// Focal length, px.
    pub focal: f64,
    /// The field of view is known; if not, the focal length is the least that it may be.
    pub known: bool,
}

impl Lens {
    /// The lens of a picture of that width.
    pub(crate) fn new(width: f64, field_of_view_deg: Option<f64>) -> Self {
        match field_of_view_deg {
            Some(degrees) => Self {
                width,
                focal: width / 2.0 / (degrees / 2.0).to_radians().tan(),
                known: true,
            },
            None => Self {
                width,
                focal: LEAST_FOCAL * width,
                known: false,
            },
        }
    }
}

/// The angle by which the run is turned out of square, from two sizes; positive: the right end is farther away.
///
/// # Returns
/// Degrees with sd, the least there may be where the lens is not known; `None` for one place or sizes that are none.
///
/// A camera 6 m away with f = 1400 px sees 1 m upright as 233 px; 2 m to the right, with the run turned by 20°, the depth is
/// 6.68 m: 209 px, at x = 960 + 394.
pub(crate) fn off_square(one: Seen, other: Seen, lens: Lens) -> Option<Uncertain> {
    let ratio = one.size / other.size;
    let sd = ratio * one.share.hypot(other.share);
    let (a, b) = (one.x - lens.width / 2.0, other.x - lens.width / 2.0);
    let across = ratio * b - a;
    let slope = (ratio - 1.0) / across;
    let slope_sd = sd * (b - a).abs() / (across * across);
    let tangent = slope * lens.focal;
    let degrees = tangent.atan().to_degrees();
    let degrees_sd = (slope_sd * lens.focal / (1.0 + tangent * tangent)).to_degrees();
    (degrees.is_finite() && degrees_sd.is_finite() && across != 0.0).then(|| Uncertain::new(degrees, degrees_sd))
}

/// Whether an angle off square is told: with 90 % it is beyond [`TOLD_FROM_DEG`].
pub(crate) fn told(angle: &Uncertain) -> bool {
    angle.value.abs() - NINETY * angle.sd > TOLD_FROM_DEG
}

/// The angle from the two lengths of a set-up: both upright, or both along the run.
///
/// # Returns
/// `None` where there are not two, or they don't lie the same way.
pub(crate) fn of_lengths(setup: &CameraSetup) -> Option<Uncertain> {
    let (first, second) = (setup.known_length?, setup.second_length?);
    let floor = setup
        .floor_line
        .map_or(0.0, |[a, b]| ((b.1 - a.1) / (b.0 - a.0)).atan());
    let along = |known: &KnownLength| {
        let [a, b] = known.ends;
        let turned = ((b.1 - a.1).atan2(b.0 - a.0) - floor).to_degrees().rem_euclid(180.0);
        let off = turned.min(180.0 - turned);
        (off <= ALONG_DEG || off >= 90.0 - ALONG_DEG).then_some(off <= ALONG_DEG)
    };
    let lies = along(&first)?;
    if along(&second)? != lies {
        return None;
    }
    let seen = |known: &KnownLength| {
        let (metres_per_px, share) = known.scale()?;
        let x = f64::midpoint(known.ends[0].0, known.ends[1].0);
        // A length along the run is turned with it and shortened a second time: by the product of its ends' depths.
        Some(if lies {
            Seen {
                x,
                size: metres_per_px.recip().sqrt(),
                share: share / 2.0,
            }
        } else {
            Seen {
                x,
                size: metres_per_px.recip(),
                share,
            }
        })
    };
    off_square(
        seen(&first)?,
        seen(&second)?,
        Lens::new(setup.picture.0, setup.field_of_view_deg),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where a point of the run is seen, and px per metre upright there: `s` m along the run from where the axis meets it.
    fn pinhole(s: f64, yaw_deg: f64, focal: f64, distance: f64, width: f64) -> (f64, f64) {
        let (sin, cos) = yaw_deg.to_radians().sin_cos();
        let depth = distance + s * sin;
        (width / 2.0 + focal * s * cos / depth, focal / depth)
    }

    #[test]
    fn a_pinhole_gives_its_angle_back() {
        for yaw in [-35.0, -12.0, 0.0, 5.0, 20.0, 40.0] {
            for (s1, s2) in [(-1.5, 2.0), (0.3, 1.7), (2.0, -2.0)] {
                let seen = |s| {
                    let (x, size) = pinhole(s, yaw, 1400.0, 6.0, 1920.0);
                    Seen { x, size, share: 0.01 }
                };
                let lens = Lens {
                    width: 1920.0,
                    focal: 1400.0,
                    known: true,
                };
                let found = off_square(seen(s1), seen(s2), lens).unwrap();
                assert!((found.value - yaw).abs() < 1e-9, "{yaw}: {found:?}");
                // The least focal length gives the least angle.
                let least = off_square(seen(s1), seen(s2), Lens::new(1920.0, None)).unwrap();
                assert!(least.value.abs() <= found.value.abs() + 1e-12);
                // The sd is what a size that is off by one sd does, to the first order.
                let mut off = seen(s1);
                off.size *= 1.0 + 1e-5;
                let moved = off_square(off, seen(s2), lens).unwrap().value - found.value;
                let both = moved.abs() / 1e-5 * 0.01 * std::f64::consts::SQRT_2;
                assert!((both / found.sd - 1.0).abs() < 1e-3, "{both} {}", found.sd);
            }
        }
        let one = Seen {
            x: 700.0,
            size: 200.0,
            share: 0.01,
        };
        assert_eq!(off_square(one, one, Lens::new(1920.0, None)), None);
        assert!((Lens::new(1920.0, Some(68.889_78)).focal / 1400.0 - 1.0).abs() < 1e-3);
    }

    fn setup(yaw: f64, upright: bool) -> CameraSetup {
        let text = "format = \"springline-setup\"\nversion = 1\nname = \"hall\"\nfacing = \"right\"\n\
                    picture = { width = 1920, height = 1080 }\nfield_of_view_deg = 68.889778\n";
        let length = |from: f64| {
            let to = if upright { from } else { from + 1.0 };
            let (a, size) = pinhole(from, yaw, 1400.0, 6.0, 1920.0);
            let (b, _) = pinhole(to, yaw, 1400.0, 6.0, 1920.0);
            let ends = [(a, 900.0), (b, if upright { 900.0 - size } else { 900.0 })];
            Some(KnownLength {
                metres: 1.0,
                ends,
                sd_px: Some(2.0),
            })
        };
        CameraSetup {
            known_length: length(-2.0),
            second_length: length(1.2),
            ..CameraSetup::from_toml("hall.toml", text).unwrap()
        }
    }

    #[test]
    fn two_lengths_tell_the_angle() {
        for upright in [true, false] {
            for yaw in [-25.0, 0.0, 8.0, 20.0] {
                let found = of_lengths(&setup(yaw, upright)).unwrap();
                assert!((found.value - yaw).abs() < 0.5, "{upright} {yaw}: {found:?}");
                assert!(found.sd < 6.0 && found.sd > 0.5);
                assert_eq!(told(&found), yaw.abs() > 15.0, "{found:?}");
            }
        }
        let mixed = CameraSetup {
            second_length: setup(0.0, true).second_length,
            ..setup(0.0, false)
        };
        assert_eq!(of_lengths(&mixed), None);
        assert_eq!(
            of_lengths(&CameraSetup {
                second_length: None,
                ..mixed
            }),
            None
        );
    }
}
