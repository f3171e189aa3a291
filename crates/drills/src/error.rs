//! What can go wrong when specs are loaded or looked up.

use std::path::PathBuf;

use crate::problem::Problems;

/// What can go wrong when specs are loaded or looked up.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A file or folder can't be read.
    #[error("{}: cannot be read: {source}; expected a readable {expected}", path.display())]
    Unreadable {
        /// The file or folder.
        path: PathBuf,
        /// `spec file` or `folder of spec files`.
        expected: &'static str,
        /// What the operating system said.
        source: std::io::Error,
    },
    /// One or more files have problems; all of them are listed, one a line.
    #[error("{problems}")]
    Spec {
        /// Every problem.
        problems: Problems,
    },
    /// No drill of that id.
    #[error("unknown drill {id:?}; expected an id of the catalogue{}", meant(nearest.as_ref()))]
    UnknownDrill {
        /// What was asked for.
        id: String,
        /// The nearest id that exists.
        nearest: Option<String>,
    },
    /// The id of a ladder where that of a drill was expected.
    #[error("{id:?} is a ladder of drills; expected one of its drills, such as {drill:?}")]
    LadderNotDrill {
        /// What was asked for.
        id: String,
        /// One of its rungs.
        drill: String,
    },
    /// No ladder of that id.
    #[error("unknown ladder {id:?}; expected an id of the catalogue{}", meant(nearest.as_ref()))]
    UnknownLadder {
        /// What was asked for.
        id: String,
        /// The nearest id that exists.
        nearest: Option<String>,
    },
}

fn meant(nearest: Option<&String>) -> String {
    nearest.map_or_else(String::new, |nearest| format!("; did you mean {nearest:?}?"))
}
