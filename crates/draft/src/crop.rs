//! Samples a region of a picture into what a model takes in.

use springline_footage::Picture;

use crate::region::Region;

/// The region as `side` × `side` × 3 numbers, row by row, from `low` (black) to 1 (white); black outside the picture.
///
/// `scale` is picture px per px of `picture`, which may be a reduced one.
pub(crate) fn crop(picture: &Picture, scale: f64, region: Region, side: usize, low: f32) -> Vec<f32> {
    let mut out = Vec::with_capacity(side * side * 3);
    let step = region.size / scale / side as f64;
    // Enlarged pictures are sampled once, reduced ones as often as it takes to miss no px.
    let fine = step.ceil().clamp(1.0, 4.0) as usize;
    let spread = 1.0 / (side * fine) as f64;
    let per = (1.0 - low) / (255.0 * (fine * fine) as f32);
    for row in 0..side {
        for column in 0..side {
            let mut sum = [0.0f32; 3];
            for i in 0..fine {
                for j in 0..fine {
                    let u = ((column * fine + j) as f64 + 0.5) * spread;
                    let v = ((row * fine + i) as f64 + 0.5) * spread;
                    let (x, y) = region.to_picture(u, v);
                    add(picture, x / scale, y / scale, &mut sum);
                }
            }
            out.extend(sum.map(|value| low + value * per));
        }
    }
    out
}

/// Adds the bilinear value at a place in px; px centres lie at halves.
fn add(picture: &Picture, x: f64, y: f64, sum: &mut [f32; 3]) {
    let (width, height) = (i64::from(picture.width()), i64::from(picture.height()));
    let (x, y) = (x - 0.5, y - 0.5);
    let (left, top) = (x.floor(), y.floor());
    let (fx, fy) = ((x - left) as f32, (y - top) as f32);
    let (left, top) = (left as i64, top as i64);
    if left < -1 || top < -1 || left >= width || top >= height {
        return;
    }
    let rgb = picture.rgb();
    for (row, weigh_y) in [(top, 1.0 - fy), (top + 1, fy)] {
        for (column, weigh_x) in [(left, 1.0 - fx), (left + 1, fx)] {
            if row < 0 || column < 0 || row >= height || column >= width {
                continue;
            }
            let at = ((row * width + column) * 3) as usize;
            let weight = weigh_x * weigh_y;
            for (sum, &value) in sum.iter_mut().zip(&rgb[at..at + 3]) {
                *sum += weight * f32::from(value);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_a_turn_shows_the_picture_upside_down() {
        let rgb = (0..4 * 4 * 3).map(|i| i as u8 * 5).collect::<Vec<_>>();
        let picture = Picture::new(4, 4, rgb.clone()).expect("the bytes of 4 x 4");
        let whole = Region {
            x: 2.0,
            y: 2.0,
            size: 4.0,
            turn: 0.0,
        };
        let upright = crop(&picture, 1.0, whole, 4, 0.0);
        for (value, byte) in upright.iter().zip(&rgb) {
            assert!((value * 255.0 - f32::from(*byte)).abs() < 0.01);
        }
        let turned = crop(&picture, 1.0, whole.turned(std::f64::consts::PI), 4, 0.0);
        for (i, px) in turned.chunks(3).enumerate() {
            let other = &upright[(15 - i) * 3..(16 - i) * 3];
            assert!(px.iter().zip(other).all(|(a, b)| (a - b).abs() < 1e-3), "px {i}");
        }
        // Outside the picture it is black, whatever black is.
        let beside = Region { x: -20.0, ..whole };
        assert!(crop(&picture, 1.0, beside, 4, -1.0).iter().all(|&value| value == -1.0));
    }
}
