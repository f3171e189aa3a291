//! Whether a value holds one person's points, and how they are written.

use springline_kinematics::Landmark;

use crate::layout::Layout;
use crate::names;
use crate::sample::Sample;
use crate::shape::PointKeys;
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

/// The points of one person as they are written.
pub(crate) struct Found {
    pub layout: Layout,
    pub columns: Columns,
    pub keys: PointKeys,
    /// An unnamed layout told from the count alone.
    pub rank: u8,
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
pub(crate) fn points(value: &Sample, known: Option<&Layout>) -> Option<Found> {
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

/// What the numbers of a point are, by how many there are: the third or fourth is a score, unless
/// a tenth of them lie below zero, as depths do. (A few below zero are faulty scores, and refused.)
fn columns<'s>(count: usize, last: impl Iterator<Item = &'s Sample>) -> Columns {
    let (mut numbers, mut below) = (0, 0);
    for number in last.filter_map(Sample::number) {
        numbers += 1;
        below += usize::from(number < -0.05);
    }
    let depth = below > 0 && 10 * below >= numbers;
    let score = if count > 2 && !depth { Some(count - 1) } else { None };
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
