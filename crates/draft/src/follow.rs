//! Follows a body from frame to frame, always showing it to the model with its trunk upright.

use std::f64::consts::PI;

use crate::body::{Body, apart};
use crate::error::Error;
use crate::ground::{Ground, Moves};
use crate::model::{Hands, Models};
use crate::reel::Reel;
use crate::region::{Region, wrapped};

/// Cost up to which the first answer is taken.
const FINE: f64 = 0.55;
/// Cost past which no answer is taken.
const LOST: f64 = 1.1;

/// What looks at film: the networks, the frames, what stands still.
pub(crate) struct Eyes<'a> {
    pub models: &'a Models,
    pub reel: &'a Reel<'a>,
    pub ground: &'a Ground,
    pub hands: Hands,
}

/// A body in a frame, and what speaks against it (0: nothing).
#[derive(Clone, Debug)]
pub(crate) struct Step {
    pub frame: usize,
    pub body: Body,
    pub cost: f64,
}

/// What is expected of the next answer.
struct Expected {
    lengths: [f64; 5],
    hip: (f64, f64),
    /// How far the hip may be off, px.
    reach: f64,
    turn: f64,
    /// How far the trunk may turn beyond what is expected, rad.
    swing: f64,
    /// Share of the main points that moved lately.
    moving: f64,
    /// Cost up to which the first answer is taken.
    fine: f64,
}

/// What speaks against an answer.
fn cost(body: &Body, expected: &Expected, moves: Option<&Moves>) -> f64 {
    let odd = |i: usize| (body.lengths()[i].max(1.0) / expected.lengths[i]).ln().abs().min(1.0);
    let lengths = (0.5 * odd(0) + 0.5 * odd(1) + odd(2) + odd(3) + 1.5 * odd(4)) / 4.5;
    let far = (apart(body.mid_hip(), expected.hip) / expected.reach - 0.5).max(0.0);
    let swung = (wrapped(body.turn() - expected.turn).abs() / expected.swing - 0.7).max(0.0);
    let slant = (body.slant() - 0.6).max(0.0);
    let still = moves.map_or(0.0, |moves| (expected.moving - 0.3 - moves.share(body)).max(0.0));
    1.2 * lengths + 0.5 * far + 0.3 * swung + 0.6 * slant + still + (0.7 - body.presence).max(0.0)
}

