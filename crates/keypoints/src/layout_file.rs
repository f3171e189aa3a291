//! Layout files.

/// Where things sit in a file.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shape;
