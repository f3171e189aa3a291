//! Where results and messages go.

use std::io::{IsTerminal as _, Write as _};
use std::path::Path;

use springline_report::{Style, shown_safely};
use springline_review::write_whole;

use crate::failure::Failure;

/// Writes a result to stdout. A pipe that was closed is a quiet end: who read it has had enough.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Failure::new(format!("stdout: cannot be written: {error}")))
        }
        _ => Ok(()),
    }
}

/// Writes a result to a file, or to stdout if there is none.
pub(crate) fn deliver(text: &str, out: Option<&Path>, force: bool) -> Result<(), Failure> {
    match out {
        Some(path) => Ok(write_whole(path, text.as_bytes(), force)?),
        None => print(text),
    }
}

/// A message beside the result, on stderr.
pub(crate) fn tell(text: &str) {
    let mut err = std::io::stderr().lock();
    // Nobody left to tell.
    let _ = writeln!(err, "{}", shown_safely(text));
}

/// Errors and hint, on stderr.
pub(crate) fn complain(failure: &Failure) {
    for error in &failure.errors {
        tell(&format!("error: {error}"));
    }
    if let Some(hint) = &failure.hint {
        tell(&format!("hint: {hint}"));
    }
}

/// Emphasis only on a terminal, and not where `NO_COLOR` is set.
pub(crate) fn style() -> Style {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    Style {
        emphasis: !refused && std::io::stdout().is_terminal(),
    }
}
