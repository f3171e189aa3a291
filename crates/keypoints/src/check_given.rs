//! What the coach gives besides a file, held to what can be.

use std::ops::RangeInclusive;

use crate::error::Error;
use crate::marks::{KNOWN_LENGTHS_M, METRES_PER_PX, STATURES_M, SURFACE_HEIGHTS_M};
use crate::numbers::in_short;
use crate::{Given, SurfaceAt};

/// Any length in a picture, px.
const ABOVE_0: RangeInclusive<f64> = f64::MIN_POSITIVE..=1e6;

/// Any place in a picture, px.
const PLACES: RangeInclusive<f64> = -1e6..=1e6;

impl Given {
    /// Whether every number can be: a stature in cm, px per metre or a point at infinity cannot.
    ///
    /// # Errors
    /// [`Error::Shape`] with the first entry that cannot.
    pub(crate) fn check(&self, file: &str) -> Result<(), Error> {
        let surface = |at: Option<SurfaceAt>| match at {
            Some(SurfaceAt::OverFloorM(height)) => (Some(height), None),
            Some(SurfaceAt::Marked(place)) => (None, Some(place)),
            None => (None, None),
        };
        let (hands_m, hands_at) = surface(self.hand_surface);
        let (feet_m, feet_at) = surface(self.foot_surface);
        let numbers = [
            ("stature_m", self.stature_m, &STATURES_M, " m"),
            ("stature_px", self.stature_px, &ABOVE_0, " px"),
            ("floor_line_sd_px", self.floor_line_sd_px, &ABOVE_0, " px"),
            (
                "metres_per_px",
                self.metres_per_px.map(|(scale, _)| scale),
                &METRES_PER_PX,
                " metres per px",
            ),
            (
                "metres_per_px",
                self.metres_per_px.map(|(_, share)| share),
                &(0.0..=1.0),
                " of doubt",
            ),
            (
                "known_length",
                self.known_length.map(|length| length.metres),
                &KNOWN_LENGTHS_M,
                " m",
            ),
            (
                "known_length",
                self.known_length.and_then(|length| length.sd_px),
                &ABOVE_0,
                " px",
            ),
            ("hand_surface", hands_m, &SURFACE_HEIGHTS_M, " m"),
            ("foot_surface", feet_m, &SURFACE_HEIGHTS_M, " m"),
        ];
        let shape = |key: &str, found: String, expected: String| Error::Shape {
            file: file.to_owned(),
            place: format!("given.{key}"),
            found,
            expected,
        };
        for (key, value, range, unit) in numbers {
            if let Some(value) = value.filter(|value| !range.contains(value)) {
                let expected = if *range == ABOVE_0 {
                    "a number above 0".to_owned()
                } else {
                    format!("{} to {}{unit}", range.start(), range.end())
                };
                return Err(shape(key, format!("{}{unit}", in_short(value)), expected));
            }
        }
        let ends = self.known_length.map(|length| length.ends);
        for (key, line) in [("floor_line", self.floor_line), ("known_length", ends)] {
            if line.is_some_and(|[a, b]| a == b) {
                let (found, expected) = ("the same point twice", "two points apart from each other");
                return Err(shape(key, found.to_owned(), expected.to_owned()));
            }
        }
        let points = self
            .floor_line
            .into_iter()
            .chain(ends)
            .flatten()
            .chain(hands_at)
            .chain(feet_at);
        for number in points.flat_map(|(x, y)| [x, y]) {
            if !PLACES.contains(&number) {
                return Err(shape(
                    "a marked point",
                    in_short(number),
                    "a place in the picture, px".to_owned(),
                ));
            }
        }
        if let Some((kind, time)) = self.events.iter().find(|(_, time)| !time.is_finite()) {
            return Err(shape(
                &format!("events.{}", kind.id()),
                time.to_string(),
                "a time in s".to_owned(),
            ));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::KnownLength;

    #[test]
    fn what_cannot_be_is_refused() {
        let words = |given: Given| given.check("x").map_err(|error| error.to_string());
        let good = Given {
            stature_m: Some(1.42),
            stature_px: Some(490.0),
            metres_per_px: Some((0.0029, 0.01)),
            known_length: Some(KnownLength {
                metres: 1.2,
                ends: [(0.0, 900.0), (400.0, 900.0)],
                sd_px: None,
            }),
            floor_line: Some([(0.0, 905.0), (1920.0, 898.0)]),
            hand_surface: Some(SurfaceAt::OverFloorM(0.45)),
            ..Given::default()
        };
        assert_eq!(words(good.clone()), Ok(()));
        let cm = Given {
            stature_m: Some(142.0),
            ..good.clone()
        };
        assert_eq!(
            words(cm).unwrap_err(),
            "x: given.stature_m: found 142 m, expected 0.5 to 2.5 m"
        );
        let px_per_metre = Given {
            metres_per_px: Some((345.0, 0.01)),
            ..good.clone()
        };
        assert!(
            words(px_per_metre)
                .unwrap_err()
                .contains("given.metres_per_px: found 345 metres per px, expected ")
        );
        let nowhere = Given {
            hand_surface: Some(SurfaceAt::Marked((f64::NAN, 1.0))),
            ..good.clone()
        };
        assert!(
            words(nowhere)
                .unwrap_err()
                .contains("found NaN, expected a place in the picture, px")
        );
        let spot = Given {
            floor_line: Some([(1.0, 1.0); 2]),
            ..good.clone()
        };
        assert!(
            words(spot)
                .unwrap_err()
                .contains("given.floor_line: found the same point twice")
        );
        let flat = Given {
            stature_px: Some(0.0),
            ..good
        };
        assert!(
            words(flat)
                .unwrap_err()
                .contains("found 0 px, expected a number above 0")
        );
    }
}
