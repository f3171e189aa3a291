//! The colour of what somebody wears, within one recording.

use springline_footage::Picture;

use crate::moving::Patch;

/// Half the side of what is measured, as a share of the side of a square as large as the body.
const MIDDLE: f64 = 0.2;

/// Red, green and blue of somebody's clothing, 0 to 255.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Colour(pub [f64; 3]);

impl Colour {
    /// How unlike two colours are: hue and saturation count three times as much as brightness, which changes with the light.
    #[must_use]
    pub fn unlike(self, other: Self) -> f64 {
        let parts = |Colour([r, g, b]): Colour| {
            let bright = (r + g + b) / 3.0;
            [bright / 3.0, r - bright, g - bright, b - bright]
        };
        let (one, two) = (parts(self), parts(other));
        one.iter().zip(two).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
    }

    /// The colour in the middle of several, each part by itself.
    #[must_use]
    pub fn middle(colours: &[Self]) -> Option<Self> {
        if colours.is_empty() {
            return None;
        }
        Some(Self(std::array::from_fn(|part| {
            let mut values: Vec<f64> = colours.iter().map(|colour| colour.0[part]).collect();
            values.sort_by(f64::total_cmp);
            values[values.len() / 2]
        })))
    }

    /// As `#rrggbb`.
    #[must_use]
    pub fn hex(self) -> String {
        let [r, g, b] = self.0.map(|part| part.round().clamp(0.0, 255.0) as u8);
        format!("#{r:02x}{g:02x}{b:02x}")
    }

    /// From `#rrggbb`.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6)?;
        if !digits.bytes().all(|digit| digit.is_ascii_hexdigit()) {
            return None;
        }
        let part = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
        Some(Self([part(0)?, part(2)?, part(4)?].map(f64::from)))
    }
}

/// The median colour about the middle of a patch: of a body, its clothing. `smaller`: px of the picture per small px;
/// `is_body`: whether a small px is the body's.
pub(crate) fn of_patch(
    picture: &Picture,
    smaller: usize,
    patch: &Patch,
    is_body: impl Fn(usize, usize) -> bool,
) -> Option<Colour> {
    let half = (MIDDLE * (patch.area as f64).sqrt()).max(1.0);
    let (wide, high) = (picture.width() as usize, picture.height() as usize);
    let span = |middle: f64, low: usize, high: usize| {
        let from = (middle - half).max(low as f64) as usize;
        from..=((middle + half) as usize).min(high)
    };
    let mut found = Vec::new();
    for y in span(patch.middle.1, patch.top, patch.bottom) {
        for x in span(patch.middle.0, patch.left, patch.right) {
            if !is_body(x, y) {
                continue;
            }
            for row in (y * smaller..(y + 1) * smaller).take_while(|row| *row < high) {
                for column in (x * smaller..(x + 1) * smaller).take_while(|column| *column < wide) {
                    let at = 3 * (row * wide + column);
                    found.push(Colour([0, 1, 2].map(|part| f64::from(picture.rgb()[at + part]))));
                }
            }
        }
    }
    Colour::middle(&found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brightness_counts_less_than_hue() {
        let (red, dark_red, blue) = (
            Colour([200.0, 30.0, 30.0]),
            Colour([150.0, 20.0, 20.0]),
            Colour([30.0, 30.0, 200.0]),
        );
        assert!(red.unlike(dark_red) < red.unlike(blue) / 3.0);
        assert_eq!(red.unlike(red), 0.0);
        assert_eq!(Colour::from_hex("#c81e1e"), Some(red));
        assert_eq!(red.hex(), "#c81e1e");
        for wrong in ["c81e1e", "#c81e1", "#c81e1g", "#+12345", "#\u{e9}1e1e", ""] {
            assert_eq!(Colour::from_hex(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn the_middle_of_a_body_is_measured_and_no_wall() {
        // A red middle, blue ends, a grey wall.
        let rgb: Vec<u8> = (0..40 * 100)
            .flat_map(|px| match (px % 40, px / 40) {
                (10..30, 40..60) => [200, 30, 30],
                (10..30, _) => [30, 30, 200],
                _ => [90, 90, 90],
            })
            .collect();
        let picture = Picture::new(40, 100, rgb).expect("40 x 100 px");
        let patch = Patch {
            left: 0,
            right: 19,
            top: 0,
            bottom: 49,
            area: 500,
            change: 1.0,
            middle: (9.5, 24.5),
            lean: 0.0,
            long: 5.0,
        };
        let colour = of_patch(&picture, 2, &patch, |x, _| (5..15).contains(&x));
        assert_eq!(colour.map(Colour::hex).as_deref(), Some("#c81e1e"));
        assert_eq!(of_patch(&picture, 2, &patch, |_, _| false), None);
    }
}
