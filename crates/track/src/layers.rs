//! A part of a picture at three scales, softened against noise, to be sampled between pixels.

use crate::picture::Grey;

/// Scales: whole, half and quarter.
pub(crate) const LAYERS: usize = 3;

/// Part of a frame at three scales.
#[derive(Clone, Debug)]
pub(crate) struct Layers {
    left: f32,
    top: f32,
    layers: [Grey; LAYERS],
}

/// Value and slope at a place, slope per px of the whole picture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Touch {
    pub value: f32,
    pub slope: [f32; 2],
}

impl Layers {
    /// `part` starts at (`left`, `top`) of the picture.
    #[allow(clippy::cast_precision_loss)]
    pub(crate) fn new(part: &Grey, left: usize, top: usize) -> Self {
        let whole = softened(part);
        let half = halved(&softened(&whole));
        let quarter = halved(&softened(&half));
        Self {
            left: left as f32,
            top: top as f32,
            layers: [whole, half, quarter],
        }
    }

    /// The places in the layer's pixels, with what is past the edges moved to them.
    #[inline]
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss
    )]
    fn cell(&self, layer: usize, x: f32, y: f32) -> ([f32; 4], f32, f32) {
        let picture = &self.layers[layer];
        let scale = 1.0 / (1_u32 << layer) as f32;
        let most = |side: usize| ((side - 1) as f32 - 1e-3).max(0.0);
        // The middle of the first pixel lies half a pixel from the picture's corner.
        let x = ((x - 0.5 - self.left) * scale).clamp(0.0, most(picture.width()));
        let y = ((y - 0.5 - self.top) * scale).clamp(0.0, most(picture.height()));
        let (column, row) = (x as usize, y as usize);
        let (right, down) = (x - column as f32, y - row as f32);
        let at = row * picture.width() + column;
        let pixels = picture.pixels();
        let below = at + picture.width();
        let corners = match (pixels.get(at..at + 2), pixels.get(below..below + 2)) {
            (Some(a), Some(b)) => [a[0], a[1], b[0], b[1]],
            _ => [pixels[at.min(pixels.len() - 1)]; 4],
        };
        (corners.map(f32::from), right, down)
    }

    /// The value at a place of the picture.
    #[inline]
    pub(crate) fn value(&self, layer: usize, x: f32, y: f32) -> f32 {
        let ([a, b, c, d], right, down) = self.cell(layer, x, y);
        let upper = a + (b - a) * right;
        let lower = c + (d - c) * right;
        upper + (lower - upper) * down
    }

    /// Value and slope at a place of the picture.
    #[inline]
    #[allow(clippy::cast_precision_loss)]
    pub(crate) fn touch(&self, layer: usize, x: f32, y: f32) -> Touch {
        let step = (1_u32 << layer) as f32 * 0.5;
        let along = self.value(layer, x + step, y) - self.value(layer, x - step, y);
        let down = self.value(layer, x, y + step) - self.value(layer, x, y - step);
        Touch {
            value: self.value(layer, x, y),
            slope: [along / (2.0 * step), down / (2.0 * step)],
        }
    }
}

/// Softened by 1 4 6 4 1 both ways.
fn softened(picture: &Grey) -> Grey {
    let (width, height) = (picture.width(), picture.height());
    let sum = |a: u8, b: u8, c: u8, d: u8, e: u8| {
        u16::from(a) + u16::from(e) + 4 * (u16::from(b) + u16::from(d)) + 6 * u16::from(c)
    };
    let mut rows = vec![0_u16; width * height];
    for (row, out) in picture.pixels().chunks_exact(width).zip(rows.chunks_exact_mut(width)) {
        for x in 0..width {
            let at = |step: usize, back: bool| {
                row[if back {
                    x.saturating_sub(step)
                } else {
                    (x + step).min(width - 1)
                }]
            };
            out[x] = if x >= 2 && x + 2 < width {
                sum(row[x - 2], row[x - 1], row[x], row[x + 1], row[x + 2])
            } else {
                sum(at(2, true), at(1, true), row[x], at(1, false), at(2, false))
            };
        }
    }
    let mut pixels = vec![0_u8; width * height];
    for (y, out) in pixels.chunks_exact_mut(width).enumerate() {
        let row = |step: usize, back: bool| {
            let y = if back {
                y.saturating_sub(step)
            } else {
                (y + step).min(height - 1)
            };
            &rows[y * width..(y + 1) * width]
        };
        let (a, b, c, d, e) = (row(2, true), row(1, true), row(0, true), row(1, false), row(2, false));
        for x in 0..width {
            let sum = u32::from(a[x]) + u32::from(e[x]) + 4 * (u32::from(b[x]) + u32::from(d[x])) + 6 * u32::from(c[x]);
            out[x] = ((sum + 128) >> 8).min(255) as u8;
        }
    }
    Grey::new(width, height, pixels).unwrap_or_else(|| picture.clone())
}

/// Every second pixel of every second row.
fn halved(picture: &Grey) -> Grey {
    let (width, height) = (picture.width().div_ceil(2), picture.height().div_ceil(2));
    let rows = picture.pixels().chunks_exact(picture.width()).step_by(2);
    let pixels = rows.flat_map(|row| row.iter().step_by(2)).copied().collect();
    Grey::new(width, height, pixels).unwrap_or_else(|| picture.clone())
}
