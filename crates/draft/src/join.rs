//! Joins what was followed forward with what was followed backward.

use std::collections::BTreeMap;

use crate::body::Body;
use crate::follow::Step;
use crate::region::wrapped;

/// Bodies further apart than this, in trunk lengths, aren't the same, or one of them is wrong.
const DISAGREE: f64 = 0.4;
/// Longest time between two steps that may be bridged to compare, s.
const NEAR: f64 = 0.11;

/// One frame's body after joining.
#[derive(Clone, Debug)]
pub(crate) struct Joined {
    pub body: Body,
    /// The two ways did not agree here, or only one of them got here.
    pub doubtful: bool,
}

/// One way through the film: bodies by frame, with frames between them filled by going straight.
pub(crate) struct Way {
    pub steps: BTreeMap<usize, Step>,
}

impl Way {
    pub fn new(steps: impl IntoIterator<Item = Step>) -> Self {
        Self {
            steps: steps.into_iter().map(|step| (step.frame, step)).collect(),
        }
    }

    /// The body at a frame, straight between the neighbours where it isn't a step.
    pub fn at(&self, frame: usize, time: &dyn Fn(usize) -> f64) -> Option<Body> {
        let before = self.steps.range(..=frame).next_back()?.1;
        if before.frame == frame {
            return Some(before.body.clone());
        }
        let after = self.steps.range(frame..).next()?.1;
        let (start, end) = (time(before.frame), time(after.frame));
        (end - start <= NEAR).then(|| {
            let share = (time(frame) - start) / (end - start);
            before.body.toward(&after.body, share)
        })
    }

    /// Whether the trunk turned upside down on the way, or went most of the way there.
    pub fn turned_over(&self) -> f64 {
        let most = self.steps.values().map(|step| wrapped(step.body.turn()).abs());
        most.fold(0.0, f64::max)
    }

    /// Typical cost over some frames.
    fn cost(&self, frames: std::ops::RangeInclusive<usize>) -> Option<f64> {
        let mut costs: Vec<f64> = self.steps.range(frames).map(|(_, step)| step.cost).collect();
        costs.sort_by(f64::total_cmp);
        costs.get(costs.len() / 2).copied()
    }
}

/// Frames in which the two ways see different bodies, as stretches.
pub(crate) fn disagreements(ways: [&Way; 2], frames: &[usize], time: &dyn Fn(usize) -> f64) -> Vec<(usize, usize)> {
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    let mut open = false;
    for &frame in frames {
        let apart = match (ways[0].at(frame, time), ways[1].at(frame, time)) {
            (Some(a), Some(b)) => a.apart(&b),
            _ => 0.0,
        };
        if apart > DISAGREE {
            match stretches.last_mut() {
                Some(last) if open => last.1 = frame,
                _ => stretches.push((frame, frame)),
            }
        }
        open = apart > 0.6 * DISAGREE && (open || apart > DISAGREE);
    }
    stretches
}

/// Which of two ways is right over a stretch: the one that went upside down where the other never did, else the one that
/// less speaks against.
pub(crate) fn right_one(ways: [&Way; 2], stretch: (usize, usize)) -> usize {
    let frames = stretch.0..=stretch.1;
    let over = ways.map(Way::turned_over);
    let long = stretch.1 - stretch.0 > 30;
    if long && (over[0] - over[1]).abs() > 1.2 && over[0].max(over[1]) > 2.0 {
        return usize::from(over[1] > over[0]);
    }
    match ways.map(|way| way.cost(frames.clone())) {
        [Some(a), Some(b)] => usize::from(b < a),
        [None, Some(_)] => 1,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::tests::standing;

    fn way(frames: std::ops::Range<usize>, x: impl Fn(usize) -> f64, cost: f64) -> Way {
        Way::new(frames.map(|frame| Step {
            frame,
            body: standing(x(frame), 300.0, 0.0),
            cost,
        }))
    }

    #[test]
    fn ways_that_part_are_told_and_the_better_one_is_kept() {
        let time = |frame: usize| frame as f64 / 60.0;
        let one = way(0..60, |frame| 100.0 + frame as f64, 0.3);
        let other = way(
            0..60,
            |frame| if frame < 20 { 500.0 } else { 100.0 + frame as f64 },
            0.7,
        );
        let frames: Vec<usize> = (0..60).collect();
        assert_eq!(disagreements([&one, &other], &frames, &time), [(0, 19)]);
        assert_eq!(right_one([&one, &other], (0, 19)), 0);
        assert_eq!(right_one([&other, &one], (0, 19)), 1);
        assert!(disagreements([&one, &one], &frames, &time).is_empty());
    }

    #[test]
    fn between_two_steps_it_goes_straight_but_not_far() {
        let time = |frame: usize| frame as f64 / 60.0;
        let way = Way::new([0, 4, 20].map(|frame| Step {
            frame,
            body: standing(frame as f64, 0.0, 0.0),
            cost: 0.0,
        }));
        let body = way.at(1, &time).expect("between two steps");
        assert!((body.mid_hip().0 - 1.0).abs() < 1e-9);
        assert!(way.at(10, &time).is_none() && way.at(21, &time).is_none());
    }
}
