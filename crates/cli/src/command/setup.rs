//! `springline setup`.

use std::path::Path;

use springline_keypoints::{CameraSetup, SETUP_EXAMPLE};
use springline_review::camera::setup_in_words;
use springline_review::{may_write, write_whole};

use crate::Ended;
use crate::args::Setup;
use crate::failure::Failure;
use crate::output::print;

pub(crate) fn run(args: &Setup) -> Result<Ended, Failure> {
    match args {
        Setup::Example { file: None, .. } => print(SETUP_EXAMPLE)?,
        Setup::Example {
            file: Some(file),
            force,
        } => write(file, *force)?,
        Setup::Check { files } => check(files)?,
    }
    Ok(Ended::Done)
}

fn write(file: &Path, force: bool) -> Result<(), Failure> {
    may_write(file, force)?;
    write_whole(file, SETUP_EXAMPLE.as_bytes(), force)?;
    let path = file.display();
    print(&format!(
        "wrote {path}\nnext: put your own marks in it, then `springline setup check {path}` and `--setup {path}`\n"
    ))
}

/// Every problem of every file; the good ones are told in words.
fn check(files: &[std::path::PathBuf]) -> Result<(), Failure> {
    let (mut text, mut errors) = (String::new(), Vec::new());
    for file in files {
        match CameraSetup::read(file) {
            Ok(setup) => {
                text.push_str(&format!("{}: no problems\n", file.display()));
                for line in setup_in_words(&setup) {
                    text.push_str(&format!("  {line}\n"));
                }
            }
            Err(error) => errors.extend(Failure::from(error).errors),
        }
    }
    print(&text)?;
    if errors.is_empty() {
        return Ok(());
    }
    Err(Failure { errors, hint: None })
}
