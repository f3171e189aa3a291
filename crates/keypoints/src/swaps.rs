//! Left and right swapped by the tool: found by continuity, mended, reported.
//!
//! Pose models that learned from upright people often take left for right when a body is upside
//! down. Each group of landmarks (arms, legs, head) is followed through the clip twice at a time,
//! as it came and with its sides exchanged, and the cheapest course is kept (Viterbi over the two
//! states): a point costs the squared distance from where constant velocity would have it, in
//! units of what noise and acceleration explain, and every change of state costs extra. So two legs
//! that cross smoothly stay as they are, while a swap makes both jump at once. Which of the two
//! states is the true one can't be seen from continuity: the state of fewer frames is taken as the
//! swapped one. Where left and right lie on each other, no swap is found, and none matters.

use springline_kinematics::{Joint, Landmark, Side};

use crate::clip::Clip;
use crate::frames::median;
use crate::sheet::Spot;
use crate::{Original, Swap};

/// The groups that tools swap together.
const GROUPS: [(&str, &[Joint]); 3] = [
    ("arms", &[Joint::Shoulder, Joint::Elbow, Joint::Wrist, Joint::Fingertip]),
    (
        "legs",
        &[Joint::Hip, Joint::Knee, Joint::Ankle, Joint::Heel, Joint::Toe],
    ),
    ("head", &[Joint::Eye, Joint::Ear]),
];
/// Most joints in a group.
const JOINTS: usize = 5;

/// Point noise, trunk lengths.
const NOISE: f64 = 0.04;
/// Acceleration that a prediction doesn't know of, trunk lengths per s².
const ACCELERATION: f64 = 80.0;
/// Speed of a point whose velocity isn't known yet, trunk lengths per s.
const SPEED: f64 = 12.0;
/// Memory of the velocity, s.
const MEMORY_S: f64 = 0.012;
/// Points unseen for longer than this start afresh, s.
const BRIDGE_S: f64 = 0.25;
/// Most that one point can cost in one frame.
const CAP: f64 = 8.0;
/// Sides that never are farther apart than this need no mending, trunk lengths.
const APART: f64 = 0.15;
/// Cost of a change of state.
const CHANGE: f64 = 9.0;
/// A state so much dearer than the other is given up until the next frame starts it afresh.
const HOPELESS: f64 = 30.0;
/// Cost of each frame in the swapped state.
const SWAPPED: f64 = 0.02;

/// Finds swaps and takes them back; returns them with the points as they were.
pub(crate) fn mend(clip: &mut Clip) -> (Vec<Swap>, Vec<Original>) {
    let (mut swaps, mut originals) = (Vec::new(), Vec::new());
    let Some(trunk) = trunk_length(clip) else {
        return (swaps, originals);
    };
    for (group, joints) in GROUPS {
        let pairs: Vec<[usize; 2]> = joints
            .iter()
            .filter_map(|joint| {
                let slot = |side| clip.slot(Landmark::of(*joint, side));
                Some([slot(Side::Left)?, slot(Side::Right)?])
            })
            .collect();
        if pairs.is_empty() || !ever_apart(clip, &pairs, trunk) {
            continue;
        }
        let swapped = states(clip, &pairs, trunk);
        let mut frame = 0;
        while frame < swapped.len() {
            if !swapped[frame] {
                frame += 1;
                continue;
            }
            let first = frame;
            while frame < swapped.len() && swapped[frame] {
                exchange(clip, &pairs, frame, &mut originals);
                frame += 1;
            }
            swaps.push(Swap {
                group,
                first,
                last: frame - 1,
            });
        }
    }
    (swaps, originals)
}

/// Whether left and right of any pair are clearly apart in any frame.
fn ever_apart(clip: &Clip, pairs: &[[usize; 2]], trunk: f64) -> bool {
    let least = (APART * trunk).powi(2);
    clip.spots.chunks_exact(clip.slots.len()).any(|spots| {
        pairs.iter().any(|[left, right]| match (spots[*left], spots[*right]) {
            (Some(left), Some(right)) => (left.x - right.x).powi(2) + (left.y - right.y).powi(2) > least,
            _ => false,
        })
    })
}

fn exchange(clip: &mut Clip, pairs: &[[usize; 2]], frame: usize, originals: &mut Vec<Original>) {
    let start = frame * clip.slots.len();
    for pair in pairs {
        let [a, b] = pair.map(|slot| start + slot);
        if clip.spots[a].is_none() && clip.spots[b].is_none() {
            continue;
        }
        for slot in pair {
            let place = clip.spots[start + slot].map(|spot| (spot.x, spot.y));
            originals.push((clip.slots[*slot], frame, place));
        }
        clip.spots.swap(a, b);
        if !clip.sds.is_empty() {
            clip.sds.swap(a, b);
        }
    }
}

/// Median distance from mid-shoulder to mid-hip, px.
fn trunk_length(clip: &Clip) -> Option<f64> {
    let lengths = (0..clip.times.len())
        .filter_map(|frame| {
            let (shoulder, hip) = (clip.middle(Joint::Shoulder, frame)?, clip.middle(Joint::Hip, frame)?);
            Some((shoulder[0] - hip[0]).hypot(shoulder[1] - hip[1]))
        })
        .collect();
    median(lengths).filter(|length| *length > 1.0)
}

