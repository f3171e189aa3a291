//! The athlete's points in every frame.

use std::sync::{Mutex, PoisonError};

use crate::body::{Body, Place};
use crate::error::Error;
use crate::follow::{Eyes, Step};
use crate::ground::Ground;
use crate::join::{Joined, Way, disagreements, right_one};
use crate::model::{Hands, Models};
use crate::reel::{Film, Reel};
use crate::region::wrapped;
use crate::seeds::{self, Seed};

/// What to draft.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// First and last frame; the whole clip if left out.
    pub frames: Option<(usize, usize)>,
    /// The athlete is here: a frame and a place in it, px.
    pub athlete_at: Option<(usize, Place)>,
}

/// How many people are tried before the athlete is taken for somebody who never turns upside down.
const TRIES: usize = 3;
/// A trunk that turned so far from upright has turned upside down, or was about to, rad.
const OVER: f64 = 1.6;
/// Steps of following are about this long, s.
const STEP: f64 = 1.0 / 30.0;

/// Bodies by frame of the reel, from its first.
pub(crate) struct Drafted {
    pub bodies: Vec<Option<Joined>>,
    pub notes: Vec<String>,
}

/// Finds the athlete and follows the body both ways through the film.
pub(crate) fn bodies(film: &mut dyn Film, models: &Models, options: &Options) -> Result<Drafted, Error> {
    let frames = film.times().len();
    let (first, last) = options.frames.unwrap_or((0, frames.saturating_sub(1)));
    if first > last || last >= frames {
        return Err(Error::Range { first, last, frames });
    }
    let reel = Reel::new(film, first, last);
    let ground = Ground::new(&reel)?;
    let eyes = [0, 1].map(|_| Eyes {
        models,
        reel: &reel,
        ground: &ground,
        hands: Hands::one(),
    });
    let (mut one, mut two) = match options.athlete_at {
        Some((frame, place)) => {
            let found = seeds::at(models, &reel, frame, place, &eyes[0].hands)?;
            let seed = found.ok_or(Error::NotThere {
                frame,
                x: place.0,
                y: place.1,
            })?;
            both_ways(&eyes, &seed, &seed)?
        }
        None => athlete(&eyes)?,
    };
    let time = |frame: usize| reel.time(frame);
    let all: Vec<usize> = (first..=last).collect();
    let mut doubtful = vec![false; all.len()];
    let mut notes = Vec::new();
    for stretch in disagreements([&one, &two], &all, &time) {
        let right = right_one([&one, &two], stretch);
        let wrong = if right == 0 { &mut two } else { &mut one };
        wrong.steps.retain(|frame, _| *frame < stretch.0 || *frame > stretch.1);
        doubtful[stretch.0 - first..=stretch.1 - first].fill(true);
    }
    let mut steps = one.steps;
    steps.append(&mut two.steps);
    let known = Way { steps };
    let filled = fill(&eyes, &known, &all)?;
    let mut bodies: Vec<Option<Joined>> = all
        .iter()
        .map(|frame| known.steps.get(frame).or_else(|| filled.steps.get(frame)))
        .zip(&doubtful)
        .map(|(step, &doubtful)| {
            step.map(|step| Joined {
                body: step.body.clone(),
                doubtful: doubtful || step.cost > 0.8,
            })
        })
        .collect();
    mark_jumps(&mut bodies);
    if bodies.iter().flatten().count() < 5.min(all.len()) {
        return Err(Error::Nobody { frames: all.len() });
    }
    if !bodies
        .iter()
        .flatten()
        .any(|joined| wrapped(joined.body.turn()).abs() > OVER)
    {
        notes.push("the athlete wasn't seen upside down in this clip".to_owned());
    }
    Ok(Drafted { bodies, notes })
}

/// Follows whoever may be the athlete, the likeliest first, until somebody turns upside down.
fn athlete(eyes: &[Eyes; 2]) -> Result<(Way, Way), Error> {
    let reel = eyes[0].reel;
    let time = |frame: usize| reel.time(frame);
    let mut seeds = seeds::look(eyes[0].models, reel, eyes[0].ground, &eyes[0].hands)?;
    let mut best: Option<(Way, Way)> = None;
    for _ in 0..TRIES {
        let picked = seeds::pick(&seeds, reel);
        let (Some(early), Some(late)) = (picked.first(), picked.last()) else {
            break;
        };
        let ways = both_ways(eyes, early, late)?;
        if ways.0.turned_over().max(ways.1.turned_over()) > OVER {
            return Ok(ways);
        }
        // Somebody else, next time.
        seeds.retain(|seed| {
            let taken = [&ways.0, &ways.1].map(|way| way.at(seed.frame, &time));
            !taken.iter().flatten().any(|body| body.apart(&seed.body) < 0.6)
        });
        best = best.or(Some(ways));
    }
    best.ok_or(Error::Nobody {
        frames: reel.last - reel.first + 1,
    })
}

