//! The search for the cheapest course through a clip.

use super::JOINTS;
use super::course::{Course, Followed, Now, Places, advance, frame_cost};

/// Cost of a change of state.
const CHANGE: f64 = 9.0;
/// How many times dearer a change is in a frame that tells nothing: there it neither shows nor matters.
const BLIND_CHANGE: f64 = 3.0;
/// A state so much dearer than the other is given up until the next frame starts it afresh.
const HOPELESS: f64 = 60.0;
/// Cost of each second in the swapped state, telling or not, and more of each telling second: of two
/// states the rarer is the swapped one.
const SWAPPED_PER_S: [f64; 2] = [10.0, 6.0];

/// The two cheapest courses so far, one for each state, and the way back.
pub(super) struct Search {
    courses: [Course; 2],
    /// The second course is the first with its sides exchanged; its points aren't kept.
    mirrored: bool,
    joints: usize,
    /// Per frame: bit s says from which state the course that ends in state s came.
    came_from: Vec<u8>,
}

impl Search {
    pub(super) fn new(joints: usize, frames: usize) -> Self {
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
    pub(super) fn step(&mut self, places: &Places, now: &Now, telling: f64, seconds: f64) {
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
    pub(super) fn finish(self) -> Vec<bool> {
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
