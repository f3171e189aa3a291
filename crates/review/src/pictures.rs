//! Pictures of the events of a reviewed attempt.

use std::path::{Path, PathBuf};

use springline_assess::CheckResult;
use springline_drills::{CAUTIONS, Check, Drill, Quantity, View, When};
use springline_kinematics::events::{Event, LandingKind};
use springline_kinematics::series::Pose;
use springline_kinematics::trial::{Facing, Trial};
use springline_kinematics::{Contact, Instant, Joint, Landmark, Side, Unit};
use springline_picture::{Floor, Known, Label, Mark, Scene, draw_all, draw_sheet, drawn_of, event_of};
use springline_report::{CheckEntry, Review, bounds_of, shown_safely, value_of, with_sd};

use crate::error::Error;
use crate::outfile::{may_write, spares, write_whole};
use crate::reviewer::Reviewed;

/// A joint that may be off by more than this is drawn as doubtful, leg lengths (our choice).
const DOUBTFUL_SD: f64 = 0.06;
/// Surfaces that differ by less are one floor, leg lengths (our choice).
const ONE_FLOOR: f64 = 0.12;
/// A toe or a fingertip is this much over what it rests on, leg lengths (by eye).
const REST: f64 = 0.03;
/// Name of the picture of all events.
const SHEET: &str = "all-events.png";

/// One picture, ready to be written.
#[derive(Clone, Debug)]
pub struct PictureFile {
    /// Its name: `01-hand-placement.png`, or `all-events.png`.
    pub name: String,
    /// The PNG file.
    pub png: Vec<u8>,
}

/// The pictures of an attempt: a card for each event in order, then the sheet of all.
#[derive(Clone, Debug)]
pub struct Pictures {
    /// The files.
    pub files: Vec<PictureFile>,
}

impl Pictures {
    /// Writes all of them to a folder, which is made if it is not there. Nothing is written unless all may be.
    ///
    /// # Errors
    /// [`Error::NotAFolder`]; [`Error::Exists`] if a file of such a name is there and `force` is not set;
    /// [`Error::OverInput`] if one of `inputs` would be written over; [`Error::Write`].
    pub fn write<'a>(
        &self,
        folder: &Path,
        force: bool,
        inputs: impl IntoIterator<Item = &'a Path>,
    ) -> Result<(), Error> {
        let paths: Vec<PathBuf> = self.files.iter().map(|file| folder.join(&file.name)).collect();
        if folder.is_dir() {
            spares(&paths, inputs)?;
            paths.iter().try_for_each(|path| may_write(path, force))?;
        } else {
            make_folder(folder)?;
        }
        for (file, path) in self.files.iter().zip(&paths) {
            write_whole(path, &file.png, force)?;
        }
        Ok(())
    }
}

fn make_folder(folder: &Path) -> Result<(), Error> {
    if folder.symlink_metadata().is_ok() {
        return Err(Error::NotAFolder {
            path: folder.to_owned(),
        });
    }
    std::fs::create_dir(folder).map_err(|source| Error::Write {
        path: folder.to_owned(),
        source,
    })
}

/// Draws the events of an attempt: the athlete as a figure, as it was filmed but level, with the angles that the checks of
/// `drill` look at then. Nothing of the film is in them.
///
/// # Errors
/// [`Error::NoEvent`]; [`Error::Picture`].
pub fn pictures(reviewed: &Reviewed, drill: &Drill) -> Result<Pictures, Error> {
    let scenes = scenes(reviewed, drill);
    if scenes.is_empty() {
        return Err(Error::NoEvent {
            file: reviewed.record.attempt.file.clone(),
        });
    }
    let mut files = Vec::new();
    for (k, (scene, drawn)) in scenes.iter().zip(draw_all(&scenes)?).enumerate() {
        files.push(PictureFile {
            name: format!("{:02}-{}.png", k + 1, scene.event.id().replace('_', "-")),
            png: drawn.picture.png()?,
        });
    }
    let sheet = draw_sheet(&scenes, &outcome(&reviewed.record))?;
    files.push(PictureFile {
        name: SHEET.to_owned(),
        png: sheet.png()?,
    });
    Ok(Pictures { files })
}

/// What the attempt counts as and what to fix first.
fn outcome(review: &Review) -> Vec<String> {
    let mut lines = vec![format!("Outcome: {}", review.outcome.word)];
    if let Some(fault) = review.faults.first() {
        lines.push(shown_safely(&format!(
            "Fix first: {}: \u{201c}{}\u{201d}",
            fault.name, fault.cue
        )));
    } else {
        lines.extend(review.outcome.why.first().map(|why| shown_safely(why)));
    }
    lines
}

