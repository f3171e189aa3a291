//! A film file or a folder of numbered pictures as frames with exact times, in Rust alone.
//!
//! [`Clip::open`] reads the table of contents of an MP4 or MOV file, settles which frames are shown when (edit lists,
//! variable rate, B-frames), and decodes H.264 or HEVC from the nearest key frame as frames are asked for. A film is never
//! held whole: coded frames are read from the file one by one, and only some decoded ones are kept. A panic in a decoder
//! costs the frames that build on the damaged one, no more.
//!
//! A [`Picture`] is as it is to be looked at: turned as the file asks, colours as the stream says.
//!
//! ```no_run
//! use springline_footage::Clip;
//!
//! let mut clip = Clip::open("turn-07.mp4".as_ref())?;
//! for frame in 0..clip.len() {
//!     let time = clip.times()[frame];
//!     let picture = clip.reduced(frame, 4)?;
//!     println!("{time:.3} s: {} x {} px", picture.width(), picture.height());
//! }
//! # Ok::<(), springline_footage::Error>(())
//! ```

mod bits;
mod boxes;
mod clip;
mod contents;
mod decoder;
mod edits;
mod error;
mod export;
mod film;
mod folder;
mod fragment;
mod h264;
mod h265;
mod h265_sets;
mod kind;
pub mod limits;
mod open;
mod outside;
mod picture;
mod planes;
mod way_up;

pub use clip::Clip;
pub use error::Error;
pub use export::{PictureForm, index_text, picture_name};
pub use folder::{INDEX, INDEX_COLUMNS};
pub use picture::Picture;
