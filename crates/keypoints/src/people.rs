//! Several people in view: who is who from frame to frame, and who the athlete is.

use springline_kinematics::{Joint, Landmark};

use crate::AthleteChoice;
use crate::error::Error;
use crate::frames::{Frames, median};
use crate::sheet::{Sheet, Spot};

/// A person out of view for longer than this starts a new path, s.
const MEMORY_S: f64 = 1.5;
/// Farthest step from the predicted place, in body radii, at once and for each second out of view.
const GATE: (f64, f64) = (1.5, 4.0);
/// Most paths out of view that are kept in mind.
const LOST: usize = 128;

/// Where one person is in one frame.
#[derive(Clone, Copy)]
struct Body {
    /// Mean of the seen shoulders and hips, else of all seen points.
    centre: [f64; 2],
    /// Root mean square distance of the points from their own mean, px.
    radius: f64,
    /// Mid-shoulder is clearly lower in the picture than mid-hip.
    inverted: bool,
}

/// Which slots are shoulders and hips.
struct Trunk {
    shoulders: Vec<usize>,
    hips: Vec<usize>,
}

impl Trunk {
    fn of(slots: &[Landmark]) -> Self {
        let find = |joint| {
            slots
                .iter()
                .enumerate()
                .filter(move |(_, slot)| slot.joint() == Some(joint))
                .map(|(index, _)| index)
                .collect()
        };
        Self {
            shoulders: find(Joint::Shoulder),
            hips: find(Joint::Hip),
        }
    }

    fn body(&self, spots: &[Option<Spot>]) -> Body {
        let mean = |list: &mut dyn Iterator<Item = Spot>| {
            let (mut x, mut y, mut count) = (0.0, 0.0, 0.0_f64);
            for spot in list {
                x += spot.x;
                y += spot.y;
                count += 1.0;
            }
            (count > 0.0).then(|| [x / count, y / count])
        };
        let at = |slots: &[usize]| mean(&mut slots.iter().filter_map(|slot| spots[*slot]));
        // A record has one seen point at least.
        let all = mean(&mut spots.iter().copied().flatten()).unwrap_or([0.0, 0.0]);
        let squares: Vec<f64> = spots
            .iter()
            .flatten()
            .map(|spot| (spot.x - all[0]).powi(2) + (spot.y - all[1]).powi(2))
            .collect();
        #[allow(clippy::cast_precision_loss)]
        let radius = (squares.iter().sum::<f64>() / squares.len().max(1) as f64)
            .sqrt()
            .max(1.0);
        let (shoulders, hips) = (at(&self.shoulders), at(&self.hips));
        let inverted = match (shoulders, hips) {
            (Some(shoulders), Some(hips)) => shoulders[1] > hips[1] + 0.1 * radius,
            _ => false,
        };
        let trunk = self.shoulders.iter().chain(&self.hips);
        let centre = mean(&mut trunk.filter_map(|slot| spots[*slot])).unwrap_or(all);
        Body {
            centre,
            radius,
            inverted,
        }
    }
}

/// One person through the clip.
struct Path {
    /// Frame and record, in order.
    members: Vec<(u32, u32)>,
    last: Body,
    velocity: [f64; 2],
    last_time: f64,
    /// Number that the file gives.
    person: Option<i64>,
    inverted: usize,
    low: [f64; 2],
    high: [f64; 2],
    radii: Vec<f64>,
}

impl Path {
    fn start(frame: usize, record: u32, body: Body, time: f64, person: Option<i64>) -> Self {
        let mut path = Self {
            members: Vec::new(),
            last: body,
            velocity: [0.0; 2],
            last_time: time,
            person,
            inverted: 0,
            low: body.centre,
            high: body.centre,
            radii: Vec::new(),
        };
        path.note(frame, record, body);
        path
    }

    fn note(&mut self, frame: usize, record: u32, body: Body) {
        self.members.push((u32::try_from(frame).unwrap_or(u32::MAX), record));
        self.inverted += usize::from(body.inverted);
        self.radii.push(body.radius);
        for axis in 0..2 {
            self.low[axis] = self.low[axis].min(body.centre[axis]);
            self.high[axis] = self.high[axis].max(body.centre[axis]);
        }
    }