/// Each on a thread of its own: from the early seed over every other step, from the late one over those between.
fn both_ways(eyes: &[Eyes; 2], early: &Seed, late: &Seed) -> Result<(Way, Way), Error> {
    let stride = ((STEP / eyes[0].reel.interval()).round() as usize).max(1);
    let (one, two) = std::thread::scope(|scope| {
        let one = scope.spawn(|| way(&eyes[0], early, stride));
        let two = scope.spawn(|| way(&eyes[1], &beside(&eyes[1], late, early, stride), stride));
        (one.join(), two.join())
    });
    let told =
        |way: std::thread::Result<Result<Way, Error>>| way.unwrap_or_else(|_| Err(Error::model("the network stopped")));
    Ok((told(one)?, told(two)?))
}

/// From a seed both ways through the reel.
fn way(eyes: &Eyes, seed: &Seed, stride: usize) -> Result<Way, Error> {
    let (first, last) = (eyes.reel.first, eyes.reel.last);
    let start = Step {
        frame: seed.frame,
        body: seed.body.clone(),
        cost: 0.0,
    };
    let forward = eyes.follow(&start, (seed.frame..=last).skip(stride).step_by(stride))?;
    let backward = eyes.follow(&start, (first..=seed.frame).rev().skip(stride).step_by(stride))?;
    Ok(Way::new(forward.into_iter().chain(backward).chain([start])))
}

/// The late seed moved by half a step, so that its way takes the frames that the other leaves out.
fn beside(eyes: &Eyes, late: &Seed, early: &Seed, stride: usize) -> Seed {
    let half = (stride / 2).max(usize::from(stride > 1));
    let frame = late.frame;
    if late.frame % stride != early.frame % stride || half == 0 {
        return late.clone();
    }
    let moved = if frame + half <= eyes.reel.last {
        frame + half
    } else {
        frame - half
    };
    match eyes.body(moved, late.body.region()) {
        Ok(body) if body.apart(&late.body) < 0.4 => Seed {
            frame: moved,
            body,
            score: late.score,
        },
        _ => late.clone(),
    }
}

/// Looks at the frames between steps where the body must be between its neighbours.
fn fill(eyes: &[Eyes; 2], known: &Way, all: &[usize]) -> Result<Way, Error> {
    let time = |frame: usize| eyes[0].reel.time(frame);
    let open: Vec<(usize, Body)> = all
        .iter()
        .filter(|frame| !known.steps.contains_key(frame))
        .filter_map(|&frame| Some((frame, known.at(frame, &time)?)))
        .collect();
    let next = Mutex::new(open.into_iter());
    let found = Mutex::new(Ok(Vec::new()));
    std::thread::scope(|scope| {
        for eyes in eyes {
            let (next, found) = (&next, &found);
            scope.spawn(move || {
                loop {
                    let Some((frame, between)) = next.lock().unwrap_or_else(PoisonError::into_inner).next() else {
                        return;
                    };
                    let answer = eyes.body(frame, between.region());
                    let mut found = found.lock().unwrap_or_else(PoisonError::into_inner);
                    match (answer, &mut *found) {
                        (Ok(body), Ok(steps)) => {
                            let apart = body.apart(&between);
                            if apart < 0.35 {
                                steps.push(Step {
                                    frame,
                                    body,
                                    cost: apart,
                                });
                            }
                        }
                        (Err(error), found) => *found = Err(error),
                        (Ok(_), Err(_)) => return,
                    }
                }
            });
        }
    });
    Ok(Way::new(found.into_inner().unwrap_or_else(PoisonError::into_inner)?))
}

/// A body that lies far from where its neighbours put it is doubtful.
fn mark_jumps(bodies: &mut [Option<Joined>]) {
    for at in 1..bodies.len().saturating_sub(1) {
        let [Some(before), Some(here), Some(after)] = &bodies[at - 1..=at + 1] else {
            continue;
        };
        let apart = before.body.toward(&after.body, 0.5).apart(&here.body);
        if apart > 0.3
            && let Some(here) = &mut bodies[at]
        {
            here.doubtful = true;
        }
    }
}
