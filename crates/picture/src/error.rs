//! Why there is no picture.

/// Why there is no picture.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// More room than a picture has.
    #[error("a picture of {wide} x {high} px, expected at most {most} px each way")]
    TooLarge {
        /// Width, px.
        wide: u32,
        /// Height, px.
        high: u32,
        /// The most, px.
        most: u32,
    },
    /// The picture could not be packed as PNG.
    #[error("the picture could not be packed as PNG: {0}")]
    Packing(String),
}
