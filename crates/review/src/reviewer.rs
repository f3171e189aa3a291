//! One attempt in, one review out.

use std::path::Path;

use springline_assess::{Assessment, Outcome, Verdict, assess, search_of};
use springline_drills::{Catalogue, Drill, View};
use springline_keypoints::{Attempt, Facing, Importer, Layout, MARKED_POINT_SD_PX, import_bytes};
use springline_kinematics::events::{Found, How};
use springline_kinematics::gym_plane::FloorLine;
use springline_kinematics::trial::{self, Trial};
use springline_kinematics::{EventKind, Point, TemporalError, Tracks};
use springline_report::Review;

use crate::camera;
use crate::doubts::{contradictions, far_events, odd_turn_over, other_surfaces, slower_cutoff, unseen_set_up};
use crate::error::Error;
use crate::facts::record;
use crate::film;
use crate::follow;
use crate::gaps::with_points_of;
use crate::scale;
use crate::settings::Settings;

/// Program and version, for every output.
pub const PROGRAM: &str = concat!("springline ", env!("CARGO_PKG_VERSION"));

/// A reviewed attempt: the record for outputs, and what it was made from.
#[derive(Clone, Debug)]
pub struct Reviewed {
    /// The record, ready for text, JSON and CSV.
    pub record: Review,
    /// The attempt ready to be measured further.
    pub trial: Trial,
    /// Verdicts and faults with all their digits.
    pub assessment: Assessment,
}

/// Reviews attempts one after the other and keeps its read buffer between them.
#[derive(Debug)]
pub struct Reviewer<'a> {
    catalogue: &'a Catalogue,
    settings: Settings,
    importer: Importer,
}

/// Reviews one attempt by a drill.
///
/// # Errors
/// [`Error::Import`] if the file is refused; [`Error::Trial`] if its points cannot be measured;
/// [`Error::HeightWithoutScale`]; [`Error::Setting`].
pub fn review(path: &Path, drill: &Drill, settings: &Settings) -> Result<Review, Error> {
    let catalogue = Catalogue::shipped();
    let mut reviewer = Reviewer::new(&catalogue, settings.clone());
    Ok(reviewer.review(path, drill)?.record)
}

impl<'a> Reviewer<'a> {
    /// A reviewer. `catalogue` gives the titles of drills to go back to.
    #[must_use]
    pub fn new(catalogue: &'a Catalogue, settings: Settings) -> Self {
        Self {
            catalogue,
            settings,
            importer: Importer::new(),
        }
    }

    /// What was chosen.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// What was chosen, to change for the next attempt.
    pub fn settings_mut(&mut self) -> &mut Settings {
        &mut self.settings
    }

    /// Imports an attempt without measuring it; on a film its points are drafted.
    ///
    /// # Errors
    /// [`Error::Import`]; for a film [`Error::Footage`] and [`Error::Draft`].
    pub fn import(&mut self, path: &Path) -> Result<Attempt, Error> {
        if film::is_film(path) {
            return film::attempt(path, &self.settings);
        }
        Ok(self.importer.import(path, &self.settings.import)?)
    }

    /// Imports an attempt with points on some frames and follows them through its film.
    ///
    /// # Errors
    /// As [`crate::follow()`].
    pub fn import_on_film(&mut self, path: &Path, film: &Path) -> Result<Attempt, Error> {
        follow::attempt(path, film, &self.settings)
    }

    /// Reviews a file or folder by a drill.
    ///
    /// # Errors
    /// As [`review`].
    pub fn review(&mut self, path: &Path, drill: &Drill) -> Result<Reviewed, Error> {
        let attempt = self.import(path)?;
        self.review_attempt(attempt, drill)
    }

    /// Reviews a keypoint file from memory; `name` stands for the file.
    ///
    /// # Errors
    /// As [`review`].
    pub fn review_bytes(&mut self, name: &str, bytes: &[u8], drill: &Drill) -> Result<Reviewed, Error> {
        let attempt = import_bytes(name, bytes, &self.settings.import)?;
        self.review_attempt(attempt, drill)
    }

