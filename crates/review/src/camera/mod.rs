//! Whether the camera stood as the measures take it to stand.

pub(crate) mod square;

mod in_words;

pub use in_words::setup_in_words;
