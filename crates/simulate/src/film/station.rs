//! A long recording: a phone on a tripod, several gymnasts taking turns at one station.

use super::look::Look;
use super::people::{waiting, walking};
use super::shoot::{Film, FilmSettings, Person, bystander, level_at, moved, on_stage};
use super::skeleton::Skeleton;
use super::space::{V3, mix, v};
use crate::body::Body;
use crate::camera::{Camera, View};
use crate::corrupt::source;
use crate::error::Error;
use crate::params::Params;
use crate::synthetic::Act;
use crate::truth::Truth;
use rand::RngExt;
use springline_kinematics::{EventKind, Joint};

/// One attempt within a film.
#[derive(Clone, Debug)]
pub struct Turn {
    /// Which gymnast, from 0.
    pub gymnast: usize,
    /// First instant of the motion, s from the start of the film.
    pub start_s: f64,
    /// Last instant of the motion, s.
    pub end_s: f64,
    /// What it is, in words.
    pub title: &'static str,
    /// The truth behind it, in its own time.
    pub truth: Truth,
    /// Its events in the film's time, s.
    pub events: Vec<(EventKind, f64)>,
}

/// What a long recording holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Plan {
    /// Attempts, one after the other.
    pub attempts: usize,
    /// Gymnasts who take turns.
    pub gymnasts: usize,
    /// So often somebody walks up, stands there and goes back without an attempt, before his turn.
    pub balks: usize,
}

/// Time to walk up to the mat, and to walk away, s.
const WALK_S: f64 = 3.0;

impl Film {
    /// A long recording: handsprings by several gymnasts in turn, with pauses; the others wait and walk
    /// beyond the mat.
    ///
    /// # Errors
    /// As [`Film::of_act`].
    pub fn of_station(plan: Plan, camera: Camera, settings: FilmSettings) -> Result<Self, Error> {
        let mut chance = source(settings.seed, 88);
        let gymnasts = plan.gymnasts.clamp(1, 12);
        let bodies: Vec<(f64, f64)> = (0..gymnasts)
            .map(|_| (chance.random_range(1.15..1.6), chance.random_range(0.052..0.07)))
            .collect();
        let view = View { camera, aim_x_m: 0.0 };
        let mut balking = source(settings.seed, 89);
        let attempts = plan.attempts.max(1);
        let balks: Vec<usize> = (0..plan.balks).map(|_| balking.random_range(0..attempts)).collect();
        let mut turns = Vec::new();
        let mut visits = Vec::new();
        let mut now = 2.0 + WALK_S;
        for i in 0..attempts {
            let gymnast = i % gymnasts;
            let seed = settings.seed.wrapping_mul(1000).wrapping_add(i as u64);
            let act = attempt(seed, bodies[gymnast])?;
            let truth = Truth::new(act.motion.clone(), act.story.clone(), act.view(camera));
            let (start, end) = truth.span();
            let turn = |from: f64, to: f64| Turn {
                gymnast,
                start_s: from,
                end_s: to,
                title: act.title,
                events: moved(&truth, from - start),
                truth: truth.clone(),
            };
            if balks.contains(&i) {
                let stays = balking.random_range(1.0..3.5);
                visits.push((turn(now, now + stays), Does::Nothing));
                now += stays + 2.0 * WALK_S + 2.0;
            }
            let this = turn(now, now + end - start);
            visits.push((this.clone(), Does::Attempt));
            turns.push(this);
            now += end - start + WALK_S + chance.random_range(2.5..9.0);
        }
        let floor = -(settings.platform_m.max(0.035) as f32);
        let mut people: Vec<Person> = (0..gymnasts)
            .map(|i| {
                let mine: Vec<(Turn, Does)> = visits.iter().filter(|(turn, _)| turn.gymnast == i).cloned().collect();
                let body = Body::new(bodies[i].0, bodies[i].1);
                let queue = v(-2.7 + 0.62 * i as f32, floor, -2.3 - 0.35 * (i % 2) as f32);
                Person {
                    look: Look::gymnast(settings.seed.wrapping_mul(77).wrapping_add(i as u64)),
                    level: 0.0,
                    place: Box::new(move |t| whereabouts(&body, &mine, queue, floor, t)),
                }
            })
            .collect();
        for i in 0..settings.others {
            people.push(bystander(settings.seed.wrapping_add(31 + i as u64), floor));
        }
        Self::assemble(settings, view, people, turns, now)
    }
}

/// What somebody walks up for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Does {
    Attempt,
    Nothing,
}

/// A handspring by that body: drawn until it can do it.
fn attempt(seed: u64, (stature_m, half_hips): (f64, f64)) -> Result<Act, Error> {
    for i in 0..60 {
        let mut params = Params::random(seed.wrapping_add(i * 7919));
        params.stature_m = stature_m;
        params.half_hips = half_hips;
        if let Ok(act) = Act::handspring(&params)
            && act.human().is_ok()
        {
            return Ok(act);
        }
    }
    let mut params = Params::clean();
    params.stature_m = stature_m;
    Act::handspring(&params)
}

/// Where a gymnast of the station is: waiting, walking up, at it, walking back.
fn whereabouts(body: &Body, turns: &[(Turn, Does)], queue: V3, floor: f32, t: f64) -> Skeleton {
    let idle = |t: f64| waiting(body, t, f64::from(queue.x), queue, 60.0);
    for (turn, does) in turns {
        let truth = &turn.truth;
        let (start, end) = match does {
            Does::Attempt => truth.span(),
            Does::Nothing => (truth.span().0, truth.span().0),
        };
        let aim = truth.view().aim_x_m;
        let at = |s: f64| on_stage(truth, s, aim);
        if (turn.start_s..=turn.end_s).contains(&t) {
            return at((start + t - turn.start_s).min(end));
        }
        let (before, after) = (turn.start_s - t, t - turn.end_s);
        if (0.0..WALK_S).contains(&before) {
            let first = at(start);
            let place = first.middle(Joint::Hip);
            let come = 1.0 - ((before - 0.7) / (WALK_S - 0.7)).max(0.0);
            let stroll = stroll(body, queue, v(place.x, 0.0, place.z), come as f32, floor);
            return stroll.toward(&first, (1.0 - before / 0.6).clamp(0.0, 1.0) as f32);
        }
        if (0.0..WALK_S + 1.2).contains(&after) {
            let last = at(end);
            let place = last.middle(Joint::Hip);
            let gone = ((after - 1.2) / WALK_S).max(0.0);
            let stroll = stroll(body, v(place.x, 0.0, place.z), queue, gone as f32, floor);
            return last.toward(&stroll, ((after - 0.6) / 0.6).clamp(0.0, 1.0) as f32);
        }
    }
    idle(t)
}

/// On the way between two places.
fn stroll(body: &Body, from: V3, to: V3, share: f32, floor: f32) -> Skeleton {
    let d = to - from;
    let facing = d.z.atan2(d.x).to_degrees();
    let mut place = mix(from, to, share);
    place.y = level_at(place.z, floor).y;
    walking(body, f64::from(share * d.norm()), place, facing)
}
