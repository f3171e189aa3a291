//! Settled, and landings on the back.

use crate::contact::{Path, slope};
use crate::events::{Event, How, Scene};
use crate::mass::{EndPoints, SegmentTable, centre_of_mass};
use crate::segments::{inclination, unwrap};
use crate::{EventKind, Joint, Landmark, Point, Side};

/// Slower than this the body is settled, degrees per second.
const SETTLED_DEG_S: f64 = 30.0;
/// For at least this long, seconds.
const SETTLED_FOR_S: f64 = 0.10;
/// A body that leans by more than this from the vertical does not stand, degrees (our choice).
const STANDS_WITHIN_DEG: f64 = 40.0;
/// Assumed this long after touchdown where the body never settles, seconds.
const ASSUMED_AFTER_S: f64 = 0.30;
/// Settling is looked for this long after touchdown, seconds.
const LOOK_FOR_S: f64 = 4.0;
/// Once slow enough, later rates may pass the limit by this share of their noise.
const SLACK: f64 = 0.2;
/// Rates come from line fits over this much to either side, seconds.
const RATE_REACH_S: f64 = 0.05;

/// Start of the first 0.10 s after touchdown with the landing lean slower than 30°/s; else 0.30 s after it, assumed;
/// absent when the clip ends first. `hands_off`: when the hands left the floor, seconds.
pub(crate) fn settled(scene: &Scene<'_>, touchdown: &Event, foot: Option<Side>, hands_off: f64) -> Option<Event> {
    let until = scene.times().partition_point(|t| *t <= touchdown.time + LOOK_FOR_S);
    let times = &scene.times()[touchdown.frame..until];
    let leans: Vec<Option<f64>> = unwrap(
        &(touchdown.frame..until)
            .map(|frame| lean(scene, frame, foot))
            .collect::<Vec<_>>(),
    );
    // Nobody has settled who hangs in a bridge or lies on the floor.
    let upright = |k: &usize| leans[*k].is_some_and(|lean| lean.abs() < STANDS_WITHIN_DEG.to_radians());
    let rates: Vec<Option<f64>> = (0..leans.len())
        .map(|k| {
            if upright(&k) {
                rate(times, &leans, k)
            } else {
                Some(f64::INFINITY)
            }
        })
        .collect();
    let from = touchdown.time.max(hands_off);
    let limit = SETTLED_DEG_S.to_radians();
    let noise = rate_noise(scene, touchdown.frame, foot);
    let last = *times.last()?;
    if let Some(time) = slow_from(times, &rates, from, limit, SLACK * noise) {
        // How far the instant moves when the rates are off by their own noise, either way.
        let early = slow_from(times, &rates, from, limit + noise, SLACK * noise).unwrap_or(time);
        let late = slow_from(times, &rates, from, (limit - noise).max(0.5 * limit), 0.0).unwrap_or(last);
        let sd = (0.5 * (late - early))
            .clamp(touchdown.sd, touchdown.sd.max(0.125))
            .hypot(scene.frame_sd());
        return Some(Event {
            kind: EventKind::Settled,
            frame: scene.frame_at(time),
            time,
            sd,
            how: How::Detected,
            stand_in: None,
        });
    }
    let assumed = touchdown.time + ASSUMED_AFTER_S;
    (assumed <= last).then(|| Event {
        kind: EventKind::Settled,
        frame: scene.frame_at(assumed),
        time: assumed,
        sd: touchdown.sd.hypot(scene.frame_sd()),
        how: How::Assumed,
        stand_in: None,
    })
}

