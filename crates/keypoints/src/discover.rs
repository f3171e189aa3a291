//! Finds the points in a JSON file of a shape that nobody described.
//!
//! The outcome is an ordinary layout, the same as a layout file would give; what was found is said
//! in words so that a coach can check it.

use springline_kinematics::Landmark;

use crate::layout::Layout;
use crate::layout_file::{JsonShape, PointKeys, TimeUnit, Where};
use crate::names;
use crate::path::{Path, Step};
use crate::sample::Sample;
use crate::sheet::Columns;

/// Keys under which tools write what we look for, most telling first.
const SCORES: [&str; 8] = [
    "score",
    "visibility",
    "confidence",
    "conf",
    "likelihood",
    "presence",
    "c",
    "p",
];
const POINT_NAMES: [&str; 6] = ["name", "part", "label", "keypoint", "landmark", "joint"];
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

/// The points of one person as they are written.
struct Found {
    layout: Layout,
    columns: Columns,
    keys: PointKeys,
    /// An unnamed layout told from the count alone.
    rank: u8,
}

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

fn plain_keys() -> PointKeys {
    PointKeys {
        x: "x".to_owned(),
        y: "y".to_owned(),
        score: None,
        name: None,
    }
}

/// Whether a value is one person's points.
fn points(value: &Sample, known: Option<&Layout>) -> Option<Found> {
    match value {
        Sample::List(items, length) => match items.first()? {
            Sample::Number(_) | Sample::Null | Sample::Text(_) => flat(items, *length, known),
            Sample::List(..) => rows(items, *length, known),
            Sample::Object(_) => objects(items, *length, known),
            Sample::Other => None,
        },
        Sample::Object(members) => named(members, known),
        _ => None,
    }
}

/// The layout of so many unnamed points.
fn of_count(count: usize, known: Option<&Layout>) -> Option<Layout> {
    match known {
        Some(layout) => (layout.points.len() == count).then(|| layout.clone()),
        None => Layout::of_count(count),
    }
}

fn flat(items: &[Sample], length: usize, known: Option<&Layout>) -> Option<Found> {
    if items.iter().filter(|item| item.number().is_some()).count() * 2 < items.len() {
        return None;
    }
    for count in [3, 2, 4] {
        if !length.is_multiple_of(count) {
            continue;
        }
        if let Some(layout) = of_count(length / count, known) {
            let columns = columns(count, items.chunks(count).filter_map(|point| point.last()));
            return Some(Found {
                layout,
                columns,
                keys: plain_keys(),
                rank: 1,
            });
        }
    }
    None
}

/// What the numbers of a point are, by how many there are; a third or fourth one that can't be a
/// score is depth.
fn columns<'s>(count: usize, last: impl Iterator<Item = &'s Sample>) -> Columns {
    let could_be_scores = last
        .filter_map(Sample::number)
        .all(|score| (-0.05..=100.0).contains(&score));
    let score = if count > 2 && could_be_scores {
        Some(count - 1)
    } else {
        None
    };
    Columns {
        count,
        x: 0,
        y: 1,
        score,
    }
}

fn rows(items: &[Sample], length: usize, known: Option<&Layout>) -> Option<Found> {
    let row = |item: &Sample| match item {
        Sample::List(numbers, length) if (2..=4).contains(length) && numbers.len() == *length => numbers
            .iter()
            .all(|number| matches!(number, Sample::Number(_) | Sample::Null))
            .then_some(*length),
        _ => None,
    };
    let count = items.iter().find_map(row)?;
    if !items
        .iter()
        .all(|item| matches!(item, Sample::Null) || row(item) == Some(count))
    {
        return None;
    }
    let layout = of_count(length, known)?;
    let last = items.iter().filter_map(|item| match item {
        Sample::List(numbers, _) => numbers.last(),
        _ => None,
    });
    Some(Found {
        layout,
        columns: columns(count, last),
        keys: plain_keys(),
        rank: 1,
    })
}

/// Names of x, y and score in a point object.
fn point_keys(point: &Sample) -> Option<PointKeys> {
    let (x, y) = [("x", "y"), ("X", "Y")].into_iter().find(|(x, y)| {
        [x, y]
            .iter()
            .all(|key| matches!(point.get(key), Some(Sample::Number(_) | Sample::Null)))
    })?;
    let score = SCORES.into_iter().find(|key| point.get(key).is_some());
    let name = POINT_NAMES
        .into_iter()
        .find(|key| matches!(point.get(key), Some(Sample::Text(_))));
    let owned = |key: &str| key.to_owned();
    Some(PointKeys {
        x: owned(x),
        y: owned(y),
        score: score.map(owned),
        name: name.map(owned),
    })
}

