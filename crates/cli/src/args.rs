//! Commands and options.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::options::{AttemptOptions, ClipOptions};

const EXIT_CODES: &str = "\
Exit codes:
  0    done
  1    standard not met: the attempt is not good (only under --check)
  2    could not: wrong option, unreadable input, output in the way

Results go to stdout, everything else to stderr. NO_COLOR is obeyed.";

/// Measures gymnastics drills from the joint points of a clip: what to fix first, the cue, the drill to go back to.
///
/// Measures inform a qualified coach; they do not clear anybody to try a skill.
#[derive(Debug, Parser)]
#[command(name = "springline", version, after_help = EXIT_CODES, max_term_width = 100, propagate_version = false)]
pub(crate) struct Cli {
    /// Folder with your own drill specs (*.toml); they go over the shipped ones
    #[arg(long, global = true, value_name = "FOLDER")]
    pub drills: Option<PathBuf>,
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Review one attempt
    Review(Review),
}

/// Review one attempt: joint points in, verdict out.
#[derive(Debug, Args)]
pub(crate) struct Review {
    /// Keypoint file, or folder with one file per frame
    pub attempt: PathBuf,
    /// Drill: an id (`springline drills list`) or a spec file of your own; without it, the drill that the file names
    #[arg(long, value_name = "ID|FILE")]
    pub drill: Option<String>,
    /// Form of the result
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
    /// Write the result to this file instead of stdout
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
    /// Exit with 1 unless the attempt is good
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    pub clip: ClipOptions,
    #[command(flatten)]
    pub of_attempt: AttemptOptions,
}

/// Form of a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Form {
    /// Words for a coach, 80 columns
    Text,
    /// One JSON object (`springline schema review`)
    Json,
    /// One row per measure
    Csv,
}
