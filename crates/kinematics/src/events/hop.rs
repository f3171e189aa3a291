//! Hops: hands that leave the floor for a moment and return. They rise by centimetres only, too little for the coarse rule
//! of contacts, so the hop is fitted: at rest, a parabola, at rest again.

use crate::contact::{Contact, Instant};
use crate::events::Scene;
use crate::events::hands::Support;
use crate::uncertainty::event_sd;
use crate::{Joint, Landmark, Side};

/// Supports no further apart than this may be one support with a hop, seconds.
const ONE_SUPPORT_S: f64 = 0.8;
/// Hops shorter or longer than this are none, seconds.
const SHORTEST_S: f64 = 0.03;
const LONGEST_S: f64 = 0.7;
/// The hands rest for at least this long before a hop, seconds: what comes earlier is the placement.
const REST_BEFORE_S: f64 = 0.12;
/// And after it, seconds.
const REST_AFTER_S: f64 = 0.06;
/// Heights this much before and after the hop take part in the fit, seconds.
const BESIDE_S: f64 = 0.20;
/// The hands rise by at least this, leg lengths.
const LEAST_RISE: f64 = 0.006;
/// Prior sd of how much higher or lower a hand returns, leg lengths.
const RETURN_PRIOR: f64 = 0.02;
/// A hop must make the heights this much likelier than hands at rest: log likelihood, for both hands and for each.
const LEAST_GAIN: f64 = 14.0;
const LEAST_GAIN_EACH: f64 = 2.0;
/// Hands do not rise by an exact parabola: this share of the hop's length is added to both instants' sds in quadrature (our
/// choice, from the figure's hops).
const FORM_SD: f64 = 0.06;
/// The grid is no finer than this, seconds.
const FINEST_S: f64 = 0.004;

/// Heights of one hand, seen frames only.
struct Heights {
    times: Vec<f64>,
    over: Vec<f64>,
    noise: f64,
}

/// A hop by one pair of instants: how much likelier than rest, and how high.
#[derive(Clone, Copy)]
struct Fit {
    gain: f64,
    rise: f64,
}

/// The supports with the first hop of each split into the support before it and the one after.
pub(crate) fn split(scene: &Scene<'_>, supports: Vec<Support>) -> Vec<Support> {
    let mut out: Vec<Support> = Vec::new();
    let mut rest = supports.into_iter().peekable();
    while let Some(support) = rest.next() {
        // Contacts that broke off at the hop are put together again, to be parted where the fit says.
        let mut whole = support.clone();
        let mut parts = vec![support];
        while let Some(next) = rest.next_if(|next| follows(scene, &whole, next)) {
            whole = joined(&whole, &next);
            parts.push(next);
        }
        match find(scene, &whole) {
            Some((before, after)) => out.extend([before, after]),
            None => out.extend(parts),
        }
    }
    out
}

fn follows(scene: &Scene<'_>, support: &Support, next: &Support) -> bool {
    let times = scene.times();
    let ends = support.each().map(|contact| contact.stop_time(times));
    next.placement()
        .is_some_and(|begins| begins.time - ends.fold(f64::NEG_INFINITY, f64::max) < ONE_SUPPORT_S)
}

fn joined(support: &Support, next: &Support) -> Support {
    let hands = std::array::from_fn(|k| match (&support.hands[k], &next.hands[k]) {
        (Some(a), Some(b)) => Some(Contact {
            first: a.first,
            end: b.end,
            start: a.start,
            stop: b.stop,
        }),
        (one, other) => one.or(*other),
    });
    Support {
        hands,
        stand_in: support.stand_in,
    }
}

fn find(scene: &Scene<'_>, whole: &Support) -> Option<(Support, Support)> {
    let joint = whole.stand_in.unwrap_or(Joint::Fingertip);
    let seen: Vec<(usize, Heights)> = (0..2)
        .filter_map(|k| {
            let contact = whole.hands[k].as_ref()?;
            Some((k, heights(scene, Landmark::of(joint, Side::BOTH[k]), contact)?))
        })
        .collect();
    if seen.is_empty() {
        return None;
    }
    let begins = seen.iter().map(|(_, h)| h.times[0]).fold(f64::INFINITY, f64::min);
    let ends = seen
        .iter()
        .filter_map(|(_, h)| h.times.last())
        .fold(0.0, |a: f64, b| a.max(*b));
    let step = (0.5 * scene.series.interval()).max(FINEST_S);
    let count = |span: f64| (span / step).floor().max(0.0) as usize;
    let first = begins + REST_BEFORE_S;
    let last = ends - REST_AFTER_S;
    let mut best: Option<(f64, f64, f64)> = None;
    for k in 0..count(last - first) {
        let off = first + k as f64 * step;
        for j in 0..=count((last - off).min(LONGEST_S) - SHORTEST_S) {
            let back = off + SHORTEST_S + j as f64 * step;
            let fits: Option<Vec<Fit>> = seen.iter().map(|(_, h)| h.fit(off, back, scene.leg)).collect();
            let Some(fits) = fits else { continue };
            let gain: f64 = fits.iter().map(|fit| fit.gain).sum();
            let both = fits
                .iter()
                .all(|fit| fit.gain >= LEAST_GAIN_EACH && fit.rise >= LEAST_RISE * scene.leg);
            if both && gain >= LEAST_GAIN && best.is_none_or(|(most, _, _)| gain > most) {
                best = Some((gain, off, back));
            }
        }
    }
    let (_, off, back) = best?;
    let mut before = whole.clone();
    let mut after = whole.clone();
    for (k, heights) in &seen {
        let (leaves, returns) = heights.refine(off, back, step, scene)?;
        if let Some(contact) = &mut before.hands[*k] {
            contact.end = leaves.frame;
            contact.stop = Some(leaves);
        }
        if let Some(contact) = &mut after.hands[*k] {
            contact.first = returns.frame;
            contact.start = Some(returns);
        }
    }
    Some((before, after))
}

