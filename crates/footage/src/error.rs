//! Everything that can be wrong with a clip, each with its place.

use std::io;

use crate::limits::{PIXELS, SIDE_PX};

/// Why a clip, or a frame of it, was refused.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A file could not be opened or read.
    #[error("{file}: cannot be read: {source}")]
    Read {
        /// Path of the file.
        file: String,
        /// What the system said.
        source: io::Error,
    },
    /// A folder could not be listed.
    #[error("{folder}: folder cannot be read: {source}")]
    ReadFolder {
        /// Path of the folder.
        folder: String,
        /// What the system said.
        source: io::Error,
    },
    /// Nothing in the file.
    #[error("{file}: found nothing in it, expected a film")]
    Empty {
        /// Path of the file.
        file: String,
    },
    /// The file is something else.
    #[error("{file}: found {found}, expected a film")]
    NotAFilm {
        /// Path of the file.
        file: String,
        /// What it looks like.
        found: String,
    },
    /// The camera or the copying stopped before the table of contents was written.
    #[error("{file}: found no table of contents (moov), expected one; recording or copying it was not finished")]
    Unfinished {
        /// Path of the file.
        file: String,
    },
    /// A film without pictures.
    #[error("{file}: found {found}, expected a film with pictures")]
    NoPictures {
        /// Path of the file.
        file: String,
        /// What is in it.
        found: String,
    },
    /// A film that is locked.
    #[error("{file}: found an encrypted film, expected one that is not locked")]
    Encrypted {
        /// Path of the file.
        file: String,
    },
    /// A form of film that needs another program.
    #[error(
        "{file}: found {found}, expected H.264 or HEVC in MP4 or MOV; with ffmpeg and ffprobe installed other films open \
         too"
    )]
    Codec {
        /// Path of the file.
        file: String,
        /// Form or codec.
        found: String,
    },
    /// The installed ffmpeg or ffprobe could not read it.
    #[error("{file}: the installed {program} could not read it: {found}")]
    Outside {
        /// Path of the file.
        file: String,
        /// `ffmpeg` or `ffprobe`.
        program: &'static str,
        /// What it said.
        found: String,
    },
    /// Something in the file contradicts itself.
    #[error("{file}: {place}: found {found}, expected {expected}")]
    Damaged {
        /// Path of the file.
        file: String,
        /// Where in it.
        place: String,
        /// What stands there.
        found: String,
        /// What should stand there.
        expected: String,
    },
    /// Larger than is taken; nothing was allocated for it.
    #[error("{file}: found {found}, expected at most {most}")]
    TooLarge {
        /// Path of the file.
        file: String,
        /// What was found, with its unit.
        found: String,
        /// The most that is taken, with its unit.
        most: String,
    },
    /// No frame of the film can be shown.
    #[error("{file}: no frame can be shown: {found}")]
    NothingShown {
        /// Path of the file.
        file: String,
        /// What the first try gave.
        found: String,
    },
    /// One frame cannot be shown; others may.
    #[error("{file}: frame {frame} ({time_s:.3} s) cannot be shown: {found}")]
    Frame {
        /// Path of the file.
        file: String,
        /// The frame, from 0.
        frame: usize,
        /// Its time.
        time_s: f64,
        /// What went wrong.
        found: String,
    },
    /// A frame past the end.
    #[error("{file}: found no frame {frame}, expected one below {frames}")]
    NoSuchFrame {
        /// Path of the file.
        file: String,
        /// The frame asked for, from 0.
        frame: usize,
        /// How many there are.
        frames: usize,
    },
    /// A folder without index and without rate.
    #[error(
        "{folder}: found no index.csv, expected the times of its pictures; give the frames per second of numbered pictures"
    )]
    NoIndex {
        /// Path of the folder.
        folder: String,
    },
    /// A folder with nothing to show.
    #[error("{folder}: found no picture, expected numbered PNG or JPEG files")]
    EmptyFolder {
        /// Path of the folder.
        folder: String,
    },
    /// A picture is missing.
    #[error("{folder}: found no picture {missing} between {before} and {after}, expected one for each number")]
    Hole {
        /// Path of the folder.
        folder: String,
        /// The first number that is missing.
        missing: u64,
        /// The file before the hole.
        before: String,
        /// The file after it.
        after: String,
    },
    /// Two pictures with one number.
    #[error("{folder}: found {first} and {second}, expected one picture for each number")]
    Twice {
        /// Path of the folder.
        folder: String,
        /// One file.
        first: String,
        /// The other.
        second: String,
    },
    /// A picture of another size.
    #[error("{file}: found {found}, expected {expected} like the first picture")]
    PictureSize {
        /// Path of the picture.
        file: String,
        /// Its size.
        found: String,
        /// Size of the clip.
        expected: String,
    },
    /// A picture that cannot be read.
    #[error("{file}: found no picture that can be read ({found}), expected PNG or JPEG")]
    Picture {
        /// Path of the picture.
        file: String,
        /// What the reader said.
        found: String,
    },
    /// A row of a folder's index.
    #[error("{file}: line {line}: found {found}, expected {expected}")]
    Index {
        /// Path of the index.
        file: String,
        /// Line, from 1.
        line: u64,
        /// What stands there.
        found: String,
        /// What should stand there.
        expected: &'static str,
    },
    /// A rate that no camera has.
    #[error("found {found} frames per second, expected 1 to 2000")]
    Rate {
        /// The rate.
        found: f64,
    },
}

impl Error {
    /// A picture beyond the bounds.
    pub(crate) fn too_large(file: &str, width: u64, height: u64) -> Self {
        Self::TooLarge {
            file: file.to_owned(),
            found: format!("a picture of {width} x {height} px"),
            most: format!("{SIDE_PX} px a side and {} million px", PIXELS / 1_000_000),
        }
    }
}