/// One point under the assumption of one course of states; lengths in trunk lengths.
#[derive(Clone, Copy, Default)]
struct Followed {
    place: [f64; 2],
    velocity: [f64; 2],
    time: f64,
    /// How often it was seen; 0: not yet.
    seen: u32,
    /// How often in a row it was far from where it should be.
    strange: u32,
}

/// What follows from the time since a point was last seen; the same for most points of a frame.
#[derive(Clone, Copy)]
struct Step {
    from: f64,
    seconds: f64,
    per_second: f64,
    /// Square of what acceleration may add.
    drift: f64,
    /// Share of a new place in the memory.
    fresh: f64,
}

impl Step {
    fn new(from: f64, to: f64) -> Self {
        let seconds = to - from;
        let reach = seconds + MEMORY_S;
        let drift = ACCELERATION * reach * reach;
        Self {
            from,
            seconds,
            per_second: 1.0 / seconds,
            drift: drift * drift,
            fresh: seconds / reach,
        }
    }
}

/// Times of this frame and the one before.
#[derive(Clone, Copy)]
struct Now {
    time: f64,
    usual: Step,
}

impl Now {
    fn step_from(&self, from: f64) -> Step {
        if from == self.usual.from {
            self.usual
        } else {
            Step::new(from, self.time)
        }
    }
}

/// Gains of a growing memory of the first degree for the second, third… place, and how much more
/// than noise a prediction errs that rests on so few.
const STARTS: usize = 10;
const START_WEIGHT: [f64; STARTS] = starts(0);
const START_TURN: [f64; STARTS] = starts(1);
const START_NOISE: [f64; STARTS] = starts(2);

#[allow(clippy::cast_precision_loss)]
const fn starts(which: usize) -> [f64; STARTS] {
    let mut table = [1.0; STARTS];
    let mut count = 1;
    while count < STARTS {
        let n = count as f64;
        table[count] = match which {
            0 => 2.0 * (2.0 * n - 1.0) / (n * (n + 1.0)),
            1 => 6.0 / (n * (n + 1.0)),
            _ => NOISE * NOISE * (1.0 + 4.0 / n),
        };
        count += 1;
    }
    table
}

impl Followed {
    fn is_alive(&self, time: f64) -> bool {
        self.seen > 0 && time - self.time <= BRIDGE_S
    }

    /// Half the squared distance from the predicted place in units of its variance.
    #[inline]
    fn cost(&self, place: [f64; 2], now: &Now) -> f64 {
        let step = now.step_from(self.time);
        let x = place[0] - self.place[0] - self.velocity[0] * step.seconds;
        let y = place[1] - self.place[1] - self.velocity[1] * step.seconds;
        let drift = if self.seen == 1 {
            (SPEED * step.seconds).powi(2)
        } else {
            step.drift
        };
        let noise = START_NOISE
            .get(self.seen as usize)
            .copied()
            .unwrap_or(1.2 * NOISE * NOISE);
        (0.5 * (x * x + y * y) / (noise + drift)).min(CAP)
    }

    /// Takes in where the point was seen. One that is far off is not believed until it stays.
    #[inline]
    fn update(&mut self, place: [f64; 2], now: &Now, strange: bool) {
        let time = now.time;
        if !self.is_alive(time) || (strange && self.strange >= 2) {
            *self = Followed {
                place,
                velocity: [0.0; 2],
                time,
                seen: 1,
                strange: 0,
            };
            return;
        }
        if strange {
            self.strange += 1;
            return;
        }
        let step = now.step_from(self.time);
        self.strange = 0;
        self.seen = self.seen.saturating_add(1);
        let start = |table: &[f64; STARTS]| table.get(self.seen as usize).copied().unwrap_or(0.0);
        // Fading memory of the first degree, growing memory at the start.
        let rest = 1.0 - step.fresh;
        let weight = (1.0 - rest * rest).max(start(&START_WEIGHT));
        let turn = (step.fresh * step.fresh).max(start(&START_TURN)) * step.per_second;
        for axis in 0..2 {
            let predicted = self.place[axis] + self.velocity[axis] * step.seconds;
            let off = place[axis] - predicted;
            self.place[axis] = predicted + weight * off;
            self.velocity[axis] += turn * off;
        }
        self.time = time;
    }
}

/// The cheapest course that ends in one of the two states.
#[derive(Clone)]
struct Course {
    cost: f64,
    points: [[Followed; 2]; JOINTS],
}

type Places = [[Option<[f64; 2]>; 2]; JOINTS];

/// What a frame would cost a course, and which of its points are far from where they should be (a
/// bit each).
#[derive(Clone, Copy)]
struct FrameCost {
    cost: f64,
    strange: u16,
}