/// First instant at or after `from` with rates under `limit` for 0.10 s (later ones may pass it by `slack`), interpolated
/// to the crossing.
fn slow_from(times: &[f64], rates: &[Option<f64>], from: f64, limit: f64, slack: f64) -> Option<f64> {
    for k in 0..rates.len() {
        let Some(here) = rates[k] else { continue };
        if here.abs() >= limit || times[k] < from {
            continue;
        }
        let until = times[k] + SETTLED_FOR_S;
        if *times.last()? < until - 1e-9 {
            return None;
        }
        let mut window = (k..rates.len()).take_while(|j| times[*j] <= until + 1e-9);
        if !window.all(|j| rates[j].is_none_or(|r| r.abs() < limit + slack)) {
            continue;
        }
        let crossed = k.checked_sub(1).and_then(|j| Some((times[j], rates[j]?.abs())));
        let time = match crossed {
            Some((before, faster)) if faster > limit && faster.is_finite() => {
                times[k] - (times[k] - before) * (limit - here.abs()) / (faster - here.abs())
            }
            _ => times[k],
        };
        return Some(time.max(from));
    }
    None
}

/// Lean of the centre of mass (mid-hip where it cannot be had) over the landing ankle, radians.
fn lean(scene: &Scene<'_>, frame: usize, foot: Option<Side>) -> Option<f64> {
    let ankle = match foot {
        Some(side) => scene.series.smooth(Landmark::of(Joint::Ankle, side), frame)?,
        None => scene.middle(Joint::Ankle, frame)?,
    };
    let mass = mass_at(scene, frame).or_else(|| scene.middle(Joint::Hip, frame))?;
    inclination(ankle, mass).map(|angle| angle.radians())
}

fn mass_at(scene: &Scene<'_>, frame: usize) -> Option<Point> {
    let ends = EndPoints {
        fingers: false,
        feet: false,
    };
    let at = |landmark| scene.series.smooth(landmark, frame);
    centre_of_mass(&SegmentTable::de_leva_female(), ends, at, |_| true)
        .ok()
        .map(|mass| mass.position)
}

/// Rate at `k` by a line fit over ±0.05 s (three values at least, one-sided at the touchdown).
fn rate(times: &[f64], leans: &[Option<f64>], k: usize) -> Option<f64> {
    leans[k]?;
    let (mut ts, mut ps) = (Vec::new(), Vec::new());
    for (j, lean) in leans.iter().enumerate() {
        if let Some(lean) = lean
            && ((times[j] - times[k]).abs() <= RATE_REACH_S + 1e-9 || j.abs_diff(k) <= 1)
        {
            ts.push(times[j]);
            ps.push(Point::new(*lean, 0.0));
        }
    }
    (ts.len() >= 3).then(|| slope(&ts, &ps)).flatten().map(|v| v.x)
}

fn rate_noise(scene: &Scene<'_>, frame: usize, foot: Option<Side>) -> f64 {
    let pose = scene.series.pose_at_frame(frame);
    let ankle_sd = match foot {
        Some(side) => pose.sd(Landmark::of(Joint::Ankle, side)),
        None => scene.middle_sd(Joint::Ankle, frame),
    };
    // Lean noise over the fit's half-width; smoothing leaves a few independent values in it.
    ankle_sd / scene.leg / RATE_REACH_S
}

/// Hips or shoulders come to rest after `after` (s): the first of both, for landings on the back.
pub(crate) fn back_touchdown(scene: &Scene<'_>, after: f64) -> Option<Event> {
    let tracks = scene.series.raw();
    let mut best: Option<crate::contact::Instant> = None;
    for joint in [Joint::Hip, Joint::Shoulder] {
        for side in Side::BOTH {
            let path = Path::new(tracks, Landmark::of(joint, side), scene.leg);
            if path.is_empty() {
                continue;
            }
            let first = scene.frame_at(after);
            let Some(low) = path.low_height(0.10, |frame| frame >= first) else {
                continue;
            };
            let contacts = path.contacts(tracks, scene.leg, |frame| (frame >= first).then_some(low), |_| true);
            if let Some(start) = contacts.iter().filter_map(|c| c.start).find(|start| start.time > after)
                && best.is_none_or(|other| start.time < other.time)
            {
                best = Some(start);
            }
        }
    }
    best.map(|instant| scene.contact_event(EventKind::BackTouchdown, instant, None))
}