/// A scene for each event, in order of time.
pub(crate) fn scenes(reviewed: &Reviewed, drill: &Drill) -> Vec<Scene> {
    let trial = &reviewed.trial;
    let known = Known {
        near: trial.near(),
        leg: trial.leg().value,
        mirrored: faces_left(trial),
        frontal: drill.view == View::Frontal,
        push_off: trial.found().feet.push_off,
        landed_first: match trial.found().feet.landing {
            Some((side, LandingKind::StepOut)) => Some(side),
            _ => None,
        },
    };
    let floor = floor(trial);
    let events = trial.found().events().iter();
    events
        .filter_map(|event| scene(reviewed, drill, known, &floor, event))
        .collect()
}

/// Whether the gym plane is the mirrored picture.
fn faces_left(trial: &Trial) -> bool {
    matches!(
        trial.facing(),
        Facing::Given(false) | Facing::Found { right: false, .. }
    )
}

fn scene(reviewed: &Reviewed, drill: &Drill, known: Known, floor: &[Floor], event: &Event) -> Option<Scene> {
    let (trial, record) = (&reviewed.trial, &reviewed.record);
    let pose = trial.series().pose_at(event.time)?;
    let entry = record.events.iter().find(|entry| entry.event == event.kind.id());
    let mut scene = Scene::new(event.kind, pose, known);
    scene.hollow = hollow(trial, &scene.pose);
    scene.down = down(trial, event);
    scene.floor = floor.to_vec();
    let results = drill.checks.iter().zip(&record.checks).zip(&reviewed.assessment.checks);
    scene.labels = results
        .filter(|((check, _), _)| event_of(check) == Some(event.kind))
        .map(|((check, entry), result)| label(check, entry, result))
        .collect();
    let how = entry.map_or("found", |entry| entry.how.as_str());
    scene.time = format!("{} s ({how})", with_sd(event.time, event.sd, Unit::Seconds));
    scene.title = shown_safely(&record.drill.title);
    scene.whose = shown_safely(&whose(record));
    scene.synthetic = record.attempt.synthetic;
    scene.sides = sides(trial);
    scene.missing = missing(trial, &scene.pose);
    scene.caution = CAUTIONS[..2].join(" ");
    Some(scene)
}

fn whose(record: &Review) -> String {
    let attempt = &record.attempt;
    let file = Path::new(&attempt.file).file_name();
    let file = file.map_or_else(|| attempt.file.clone(), |name| name.to_string_lossy().into_owned());
    let parts = [attempt.athlete.as_ref(), attempt.date.as_ref(), Some(&file)];
    let parts: Vec<&str> = parts.into_iter().flatten().map(String::as_str).collect();
    parts.join(", ")
}

fn sides(trial: &Trial) -> String {
    let (near, far) = (trial.near().id(), trial.near().other().id());
    if trial.knows_near() {
        format!("dark: {near} arm and leg, nearer to the camera; light: {far}")
    } else {
        format!("dark: {near} arm and leg; light: {far}; which is nearer is undecided")
    }
}

fn label(check: &Check, entry: &CheckEntry, result: &CheckResult) -> Label {
    let measured = result.measured.as_ref();
    let word = match &entry.verdict.severity {
        Some(severity) => format!("{}, {severity}", entry.verdict.word.as_str()),
        None => entry.verdict.word.as_str().to_owned(),
    };
    let note = if entry.must_hold { "" } else { " (note)" };
    let details = match value_of(entry) {
        Some(value) => {
            let side = measured.and_then(|it| it.side);
            let side = side.map_or_else(String::new, |side| format!(" ({})", side.id()));
            format!("{value}{side}; {}{}", bounds_of(entry), other_time(check))
        }
        None => entry.verdict.why.clone().unwrap_or_default(),
    };
    Label {
        shown: measured.and_then(|_| drawn_of(check)),
        side: measured.and_then(|it| it.side),
        value: measured.map(|it| it.value),
        number: measured.map_or_else(String::new, |it| {
            format!("{}{}", with_sd(it.value, it.sd, it.unit), short(it.unit))
        }),
        title: shown_safely(&format!("{}{note}", check.title)),
        details: shown_safely(&details),
        word,
        mark: Mark::of(&result.verdict),
    }
}

