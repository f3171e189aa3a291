//! A drill by id or spec file.

use std::path::Path;

use springline_drills::{Catalogue, Drill, Error};

/// The drill that a coach named: an id of the catalogue, or a spec file (relative to `base`).
///
/// A name that ends in `.toml` or has a folder in it is a file; so is one that is no id but is there.
///
/// # Errors
/// Unknown id with the nearest; every problem of the file.
pub fn find_drill(catalogue: &Catalogue, name: &str, base: &Path) -> Result<Drill, Error> {
    let path = base.join(name);
    let looks_like_a_file = name.ends_with(".toml") || name.contains(['/', std::path::MAIN_SEPARATOR]);
    if looks_like_a_file {
        return catalogue.load_drill(&path);
    }
    match catalogue.drill(name) {
        Ok(drill) => Ok(drill.clone()),
        Err(_) if path.is_file() => catalogue.load_drill(&path),
        Err(error) => Err(error),
    }
}
