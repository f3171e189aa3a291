//! The springline command: options, messages, exit code. It does no arithmetic; `review` does.

mod args;
mod command;
mod failure;
mod options;
mod output;

use std::process::ExitCode;

use clap::Parser as _;

/// How a command ended when it could do what was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ended {
    /// Done.
    Done,
    /// The standard asked for by `--check` is not met.
    StandardNotMet,
    /// Some attempts of a batch could not be read.
    SomeUnread,
    /// Stopped by Ctrl-C; the finished work is kept.
    Interrupted,
}

impl Ended {
    fn code(self) -> u8 {
        match self {
            Ended::Done => 0,
            Ended::StandardNotMet => 1,
            Ended::SomeUnread => 3,
            Ended::Interrupted => 130,
        }
    }
}

/// Exit code when a command could not do what was asked.
const COULD_NOT: u8 = 2;

fn main() -> ExitCode {
    let cli = args::Cli::parse();
    match command::run(&cli) {
        Ok(ended) => ExitCode::from(ended.code()),
        Err(failure) => {
            output::complain(&failure);
            ExitCode::from(COULD_NOT)
        }
    }
}