    fn extend(&mut self, frame: usize, record: u32, body: Body, time: f64, person: Option<i64>) {
        let step = time - self.last_time;
        // The first velocity as it is, later ones into a memory of 0.06 s.
        let fresh = if self.members.len() == 1 {
            1.0
        } else {
            step / (step + 0.06)
        };
        for axis in 0..2 {
            let now = (body.centre[axis] - self.last.centre[axis]) / step;
            self.velocity[axis] += fresh * (now - self.velocity[axis]);
        }
        self.note(frame, record, body);
        self.last = body;
        self.last_time = time;
        self.person = person;
    }

    /// Mean distance of the points from where they were, moved on with the body, in body radii, with
    /// a share for another size; `None` when the body is too far to be the same person's.
    fn cost(&self, sheet: &Sheet, record: u32, body: Body, time: f64) -> Option<f64> {
        let away = time - self.last_time;
        let radius = self.last.radius.max(body.radius);
        // Someone may go on or stop, the longer out of view the more.
        let step = [0, 1].map(|axis| {
            let on = self.velocity[axis] * away.min(0.3);
            let was = body.centre[axis] - self.last.centre[axis];
            if away > 0.1 {
                was.clamp(on.min(0.0), on.max(0.0))
            } else {
                on
            }
        });
        let off = [0, 1].map(|axis| body.centre[axis] - self.last.centre[axis] - step[axis]);
        let distance = off[0].hypot(off[1]) / radius;
        if distance > GATE.0 + GATE.1 * away {
            return None;
        }
        let before = self.members.last().map_or(record, |(_, record)| *record);
        let (mut sum, mut count) = (0.0, 0.0_f64);
        let pairs = sheet
            .spots_of(before as usize)
            .iter()
            .zip(sheet.spots_of(record as usize));
        for (then, now) in pairs.filter_map(|(then, now)| then.as_ref().zip(now.as_ref())) {
            sum += (now.x - then.x - step[0]).hypot(now.y - then.y - step[1]);
            count += 1.0;
        }
        let shape = if count > 0.0 { sum / count / radius } else { distance };
        Some(0.5 * (distance + shape) + 0.5 * (body.radius / self.last.radius).ln().abs())
    }

    /// How far the person moves through the clip, in body radii.
    fn motion(&self) -> f64 {
        let range = (self.high[0] - self.low[0]).hypot(self.high[1] - self.low[1]);
        range / self.size()
    }

    fn size(&self) -> f64 {
        median(self.radii.clone()).unwrap_or(1.0)
    }

    /// Upside down in two frames at least (one in a path of under four).
    fn turns_over(&self) -> bool {
        self.inverted >= 2 || (self.inverted == 1 && self.members.len() < 4)
    }
}

/// The athlete's record in each frame, and how the athlete was chosen (`None`: nobody else in view).
pub(crate) struct Followed {
    pub records: Vec<Option<u32>>,
    pub choice: Option<AthleteChoice>,
}

/// Follows everybody and picks the athlete, or the person asked for (counted from 1).
pub(crate) fn follow(file: &str, sheet: &Sheet, frames: &Frames, asked: Option<usize>) -> Result<Followed, Error> {
    let people = frames.most_people();
    let no_such = |asked, people| {
        Err(Error::NoSuchPerson {
            file: file.to_owned(),
            asked,
            people,
        })
    };
    if people <= 1 && one_name(sheet, frames) {
        if let Some(asked) = asked.filter(|asked| *asked != 1) {
            return no_such(asked, 1);
        }
        let records = (0..frames.times.len())
            .map(|frame| frames.records(frame).first().copied())
            .collect();
        return Ok(Followed { records, choice: None });
    }
    let paths = paths(sheet, frames);
    let (index, why) = match asked {
        Some(asked) if asked == 0 || asked > paths.len() => return no_such(asked, paths.len()),
        Some(asked) => (asked - 1, "asked for".to_owned()),
        None => pick(&paths),
    };
    let mut records = vec![None; frames.times.len()];
    for (frame, record) in &paths[index].members {
        records[*frame as usize] = Some(*record);
    }
    let choice = AthleteChoice {
        people,
        chosen: index + 1,
        why: format!("{}, {why}", stands(sheet, frames, &paths[index])),
    };
    Ok(Followed {
        records,
        choice: (paths.len() > 1).then_some(choice),
    })
}

