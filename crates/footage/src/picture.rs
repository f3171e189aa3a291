//! One picture of a clip.

use crate::limits::size_is_taken;

/// A picture as it is to be looked at: 8-bit red, green, blue, row by row from the top left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    width: u32,
    height: u32,
    rgb: Vec<u8>,
}

impl Picture {
    /// A picture of `3 * width * height` bytes; `None` for another length, no pixel, or a size beyond
    /// [`limits`](crate::limits).
    pub fn new(width: u32, height: u32, rgb: Vec<u8>) -> Option<Self> {
        let fits = size_is_taken(width, height) && rgb.len() as u64 == 3 * u64::from(width) * u64::from(height);
        fits.then_some(Self { width, height, rgb })
    }

    /// Width, px.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Height, px.
    pub fn height(&self) -> u32 {
        self.height
    }

    /// Red, green and blue of each pixel, row by row.
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    /// Brightness of each pixel, row by row, with the weights 0.299, 0.587, 0.114.
    pub fn grey(&self) -> Vec<u8> {
        let grey = |c: &[u8]| {
            let sum = 19_595 * u32::from(c[0]) + 38_470 * u32::from(c[1]) + 7_471 * u32::from(c[2]);
            ((sum + 32_768) >> 16) as u8
        };
        self.rgb.chunks_exact(3).map(grey).collect()
    }

    /// The picture with `factor` × `factor` pixels made one by their mean.
    ///
    /// A side that `factor` doesn't divide gets one more pixel, the mean of what is left: pixel `x` of the full picture
    /// lies in pixel `x / factor`. Factors below 2 give a copy.
    pub fn reduced(&self, factor: u32) -> Self {
        if factor < 2 {
            return self.clone();
        }
        let (wide, high) = (self.width as usize, self.height as usize);
        let step = factor as usize;
        let (width, height) = (self.width.div_ceil(factor), self.height.div_ceil(factor));
        let mut rgb = Vec::with_capacity(3 * width as usize * height as usize);
        let mut sums = vec![0u32; 3 * width as usize];
        for top in (0..high).step_by(step) {
            let rows = step.min(high - top);
            sums.fill(0);
            for row in self.rgb.chunks_exact(3 * wide).skip(top).take(rows) {
                for (cell, pixels) in sums.chunks_exact_mut(3).zip(row.chunks(3 * step)) {
                    for pixel in pixels.chunks_exact(3) {
                        for (sum, part) in cell.iter_mut().zip(pixel) {
                            *sum += u32::from(*part);
                        }
                    }
                }
            }
            for (index, cell) in sums.chunks_exact(3).enumerate() {
                let count = (rows * step.min(wide - index * step)) as u32;
                rgb.extend(cell.iter().map(|sum| ((sum + count / 2) / count) as u8));
            }
        }
        Self { width, height, rgb }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrong_lengths_and_sizes_are_refused() {
        assert!(Picture::new(2, 1, vec![0; 6]).is_some());
        assert!(Picture::new(2, 1, vec![0; 5]).is_none());
        assert!(Picture::new(0, 1, Vec::new()).is_none());
        assert!(Picture::new(u32::MAX, u32::MAX, Vec::new()).is_none());
    }

    #[test]
    fn brightness_of_plain_colours() {
        let picture = Picture::new(3, 1, vec![255, 255, 255, 255, 0, 0, 0, 0, 0]).unwrap();
        assert_eq!(picture.grey(), [255, 76, 0]);
    }

    #[test]
    fn a_reduced_picture_holds_means_and_what_is_left_at_the_edges() {
        let rgb: Vec<u8> = (0..15).flat_map(|k| [k * 10, 0, 7]).collect();
        let picture = Picture::new(5, 3, rgb).unwrap();
        let small = picture.reduced(2);
        assert_eq!((small.width(), small.height()), (3, 2));
        // (0 + 10 + 50 + 60) / 4; the last column alone: (40 + 90) / 2; the last row alone.
        assert_eq!(small.rgb()[..3], [30, 0, 7]);
        assert_eq!(small.rgb()[6..9], [65, 0, 7]);
        assert_eq!(small.rgb()[9..12], [105, 0, 7]);
        assert_eq!(small.rgb()[15..18], [140, 0, 7]);
        assert_eq!(picture.reduced(1), picture);
        assert_eq!(picture.reduced(u32::MAX).width(), 1);
    }
}
