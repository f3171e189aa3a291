//! What can go wrong.

/// Why clicks could not be followed through a clip.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A frame of the clip could not be had.
    #[error(transparent)]
    Footage(#[from] springline_footage::Error),
    /// The clicks were made in a picture of another size.
    #[error(
        "{file}: points in a picture of {} x {} px, expected the clip's {} x {} px", found.0, found.1, expected.0, expected.1
    )]
    OtherSize {
        /// The file of the points.
        file: String,
        /// Size that the file says, px.
        found: (f64, f64),
        /// Size of the clip, px.
        expected: (u32, u32),
    },
    /// A click is far outside the picture.
    #[error(
        "{file}: frame {frame}, {landmark}: a point at {:.0}, {:.0} px, expected one in the clip's {} x {} px", found[0],
        found[1], expected.0, expected.1
    )]
    Outside {
        /// The file of the points.
        file: String,
        /// The frame in the file.
        frame: usize,
        /// The point.
        landmark: &'static str,
        /// Where it is, px.
        found: [f64; 2],
        /// Size of the clip, px.
        expected: (u32, u32),
    },
    /// A frame with points is none of the clip's.
    #[error(
        "{file}: frame {frame} at {time_s:.4} s, expected the time of one of the clip's frames, the nearest is at {nearest_s:.4} s"
    )]
    OtherFrames {
        /// The file of the points.
        file: String,
        /// The frame in the file.
        frame: usize,
        /// Its time, s.
        time_s: f64,
        /// Time of the clip's frame that is nearest, s.
        nearest_s: f64,
    },
    /// More frames than the clip has.
    #[error("{file}: {found} frames, expected at most the clip's {expected}")]
    MoreFrames {
        /// The file of the points.
        file: String,
        /// Frames in the file.
        found: usize,
        /// Frames in the clip.
        expected: usize,
    },
    /// Nothing to follow.
    #[error("{file}: no clicked point, expected some on a few frames")]
    NoClicks {
        /// The file of the points.
        file: String,
    },
    /// The size of the body can't be told.
    #[error(
        "{file}: no size of the body, expected hip, knee and ankle of a side clicked in one frame, or a stature in px"
    )]
    NoStature {
        /// The file of the points.
        file: String,
    },
}