/// Where somebody stands among the others when first seen, in words.
fn stands(sheet: &Sheet, frames: &Frames, path: &Path) -> String {
    let Some((frame, record)) = path.members.first().copied() else {
        return String::new();
    };
    let trunk = Trunk::of(&sheet.slots);
    let x = |record: u32| trunk.body(sheet.spots_of(record as usize)).centre[0];
    let own = x(record);
    let others = || frames.records(frame as usize).iter().filter(|other| **other != record);
    let left = others().filter(|other| x(**other) < own).count();
    let time = frames.times[frame as usize];
    match (left, others().count()) {
        (_, 0) => format!("the only one in view at {time:.2} s"),
        (0, _) => format!("the one farthest left in the picture at {time:.2} s"),
        (left, others) if left == others => format!("the one farthest right in the picture at {time:.2} s"),
        (left, others) => format!(
            "number {} of {} from the left of the picture at {time:.2} s",
            left + 1,
            others + 1
        ),
    }
}

/// Whether no two records carry different numbers of people.
fn one_name(sheet: &Sheet, frames: &Frames) -> bool {
    let (Some(from), Some(to)) = (frames.starts.first(), frames.starts.last()) else {
        return true;
    };
    let mut names = frames.order[*from as usize..*to as usize]
        .iter()
        .filter_map(|record| sheet.records[*record as usize].person);
    let first = names.next();
    names.all(|name| Some(name) == first)
}

/// Everybody's path, in order of appearance, then from left to right.
fn paths(sheet: &Sheet, frames: &Frames) -> Vec<Path> {
    let trunk = Trunk::of(&sheet.slots);
    let mut paths: Vec<Path> = Vec::new();
    let mut alive: Vec<usize> = Vec::new();
    let mut bodies: Vec<(u32, Body)> = Vec::new();
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (frame, time) in frames.times.iter().copied().enumerate() {
        bodies.clear();
        bodies.extend(
            frames
                .records(frame)
                .iter()
                .map(|record| (*record, trunk.body(sheet.spots_of(*record as usize)))),
        );
        bodies.sort_by(|a, b| a.1.centre[0].total_cmp(&b.1.centre[0]));
        alive.retain(|path| time - paths[*path].last_time <= MEMORY_S);
        if alive.len() > LOST {
            alive.drain(..alive.len() - LOST);
        }
        pairs.clear();
        for path in &alive {
            for (at, (record, body)) in bodies.iter().enumerate() {
                let person = sheet.records[*record as usize].person;
                let cost = match (paths[*path].person, person) {
                    // The file says who it is.
                    (Some(a), Some(b)) if a == b => Some(-1.0),
                    _ => paths[*path].cost(sheet, *record, *body, time),
                };
                pairs.extend(cost.map(|cost| (cost, *path, at)));
            }
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
        let mut taken = vec![false; bodies.len()];
        let mut used: Vec<usize> = Vec::new();
        for (_, path, at) in &pairs {
            if taken[*at] || used.contains(path) {
                continue;
            }
            taken[*at] = true;
            used.push(*path);
            let (record, body) = bodies[*at];
            paths[*path].extend(frame, record, body, time, sheet.records[record as usize].person);
        }
        for (at, (record, body)) in bodies.iter().enumerate() {
            if !taken[at] {
                alive.push(paths.len());
                paths.push(Path::start(
                    frame,
                    *record,
                    *body,
                    time,
                    sheet.records[*record as usize].person,
                ));
            }
        }
    }
    paths
}

/// The one who turns upside down, then who moves most, then the largest; and why, in words.
fn pick(paths: &[Path]) -> (usize, String) {
    let turning: Vec<usize> = (0..paths.len()).filter(|path| paths[*path].turns_over()).collect();
    let (field, start) = match turning.as_slice() {
        [only] => return (*only, "the only one who turns upside down".to_owned()),
        [] => ((0..paths.len()).collect(), "nobody turns upside down; "),
        several => (several.to_vec(), "several turn upside down; "),
    };
    let best = |value: &dyn Fn(&Path) -> f64, field: &[usize]| {
        field
            .iter()
            .copied()
            .max_by(|a, b| value(&paths[*a]).total_cmp(&value(&paths[*b])).then(b.cmp(a)))
    };
    let first = best(&Path::motion, &field).unwrap_or(0);
    let most = paths[first].motion();
    let close: Vec<usize> = field
        .iter()
        .copied()
        .filter(|path| paths[*path].motion() > 0.8 * most)
        .collect();
    if close.len() < 2 {
        return (first, format!("{start}moves most"));
    }
    let largest = best(&Path::size, &close).unwrap_or(first);
    (largest, format!("{start}the largest of those who move most"))
}
