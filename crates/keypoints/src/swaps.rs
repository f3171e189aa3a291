//! Left and right swapped by the tool: found by continuity, mended, reported.
//!
//! Pose models that learned from upright people often take left for right when a body is upside
//! down. Each group of landmarks (arms, legs, head) is followed through the clip twice at a time, as
//! it came and with its sides exchanged, and the cheapest course is kept (Viterbi over the two
//! states). Places are taken relative to the trunk. A point costs its squared distance from where it
//! would be if it went on as before or stopped, whichever is nearer, in units of what noise and
//! acceleration explain; every change of state costs extra. So two legs that cross stay as they are
//! (they go on), two that join as well (they stop), while a swap makes both jump, which is neither.
//! Which of the two states is the true one can't be seen from continuity: the state of fewer frames
//! (those with sides on each other don't count) is taken as the swapped one. Where left and right lie on each other, no swap is found, and none
//! matters.

use springline_kinematics::{Joint, Landmark, Side};

use crate::body_frame::BodyFrames;
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

/// Least point noise, trunk lengths; more where the clip itself shows more.
const NOISE: f64 = 0.03;
/// Acceleration that a prediction doesn't know of, trunk lengths per s².
const ACCELERATION: f64 = 60.0;
/// Speed of a point whose velocity isn't known yet, trunk lengths per s.
const SPEED: f64 = 12.0;
/// Memory of the velocity, s.
const MEMORY_S: f64 = 0.012;
/// Points unseen for longer than this start afresh, s.
const BRIDGE_S: f64 = 0.25;
/// Points of one limb err together: all points of a group count as at most so many.
const INDEPENDENT: f64 = 4.0;
/// Costs grow as a square up to about here, then as a logarithm: motion has jerks that no bound on
/// acceleration foresees.
const TAIL: f64 = 4.0;
/// Half squared distance, in units of the variance, from which a place is strange.
const STRANGE: f64 = 8.0;
/// Pairs at least so far apart count toward [`INDEPENDENT`], trunk lengths.
const COUNTED: f64 = 0.15;
/// Sides that never are farther apart than this need no mending, trunk lengths.
const APART: f64 = 0.15;
/// Cost of a change of state.
const CHANGE: f64 = 9.0;
/// A state so much dearer than the other is given up until the next frame starts it afresh.
const HOPELESS: f64 = 60.0;
/// Sides so much farther apart than noise alone puts them (three sds) tell fully which state a frame
/// is in, trunk lengths.
const TELLING: f64 = 0.25;
/// How many times dearer a change is in a frame that tells nothing: there it neither shows nor matters.
const BLIND_CHANGE: f64 = 3.0;
/// Cost of each second in the swapped state, telling or not, and more of each telling second: of two
/// states the rarer is the swapped one.
const SWAPPED_PER_S: [f64; 2] = [10.0, 6.0];

/// Finds swaps and takes them back; returns them with the points as they were.
pub(crate) fn mend(clip: &mut Clip) -> (Vec<Swap>, Vec<Original>) {
    let (mut swaps, mut originals) = (Vec::new(), Vec::new());
    let Some(body) = BodyFrames::of(clip) else {
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
        if pairs.is_empty() || !ever_apart(clip, &pairs, body.trunk) {
            continue;
        }
        let swapped = states(clip, &pairs, &body);
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

/// Noise of a group's points in trunk lengths, from how far places lie off the line through their
/// neighbours in time (the median; it takes the commonest accelerations in as well).
fn noise(clip: &Clip, pairs: &[[usize; 2]], body: &BodyFrames) -> f64 {
    let frames = clip.times.len();
    let stride = (frames / 200).max(1);
    let mut off = Vec::new();
    for frame in (1..frames.saturating_sub(1)).step_by(stride) {
        let at = |frame: usize, slot: usize| clip.frame(frame)[slot].map(|spot| body.place(frame, spot.x, spot.y));
        for slot in pairs.iter().flatten() {
            let triple = (at(frame - 1, *slot), at(frame, *slot), at(frame + 1, *slot));
            if let (Some(a), Some(b), Some(c)) = triple {
                off.push((a[0] - 2.0 * b[0] + c[0]).powi(2) + (a[1] - 2.0 * b[1] + c[1]).powi(2));
            }
        }
    }
    // Median length of a random vector: 1.177 sd; 1, -2, 1 add up to the root of 6.
    median(off).map_or(NOISE, |square| {
        (square.sqrt() / (1.177 * 6.0_f64.sqrt())).clamp(NOISE, 0.08)
    })
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
    /// Square of the noise.
    noise: f64,
    /// Weight of each point's cost.
    weight: f64,
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
            _ => 1.0 + 4.0 / n,
        };
        count += 1;
    }
    table
}

