//! Grey pictures, and where they come from.

use springline_footage::Clip;

use crate::Error;

/// A grey picture, a byte a pixel, row by row from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grey {
    width: usize,
    height: usize,
    pixels: Vec<u8>,
}

impl Grey {
    /// From pixels row by row; `None` if they are not width × height, or none.
    #[must_use]
    pub fn new(width: usize, height: usize, pixels: Vec<u8>) -> Option<Self> {
        let fits = width > 0 && height > 0 && width.checked_mul(height) == Some(pixels.len());
        fits.then_some(Self { width, height, pixels })
    }

    /// Width, px.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height, px.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// The pixels, row by row from the top.
    #[must_use]
    pub fn pixels(&self) -> &[u8] {
        &self.pixels
    }

    /// The part that starts at (`left`, `top`), as far as the picture goes, one pixel at least.
    pub(crate) fn part(&self, left: usize, top: usize, width: usize, height: usize) -> Self {
        let (left, top) = (left.min(self.width - 1), top.min(self.height - 1));
        let width = width.clamp(1, self.width - left);
        let height = height.clamp(1, self.height - top);
        let rows = self.pixels.chunks_exact(self.width).skip(top).take(height);
        Self {
            width,
            height,
            pixels: rows.flat_map(|row| &row[left..left + width]).copied().collect(),
        }
    }
}

/// The frames of a clip as grey pictures of one size.
pub trait Frames {
    /// Time of each frame, s, rising.
    fn times(&self) -> &[f64];
    /// Width and height of every picture, px.
    fn size(&self) -> (u32, u32);
    /// A frame, counted from 0.
    ///
    /// # Errors
    /// For a frame that can't be had.
    fn grey(&mut self, frame: usize) -> Result<Grey, Error>;
}

impl Frames for Clip {
    fn times(&self) -> &[f64] {
        Clip::times(self)
    }

    fn size(&self) -> (u32, u32) {
        (self.width(), self.height())
    }

    fn grey(&mut self, frame: usize) -> Result<Grey, Error> {
        let picture = self.picture(frame)?;
        Ok(Grey {
            width: picture.width() as usize,
            height: picture.height() as usize,
            pixels: picture.grey(),
        })
    }
}
