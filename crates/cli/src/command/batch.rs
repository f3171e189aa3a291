//! `springline batch`.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use springline_drills::Catalogue;
use springline_review::batch::{ATTEMPTS, Batch, Progress, Summary, find_attempts, read_manifest, run as run_batch};

use super::{beside_the_attempts, named_drill};
use crate::Ended;
use crate::args::Batch as Args;
use crate::failure::Failure;
use crate::output::{complain, print, tell};

pub(crate) fn run(args: &Args, catalogue: &Catalogue) -> Result<Ended, Failure> {
    let settings = args.clip.settings()?;
    let drill = named_drill(catalogue, args.drill.as_deref())?;
    let mut work = if args.attempts.is_file() {
        read_manifest(&args.attempts, catalogue, drill)?
    } else {
        find_attempts(&args.attempts, drill, &settings.import)?
    };
    work.inputs
        .extend(beside_the_attempts(catalogue, args.drill.as_deref(), &args.clip));
    for note in &work.notes {
        tell(&format!("note: {note}"));
    }
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let batch = Batch {
        catalogue,
        settings,
        out: args.out.clone(),
        threads: args.threads.map_or(cores, usize::from),
        jsonl: args.jsonl,
        fresh: args.fresh,
        force: args.force,
    };
    let stop = stop_on_ctrl_c()?;
    let bar = Bar::new(work.items.len());
    let summary = run_batch(&batch, &work, &stop, |progress| bar.show(progress));
    bar.clear();
    let summary = summary?;
    if summary.stopped {
        tell(&stopped(&summary));
        return Ok(Ended::Interrupted);
    }
    print(&finished(&summary))?;
    if summary.unread > 0 {
        complain(&unread(&summary, &args.out.join(ATTEMPTS)));
        return Ok(Ended::SomeUnread);
    }
    Ok(Ended::Done)
}

/// Ctrl-C stops after the attempts at hand; a second one at once.
fn stop_on_ctrl_c() -> Result<Arc<AtomicBool>, Failure> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    ctrlc::set_handler(move || {
        if flag.swap(true, Ordering::Relaxed) {
            std::process::exit(i32::from(Ended::Interrupted.code()));
        }
        tell("stopping after the attempts at hand; Ctrl-C again stops at once");
    })
    .map_err(|error| Failure::new(format!("Ctrl-C: cannot be caught: {error}")))?;
    Ok(stop)
}

fn stopped(summary: &Summary) -> String {
    format!(
        "stopped with {} of {} done; the same command goes on from here",
        summary.done(),
        attempts(summary.total)
    )
}

fn attempts(count: usize) -> String {
    format!("{count} attempt{}", if count == 1 { "" } else { "s" })
}

/// Each attempt is counted once.
fn finished(summary: &Summary) -> String {
    let mut parts = Vec::new();
    if summary.reviewed > 0 {
        parts.push(format!("{} reviewed", summary.reviewed));
    }
    if summary.kept > 0 {
        parts.push(format!("{} kept from before", summary.kept));
    }
    if summary.unread > 0 {
        parts.push(format!("{} could not be read", summary.unread));
    }
    let mut text = format!("{}: {}\n", attempts(summary.total), parts.join(", "));
    for (word, count) in &summary.outcomes {
        text.push_str(&format!("  {count:>7}  {word}\n"));
    }
    for path in &summary.written {
        text.push_str(&format!("wrote {}\n", path.display()));
    }
    text
}

/// The first errors, and where all of them are.
fn unread(summary: &Summary, table: &Path) -> Failure {
    let table = table.display();
    let hint = match summary.unread.saturating_sub(summary.first_errors.len()) {
        0 => format!("the column \"error\" of {table} has this for each attempt"),
        more => format!("{more} more could not be read; the column \"error\" of {table} says why"),
    };
    Failure {
        errors: summary.first_errors.clone(),
        hint: Some(hint),
    }
}

/// A progress bar on stderr, only where that is a terminal.
struct Bar(ProgressBar);

impl Bar {
    fn new(total: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::stderr_with_hz(5));
        if let Ok(style) = ProgressStyle::with_template(&format!(
            "{{wide_bar}} {{pos}} of {}, {{rate}}, {{eta}} left",
            attempts(total)
        )) {
            let rate = |state: &ProgressState, out: &mut dyn std::fmt::Write| {
                let _ = write!(out, "{:.0} a second", state.per_sec());
            };
            bar.set_style(style.with_key("rate", rate).progress_chars("━━·"));
        }
        Self(bar)
    }

    fn show(&self, progress: Progress) {
        self.0.set_position(progress.done as u64);
    }

    fn clear(&self) {
        self.0.finish_and_clear();
    }
}
