//! `springline batch`.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use springline_drills::Catalogue;
use springline_review::batch::{ATTEMPTS, Batch, Progress, Summary, find_attempts, read_manifest, run as run_batch};

use super::named_drill;
use crate::Ended;
use crate::args::Batch as Args;
use crate::failure::Failure;
use crate::output::{print, tell};

pub(crate) fn run(args: &Args, catalogue: &Catalogue) -> Result<Ended, Failure> {
    let settings = args.clip.settings()?;
    let drill = named_drill(catalogue, args.drill.as_deref())?;
    let work = if args.attempts.is_file() {
        read_manifest(&args.attempts, catalogue, drill)?
    } else {
        find_attempts(&args.attempts, &args.out, drill, &settings.import)?
    };
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
        tell(&format!(
            "{} of {} attempts could not be read; the column \"error\" of {} says why",
            summary.unread,
            summary.total,
            args.out.join(ATTEMPTS).display()
        ));
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
        "stopped with {} of {} attempts done; the same command goes on from here",
        summary.kept + summary.reviewed,
        summary.total
    )
}

fn finished(summary: &Summary) -> String {
    let mut text = format!("{} attempts: {} reviewed", summary.total, summary.reviewed);
    if summary.kept > 0 {
        text.push_str(&format!(", {} kept from before", summary.kept));
    }
    text.push('\n');
    for (word, count) in &summary.outcomes {
        text.push_str(&format!("  {count:>7}  {word}\n"));
    }
    if summary.unread > 0 {
        text.push_str(&format!("  {:>7}  could not be read\n", summary.unread));
    }
    for path in &summary.written {
        text.push_str(&format!("wrote {}\n", path.display()));
    }
    text
}

/// A progress bar on stderr, only where that is a terminal.
struct Bar(ProgressBar);

impl Bar {
    fn new(total: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::stderr_with_hz(5));
        if let Ok(style) = ProgressStyle::with_template("{wide_bar} {pos} of {len} attempts, {rate}, {eta} left") {
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
