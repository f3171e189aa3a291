//! Bounds on what a film or a folder may hold, checked before memory is taken for it.

/// Longest side of a picture, px.
pub const SIDE_PX: u32 = 8_192;
/// Most pixels of a picture.
pub const PIXELS: u64 = 40_000_000;
/// Most frames of a clip.
pub const FRAMES: usize = 2_000_000;
/// Largest table of contents of a film, bytes.
pub const CONTENTS_BYTES: u64 = 256 << 20;
/// Largest coded frame, bytes.
pub const FRAME_BYTES: u64 = 64 << 20;
/// Reference pictures that a stream may ask a decoder to hold, bytes.
pub const HELD_BYTES: u64 = 400 << 20;
/// Decoded frames that are kept, bytes.
pub(crate) const KEPT_BYTES: usize = 160 << 20;
/// Most boxes at the top level of a film.
pub(crate) const BOXES: usize = 4_000_000;
/// Largest index of a folder of pictures, bytes.
pub(crate) const INDEX_BYTES: u64 = 256 << 20;

/// Whether a picture of this size is taken.
pub(crate) fn size_is_taken(width: u32, height: u32) -> bool {
    width > 0 && height > 0 && width <= SIDE_PX && height <= SIDE_PX && u64::from(width) * u64::from(height) <= PIXELS
}

/// Whether a decoder may hold so many pictures of that size; at most 16, as the standards say.
pub(crate) fn held_is_taken(width: u32, height: u32, bits: u32, pictures: u32) -> bool {
    let samples = u64::from(width) * u64::from(height) * 3 / 2;
    pictures <= 17 && samples * if bits > 8 { 2 } else { 1 } * u64::from(pictures) <= HELD_BYTES
}