impl Followed {
    fn is_alive(&self, time: f64) -> bool {
        self.seen > 0 && time - self.time <= BRIDGE_S
    }

    /// Half the squared distance from where it would be if it went on or stopped, in units of the
    /// variance.
    #[inline]
    fn cost(&self, place: [f64; 2], now: &Now) -> f64 {
        let step = now.step_from(self.time);
        let (x, y) = (place[0] - self.place[0], place[1] - self.place[1]);
        let (on_x, on_y) = (x - self.velocity[0] * step.seconds, y - self.velocity[1] * step.seconds);
        let square = (x * x + y * y).min(on_x * on_x + on_y * on_y);
        let drift = if self.seen == 1 {
            (SPEED * step.seconds).powi(2)
        } else {
            step.drift
        };
        let few = START_NOISE.get(self.seen as usize).copied().unwrap_or(1.2);
        0.5 * square / (now.noise * few + drift)
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
                    result.cost += TAIL * (1.0 + cost / TAIL).ln();
                }
                result.strange |= u16::from(cost >= STRANGE) << (2 * joint + own);
            }
        }
    }
    result.cost *= now.weight;
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

/// For each frame, whether the group is swapped in it.
fn states(clip: &Clip, pairs: &[[usize; 2]], body: &BodyFrames) -> Vec<bool> {
    let mut search = Search::new(pairs.len(), clip.times.len());
    let noise = noise(clip, pairs, body).powi(2);
    let mut before = clip.times.first().map_or(-1.0, |time| time - 1.0);
    for (frame, time) in clip.times.iter().copied().enumerate() {
        let spots = clip.frame(frame);
        let mut places: Places = Default::default();
        for (joint, pair) in pairs.iter().enumerate() {
            for (side, slot) in pair.iter().enumerate() {
                places[joint][side] = spots[*slot].map(|Spot { x, y, .. }| body.place(frame, x, y));
            }
        }
        let (telling, weight) = tells(&places, noise);
        let now = Now {
            time,
            usual: Step::new(before, time),
            noise,
            weight,
        };
        let step = if frame == 0 { 0.0 } else { (time - before).min(BRIDGE_S) };
        search.step(&places, &now, telling, step);
        before = time;
    }
    search.finish()
}

/// The two cheapest courses so far, one for each state, and the way back.
struct Search {
    courses: [Course; 2],
    /// The second course is the first with its sides exchanged; its points aren't kept.
    mirrored: bool,
    joints: usize,
    /// Per frame: bit s says from which state the course that ends in state s came.
    came_from: Vec<u8>,
}

impl Search {
    fn new(joints: usize, frames: usize) -> Self {
        let course = Course {
            cost: 0.0,
            points: Default::default(),
        };
        let courses = [course.clone(), course];
        Self {
            courses,
            mirrored: true,
            joints,
            came_from: Vec::with_capacity(frames),
        }
    }