/// Told where a value is not that of the pose that is drawn.
fn other_time(check: &Check) -> String {
    match &check.quantity {
        Quantity::Single(reading) => match reading.when {
            When::At { offset_s, .. } if offset_s < 0.0 => format!("; {} s before", -offset_s),
            When::At { offset_s, .. } if offset_s > 0.0 => format!("; {offset_s} s after"),
            _ => String::new(),
        },
        _ => String::new(),
    }
}

/// A unit beside a joint.
fn short(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "°",
        Unit::LegLengths => " × leg",
        Unit::Seconds => " s",
        Unit::Metres => " m",
        Unit::Pixels => " px",
        Unit::Percent => " %",
        Unit::Ratio => "",
    }
}

/// Joints that were bridged there, that read past what joints do, or that may be off by much.
fn hollow(trial: &Trial, pose: &Pose) -> Vec<Landmark> {
    let series = trial.series();
    let Some(frame) = series.frame_before(pose.time) else {
        return Vec::new();
    };
    let past = |landmark: Landmark| {
        trial.past_range().iter().any(|past| {
            let joint = landmark.joint().map(Joint::word);
            joint == Some(past.range.joint)
                && landmark.side() == Some(past.side)
                && (past.frames.0..=past.frames.1).contains(&frame)
        })
    };
    let bridged = |landmark| {
        let bridged = series.bridged(landmark);
        bridged.contains(&frame) || bridged.contains(&(frame + 1))
    };
    let seen = Landmark::ALL
        .into_iter()
        .filter(|landmark| pose.at(*landmark).is_some());
    seen.filter(|landmark| {
        bridged(*landmark) || past(*landmark) || pose.sd(*landmark) > DOUBTFUL_SD * trial.leg().value
    })
    .collect()
}

/// Joints of the figure that the layout has and that are not seen then, in words.
fn missing(trial: &Trial, pose: &Pose) -> String {
    let drawn = [
        Joint::Shoulder,
        Joint::Elbow,
        Joint::Wrist,
        Joint::Hip,
        Joint::Knee,
        Joint::Ankle,
    ];
    let missing: Vec<Landmark> = Landmark::ALL
        .into_iter()
        .filter(|landmark| landmark.joint().is_some_and(|joint| drawn.contains(&joint)))
        .filter(|landmark| pose.at(*landmark).is_none() && !trial.series().raw().track(*landmark).positions.is_empty())
        .collect();
    Landmark::in_words(&missing)
}

/// The point of a hand or foot that touches: the first that the clip has at all.
fn touching(trial: &Trial, joints: [Joint; 2], side: Side) -> Landmark {
    let [end, other] = joints.map(|joint| Landmark::of(joint, side));
    if trial.series().raw().has(end) { end } else { other }
}

const HAND: [Joint; 2] = [Joint::Fingertip, Joint::Wrist];
const FOOT: [Joint; 2] = [Joint::Toe, Joint::Ankle];

/// Hands and feet that are down at an event. One that comes down or leaves just then, as far as can be told, has done so.
fn down(trial: &Trial, event: &Event) -> Vec<Landmark> {
    let is_down = |contact: &Contact| {
        let early = |instant: Instant| instant.time - 2.0 * instant.sd - 1e-9;
        contact.start.is_none_or(|start| early(start) <= event.time)
            && contact.stop.is_none_or(|stop| event.time < early(stop))
    };
    let mut down = Vec::new();
    for (k, side) in Side::BOTH.into_iter().enumerate() {
        let hand = trial.found().support.as_ref().and_then(|support| support.hands[k]);
        if hand.as_ref().is_some_and(is_down) {
            down.push(touching(trial, HAND, side));
        }
        let mut feet = trial.found().feet.contacts[k].iter();
        if feet.any(is_down) {
            down.push(touching(trial, FOOT, side));
        }
    }
    down
}

