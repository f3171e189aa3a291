//! Why there is no review.

use std::path::PathBuf;

use springline_kinematics::trial::TrialError;

/// Why there is no review.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The keypoint file was refused.
    #[error(transparent)]
    Import(#[from] springline_keypoints::Error),
    /// A film can't be read.
    #[error(transparent)]
    Footage(#[from] springline_footage::Error),
    /// Nothing could be drafted on a film.
    #[error("{file}: {source}")]
    Draft {
        /// Path of the film.
        file: String,
        /// Why.
        source: springline_draft::Error,
    },
    /// Clicks could not be followed through a film.
    #[error(transparent)]
    Track(#[from] springline_track::Error),
    /// A drill is unknown or its spec has problems.
    #[error(transparent)]
    Drill(#[from] springline_drills::Error),
    /// The points cannot be measured.
    #[error("{file}: found {source}")]
    Trial {
        /// Path of the file.
        file: String,
        /// Why.
        source: TrialError,
    },
    /// A surface's height in metres says nothing without a scale.
    #[error(
        "{file}: found a height of {metres} m for the surface under the {under} and no scale, expected a marked length or \
         metres per px with it, or a point on the surface's edge"
    )]
    HeightWithoutScale {
        /// Path of the file.
        file: String,
        /// `hands` or `feet`.
        under: &'static str,
        /// The height.
        metres: f64,
    },
    /// Neither the file nor the coach says which drill it is.
    #[error("{file}: found no drill in the file, expected one; name the drill")]
    NoDrill {
        /// Path of the file.
        file: String,
    },
    /// A setting out of its range.
    #[error("{setting}: found {found}, expected {expected}")]
    Setting {
        /// Name of the setting.
        setting: &'static str,
        /// What was given.
        found: String,
        /// What is allowed.
        expected: String,
    },
    /// A picture could not be made.
    #[error(transparent)]
    Picture(#[from] springline_picture::Error),
    /// No event was found, so there is nothing to make a picture of.
    #[error("{file}: found no event to make a picture of, expected one at least")]
    NoEvent {
        /// Path of the file.
        file: String,
    },
    /// Something is where a file shall be written.
    #[error("{}: found {found}, expected a new file", path.display())]
    Exists {
        /// Where.
        path: PathBuf,
        /// What is there.
        found: &'static str,
    },
    /// A result would be written over a file that it is made from.
    #[error("{}: found {input}, which is read here, expected another file to write to", path.display())]
    OverInput {
        /// Where it would be written.
        path: PathBuf,
        /// What is read, as it was named.
        input: String,
    },
    /// A file stands where a folder is to be written.
    #[error("{}: found a file, expected a folder", path.display())]
    NotAFolder {
        /// Where.
        path: PathBuf,
    },
    /// A file or folder could not be read.
    #[error("{}: cannot be read: {source}", path.display())]
    Read {
        /// Which.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file or folder could not be written.
    #[error("{}: cannot be written: {source}", path.display())]
    Write {
        /// Which.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A folder without attempts.
    #[error("{}: found {found} in it, expected keypoint files", path.display())]
    NothingFound {
        /// The folder.
        path: PathBuf,
        /// What is in it instead.
        found: &'static str,
    },
    /// A folder of attempts was expected, and it holds the frames of one.
    #[error("{}: found one attempt with a JSON file for each frame, expected a folder of attempts", path.display())]
    OneAttempt {
        /// The folder.
        path: PathBuf,
    },
    /// A manifest with problems; all of them are listed, one a line.
    #[error("{}", problems.join("\n"))]
    Manifest {
        /// Every problem: file, line, what was found, what was expected.
        problems: Vec<String>,
    },
    /// The folder holds what came of a batch of other attempts, by another drill or with other options.
    #[error(
        "{}: found the results of {what} in it ({held}), expected a folder of its own for each batch",
        path.display()
    )]
    OtherBatch {
        /// The folder.
        path: PathBuf,
        /// How that batch differs.
        what: &'static str,
        /// Its attempts and its drill.
        held: String,
    },
    /// Another run writes to the same folder.
    #[error("{}: found in use by another run, expected a folder of its own for each", path.display())]
    Busy {
        /// The journal.
        path: PathBuf,
    },
}
