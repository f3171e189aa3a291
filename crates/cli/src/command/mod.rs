//! What each command does.

mod review;

use std::path::Path;

use springline_drills::{Catalogue, Drill};

use crate::Ended;
use crate::args::{Cli, Command};
use crate::failure::Failure;

/// Runs the command that was asked for.
pub(crate) fn run(cli: &Cli) -> Result<Ended, Failure> {
    match &cli.command {
        Command::Review(args) => review::run(args, &catalogue(cli)?),
    }
}

/// The shipped drills, and the coach's own folder over them.
fn catalogue(cli: &Cli) -> Result<Catalogue, Failure> {
    match &cli.drills {
        Some(folder) => Ok(Catalogue::with_folder(folder)?),
        None => Ok(Catalogue::shipped()),
    }
}

/// A drill by id, or from a spec file.
fn drill_of(catalogue: &Catalogue, name: &str) -> Result<Drill, Failure> {
    let path = Path::new(name);
    let is_file = path.extension().is_some_and(|extension| extension == "toml")
        || name.contains(std::path::MAIN_SEPARATOR)
        || (catalogue.drill(name).is_err() && path.is_file());
    if is_file {
        Ok(catalogue.load_drill(path)?)
    } else {
        Ok(catalogue.drill(name)?.clone())
    }
}
