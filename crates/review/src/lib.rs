//! (crate guide follows)
