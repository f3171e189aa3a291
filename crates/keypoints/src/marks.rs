//! Lengths and surfaces that a coach marks in the picture or gives in metres.

use std::ops::RangeInclusive;

/// Relative standard uncertainty of a scale that comes without one (our choice: a marked length is seldom nearer to the
/// plane of motion than that).
pub const GIVEN_SCALE_SD: f64 = 0.01;
/// Standard uncertainty per axis of a marked point where none is given, px (our choice: a careful click).
pub const MARKED_POINT_SD_PX: f64 = 3.0;

/// Metres per px that a picture can have; a number beyond is most likely px per metre.
pub const METRES_PER_PX: RangeInclusive<f64> = 0.0001..=0.1;
/// Standing heights, m; a number beyond is most likely in cm.
pub const STATURES_M: RangeInclusive<f64> = 0.5..=2.5;
/// Lengths that can be marked, m.
pub const KNOWN_LENGTHS_M: RangeInclusive<f64> = 0.05..=30.0;
/// Heights of a surface over the floor of the entry, m; negative: lower than it.
pub const SURFACE_HEIGHTS_M: RangeInclusive<f64> = -3.0..=3.0;

/// A length that is known in metres and was marked in the picture, in the plane of motion: a block, a panel, a mat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownLength {
    /// Its length, m.
    pub metres: f64,
    /// Its two ends, px of the picture.
    pub ends: [(f64, f64); 2],
    /// Standard uncertainty per axis of the ends, px; `None`: [`MARKED_POINT_SD_PX`].
    pub sd_px: Option<f64>,
}

impl KnownLength {
    /// Metres per px and its relative standard uncertainty: `√2 s / L` of the two ends, and [`GIVEN_SCALE_SD`] for the
    /// plane in quadrature.
    ///
    /// # Returns
    /// `None` for ends on one spot, or numbers that are none.
    ///
    /// ```
    /// use springline_keypoints::KnownLength;
    /// // A panel of 1.2 m that is 400 px wide in the picture, its ends clicked to 2 px.
    /// let panel = KnownLength { metres: 1.2, ends: [(300.0, 880.0), (700.0, 880.0)], sd_px: Some(2.0) };
    /// let (metres_per_px, share) = panel.scale().expect("a length");
    /// assert!((metres_per_px - 0.003).abs() < 1e-12);
    /// assert!((share - (0.01f64.powi(2) + 2.0 * (2.0f64 / 400.0).powi(2)).sqrt()).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn scale(&self) -> Option<(f64, f64)> {
        let [(x1, y1), (x2, y2)] = self.ends;
        let px = (x2 - x1).hypot(y2 - y1);
        let value = self.metres / px;
        let clicks = std::f64::consts::SQRT_2 * self.sd_px.unwrap_or(MARKED_POINT_SD_PX) / px;
        (value.is_finite() && value > 0.0).then(|| (value, clicks.hypot(GIVEN_SCALE_SD)))
    }
}

/// Where a surface lies that the hands or feet come down on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SurfaceAt {
    /// Height over the floor of the entry, m; negative: lower than it.
    OverFloorM(f64),
    /// A point on its top edge, px of the picture.
    Marked((f64, f64)),
}
