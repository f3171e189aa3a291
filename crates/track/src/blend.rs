//! Both ways and all clicks put together: place, sd and doubt of one landmark in every frame.
//!
//! Each click and each step is a measurement with its sd. The path that fits them all best (a Kalman filter there and a
//! smoother back, which for such a chain is least squares) leaves the error of a single click behind where many clicks,
//! joined by steps, say otherwise.

use crate::anchors::Anchor;
use crate::sweep::Step;

/// What a step is trusted with. Fitted on rendered film by the test that says so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trust {
    /// Sd of a good step, px.
    pub still_px: f64,
    /// Sd per px moved.
    pub per_px: f64,
    /// Sd for looking wholly unlike the frame before, px.
    pub unlike_px: f64,
    /// Unlikeness gathered since the click that is nothing to worry about.
    pub lost_from: f64,
    /// Sd per unlikeness gathered beyond that, px.
    pub lost_px: f64,
    /// Sd of the path through the clicks, per step: at rest, and per px moved.
    pub path: (f64, f64),
    /// Share of the difference of both ways that is added as variance.
    pub differ: f64,
}

impl Default for Trust {
    fn default() -> Self {
        Self {
            still_px: 0.3,
            per_px: 0.01,
            unlike_px: 3.0,
            lost_from: 0.15,
            lost_px: 4.0,
            path: (1.0, 0.25),
            differ: 0.5,
        }
    }
}

/// A blended point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Blended {
    pub place: [f64; 2],
    /// Sd per axis, px.
    pub sd: f64,
    /// Clicks before and after disagree about this stretch by more than their sds.
    pub at_odds: bool,
}

/// Before the first anchor a place is unknown.
const UNKNOWN: f64 = 1e8;
/// Stretches are at odds from this many sds on.
const ODDS: f64 = 3.0;

#[derive(Clone, Copy, Debug)]
struct Move {
    by: [f64; 2],
    variance: f64,
}

/// Blends the steps of one landmark. `path`: through its clicks, a place a frame.
pub(crate) fn blend(
    anchors: &[Anchor],
    path: &[[f64; 2]],
    there: &dyn Fn(usize) -> Option<Step>,
    back: &dyn Fn(usize) -> Option<Step>,
    (first, last): (usize, usize),
    trust: &Trust,
) -> Vec<Blended> {
    let mut moves: Vec<Move> = (first..last)
        .map(|frame| step(there(frame), back(frame), path[frame], path[frame + 1], trust))
        .collect();
    let odd = widen(&mut moves, anchors, first);
    smooth(&moves, anchors, first)
        .into_iter()
        .enumerate()
        .map(|(at, (place, variance))| Blended {
            place,
            sd: variance.sqrt(),
            at_odds: odd.get(at).copied().unwrap_or(false),
        })
        .collect()
}

/// Both ways of one step and that of the path, by their sds.
fn step(there: Option<Step>, back: Option<Step>, from: [f64; 2], to: [f64; 2], trust: &Trust) -> Move {
    let path = [to[0] - from[0], to[1] - from[1]];
    let own = |step: Step| {
        let unlike = 1.0 - step.alike.clamp(0.0, 1.0);
        let sd = trust.still_px
            + trust.per_px * step.by[0].hypot(step.by[1])
            + trust.unlike_px * unlike
            + trust.lost_px * (step.lost - trust.lost_from).max(0.0);
        (step.by, 1.0 / (sd * sd))
    };
    let path_sd = trust.path.0 + trust.path.1 * path[0].hypot(path[1]);
    let told: Vec<([f64; 2], f64)> = [there, back]
        .into_iter()
        .flatten()
        .map(own)
        .chain([(path, 1.0 / (path_sd * path_sd))])
        .collect();
    let weight: f64 = told.iter().map(|(_, weight)| weight).sum();
    let by: [f64; 2] =
        std::array::from_fn(|axis| told.iter().map(|(by, weight)| by[axis] * weight).sum::<f64>() / weight);
    // Both ways, not the path: it is only a guess.
    let differ: f64 = told[..told.len() - 1]
        .iter()
        .map(|(own, w)| w / weight * ((own[0] - by[0]).powi(2) + (own[1] - by[1]).powi(2)))
        .sum();
    Move {
        by,
        variance: 1.0 / weight + trust.differ * differ,
    }
}

/// Between two anchors that the steps between them don't join within their sds, every step gets less sure. Says for each
/// frame whether it lies in such a stretch.
fn widen(moves: &mut [Move], anchors: &[Anchor], first: usize) -> Vec<bool> {
    let mut odd = vec![false; moves.len() + 1];
    for pair in anchors.windows(2) {
        let (Some(from), Some(to)) = (pair[0].frame.checked_sub(first), pair[1].frame.checked_sub(first)) else {
            continue;
        };
        let Some(between) = moves.get_mut(from..to) else {
            continue;
        };
        let mut sum = [0.0; 2];
        let mut variance = 0.0;
        for one in between.iter() {
            sum = [sum[0] + one.by[0], sum[1] + one.by[1]];
            variance += one.variance;
        }
        let clicks = pair[0].sd * pair[0].sd + pair[1].sd * pair[1].sd;
        let missed: f64 = (0..2)
            .map(|axis| (pair[1].place[axis] - pair[0].place[axis] - sum[axis]).powi(2))
            .sum::<f64>()
            / 2.0;
        if missed > variance + clicks {
            let factor = ((missed - clicks) / variance.max(1e-9)).max(1.0);
            for one in between.iter_mut() {
                one.variance *= factor;
            }
        }
        if missed > ODDS * ODDS * (variance + clicks) {
            odd[from + 1..to].fill(true);
        }
    }
    odd
}

/// Place and variance per axis in every frame.
fn smooth(moves: &[Move], anchors: &[Anchor], first: usize) -> Vec<([f64; 2], f64)> {
    let count = moves.len() + 1;
    let mut known = anchors.iter().peekable();
    let mut filtered: Vec<([f64; 2], f64)> = Vec::with_capacity(count);
    let mut told: Vec<([f64; 2], f64)> = Vec::with_capacity(count);
    let (mut place, mut variance) = ([0.0; 2], UNKNOWN);
    for at in 0..count {
        if let Some(one) = at.checked_sub(1).map(|before| moves[before]) {
            place = [place[0] + one.by[0], place[1] + one.by[1]];
            variance += one.variance;
        }
        told.push((place, variance));
        while let Some(anchor) = known.next_if(|anchor| anchor.frame <= first + at) {
            if anchor.frame == first + at {
                let gain = variance / (variance + anchor.sd * anchor.sd);
                place = std::array::from_fn(|axis| place[axis] + gain * (anchor.place[axis] - place[axis]));
                variance *= 1.0 - gain;
            }
        }
        filtered.push((place, variance));
    }
    for at in (0..count.saturating_sub(1)).rev() {
        let (next, told) = (filtered[at + 1], told[at + 1]);
        let (place, variance) = filtered[at];
        let gain = variance / told.1;
        filtered[at] = (
            std::array::from_fn(|axis| place[axis] + gain * (next.0[axis] - told.0[axis])),
            variance + gain * gain * (next.1 - told.1),
        );
    }
    filtered
}
