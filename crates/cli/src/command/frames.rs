//! `springline frames`.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use springline_footage::{Clip, INDEX, PictureForm, index_text, picture_name};
use springline_review::{Error, may_write, spares, write_whole};

use crate::Ended;
use crate::args::{Frames, PictureFile};
use crate::failure::Failure;
use crate::output::{print, tell};

/// Frames that could not be read and are told one by one.
const TOLD: usize = 5;

pub(crate) fn run(args: &Frames) -> Result<Ended, Failure> {
    let mut clip = match args.rate {
        Some(rate) => Clip::open_at_rate(&args.clip, rate)?,
        None => Clip::open(&args.clip)?,
    };
    for note in clip.notes() {
        tell(&format!("note: {note}"));
    }
    let frames = clip.frames_between(args.from, args.to, args.every as usize);
    if frames.is_empty() {
        let (first, last) = (clip.times()[0], clip.times()[clip.len() - 1]);
        return Err(Failure::new(format!(
            "{}: found no frame between --from and --to, expected times from {first:.3} to {last:.3} s",
            args.clip.display()
        )));
    }
    make_folder(args)?;
    let form = match args.format {
        PictureFile::Png => PictureForm::Png,
        PictureFile::Jpeg => PictureForm::Jpeg,
    };
    let bar = bar(frames.len());
    let mut rows = Vec::new();
    let mut unread = Vec::new();
    for frame in &frames {
        match clip.picture(*frame) {
            Ok(picture) => {
                let name = picture_name(*frame, form);
                let path = args.out.join(&name);
                let bytes = picture
                    .encoded(form)
                    .ok_or_else(|| Failure::new(format!("{}: the picture cannot be encoded", path.display())))?;
                write_whole(&path, &bytes, args.force)?;
                rows.push((*frame, clip.times()[*frame], name));
            }
            Err(error) => unread.push(error.to_string()),
        }
        bar.inc(1);
    }
    bar.finish_and_clear();
    if rows.is_empty() {
        return Err(Failure {
            errors: unread.into_iter().take(TOLD).collect(),
            hint: None,
        });
    }
    write_whole(&args.out.join(INDEX), index_text(&rows).as_bytes(), args.force)?;
    print(&format!(
        "wrote {}: {} picture{} of {} x {} px, and {INDEX} with their times\n",
        args.out.display(),
        rows.len(),
        if rows.len() == 1 { "" } else { "s" },
        clip.width(),
        clip.height()
    ))?;
    for error in unread.iter().take(TOLD) {
        tell(&format!("error: {error}"));
    }
    if unread.len() > TOLD {
        tell(&format!("error: {} more frames could not be read", unread.len() - TOLD));
    }
    Ok(if unread.is_empty() {
        Ended::Done
    } else {
        Ended::SomeUnread
    })
}

/// Sees that nothing that is read, or was written before, is in the way.
fn make_folder(args: &Frames) -> Result<(), Failure> {
    let out = args.out.clone();
    if out.exists() && !out.is_dir() {
        return Err(Error::NotAFolder { path: out }.into());
    }
    let index = out.join(INDEX);
    if out.is_dir() {
        spares(&[out.clone(), index.clone()], [args.clip.as_path()])?;
        may_write(&index, args.force)?;
        return Ok(());
    }
    std::fs::create_dir_all(&out).map_err(|source| Error::Write { path: out, source }.into())
}

/// A progress bar on stderr, only where that is a terminal.
fn bar(total: usize) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::stderr_with_hz(5));
    match ProgressStyle::with_template("{wide_bar} {pos} of {len} frames, {eta} left") {
        Ok(style) => bar.with_style(style.progress_chars("━━·")),
        Err(_) => bar,
    }
}
