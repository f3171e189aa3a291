//! Looks for the athlete in a few frames, to start from the safest.

use crate::body::{Body, apart};
use crate::error::Error;
use crate::ground::Ground;
use crate::model::{Hands, Models};
use crate::reel::Reel;
use crate::region::Region;

/// Frames that are looked through.
const LOOKS: usize = 10;

/// Least standing height of somebody who can be drafted, px of the film: a smaller body's points lie too close together.
const LEAST: f64 = 48.0;

/// A body that is surely one, in a frame.
#[derive(Clone, Debug)]
pub(crate) struct Seed {
    pub frame: usize,
    pub body: Body,
    /// How safe it is, 0 to 1.
    pub score: f64,
}

/// Everybody who may be the athlete, in a few frames spread over the reel.
pub(crate) fn look(models: &Models, reel: &Reel, ground: &Ground, hands: &Hands) -> Result<Vec<Seed>, Error> {
    let mut seeds = Vec::new();
    let count = LOOKS.min(reel.last - reel.first + 1);
    for i in 0..count {
        let frame = reel.first + (reel.last - reel.first) * (2 * i + 1) / (2 * count);
        let picture = reel.get(frame)?;
        let moves = ground.moves(&picture);
        let rows = f64::from(reel.size.1);
        let mut regions: Vec<Region> = moves
            .patches()
            .iter()
            .map(|patch| Region {
                x: patch.x,
                y: patch.y,
                size: (1.5 * patch.width.max(patch.height)).max(0.4 * rows),
                turn: 0.0,
            })
            .collect();
        if regions.is_empty() || moves.all() > 0.4 {
            regions = whole(reel);
        }
        regions.truncate(3);
        for region in regions {
            for found in models.people(&picture, reel.scale, region, hands)?.iter().take(3) {
                let body = models.body(&picture, reel.scale, found.region, hands)?;
                let score = found.score * safety(&body, rows) * moves.share(&body).max(0.1);
                let twin = |seed: &Seed| seed.frame == frame && seed.body.apart(&body) < 0.5;
                if score > 0.05 && !seeds.iter().any(twin) {
                    seeds.push(Seed { frame, body, score });
                }
            }
        }
    }
    stay_behind(&mut seeds, count);
    Ok(seeds)
}

/// Whoever stands in one place for most of the clip isn't the athlete.
fn stay_behind(seeds: &mut [Seed], looks: usize) {
    let all = seeds.to_vec();
    for seed in seeds {
        let near = 0.2 * seed.body.stature();
        let mut frames: Vec<usize> = all
            .iter()
            .filter(|other| apart(other.body.mid_hip(), seed.body.mid_hip()) < near)
            .map(|other| other.frame)
            .collect();
        frames.dedup();
        let share = frames.len() as f64 / looks as f64;
        seed.score *= (1.0 - share).max(0.03);
        if looks > 4 && share > 0.5 {
            seed.score *= 0.1;
        }
    }
}

/// Whoever is nearest to a place in one frame.
pub(crate) fn at(
    models: &Models,
    reel: &Reel,
    frame: usize,
    (x, y): (f64, f64),
    hands: &Hands,
) -> Result<Option<Seed>, Error> {
    let picture = reel.get(frame)?;
    let rows = f64::from(reel.size.1);
    let mut best: Option<(f64, Body)> = None;
    for size in [0.35 * rows, 0.6 * rows, rows] {
        for turn in [0.0, std::f64::consts::PI] {
            let region = Region { x, y, size, turn };
            for found in models.people(&picture, reel.scale, region, hands)?.iter().take(3) {
                let body = models.body(&picture, reel.scale, found.region, hands)?;
                if safety(&body, rows) < 0.05 {
                    continue;
                }
                let far = apart(body.middle, (x, y)).min(apart(body.mid_shoulder(), (x, y))) / body.trunk().max(1.0);
                if best.as_ref().is_none_or(|(least, _)| far < *least) {
                    best = Some((far, body));
                }
            }
        }
    }
    Ok(best.filter(|(far, _)| *far < 2.0).map(|(_, body)| Seed {
        frame,
        body,
        score: 1.0,
    }))
}

/// Squares that cover the picture.
fn whole(reel: &Reel) -> Vec<Region> {
    let (width, height) = (f64::from(reel.size.0), f64::from(reel.size.1));
    let size = width.min(height);
    let along = |share: f64| Region {
        x: size / 2.0 + share * (width - size),
        y: size / 2.0 + share * (height - size),
        size,
        turn: 0.0,
    };
    [0.5, 0.15, 0.85].map(along).to_vec()
}

/// How surely this is a whole body that was shown the right way up, 0 to 1.
pub(crate) fn safety(body: &Body, rows: f64) -> f64 {
    let [arm, forearm, thigh, shank, trunk] = body.lengths();
    let odd = |length: f64, share: f64| (length / (share * trunk).max(1.0)).ln().abs();
    // Shares of the trunk's length that a body has in a view from the side (Winter's segment lengths, from memory).
    let oddness = [
        odd(arm, 0.65).min(0.8),
        odd(forearm, 0.5).min(0.8),
        odd(thigh, 0.85),
        odd(shank, 0.85),
    ];
    let oddness = oddness.iter().sum::<f64>() / 4.0;
    let upright = body.slant().cos().max(0.0);
    if body.stature() < LEAST {
        return 0.0;
    }
    let tall = (body.stature() / (0.25 * rows)).min(1.0);
    body.presence * (-1.5 * oddness).exp() * upright * tall
}

/// The two safest seeds: one early, one late; of the same size.
pub(crate) fn pick(seeds: &[Seed], reel: &Reel) -> Vec<Seed> {
    let mut seeds = seeds.to_vec();
    seeds.sort_by(|a, b| b.score.total_cmp(&a.score));
    let Some(first) = seeds.first().cloned() else {
        return Vec::new();
    };
    let middle = (reel.first + reel.last) / 2;
    let late = first.frame > middle;
    let same = |seed: &&Seed| {
        let ratio = seed.body.stature() / first.body.stature();
        (seed.frame > middle) != late && (0.6..1.7).contains(&ratio) && seed.score > 0.3 * first.score
    };
    let mut picked = vec![first.clone()];
    picked.extend(seeds.iter().find(same).cloned());
    picked.sort_by_key(|seed| seed.frame);
    picked
}