    /// Takes one frame in. `telling`: how much it tells of its state, 0 to 1; `seconds` since the
    /// frame before.
    fn step(&mut self, places: &Places, now: &Now, telling: f64, seconds: f64) {
        let joints = self.joints;
        let change_cost = CHANGE * (BLIND_CHANGE - (BLIND_CHANGE - 1.0) * telling);
        let prior = [0.0, seconds * (SWAPPED_PER_S[0] + SWAPPED_PER_S[1] * telling)];
        // Where one state is hopeless, there is only one course to carry on, and mostly in place.
        let cheap = usize::from(self.courses[1].cost < self.courses[0].cost);
        if self.courses[1 - cheap].cost - self.courses[cheap].cost >= HOPELESS {
            self.unmirror();
            let course = &mut self.courses[cheap];
            let stay = frame_cost(course, places, joints, cheap == 1, now);
            let change = frame_cost(course, places, joints, cheap == 0, now);
            let dearer = change.cost + change_cost + prior[1 - cheap] - stay.cost - prior[cheap];
            self.came_from.push(if cheap == 1 { 0b11 } else { 0b00 });
            if dearer < HOPELESS {
                let mut other = course.clone();
                advance(&mut other, places, joints, cheap == 0, now, change.strange);
                other.cost = dearer;
                course.cost = 0.0;
                self.courses[1 - cheap] = other;
            }
            advance(&mut self.courses[cheap], places, joints, cheap == 1, now, stay.strange);
            return;
        }
        let frame = |from: usize, to: usize| frame_cost(&self.courses[from], places, joints, to == 1, now);
        let first = [frame(0, 0), frame(0, 1)];
        let frames = [
            first,
            if self.mirrored {
                [first[1], first[0]]
            } else {
                [frame(1, 0), frame(1, 1)]
            },
        ];
        let total = |from: usize, to: usize| {
            let change = if from == to { 0.0 } else { change_cost };
            self.courses[from].cost + change + prior[to] + frames[from][to].cost
        };
        let totals = [[total(0, 0), total(0, 1)], [total(1, 0), total(1, 1)]];
        let from = [
            usize::from(totals[1][0] < totals[0][0]),
            usize::from(totals[1][1] <= totals[0][1]),
        ];
        self.came_from
            .push(u8::from(from[0] == 1) | u8::from(from[1] == 1) << 1);
        // Only the difference counts; a long clip mustn't use up the digits.
        let costs = [totals[from[0]][0], totals[from[1]][1]];
        let least = costs[0].min(costs[1]);
        if self.mirrored && from[0] != from[1] {
            // Both stay or both change: one course still mirrors the other.
            let changed = from[0] == 1;
            advance(
                &mut self.courses[0],
                places,
                joints,
                changed,
                now,
                first[usize::from(changed)].strange,
            );
            if changed {
                self.courses[0].points = mirror(&self.courses[0].points);
            }
        } else {
            let strange = |to: usize| match (self.mirrored, from[to]) {
                // The mirror's points have their sides the other way round.
                (true, 1) => exchanged_bits(frames[1][to].strange),
                (_, from) => frames[from][to].strange,
            };
            let strange = [strange(0), strange(1)];
            self.unmirror();
            let mut next = [self.courses[from[0]].clone(), self.courses[from[1]].clone()];
            for (to, course) in next.iter_mut().enumerate() {
                advance(course, places, joints, to == 1, now, strange[to]);
            }
            self.courses = next;
        }
        for (course, cost) in self.courses.iter_mut().zip(costs) {
            course.cost = cost - least;
        }
    }

    /// Makes the second course's points its own.
    fn unmirror(&mut self) {
        if self.mirrored {
            self.courses[1].points = mirror(&self.courses[0].points);
            self.mirrored = false;
        }
    }

    /// The states of the cheapest course, from the last frame back.
    fn finish(self) -> Vec<bool> {
        let mut state = usize::from(self.courses[1].cost < self.courses[0].cost);
        let mut swapped = vec![false; self.came_from.len()];
        for (frame, from) in self.came_from.iter().enumerate().rev() {
            swapped[frame] = state == 1;
            state = usize::from(from >> state & 1);
        }
        swapped
    }
}

fn mirror(points: &[[Followed; 2]; JOINTS]) -> [[Followed; 2]; JOINTS] {
    points.map(|[left, right]| [right, left])
}

/// The bits of left and right points exchanged.
fn exchanged_bits(bits: u16) -> u16 {
    (bits & 0x5555) << 1 | (bits & 0xaaaa) >> 1
}

/// How much a frame tells of its state, 0 to 1, by the pair of places that lie farthest apart; and
/// the weight of each point's cost. `noise`: square of the noise.
fn tells(places: &Places, noise: f64) -> (f64, f64) {
    let (mut farthest, mut counted) = (0.0_f64, 0.0);
    for [left, right] in places {
        if let (Some(left), Some(right)) = (left, right) {
            let square = (left[0] - right[0]).powi(2) + (left[1] - right[1]).powi(2);
            farthest = farthest.max(square);
            counted += if square > COUNTED * COUNTED { 2.0 } else { 0.0 };
        }
    }
    // At low rates the noise has acceleration in it.
    let noise = noise.sqrt().min(0.05);
    let telling = ((farthest.sqrt() - 3.0 * noise) / TELLING).clamp(0.0, 1.0);
    (
        telling,
        if counted > INDEPENDENT {
            INDEPENDENT / counted
        } else {
            1.0
        },
    )
}
