//! Finds the points in a JSON file of a shape that nobody described.
//!
//! The outcome is an ordinary layout, the same as a layout file would give; what was found is said
//! in words so that a coach can check it.

use crate::layout::Layout;
use crate::layout_file::TimeUnit;
use crate::path::{Path, Step};
use crate::point_forms::{Found, points};
use crate::sample::Sample;
use crate::shape::{JsonShape, Where};

/// Keys under which tools write what we look for, most telling first.
const FRAME_NUMBERS: [&str; 12] = [
    "frame",
    "frame_number",
    "frame_index",
    "frame_id",
    "frameNumber",
    "frameIndex",
    "index",
    "idx",
    "image_id",
    "file_name",
    "image_name",
    "id",
];
const TIMES: [(&str, TimeUnit); 14] = [
    ("t", TimeUnit::S),
    ("time", TimeUnit::S),
    ("time_s", TimeUnit::S),
    ("t_s", TimeUnit::S),
    ("timestamp", TimeUnit::S),
    ("timestamp_s", TimeUnit::S),
    ("seconds", TimeUnit::S),
    ("time_ms", TimeUnit::Ms),
    ("t_ms", TimeUnit::Ms),
    ("timestamp_ms", TimeUnit::Ms),
    ("timestampMs", TimeUnit::Ms),
    ("time_us", TimeUnit::Us),
    ("timestamp_us", TimeUnit::Us),
    ("t_us", TimeUnit::Us),
];
const PEOPLE: [&str; 11] = [
    "people",
    "persons",
    "poses",
    "instances",
    "detections",
    "bodies",
    "subjects",
    "skeletons",
    "athletes",
    "predictions",
    "humans",
];
const PERSON_NUMBERS: [&str; 7] = ["person", "person_id", "track_id", "track", "instance_id", "id", "idx"];
const SCORE_LISTS: [&str; 5] = [
    "keypoint_scores",
    "keypoints_scores",
    "scores",
    "point_scores",
    "confidences",
];
const RATES: [&str; 7] = [
    "rate_hz",
    "fps",
    "frame_rate",
    "framerate",
    "frameRate",
    "rate",
    "frames_per_second",
];
const WIDTHS: [&str; 5] = ["width", "image_width", "frame_width", "video_width", "imageWidth"];
const HEIGHTS: [&str; 5] = ["height", "image_height", "frame_height", "video_height", "imageHeight"];
const INSIDE: [&str; 7] = ["picture", "image", "video", "meta", "metadata", "info", "image_size"];

/// Where points were found, with the values on the way.
struct Candidate<'s> {
    steps: Vec<Step>,
    /// The value before each step, and the points themselves.
    values: Vec<&'s Sample>,
    found: Found,
}

/// Finds points and returns the layout that describes the file; `known`: the layout that was asked for.
pub(crate) fn discover(sample: &Sample, known: Option<&Layout>, is_frame: bool) -> Option<Layout> {
    let mut candidates = Vec::new();
    search(sample, known, &mut Vec::new(), &mut vec![sample], &mut candidates);
    // The first of the best: flat parts such as hands or a 3-D copy have a higher rank.
    let best = candidates.iter().map(|candidate| candidate.found.rank).min()?;
    let candidate = candidates.into_iter().find(|candidate| candidate.found.rank == best)?;
    describe(candidate, is_frame)
}

fn search<'s>(
    value: &'s Sample,
    known: Option<&Layout>,
    steps: &mut Vec<Step>,
    values: &mut Vec<&'s Sample>,
    candidates: &mut Vec<Candidate<'s>>,
) {
    if candidates.len() >= 64 || steps.len() > 12 {
        return;
    }
    if let Some(mut found) = points(value, known) {
        let aside = ["3d", "world", "face", "hand", "foot"];
        let key = steps
            .iter()
            .rev()
            .find_map(|step| if let Step::Key(key) = step { Some(key) } else { None });
        if key.is_some_and(|key| aside.iter().any(|word| key.to_lowercase().contains(word))) {
            found.rank += 1;
        }
        candidates.push(Candidate {
            steps: steps.clone(),
            values: values.clone(),
            found,
        });
        return;
    }
    let many = |step: Step,
                inner: &mut dyn Iterator<Item = &'s Sample>,
                state: (&mut Vec<Step>, &mut Vec<&'s Sample>, &mut Vec<Candidate<'s>>)| {
        let (steps, values, candidates) = state;
        steps.push(step);
        for item in inner {
            let before = candidates.len();
            values.push(item);
            search(item, known, steps, values, candidates);
            values.pop();
            if candidates.len() > before {
                break;
            }
        }
        steps.pop();
    };
    match value {
        Sample::List(items, _) => many(Step::Each, &mut items.iter(), (steps, values, candidates)),
        Sample::Object(members) => {
            let numbered = |(key, value): &(String, Sample)| {
                crate::numbers::last_digits(key).is_some() && matches!(value, Sample::Object(_) | Sample::List(..))
            };
            if members.len() >= 2 && members.iter().all(numbered) {
                many(
                    Step::Members,
                    &mut members.iter().map(|(_, value)| value),
                    (steps, values, candidates),
                );
                return;
            }
            for (key, value) in members {
                steps.push(Step::Key(key.clone()));
                values.push(value);
                search(value, known, steps, values, candidates);
                values.pop();
                steps.pop();
            }
        }
        _ => {}
    }
}