fn objects(items: &[Sample], length: usize, known: Option<&Layout>) -> Option<Found> {
    let keys = items.iter().find_map(point_keys)?;
    if let Some(name_key) = &keys.name {
        let names: Vec<String> = items
            .iter()
            .filter_map(|item| match item.get(name_key) {
                Some(Sample::Text(name)) => Some(name.clone()),
                _ => None,
            })
            .collect();
        let layout = match known {
            Some(layout) if !layout.names.is_empty() => Some(layout.clone()),
            _ => all_names(names.iter().map(String::as_str)),
        };
        if let Some(layout) = layout {
            return Some(Found {
                layout,
                columns: Columns::TRIPLES,
                keys,
                rank: 0,
            });
        }
    }
    let layout = of_count(length, known)?;
    let keys = PointKeys { name: None, ..keys };
    Some(Found {
        layout,
        columns: Columns::TRIPLES,
        keys,
        rank: 1,
    })
}

/// A layout of every landmark that names may mean, as these names write them: a point that the
/// sample lacks may come later, and unknown ones are left aside.
fn all_names<'s>(names: impl Iterator<Item = &'s str>) -> Option<Layout> {
    let mut known: Vec<(String, Landmark)> = Vec::new();
    for name in names {
        if let Some(landmark) = names::landmark(name)
            && known.iter().all(|(_, other)| *other != landmark)
        {
            known.push((name.to_owned(), landmark));
        }
    }
    if known.len() < 6 {
        return None;
    }
    // The other side of a name that was seen: tools leave out what they don't see.
    for (name, landmark) in known.clone() {
        let mirrored = landmark.mirrored();
        if known.iter().all(|(_, other)| *other != mirrored)
            && let Some(other) = mirrored_name(&name)
            && names::landmark(&other) == Some(mirrored)
        {
            known.push((other, mirrored));
        }
    }
    known.sort_by_key(|(_, landmark)| *landmark);
    Layout::of_names(known.into_iter().map(|(name, _)| name).collect())
}

/// The name with its side exchanged.
fn mirrored_name(name: &str) -> Option<String> {
    for (a, b) in [("left", "right"), ("Left", "Right"), ("LEFT", "RIGHT")] {
        if name.contains(a) {
            return Some(name.replacen(a, b, 1));
        }
        if name.contains(b) {
            return Some(name.replacen(b, a, 1));
        }
    }
    for (a, b) in [('l', 'r'), ('L', 'R')] {
        for (from, to) in [(a, b), (b, a)] {
            if let Some(rest) = name.strip_prefix(from) {
                return Some(format!("{to}{rest}"));
            }
            if let Some(rest) = name.strip_suffix(from) {
                return Some(format!("{rest}{to}"));
            }
        }
    }
    None
}

fn named(members: &[(String, Sample)], known: Option<&Layout>) -> Option<Found> {
    let point = |value: &Sample| match value {
        Sample::Object(_) => point_keys(value).is_some(),
        Sample::List(numbers, length) => {
            (2..=4).contains(length)
                && numbers
                    .iter()
                    .all(|number| matches!(number, Sample::Number(_) | Sample::Null))
        }
        _ => false,
    };
    let points = || members.iter().filter(|(_, value)| point(value));
    if points().count() < 4 {
        return None;
    }
    let layout = match known {
        Some(layout) if !layout.names.is_empty() => points()
            .any(|(name, _)| layout.names.contains(name))
            .then(|| layout.clone()),
        _ => all_names(
            members
                .iter()
                .filter(|(_, value)| point(value) || *value == Sample::Null)
                .map(|(name, _)| name.as_str()),
        ),
    }?;
    let keys = points()
        .find_map(|(_, value)| point_keys(value))
        .unwrap_or_else(plain_keys);
    let rows = points().filter_map(|(_, value)| match value {
        Sample::List(numbers, length) => Some((numbers, *length)),
        _ => None,
    });
    let count = rows.clone().map(|(_, length)| length).next().unwrap_or(3);
    let columns = columns(count, rows.filter_map(|(numbers, _)| numbers.last()));
    Some(Found {
        layout,
        columns,
        keys: PointKeys { name: None, ..keys },
        rank: 0,
    })
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
