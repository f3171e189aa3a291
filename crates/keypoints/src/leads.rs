//! Which places of a layout lead nowhere in a file.

use crate::numbers::shortened;
use crate::path::{Path, Step};
use crate::sample::Sample;
use crate::shape::{JsonShape, Where};

/// Every place of a layout that isn't in the file, with what stands there, in words. Places inside one that isn't there
/// are left out.
pub(crate) fn nowhere(file: &Sample, shape: &JsonShape) -> Vec<String> {
    let mut problems = Vec::new();
    let mut look = |from: &Sample, whose: &str, key: &str, path: &Path| match follow(from, &path.0) {
        Ok(_) => {}
        // Nobody in view is no fault of the layout.
        Err((Sample::List(_, 0), left)) if matches!(path.0[path.0.len() - left], Step::Each | Step::Index(_)) => {}
        Err((there, left)) => {
            let passed = &path.0[..path.0.len() - left];
            let place = if passed.is_empty() {
                whose.to_owned()
            } else {
                format!("`{}`", Path(passed.to_vec()))
            };
            problems.push(format!("json.{key}: `{path}` leads nowhere; {place} {}", has(there)));
        }
    };
    for (key, path) in [
        ("rate_hz", &shape.rate),
        ("width", &shape.width),
        ("height", &shape.height),
    ] {
        if let Some(path) = path {
            look(file, "the file", key, path);
        }
    }
    look(file, "the file", "frames", &shape.frames);
    let Ok(frame) = follow(file, &shape.frames.0) else {
        return problems;
    };
    for (key, path) in [
        ("frame", at(shape.frame.as_ref())),
        ("time", shape.time.as_ref()),
        ("frame_width", shape.frame_width.as_ref()),
        ("frame_height", shape.frame_height.as_ref()),
    ] {
        if let Some(path) = path {
            look(frame, "a frame", key, path);
        }
    }
    look(frame, "a frame", "people", &shape.people);
    let Ok(person) = follow(frame, &shape.people.0) else {
        return problems;
    };
    for (key, path) in [
        ("person", at(shape.person.as_ref())),
        ("points", Some(&shape.points)),
        ("scores", shape.scores.as_ref()),
    ] {
        if let Some(path) = path {
            look(person, "a person", key, path);
        }
    }
    problems
}

fn at(place: Option<&Where>) -> Option<&Path> {
    match place {
        Some(Where::Path(path)) => Some(path),
        _ => None,
    }
}

/// The first value to which the steps lead, else the farthest value on the way and how many steps are left.
fn follow<'s>(from: &'s Sample, steps: &[Step]) -> Result<&'s Sample, (&'s Sample, usize)> {
    let Some((step, rest)) = steps.split_first() else {
        return Ok(from);
    };
    let next: Vec<&Sample> = match (step, from) {
        (Step::Key(key), _) => from.get(key).into_iter().collect(),
        (Step::Each, Sample::List(items, _)) => items.iter().collect(),
        (Step::Members, Sample::Object(members)) => members.iter().map(|(_, value)| value).collect(),
        (Step::Index(index), Sample::List(items, _)) => items.get(*index).into_iter().collect(),
        _ => Vec::new(),
    };
    let mut farthest = (from, steps.len());
    for value in next {
        match follow(value, rest) {
            Ok(found) => return Ok(found),
            Err(stuck) if stuck.1 < farthest.1 => farthest = stuck,
            Err(_) => {}
        }
    }
    Err(farthest)
}

fn has(value: &Sample) -> String {
    match value {
        Sample::Object(members) if members.is_empty() => "has nothing in it".to_owned(),
        Sample::Object(members) => {
            let names: Vec<&str> = members.iter().map(|(name, _)| name.as_str()).collect();
            format!("has {}", shortened(&names.join(", ")))
        }
        Sample::List(_, 0) => "is an empty list".to_owned(),
        Sample::List(_, length) => format!("is a list of {length}"),
        Sample::Number(number) => format!("is the number {number}"),
        Sample::Text(text) => format!("is the text {:?}", shortened(text)),
        Sample::Null | Sample::Other => "is no list and no object".to_owned(),
    }
}