/// Turns the way to the points into the places of a layout.
fn describe(candidate: Candidate<'_>, is_frame: bool) -> Option<Layout> {
    let Candidate { steps, values, found } = candidate;
    let levels: Vec<usize> = steps
        .iter()
        .enumerate()
        .filter(|(_, step)| matches!(step, Step::Each | Step::Members))
        .map(|(index, _)| index)
        .collect();
    let key_before = |level: usize| match level.checked_sub(1).and_then(|before| steps.get(before)) {
        Some(Step::Key(key)) => key.to_lowercase(),
        _ => String::new(),
    };
    // Where frames and people end among the steps.
    let (frames_end, people_end) = match levels.as_slice() {
        [] => (0, 0),
        [one] => {
            let frame_like = |value: &Sample| {
                FRAME_NUMBERS[..9].iter().any(|key| value.get(key).is_some())
                    || TIMES.iter().any(|(key, _)| value.get(key).is_some())
            };
            let inside = values[one + 1];
            let people = PEOPLE.contains(&key_before(*one).as_str()) || (is_frame && !frame_like(inside));
            if people { (0, one + 1) } else { (one + 1, one + 1) }
        }
        [frames, people] => (frames + 1, people + 1),
        _ => return None,
    };
    let (top, frame, person) = (values[0], values[frames_end], values[people_end]);
    // Values side by side with the one the points were found in, so that a key is found that one lacks.
    let path = |key: &str| Path(vec![Step::Key(key.to_owned())]);
    let has = |value: &Sample, key: &str| {
        value
            .get(key)
            .is_some_and(|value| !matches!(value, Sample::List(..) | Sample::Object(_)))
    };
    let in_frames = frames_end > 0;
    let member_names = |end: usize| end > 0 && steps[end - 1] == Step::Members;
    let frame_number = if !in_frames {
        None
    } else if member_names(frames_end) {
        Some(Where::MemberName)
    } else {
        FRAME_NUMBERS
            .into_iter()
            .find(|key| has(frame, key))
            .map(|key| Where::Path(path(key)))
    };
    let with_people = people_end > frames_end;
    let person_number = if with_people && member_names(people_end) {
        Some(Where::MemberName)
    } else {
        let keys = if with_people {
            &PERSON_NUMBERS[..]
        } else {
            &PERSON_NUMBERS[..5]
        };
        keys.iter()
            .find(|key| has(person, key))
            .map(|key| Where::Path(path(key)))
    };
    let time = TIMES
        .into_iter()
        .find(|(key, _)| (in_frames || is_frame) && matches!(frame.get(key), Some(Sample::Number(_))));
    let number_at = |keys: &[&str]| -> Option<Path> {
        for key in keys {
            if matches!(top.get(key), Some(Sample::Number(_))) {
                return Some(path(key));
            }
            for outer in INSIDE {
                if matches!(top.get(outer).and_then(|inner| inner.get(key)), Some(Sample::Number(_))) {
                    return Some(Path(vec![Step::Key(outer.to_owned()), Step::Key((*key).to_owned())]));
                }
            }
        }
        None
    };
    let in_frame = |keys: &[&str]| {
        let found = keys
            .iter()
            .find(|key| matches!(frame.get(key), Some(Sample::Number(_))));
        found.filter(|_| in_frames).map(|key| path(key))
    };
    let scores = (found.columns.score.is_none())
        .then(|| {
            SCORE_LISTS
                .into_iter()
                .find(|key| matches!(person.get(key), Some(Sample::List(..))))
        })
        .flatten();
    let image_like = matches!(&frame_number, Some(Where::Path(path)) if ["image_id", "file_name", "image_name"]
        .iter()
        .any(|key| path.0 == [Step::Key((*key).to_owned())]));
    let mut layout = found.layout;
    layout.shape.json = Some(JsonShape {
        frames: Path(steps[..frames_end].to_vec()),
        frames_once: with_people || (person_number.is_none() && !image_like),
        frame: frame_number,
        time: time.map(|(key, _)| path(key)),
        time_unit_s: time.map_or(1.0, |(_, unit)| unit.seconds()),
        people: Path(steps[frames_end..people_end].to_vec()),
        person: person_number,
        points: Path(steps[people_end..].to_vec()),
        scores: scores.map(path),
        columns: found.columns,
        keys: found.keys,
        rate: number_at(&RATES),
        width: number_at(&WIDTHS),
        height: number_at(&HEIGHTS),
        frame_width: in_frame(&WIDTHS),
        frame_height: in_frame(&HEIGHTS),
    });
    Some(layout)
}

/// Where the points were found, in words.
pub(crate) fn words(shape: &JsonShape) -> String {
    let mut steps = shape.frames.0.clone();
    steps.extend_from_slice(&shape.people.0);
    steps.extend_from_slice(&shape.points.0);
    let path = Path(steps).to_string();
    if path.is_empty() {
        "points at the top".to_owned()
    } else {
        format!("points at {path}")
    }
}