fn heights(scene: &Scene<'_>, landmark: Landmark, contact: &Contact) -> Option<Heights> {
    let raw = scene.series.raw();
    let track = raw.track(landmark);
    let (times, over): (Vec<f64>, Vec<f64>) = (contact.first..contact.end.min(raw.len()))
        .filter_map(|frame| Some((raw.times[frame], track.positions[frame].as_ref()?.y)))
        .unzip();
    let noise = crate::contact::noise_of(raw, landmark, scene.leg);
    (times.len() >= 6).then_some(Heights { times, over, noise })
}

impl Heights {
    /// At rest, a parabola between `off` and `back`, at rest again a little higher or lower; by least squares against rest
    /// throughout. `None` with too few frames.
    fn fit(&self, off: f64, back: f64, leg: f64) -> Option<Fit> {
        let low = self.times.partition_point(|t| *t < off - BESIDE_S);
        let high = self.times.partition_point(|t| *t <= back + BESIDE_S);
        let inside = self.times.partition_point(|t| *t < back) - self.times.partition_point(|t| *t <= off);
        if inside == 0 || high - low < 6 {
            return None;
        }
        let unit = RETURN_PRIOR * leg / self.noise;
        let mut normal = nalgebra::Matrix3::<f64>::zeros();
        let mut right = nalgebra::Vector3::<f64>::zeros();
        for k in low..high {
            let t = self.times[k];
            let arc = if t > off && t < back {
                4.0 * (t - off) * (back - t) / (back - off).powi(2)
            } else {
                0.0
            };
            let moved = if t >= back { unit } else { 0.0 };
            let basis = nalgebra::Vector3::new(1.0, moved, arc);
            normal += basis * basis.transpose();
            right += basis * ((self.over[k] - self.over[low]) / self.noise);
        }
        normal[(1, 1)] += 1.0;
        let rest = normal.fixed_view::<2, 2>(0, 0).into_owned();
        let rest_right = right.fixed_rows::<2>(0).into_owned();
        let by_rest = rest.cholesky()?.solve(&rest_right).dot(&rest_right);
        let solved = normal.cholesky()?.solve(&right);
        Some(Fit {
            gain: 0.5 * (solved.dot(&right) - by_rest),
            rise: solved[2] * self.noise,
        })
    }

    /// When this hand leaves and returns: means over the likelihood around the instants of both hands.
    fn refine(&self, off: f64, back: f64, step: f64, scene: &Scene<'_>) -> Option<(Instant, Instant)> {
        let reach = 8;
        let mut candidates = Vec::new();
        for k in -reach..=reach {
            for j in -reach..=reach {
                let (leaves, returns) = (off + f64::from(k) * step, back + f64::from(j) * step);
                if returns - leaves < step {
                    continue;
                }
                if let Some(fit) = self.fit(leaves, returns, scene.leg) {
                    candidates.push((leaves, returns, fit.gain));
                }
            }
        }
        let most = candidates.iter().map(|c| c.2).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = candidates.iter().map(|c| (c.2 - most).exp()).sum();
        let moments = |of: fn(&(f64, f64, f64)) -> f64| {
            let mean = candidates.iter().map(|c| of(c) * (c.2 - most).exp()).sum::<f64>() / total;
            let square = candidates
                .iter()
                .map(|c| (of(c) - mean).powi(2) * (c.2 - most).exp())
                .sum::<f64>()
                / total;
            (mean, square.sqrt())
        };
        let form = FORM_SD * (back - off);
        (total > 0.0).then(|| {
            (
                instant(scene, moments(|c| c.0), form),
                instant(scene, moments(|c| c.1), form),
            )
        })
    }
}

fn instant(scene: &Scene<'_>, (time, spread): (f64, f64), form: f64) -> Instant {
    let times = scene.times();
    let frame = times.partition_point(|t| *t < time).clamp(1, times.len() - 1);
    let local = times[frame] - times[frame - 1];
    let spread = spread.max(0.2 * local).hypot(form);
    Instant {
        frame,
        time: 0.5 * (times[frame] + times[frame - 1]),
        sd: event_sd(local).hypot(spread),
        spread,
    }
}
