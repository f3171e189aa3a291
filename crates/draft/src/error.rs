use springline_footage::Error as FilmError;

/// Why nothing was drafted.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A frame can't be had.
    #[error(transparent)]
    Film(#[from] FilmError),
    /// A network can't be read or run.
    #[error("the point model: {what}")]
    Model {
        /// What is wrong.
        what: String,
    },
    /// This program was built without the model.
    #[error(
        "this program was built without the point model: joints can be clicked, tracked and imported, but not drafted"
    )]
    NoWeights,
    /// Nobody was found.
    #[error(
        "nobody found in {frames} frames; expected one athlete in view, upright at some time, at least a sixth as tall as the picture and 48 px"
    )]
    Nobody {
        /// Frames that were looked through.
        frames: usize,
    },
    /// Nobody stands where the athlete was said to be.
    #[error("frame {frame}: nobody found at {x:.0}, {y:.0} px")]
    NotThere {
        /// The frame.
        frame: usize,
        /// Where, px.
        x: f64,
        /// Where, px, down.
        y: f64,
    },
    /// A frame range without frames.
    #[error("frames {first} to {last} of {frames}: expected a range within the clip")]
    Range {
        /// First frame asked for.
        first: usize,
        /// Last frame asked for.
        last: usize,
        /// Frames of the clip.
        frames: usize,
    },
}

impl Error {
    pub(crate) fn model(what: impl std::fmt::Display) -> Self {
        Self::Model { what: what.to_string() }
    }
}
