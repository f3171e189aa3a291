//! The hall's light: lamps above, a window, and what the floor throws back.

use super::dress::Surface;
use super::space::{V3, unit_or, v};

/// Where light comes from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Light {
    /// Toward the strongest source, length 1.
    pub key: V3,
    pub key_tone: V3,
    pub sky: V3,
    pub floor: V3,
}

impl Light {
    /// Lamps above with the window on one side.
    pub fn new(lean: f32, warmth: f32) -> Self {
        Self {
            key: v(lean, 0.86, 0.52).normalize(),
            key_tone: v(0.92 + 0.08 * warmth, 0.90, 0.86 - 0.1 * warmth),
            sky: v(0.52, 0.54, 0.57),
            floor: v(0.21, 0.20, 0.20),
        }
    }

    /// What a surface sends toward the eye. `open`: share of the surroundings that it sees; `lit`: share of
    /// the strongest source.
    pub fn shade(&self, surface: &Surface, normal: V3, to_eye: V3, open: f32, lit: f32) -> V3 {
        let normal = unit_or(normal + surface.bend, normal);
        // Light goes a little round the edge, as in skin and cloth.
        let facing = ((normal.dot(&self.key) + 0.18) / 1.18).max(0.0);
        let up = 0.5 + 0.5 * normal.y;
        let around = (up * self.sky + (1.0 - up) * self.floor) * open;
        let half = unit_or(self.key + to_eye, normal);
        let shine = surface.gloss * normal.dot(&half).max(0.0).powi(18) * lit;
        let light = facing * lit * self.key_tone + around;
        surface.tone.component_mul(&light) + shine * self.key_tone
    }
}
