//! Frames of a clip as files: which ones, and what stands in them.

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder as _};

use crate::clip::Clip;
use crate::folder::INDEX_COLUMNS;
use crate::picture::Picture;

/// Quality of JPEG files, of 100.
const JPEG_QUALITY: u8 = 95;

/// Form of a picture file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureForm {
    /// Every pixel as it is.
    Png,
    /// Smaller, nearly as it is.
    Jpeg,
}

impl PictureForm {
    /// Ending of the file's name.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Png => "png",
            Self::Jpeg => "jpg",
        }
    }
}

impl Picture {
    /// The bytes of a picture file; `None` if the encoder fails, which no picture of this crate's sizes makes it do.
    pub fn encoded(&self, form: PictureForm) -> Option<Vec<u8>> {
        let mut bytes = Vec::new();
        let (rgb, width, height) = (self.rgb(), self.width(), self.height());
        let done = match form {
            PictureForm::Png => PngEncoder::new_with_quality(&mut bytes, CompressionType::Fast, FilterType::Adaptive)
                .write_image(rgb, width, height, ExtendedColorType::Rgb8),
            PictureForm::Jpeg => JpegEncoder::new_with_quality(&mut bytes, JPEG_QUALITY).write_image(
                rgb,
                width,
                height,
                ExtendedColorType::Rgb8,
            ),
        };
        done.is_ok().then_some(bytes)
    }
}

impl Clip {
    /// Every `every`th frame whose time lies from `from_s` to `to_s`, both included; the first of them is among them.
    pub fn frames_between(&self, from_s: Option<f64>, to_s: Option<f64>, every: usize) -> Vec<usize> {
        let inside = |time: f64| from_s.is_none_or(|from| time >= from) && to_s.is_none_or(|to| time <= to);
        let frames = (0..self.len()).filter(|frame| inside(self.times()[*frame]));
        frames.step_by(every.max(1)).collect()
    }
}

/// Name of the file of a frame.
pub fn picture_name(frame: usize, form: PictureForm) -> String {
    format!("frame-{frame:06}.{}", form.ending())
}

/// The index of a folder of pictures: frame, time and file of each. Times are written so that they read back to the bit.
pub fn index_text(rows: &[(usize, f64, String)]) -> String {
    let mut text = INDEX_COLUMNS.join(",") + "\n";
    for (frame, time, file) in rows {
        text.push_str(&format!("{frame},{time},{file}\n"));
    }
    text
}