/// The floor, from what rested on it: one level, or a piece for each surface where these differ.
fn floor(trial: &Trial) -> Vec<Floor> {
    let series = trial.series();
    let leg = trial.leg().value;
    let mut rests: Vec<(f64, f64)> = Vec::new();
    for (k, side) in Side::BOTH.into_iter().enumerate() {
        let mut rest = |landmark, contact: &Contact| {
            let point = series.median_while(landmark, contact.first, contact.end);
            rests.extend(point.map(|point| (point.x, point.y - REST * leg)));
        };
        for foot in &trial.found().feet.contacts[k] {
            rest(touching(trial, FOOT, side), foot);
        }
        if let Some(hand) = trial.found().support.as_ref().and_then(|support| support.hands[k]) {
            rest(touching(trial, HAND, side), &hand);
        }
    }
    let heights = || rests.iter().map(|(_, y)| *y);
    let (low, high) = (
        heights().fold(f64::INFINITY, f64::min),
        heights().fold(f64::NEG_INFINITY, f64::max),
    );
    if rests.is_empty() {
        return Vec::new();
    }
    if high - low <= ONE_FLOOR * leg {
        return vec![Floor::Level(low)];
    }
    rests.into_iter().map(|(x, y)| Floor::Piece { x, y }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Reviewer, Settings};
    use springline_drills::Catalogue;
    use springline_picture::Drawn;

    const DEMO: [&str; 5] = [
        "a-clean",
        "b-hands-near-feet",
        "c-no-block",
        "d-lands-behind",
        "e-too-close",
    ];

    fn each_demo(mut check: impl FnMut(&str, &Reviewed, &Drill, &[Scene])) {
        let catalogue = Catalogue::shipped();
        let drill = catalogue.drill("handspring-floor").expect("shipped");
        let mut reviewer = Reviewer::new(&catalogue, Settings::default());
        for name in DEMO {
            let file = format!("../../fixtures/demo/{name}.json");
            let reviewed = reviewer.review(Path::new(&file), drill).expect("a demo attempt");
            let scenes = scenes(&reviewed, drill);
            check(name, &reviewed, drill, &scenes);
        }
    }

    #[test]
    fn every_check_of_an_instant_stands_at_its_event() {
        each_demo(|name, reviewed, drill, scenes| {
            assert_eq!(scenes.len(), reviewed.trial.found().events().len());
            let mut told = 0;
            for scene in scenes {
                let of_event = drill.checks.iter().filter(|check| event_of(check) == Some(scene.event));
                let titles: Vec<&str> = of_event.map(|check| check.title.as_str()).collect();
                let labels = scene.labels.iter().map(|label| label.title.trim_end_matches(" (note)"));
                assert_eq!(labels.collect::<Vec<_>>(), titles, "{name}, {}", scene.event.id());
                told += titles.len();
                assert!(scene.synthetic && scene.hollow.is_empty() && scene.missing.is_empty());
            }
            // The others are taken over a phase.
            let over = |check: &&Check| event_of(check).is_none();
            assert_eq!(told + drill.checks.iter().filter(over).count(), drill.checks.len());
        });
    }

    #[test]
    fn no_number_hides_another_or_a_joint() {
        let hides =
            |box_: &[f32; 4], x: f32, y: f32| (box_[0]..=box_[2]).contains(&x) && (box_[1]..=box_[3]).contains(&y);
        each_demo(|name, _, _, scenes| {
            let drawn: Vec<Drawn> = draw_all(scenes).expect("drawn");
            for (scene, drawn) in scenes.iter().zip(&drawn) {
                let shown = scene.labels.iter().filter(|label| label.shown.is_some()).count();
                assert!(drawn.numbers.len() <= shown);
                for (k, one) in drawn.numbers.iter().enumerate() {
                    for other in &drawn.numbers[k + 1..] {
                        let apart =
                            one[2] <= other[0] || other[2] <= one[0] || one[3] <= other[1] || other[3] <= one[1];
                        assert!(apart, "{name}, {}", scene.event.id());
                    }
                    let joints = Landmark::ALL.into_iter().filter_map(|landmark| scene.pose.at(landmark));
                    for place in joints.map(|joint| drawn.place(joint)) {
                        assert!(!hides(one, place.x, place.y), "{name}, {}", scene.event.id());
                    }
                }
            }
        });
    }

    #[test]
    fn hands_and_feet_are_down_when_they_are() {
        use springline_kinematics::EventKind;
        each_demo(|name, _, _, scenes| {
            let down = |event: EventKind| {
                let scene = scenes.iter().find(|scene| scene.event == event).expect("in the demo");
                Landmark::in_words(&scene.down)
            };
            assert!(down(EventKind::HandPlacement).contains("both fingertips"), "{name}");
            assert!(!down(EventKind::HandDeparture).contains("fingertip"), "{name}");
            assert!(down(EventKind::FeetTouchdown).contains("toe"), "{name}");
            assert!(down(EventKind::Settled).contains("both toes"), "{name}");
        });
    }
}