impl Eyes<'_> {
    pub fn body(&self, frame: usize, region: Region) -> Result<Body, Error> {
        let picture = self.reel.get(frame)?;
        self.models.body(&picture, self.reel.scale, region, &self.hands)
    }

    fn moves(&self, frame: usize) -> Result<Moves, Error> {
        Ok(self.ground.moves(&*self.reel.get(frame)?))
    }

    /// Follows from a body through the frames in their order. Frames in which it is lost are left out.
    pub fn follow(&self, start: &Step, frames: impl Iterator<Item = usize>) -> Result<Vec<Step>, Error> {
        let mut steps: Vec<Step> = vec![start.clone()];
        let mut lengths = start.body.lengths();
        let mut size = start.body.region().size;
        let mut lost_for = 0.0;
        // Whoever stands still can't be told from the hall by moving.
        let (mut moving, mut usual) = (0.0f64, 0.0f64);
        let mut before = start.frame;
        for frame in frames {
            let dt = (self.reel.time(frame) - self.reel.time(before)).abs();
            before = frame;
            let (region, mut expected) = self.expect(&steps, frame, lengths, size);
            expected.moving = moving;
            // A search that found nothing better isn't repeated in every frame.
            expected.fine = FINE.max((1.15 * usual).min(0.9 * LOST));
            let moves = self.moves(frame)?;
            let moves = (moves.all() < 0.4).then_some(&moves);
            match self.best(frame, region, &expected, moves)? {
                Some((body, cost)) => {
                    lost_for = 0.0;
                    usual += 0.5 * (cost - usual);
                    moving += 0.15 * (moves.map_or(0.0, |moves| moves.share(&body)) - moving);
                    if cost < FINE {
                        let share = 0.06;
                        for (kept, now) in lengths.iter_mut().zip(body.lengths()) {
                            // Limbs look shorter, never longer: what is longer counts at once.
                            let share = if now > *kept { 3.0 * share } else { share };
                            *kept *= (now.max(1.0) / *kept).powf(share);
                        }
                        size *= (body.region().size / size).clamp(0.7, 1.4).powf(0.3);
                    }
                    steps.push(Step { frame, body, cost });
                }
                None => {
                    lost_for += dt;
                    if lost_for > 0.6 {
                        break;
                    }
                }
            }
        }
        steps.remove(0);
        Ok(steps)
    }

    /// Where the body will be, going on as it went.
    fn expect(&self, steps: &[Step], frame: usize, lengths: [f64; 5], size: f64) -> (Region, Expected) {
        let time = |frame: usize| self.reel.time(frame);
        let last = &steps[steps.len() - 1];
        let gone = time(frame) - time(last.frame);
        // Speed over the last tenth of a second.
        let earlier = steps
            .iter()
            .rev()
            .skip(1)
            .take(4)
            .take_while(|step| (time(last.frame) - time(step.frame)).abs() < 0.1);
        let (mut velocity, mut spin) = ((0.0, 0.0), 0.0);
        if let Some(step) = earlier.last() {
            let dt = time(last.frame) - time(step.frame);
            let (a, b) = (step.body.middle, last.body.middle);
            velocity = ((b.0 - a.0) / dt, (b.1 - a.1) / dt);
            spin = wrapped(last.body.turn() - step.body.turn()) / dt;
        }
        let ahead = gone.clamp(-0.1, 0.1);
        let spin = spin.clamp(-14.0, 14.0);
        let (dx, dy) = (velocity.0 * ahead, velocity.1 * ahead);
        let turn = last.body.turn() + spin * ahead;
        let region = Region {
            x: last.body.middle.0 + dx,
            y: last.body.middle.1 + dy,
            size,
            turn,
        };
        let hip = last.body.mid_hip();
        let expected = Expected {
            lengths,
            hip: (hip.0 + dx, hip.1 + dy),
            reach: lengths[4] * (0.25 + 4.0 * gone.abs()),
            turn,
            swing: 0.35 + 8.0 * gone.abs(),
            moving: 0.0,
            fine: FINE,
        };
        (region, expected)
    }

    /// The answer that fits best: at first as expected; where that is doubtful, turned other ways and looked for anew.
    fn best(
        &self,
        frame: usize,
        region: Region,
        expected: &Expected,
        moves: Option<&Moves>,
    ) -> Result<Option<(Body, f64)>, Error> {
        let mut best: Option<(Body, f64)> = None;
        let consider = |region: Region, best: &mut Option<(Body, f64)>| -> Result<f64, Error> {
            let body = self.body(frame, region)?;
            let cost = cost(&body, expected, moves);
            if best.as_ref().is_none_or(|(_, least)| cost < *least) {
                *best = Some((body, cost));
            }
            Ok(cost)
        };
        if consider(region, &mut best)? < expected.fine {
            return Ok(best);
        }
        // The same body shown as it was just found to lie.
        if let Some((body, _)) = &best {
            let again = Region {
                size: region.size,
                ..body.region()
            };
            if consider(again, &mut best)? < expected.fine {
                return Ok(best);
            }
        }
        for turn in [0.6, -0.6, PI, PI / 2.0, -PI / 2.0] {
            if consider(region.turned(turn), &mut best)? < expected.fine {
                return Ok(best);
            }
        }
        let picture = self.reel.get(frame)?;
        for turn in [0.0, PI] {
            let wide = region.turned(turn).resized(1.5);
            for found in self
                .models
                .people(&picture, self.reel.scale, wide, &self.hands)?
                .iter()
                .take(2)
            {
                consider(found.region, &mut best)?;
            }
        }
        Ok(best.filter(|(_, cost)| *cost < LOST))
    }
}
