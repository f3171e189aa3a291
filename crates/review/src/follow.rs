//! Points on some frames, followed through the film to the others.

use std::path::Path;

use springline_keypoints::{Attempt, AttemptFile, Importer, import_bytes};
use springline_track::Tracked;

use crate::error::Error;
use crate::film;
use crate::settings::Settings;

/// What came of following the points of an attempt through its film.
#[derive(Clone, Debug)]
pub struct Followed {
    /// Every point, with its sd and where it came from.
    pub file: AttemptFile,
    /// Frames of the film.
    pub frames: usize,
    /// Frames with a point at least.
    pub with_points: usize,
    /// Points that were there and stay as they are.
    pub given: usize,
    /// Points that were followed.
    pub tracked: usize,
    /// Those of them that want a look.
    pub doubtful: usize,
    /// The frames, first and last of each stretch, in which some do.
    pub want_a_look: Vec<[usize; 2]>,
}

/// Follows the points of an attempt, clicked on some frames, through its film.
///
/// # Errors
/// [`Error::Import`] if the attempt is refused, [`Error::Footage`] if the film is; [`Error::Track`] if they don't belong
/// together or nothing can be followed.
pub fn follow(attempt: &Path, film: &Path, settings: &Settings) -> Result<Followed, Error> {
    let (clicked, tracked) = tracked(attempt, film, settings)?;
    let (mut given, mut followed, mut doubtful) = (0, 0, 0);
    for point in tracked.points.iter().flatten().flatten() {
        if point.clicked {
            given += 1;
        } else {
            followed += 1;
            doubtful += usize::from(point.doubtful);
        }
    }
    let mut want_a_look: Vec<[usize; 2]> = Vec::new();
    for (frame, points) in tracked.points.iter().enumerate() {
        if points.iter().flatten().any(|point| point.doubtful) {
            match want_a_look.last_mut() {
                Some([_, last]) if *last + 1 == frame => *last = frame,
                _ => want_a_look.push([frame, frame]),
            }
        }
    }
    Ok(Followed {
        file: tracked.attempt_file(&clicked),
        frames: tracked.points.len(),
        with_points: tracked
            .points
            .iter()
            .filter(|points| points.iter().any(Option::is_some))
            .count(),
        given,
        tracked: followed,
        doubtful,
        want_a_look,
    })
}

fn tracked(path: &Path, film: &Path, settings: &Settings) -> Result<(Attempt, Tracked), Error> {
    // Clicks are taken as they are: the stretch is cut afterwards, and nobody's sides are exchanged.
    let mut import = settings.import.clone();
    (import.from_s, import.to_s, import.setup, import.keep_sides) = (None, None, None, true);
    let clicked = Importer::new().import(path, &import)?;
    let mut clip = film::open(film, settings)?;
    let tracked = springline_track::track(&mut clip, &clicked, &springline_track::Settings::default())?;
    Ok((clicked, tracked))
}

/// The attempt with what was followed through the film.
pub(crate) fn attempt(path: &Path, film: &Path, settings: &Settings) -> Result<Attempt, Error> {
    let (clicked, tracked) = tracked(path, film, settings)?;
    let name = path.display().to_string();
    let json = serde_json::to_vec(&tracked.attempt_file(&clicked)).map_err(|error| Error::Read {
        path: path.to_path_buf(),
        source: error.into(),
    })?;
    // What was for the clicks' file is done; the points now have their own times and sds.
    let mut import = settings.import.clone();
    (import.layout, import.rate_hz, import.picture, import.person, import.sd) = (None, None, None, None, None);
    import.keep_sides = true;
    let mut attempt = import_bytes(&name, &json, &import)?;
    attempt.recognised = format!("{}; followed through {}", clicked.recognised, film.display());
    let told: Vec<String> = clicked
        .remarks
        .into_iter()
        .filter(|remark| !attempt.remarks.contains(remark))
        .collect();
    attempt.remarks.splice(0..0, told);
    Ok(attempt)
}