/// Cost of a frame's places for a course, sides exchanged or not. A point counts only when both
/// sides could be compared, so that no state is cheaper for what wasn't seen.
fn frame_cost(course: &Course, places: &Places, joints: usize, exchanged: bool, now: &Now) -> FrameCost {
    let mut result = FrameCost { cost: 0.0, strange: 0 };
    for (joint, (points, places)) in course.points[..joints].iter().zip(places).enumerate() {
        let alive = [points[0].is_alive(now.time), points[1].is_alive(now.time)];
        for (side, place) in places.iter().enumerate() {
            let own = side ^ usize::from(exchanged);
            if let (Some(place), true) = (place, alive[own]) {
                let cost = points[own].cost(*place, now);
                if alive[1 - own] {
                    result.cost += cost;
                }
                result.strange |= u16::from(cost >= CAP) << (2 * joint + own);
            }
        }
    }
    result
}

fn advance(course: &mut Course, places: &Places, joints: usize, exchanged: bool, now: &Now, strange: u16) {
    for (joint, (points, places)) in course.points[..joints].iter_mut().zip(places).enumerate() {
        for (side, place) in places.iter().enumerate() {
            let own = side ^ usize::from(exchanged);
            if let Some(place) = place {
                points[own].update(*place, now, strange >> (2 * joint + own) & 1 == 1);
            }
        }
    }
}

/// Cost of a state by itself.
fn prior(state: usize) -> f64 {
    if state == 1 { SWAPPED } else { 0.0 }
}

/// For each frame, whether the group is swapped in it.
fn states(clip: &Clip, pairs: &[[usize; 2]], trunk: f64) -> Vec<bool> {
    let joints = pairs.len();
    let start = Course {
        cost: 0.0,
        points: Default::default(),
    };
    let mut courses = [start.clone(), Course { cost: SWAPPED, ..start }];
    // Per frame: bit s says from which state the course that ends in state s came.
    let mut came_from: Vec<u8> = Vec::with_capacity(clip.times.len());
    let mut before = clip.times.first().map_or(-1.0, |time| time - 1.0);
    for (frame, time) in clip.times.iter().copied().enumerate() {
        let now = Now {
            time,
            usual: Step::new(before, time),
        };
        before = time;
        let spots = clip.frame(frame);
        let mut places: Places = Default::default();
        let mut any = false;
        for (joint, pair) in pairs.iter().enumerate() {
            for (side, slot) in pair.iter().enumerate() {
                let place = spots[*slot].map(|Spot { x, y, .. }| [x / trunk, y / trunk]);
                any |= place.is_some();
                places[joint][side] = place;
            }
        }
        if !any {
            came_from.push(0b10);
            continue;
        }
        // Where one state is hopeless, there is only one course to carry on, and mostly in place.
        let cheap = usize::from(courses[1].cost < courses[0].cost);
        if courses[1 - cheap].cost - courses[cheap].cost >= HOPELESS {
            let course = &mut courses[cheap];
            let stay = frame_cost(course, &places, joints, cheap == 1, &now);
            let change = frame_cost(course, &places, joints, cheap == 0, &now);
            let dearer = change.cost + CHANGE + prior(1 - cheap) - stay.cost - prior(cheap);
            came_from.push(if cheap == 1 { 0b11 } else { 0b00 });
            if dearer < HOPELESS {
                let mut other = course.clone();
                advance(&mut other, &places, joints, cheap == 0, &now, change.strange);
                other.cost = dearer;
                course.cost = 0.0;
                courses[1 - cheap] = other;
            }
            advance(&mut courses[cheap], &places, joints, cheap == 1, &now, stay.strange);
            continue;
        }
        let frame = |from: usize, to: usize| frame_cost(&courses[from], &places, joints, to == 1, &now);
        let frames = [[frame(0, 0), frame(0, 1)], [frame(1, 0), frame(1, 1)]];
        let total = |from: usize, to: usize| {
            let change = if from == to { 0.0 } else { CHANGE };
            courses[from].cost + change + prior(to) + frames[from][to].cost
        };
        let totals = [[total(0, 0), total(0, 1)], [total(1, 0), total(1, 1)]];
        let from = [
            usize::from(totals[1][0] < totals[0][0]),
            usize::from(totals[1][1] <= totals[0][1]),
        ];
        came_from.push(u8::from(from[0] == 1) | u8::from(from[1] == 1) << 1);
        let mut next = [courses[from[0]].clone(), courses[from[1]].clone()];
        for (to, course) in next.iter_mut().enumerate() {
            course.cost = totals[from[to]][to];
            advance(course, &places, joints, to == 1, &now, frames[from[to]][to].strange);
        }
        // Only the difference counts; a long clip mustn't use up the digits.
        let least = next[0].cost.min(next[1].cost);
        next[0].cost -= least;
        next[1].cost -= least;
        courses = next;
    }
    let mut state = usize::from(courses[1].cost < courses[0].cost);
    let mut swapped = vec![false; came_from.len()];
    for (frame, from) in came_from.iter().enumerate().rev() {
        swapped[frame] = state == 1;
        state = usize::from(from >> state & 1);
    }
    if 2 * swapped.iter().filter(|swapped| **swapped).count() > swapped.len() {
        for state in &mut swapped {
            *state = !*state;
        }
    }
    swapped
}
