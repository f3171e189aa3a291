//! What each command does.

mod batch;
mod cite;
mod demo;
mod draft;
mod drills;
mod frames;
mod layouts;
mod manual;
mod review;
mod schema;
mod setup;
mod track;

use std::path::{Path, PathBuf};

use springline_drills::{Catalogue, Drill};
use springline_review::find_drill;

use crate::Ended;
use crate::args::{Cli, Command};
use crate::failure::Failure;
use crate::options::ClipOptions;
use crate::output::tell;

/// Runs the command that was asked for.
pub(crate) fn run(cli: &Cli) -> Result<Ended, Failure> {
    match &cli.command {
        Command::Demo(args) => demo::run(args, &catalogue(cli)?),
        Command::Review(args) => review::run(args, &catalogue(cli)?),
        Command::Batch(args) => batch::run(args, &catalogue(cli)?),
        Command::Frames(args) => frames::run(args),
        Command::Draft(args) => draft::run(args),
        Command::Track(args) => track::run(args),
        Command::Drills(args) => drills::run(args, &catalogue(cli)?),
        Command::Setup(args) => setup::run(args),
        Command::Layouts(args) => layouts::run(args),
        Command::Schema(args) => schema::run(args.form),
        Command::Cite => cite::run(),
        Command::Completions(args) => manual::completions(args.shell),
        Command::Man(args) => manual::run(args),
    }
}

/// The shipped drills, and the coach's own folder over them; bad files in it are told and left out.
fn catalogue(cli: &Cli) -> Result<Catalogue, Failure> {
    match &cli.drills {
        Some(folder) => {
            let catalogue = Catalogue::with_good_of_folder(folder)?;
            for bad in catalogue.bad() {
                let first = bad.problems.list().first().map(ToString::to_string).unwrap_or_default();
                tell(&format!("note: left out: {first}"));
                if let more @ 1.. = bad.problems.list().len().saturating_sub(1) {
                    let path = bad.path.display();
                    let s = if more == 1 { "" } else { "s" };
                    tell(&format!(
                        "note: {more} more problem{s} in it: `springline drills check {path}`"
                    ));
                }
            }
            Ok(catalogue)
        }
        None => Ok(Catalogue::shipped()),
    }
}

/// The files beside the attempts that decide on a result: own specs of drills, a layout file, a camera set-up.
fn beside_the_attempts(catalogue: &Catalogue, drill: Option<&str>, clip: &ClipOptions) -> Vec<PathBuf> {
    let ids = catalogue.drill_ids().into_iter().chain(catalogue.ladder_ids());
    let own = ids.filter_map(|id| catalogue.own_file(id)).map(Path::to_owned);
    let bad = catalogue.bad().iter().map(|bad| bad.path.clone());
    let named = drill.into_iter().chain(clip.layout.as_deref()).map(PathBuf::from);
    let named = named.chain(clip.setup.clone());
    own.chain(bad).chain(named.filter(|path| path.is_file())).collect()
}

/// The drill named by `--drill`, if one is.
fn named_drill(catalogue: &Catalogue, name: Option<&str>) -> Result<Option<Drill>, Failure> {
    match name {
        Some(name) => Ok(Some(find_drill(catalogue, name, Path::new(""))?)),
        None => Ok(None),
    }
}
