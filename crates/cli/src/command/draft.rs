//! `springline draft`.

use springline_review::{FilmSettings, Settings, draft_film, may_write, spares, write_whole};

use crate::Ended;
use crate::args::Draft as Args;
use crate::failure::Failure;
use crate::output::tell;

pub(crate) fn run(args: &Args) -> Result<Ended, Failure> {
    spares(std::slice::from_ref(&args.out), std::iter::once(args.film.as_path()))?;
    may_write(&args.out, args.force)?;
    let mut settings = Settings::default();
    settings.import.rate_hz = args.rate;
    settings.import.from_s = args.from;
    settings.import.to_s = args.to;
    settings.film = FilmSettings {
        athlete_at: args.athlete_at,
    };
    let draft = draft_film(&args.film, &settings)?;
    let mut json = serde_json::to_vec(&draft.attempt_file()).map_err(|error| Failure::new(error.to_string()))?;
    json.push(b'\n');
    write_whole(&args.out, &json, args.force)?;
    let frames = draft.frames.len();
    let lost = draft.frames.iter().filter(|frame| frame.is_none()).count();
    let doubtful = draft.frames.iter().flatten().filter(|frame| frame.doubtful).count();
    tell(&format!(
        "{}: {} of {frames} frames drafted, {doubtful} of them want a look",
        args.out.display(),
        frames - lost
    ));
    for note in &draft.notes {
        tell(&format!("note: {note}"));
    }
    Ok(Ended::Done)
}
