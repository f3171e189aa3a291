//! A course of states, and what a frame costs it: where each point would be, and how far off it is.

use super::JOINTS;

/// Least point noise, trunk lengths; more where the clip itself shows more.
pub(super) const NOISE: f64 = 0.03;
/// Acceleration that a prediction doesn't know of, trunk lengths per s².
const ACCELERATION: f64 = 60.0;
/// Speed of a point whose velocity isn't known yet, trunk lengths per s.
const SPEED: f64 = 12.0;
/// Memory of the velocity, s.
const MEMORY_S: f64 = 0.012;
/// Points unseen for longer than this start afresh, s.
pub(super) const BRIDGE_S: f64 = 0.25;
/// Costs grow as a square up to about here, then as a logarithm: motion has jerks that no bound on
/// acceleration foresees.
const TAIL: f64 = 4.0;
/// Half squared distance, in units of the variance, from which a place is strange.
const STRANGE: f64 = 8.0;

/// One point under the assumption of one course of states; lengths in trunk lengths.
#[derive(Clone, Copy, Default)]
pub(super) struct Followed {
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
pub(super) struct Step {
    from: f64,
    seconds: f64,
    per_second: f64,
    /// Square of what acceleration may add.
    drift: f64,
    /// Share of a new place in the memory.
    fresh: f64,
}

impl Step {
    pub(super) fn new(from: f64, to: f64) -> Self {
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
pub(super) struct Now {
    pub(super) time: f64,
    pub(super) usual: Step,
    /// Square of the noise.
    pub(super) noise: f64,
    /// Weight of each point's cost.
    pub(super) weight: f64,
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
pub(super) struct Course {
    pub(super) cost: f64,
    pub(super) points: [[Followed; 2]; JOINTS],
}

pub(super) type Places = [[Option<[f64; 2]>; 2]; JOINTS];

/// What a frame would cost a course, and which of its points are far from where they should be (a
/// bit each).
#[derive(Clone, Copy)]
pub(super) struct FrameCost {
    pub(super) cost: f64,
    pub(super) strange: u16,
}

/// Cost of a frame's places for a course, sides exchanged or not. A point counts only when both
/// sides could be compared, so that no state is cheaper for what wasn't seen.
pub(super) fn frame_cost(course: &Course, places: &Places, joints: usize, exchanged: bool, now: &Now) -> FrameCost {
    let mut result = FrameCost { cost: 0.0, strange: 0 };
    let mut product = 1.0;
    for (joint, (points, places)) in course.points[..joints].iter().zip(places).enumerate() {
        let alive = [points[0].is_alive(now.time), points[1].is_alive(now.time)];
        for (side, place) in places.iter().enumerate() {
            let own = side ^ usize::from(exchanged);
            if let (Some(place), true) = (place, alive[own]) {
                let cost = points[own].cost(*place, now);
                if alive[1 - own] {
                    product *= 1.0 + cost / TAIL;
                }
                result.strange |= u16::from(cost >= STRANGE) << (2 * joint + own);
            }
        }
    }
    // The sum of the logarithms; at most ten factors of at most a million or so.
    result.cost = now.weight * TAIL * product.ln();
    result
}

pub(super) fn advance(course: &mut Course, places: &Places, joints: usize, exchanged: bool, now: &Now, strange: u16) {
    for (joint, (points, places)) in course.points[..joints].iter_mut().zip(places).enumerate() {
        for (side, place) in places.iter().enumerate() {
            let own = side ^ usize::from(exchanged);
            if let Some(place) = place {
                points[own].update(*place, now, strange >> (2 * joint + own) & 1 == 1);
            }
        }
    }
}
