//! Film in place of joint points: drafted first, then taken like any attempt.

use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::sync::OnceLock;

use springline_draft::{Draft, Models};
use springline_footage::Clip;
use springline_keypoints::{Attempt, import_bytes};

use crate::error::Error;
use crate::settings::Settings;

/// What the coach chooses about drafting on film.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FilmSettings {
    /// The athlete is here: frame, and a place in px.
    pub athlete_at: Option<(usize, (f64, f64))>,
}

/// Whether a path is a film file, by its first bytes, or a folder of pictures.
#[must_use]
pub fn is_film(path: &Path) -> bool {
    if path.is_dir() {
        let picture = |entry: std::fs::DirEntry| {
            let path = entry.path();
            let end = path
                .extension()
                .and_then(|end| end.to_str())
                .unwrap_or("")
                .to_lowercase();
            ["png", "jpg", "jpeg"].contains(&end.as_str())
        };
        return std::fs::read_dir(path).is_ok_and(|mut entries| entries.any(|entry| entry.is_ok_and(picture)));
    }
    let mut start = [0; 12];
    // What is read here is gone from a pipe.
    path.is_file()
        && File::open(path).is_ok_and(|mut file| file.read_exact(&mut start).is_ok())
        && springline_keypoints::is_film(&start)
}

/// Drafts the athlete's points on a film or a folder of pictures.
///
/// # Errors
/// [`Error::Footage`] if it can't be read; [`Error::Draft`] if nobody is found, or this program has no point model.
pub fn draft_film(path: &Path, settings: &Settings) -> Result<Draft, Error> {
    let failed = |source| Error::Draft {
        file: path.display().to_string(),
        source,
    };
    let models = models().map_err(failed)?;
    let mut clip = open(path, settings)?;
    let (from, to) = (settings.import.from_s, settings.import.to_s);
    let frames = (from.is_some() || to.is_some()).then(|| {
        let span = (from.unwrap_or(f64::NEG_INFINITY), to.unwrap_or(f64::INFINITY));
        frames_within(clip.times(), span)
    });
    let options = springline_draft::Options {
        frames,
        athlete_at: settings.film.athlete_at,
    };
    springline_draft::draft(&mut clip, models, &options).map_err(failed)
}

/// Opens a film; a folder of pictures at the rate that was given.
pub(crate) fn open(path: &Path, settings: &Settings) -> Result<Clip, Error> {
    Ok(match settings.import.rate_hz {
        Some(rate) if path.is_dir() => Clip::open_at_rate(path, rate)?,
        _ => Clip::open(path)?,
    })
}

/// First and last frame between two times; the nearest one if there is none between them.
fn frames_within(times: &[f64], (from, to): (f64, f64)) -> (usize, usize) {
    let last = times.len().saturating_sub(1);
    let first = times.partition_point(|&t| t < from).min(last);
    let end = times.partition_point(|&t| t <= to).saturating_sub(1);
    (first, end.clamp(first, last))
}

/// The film as an attempt.
pub(crate) fn attempt(path: &Path, settings: &Settings) -> Result<Attempt, Error> {
    let draft = draft_film(path, settings)?;
    let name = path.display().to_string();
    let json = serde_json::to_vec(&draft.attempt_file()).map_err(|error| Error::Read {
        path: path.to_path_buf(),
        source: error.into(),
    })?;
    // The rate was for the pictures; the draft has times.
    let mut import = settings.import.clone();
    import.rate_hz = None;
    let mut attempt = import_bytes(&name, &json, &import)?;
    let lost = draft.frames.iter().filter(|frame| frame.is_none()).count();
    attempt.recognised = format!(
        "film of {} x {} px, {} frames; joints drafted by the point model",
        draft.size.0,
        draft.size.1,
        draft.frames.len()
    );
    if lost > 0 {
        attempt.remarks.push(format!("the athlete was lost in {lost} frames"));
    }
    attempt.note = None;
    attempt.remarks.extend(draft.notes);
    Ok(attempt)
}

/// The point model, read once.
fn models() -> Result<&'static Models, springline_draft::Error> {
    static MODELS: OnceLock<Models> = OnceLock::new();
    if let Some(models) = MODELS.get() {
        return Ok(models);
    }
    let models = springline_draft::shipped()?;
    Ok(MODELS.get_or_init(|| models))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_takes_the_frames_within_it() {
        let times = [0.0, 0.1, 0.2, 0.3];
        assert_eq!(frames_within(&times, (0.05, 0.2)), (1, 2));
        assert_eq!(frames_within(&times, (0.12, 0.13)), (2, 2));
        assert_eq!(frames_within(&times, (5.0, 9.0)), (3, 3));
    }
}