    /// Reviews an imported attempt by a drill.
    ///
    /// # Errors
    /// [`Error::Trial`] if its points cannot be measured; [`Error::HeightWithoutScale`]; [`Error::Setting`].
    pub fn review_attempt(&self, mut attempt: Attempt, drill: &Drill) -> Result<Reviewed, Error> {
        let given = &attempt.given;
        let marked = scale::marked(given);
        let mut search = search_of(drill, &given.events);
        let surface = |under, at| scale::surface(&attempt.source, under, at, marked.first());
        search.hand_surface = surface("hands", given.hand_surface)?;
        search.foot_surface = surface("feet", given.foot_surface)?;
        let settings = trial::Settings {
            smoothing: self.settings.smoothing,
            table: self.settings.table.table()?,
            floor: given.floor_line.map(|line| FloorLine {
                points: line.map(|(x, y)| Point::new(x, y)),
                sd: given.floor_line_sd_px.unwrap_or(MARKED_POINT_SD_PX),
            }),
            faces_right: given.facing.map(|facing| facing == Facing::Right),
            near: given.near_side,
            metres_per_px: marked.first().map(|scale| scale.metres_per_px),
            frontal: drill.view == View::Frontal,
            spotted: given.spotted,
            search,
        };
        let mut tracks = std::mem::replace(&mut attempt.tracks, Tracks::new(Vec::new(), TemporalError::Shared));
        let chosen = self.settings.import.layout.clone();
        // A file that names its points itself has just these.
        let built_in = || Layout::builtin(&attempt.layout).filter(|layout| !layout.name().starts_with("named-"));
        let layout = chosen.or_else(built_in);
        with_points_of(&mut tracks, layout.as_ref());
        // Measured again, should the facing turn out undecided.
        let mut kept = (settings.faces_right.is_none() && !settings.frontal).then(|| tracks.clone());
        let trial = Trial::new(tracks, &settings).map_err(|source| Error::Trial {
            file: attempt.source.clone(),
            source,
        })?;
        in_order(trial.found())?;
        let own = &self.settings.import.given;
        let scales = scale::settle(
            marked,
            &attempt.given,
            &trial,
            own.stature_m.or(own.stature_px).is_some(),
        );
        let trial = trial.with_scale(scales.used.map(|scale| scale.metres_per_px));
        let mut assessment = assess(drill, &trial);
        let mut doubts = Vec::new();
        if !matches!(assessment.outcome, Outcome::NotThere { .. }) {
            let missing = contradictions(drill, &trial);
            doubts.clone_from(&missing);
            doubts.extend(unseen_set_up(drill, &attempt.given));
            if !missing.is_empty() {
                assessment.outcome = Outcome::NotThere { missing };
                assessment.checks.clear();
                kept = None;
                assessment.faults.clear();
            }
        }
        doubts.extend(odd_turn_over(drill, &trial));
        doubts.extend(far_events(&trial, &settings.search));
        doubts.extend(other_surfaces(drill, &attempt.given));
        doubts.extend(slower_cutoff(&trial, self.settings.smoothing));
        doubts.extend(camera::remarks(&attempt, drill, &trial));
        attempt.remarks.splice(0..0, doubts);
        let mut record = record(
            &attempt,
            drill,
            &trial,
            &assessment,
            self.catalogue,
            &self.settings,
            &scales,
        );
        record.body.seen_with_facing = kept.map_or(0, |tracks| {
            seen_with_facing(drill, &trial, (tracks, &settings), &assessment)
        });
        Ok(Reviewed {
            record,
            trial,
            assessment,
        })
    }
}

/// How many more checks would be seen if the facing, which is undecided, were given: of the two ways the one
/// that shows more, as the wrong one may show no skill.
fn seen_with_facing(
    drill: &Drill,
    trial: &Trial,
    (tracks, settings): (Tracks, &trial::Settings),
    now: &Assessment,
) -> usize {
    if !matches!(trial.facing(), trial::Facing::Undecided { .. }) {
        return 0;
    }
    let seen = |assessment: &Assessment| {
        let checks = assessment.checks.iter();
        checks
            .filter(|check| !matches!(check.verdict, Verdict::NotSeen { .. }))
            .count()
    };
    let given = |right| {
        let settings = trial::Settings {
            faces_right: Some(right),
            ..settings.clone()
        };
        let turned = Trial::new(tracks.clone(), &settings).ok()?;
        let turned = turned.with_scale(trial.scale());
        Some(seen(&assess(drill, &turned)))
    };
    let with = given(true).into_iter().chain(given(false)).max();
    with.unwrap_or(0).saturating_sub(seen(now))
}

/// Pairs of events of which the first comes first whatever the drill.
const ORDER: [(EventKind, EventKind); 5] = [
    (EventKind::HandPlacement, EventKind::HandDeparture),
    (EventKind::HandPlacement, EventKind::FeetTouchdown),
    (EventKind::HandDeparture, EventKind::HandsReturn),
    (EventKind::FeetTouchdown, EventKind::Settled),
    (EventKind::HoldStart, EventKind::HoldEnd),
];

/// Refuses events of the coach's own that contradict the others.
fn in_order(found: &Found) -> Result<(), Error> {
    for (first, second) in ORDER {
        let (Some(one), Some(other)) = (found.event(first), found.event(second)) else {
            continue;
        };
        let given = one.how == How::Given || other.how == How::Given;
        if given && one.time > other.time {
            return Err(Error::Setting {
                setting: "event",
                found: format!(
                    "{} at {:.3} s, after {} at {:.3} s",
                    first.id(),
                    one.time,
                    second.id(),
                    other.time
                ),
                expected: format!("{} before {}", first.id(), second.id()),
            });
        }
    }
    Ok(())
}
