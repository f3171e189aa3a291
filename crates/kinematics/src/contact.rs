//! When a hand or a foot is on the floor.

use nalgebra::{SMatrix, SVector};

use crate::uncertainty::event_sd;
use crate::{Joint, Landmark, Point, TemporalError, Tracks, Vector};

/// Speeds come from line fits over this much to either side, seconds (three frames at least).
const SPEED_REACH_S: f64 = 0.025;
/// At most this much where noise asks for it.
const WIDEST_REACH_S: f64 = 0.06;
/// No line fit takes more frames than this to either side (240 frames a second and more).
const LONGEST_REACH: usize = 40;
/// Slow: under this many leg lengths a second.
const SLOW: f64 = 1.0;
/// Still slow while in contact (hysteresis).
const STILL_SLOW: f64 = 1.5;
/// Low: within this many leg lengths of the lowest.
const LOW: f64 = 0.12;
/// Still low while in contact.
const STILL_LOW: f64 = 0.17;
/// The middle height of a contact lies within this many leg lengths of the lowest.
const DOWN: f64 = 0.06;
/// Shorter contacts are none, seconds.
const SHORTEST_S: f64 = 0.04;
/// Shorter interruptions do not end a contact, seconds.
const BRIEF_S: f64 = 0.045;
/// Prior sds of velocity, acceleration and jerk of a moving point next to a contact, in leg lengths per s, s² and s³.
/// A landing point strikes with some speed; leaving hands go up with the body at once (the block), a leaving foot rolls
/// off gently, and so do hands that are lifted when the feet have landed (our choice).
const LANDING_PRIOR: [f64; 3] = [4.0, 100.0, 4000.0];
const HAND_LEAVING_PRIOR: [f64; 3] = [2.0, 100.0, 4000.0];
const HAND_LIFTED_PRIOR: [f64; 3] = [0.5, 40.0, 1500.0];
const FOOT_LEAVING_PRIOR: [f64; 3] = [0.7, 100.0, 4000.0];

/// Prior sd of the drift of a point in contact (a hand that slides or rolls), leg lengths a second.
const DRIFT: f64 = 0.05;
/// A refined instant stays within this of the coarse one, seconds.
const FARTHEST_S: f64 = 0.15;

/// A contact that changes while its point is not seen for longer than this has no instant, seconds (our choice).
const WIDEST_GAP_S: f64 = 0.30;

/// What the likelihood's width is multiplied by, measured on simulated attempts (its priors are wider or narrower than
/// motion).
const HAND_LANDING_CALIBRATION: f64 = 1.25;
const FOOT_LANDING_CALIBRATION: f64 = 1.05;
const HAND_LEAVING_CALIBRATION: f64 = 0.75;

/// One stretch of contact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// First frame in contact.
    pub first: usize,
    /// First frame without contact (the number of frames if the clip ends first).
    pub end: usize,
    /// When it starts; `None` if it was there when the clip began.
    pub start: Option<Instant>,
    /// When it ends; `None` if the clip ends first.
    pub stop: Option<Instant>,
}

/// A refined instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instant {
    /// First frame of the new state.
    pub frame: usize,
    /// Midway between it and the frame before, seconds.
    pub time: f64,
    /// Standard uncertainty: frame rate and fit in quadrature, seconds.
    pub sd: f64,
    /// The fit's share of it, seconds.
    pub spread: f64,
}

impl Instant {
    /// The earlier of two instants; where they don't differ beyond what their sds explain, their weighted mean (of two
    /// noisy readings of one instant the earlier is too early).
    #[must_use]
    pub fn earlier(self, other: Instant) -> Instant {
        self.joined(other)
            .unwrap_or(if other.time < self.time { other } else { self })
    }

    /// The later of two instants; where they don't differ beyond what their sds explain, their weighted mean.
    #[must_use]
    pub fn later(self, other: Instant) -> Instant {
        self.joined(other)
            .unwrap_or(if other.time > self.time { other } else { self })
    }

    fn joined(self, other: Instant) -> Option<Instant> {
        let sd = self.sd.hypot(other.sd);
        if (self.time - other.time).abs() > 2.0 * sd {
            return None;
        }
        let (a, b) = (self.sd.powi(-2), other.sd.powi(-2));
        let time = (a * self.time + b * other.time) / (a + b);
        let nearer = if (self.time - time).abs() <= (other.time - time).abs() {
            self
        } else {
            other
        };
        // The fits are independent; the frames are the same for both.
        let frame_sd = (nearer.sd.powi(2) - nearer.spread.powi(2)).max(0.0).sqrt();
        let spread = ((self.spread * a).powi(2) + (other.spread * b).powi(2)).sqrt() / (a + b);
        Some(Instant {
            frame: nearer.frame,
            time,
            sd: frame_sd.hypot(spread),
            spread,
        })
    }
}

impl Contact {
    /// When it starts, or the first frame's time.
    #[must_use]
    pub fn start_time(&self, times: &[f64]) -> f64 {
        self.start.map_or(times[self.first], |instant| instant.time)
    }

    /// When it ends, or the last frame's time.
    #[must_use]
    pub fn stop_time(&self, times: &[f64]) -> f64 {
        self.stop.map_or(times[times.len() - 1], |instant| instant.time)
    }
}

/// The path of one point, seen frames only, with local speeds.
pub(crate) struct Path {
    frames: Vec<usize>,
    times: Vec<f64>,
    points: Vec<Point>,
    speeds: Vec<f64>,
    noise: f64,
    /// Median interval of the seen frames, seconds.
    step: f64,
    /// Correlation of the noise from frame to frame, 0 where it is not known.
    rho: f64,
    is_hand: bool,
    /// The hands are lifted with the feet already down.
    pub lifted: bool,
}

impl Path {
    /// Speeds by line fit over ±0.025 s, three seen frames at least. `leg`: leg length in px.
    pub(crate) fn new(tracks: &Tracks, landmark: Landmark, leg: f64) -> Self {
        let track = tracks.track(landmark);
        let mut path = Self {
            frames: Vec::new(),
            times: Vec::new(),
            points: Vec::new(),
            speeds: Vec::new(),
            noise: 0.0,
            step: 1.0,
            rho: match tracks.temporal_error {
                TemporalError::Correlated(rho) => rho,
                _ => 0.0,
            },
            is_hand: matches!(landmark.joint(), Some(Joint::Fingertip | Joint::Wrist)),
            lifted: false,
        };
        for (frame, point) in track.positions.iter().enumerate() {
            if let Some(point) = point {
                path.frames.push(frame);
                path.times.push(tracks.times[frame]);
                path.points.push(*point);
            }
        }
        path.step = interval(&path.times);
        path.noise = path.high_frequency_noise().max(0.001 * leg);
        path.speeds = (0..path.frames.len()).map(|k| path.speed(k, leg)).collect();
        path
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.frames.is_empty()
    }

    /// The seen frames around `k` without a gap, end excluded; all of them where those are fewer than three.
    fn unbroken(&self, k: usize) -> (usize, usize) {
        let n = self.times.len();
        let close = |j: usize| self.gap_before(j) < 0.04;
        let mut first = k;
        while first > 0 && k - first < LONGEST_REACH && close(first) {
            first -= 1;
        }
        let mut end = k + 1;
        while end < n && end - k < LONGEST_REACH && close(end) {
            end += 1;
        }
        if end - first < 3 { (0, n) } else { (first, end) }
    }

    /// Speed at a seen frame, px/s: line fit over ±0.025 s (three frames at least), widened up to ±0.06 s while noise alone
    /// would make a resting point look faster than 0.3 leg lengths a second.
    fn speed(&self, k: usize, leg: f64) -> f64 {
        let (first, end) = self.unbroken(k);
        let reach = |reach_s: f64| {
            let low = (first..k)
                .rfind(|j| self.times[k] - self.times[*j] > reach_s + 1e-9)
                .map_or(first, |j| j + 1);
            let high = (k..end)
                .take_while(|j| self.times[*j] - self.times[k] <= reach_s + 1e-9)
                .last()
                .unwrap_or(k);
            (low, high)
        };
        let (mut low, mut high) = reach(SPEED_REACH_S);
        let (widest_low, widest_high) = reach(WIDEST_REACH_S);
        loop {
            let times = &self.times[low..=high];
            let mean = times.iter().sum::<f64>() / times.len() as f64;
            let spread: f64 = times.iter().map(|t| (t - mean).powi(2)).sum();
            let noisy = self.noise > 0.3 * leg * spread.sqrt();
            let few = high - low < 2;
            let (can_low, can_high) = if few {
                (low > first, high + 1 < end)
            } else {
                (low > widest_low, high < widest_high)
            };
            if !(few || noisy) || !(can_low || can_high) {
                break;
            }
            let before = if can_low {
                self.times[k] - self.times[low - 1]
            } else {
                f64::INFINITY
            };
            let after = if can_high {
                self.times[high + 1] - self.times[k]
            } else {
                f64::INFINITY
            };
            if before <= after {
                low -= 1;
            } else {
                high += 1;
            }
        }
        slope(&self.times[low..=high], &self.points[low..=high]).map_or(0.0, |v| v.norm())
    }

    /// Noise per axis from third differences of the heights and positions, robustly (median absolute value).
    fn high_frequency_noise(&self) -> f64 {
        let mut sizes: Vec<f64> = self
            .points
            .windows(4)
            .flat_map(|w| {
                let third = (w[3] - w[2]) - 2.0 * (w[2] - w[1]) + (w[1] - w[0]);
                [third.x.abs(), third.y.abs()]
            })
            .collect();
        if sizes.is_empty() {
            return 0.0;
        }
        let middle = sizes.len() / 2;
        // Variance of a third difference of first-order correlated noise, in σ²; median |N(0,1)| is 0.6745.
        let rho = self.rho;
        let factor = 20.0 - 30.0 * rho + 12.0 * rho * rho - 2.0 * rho.powi(3);
        *sizes.select_nth_unstable_by(middle, f64::total_cmp).1 / (0.6745 * factor.sqrt())
    }

    /// Height below which a share of the seen frames lie, among those that pass `keep`.
    pub(crate) fn low_height(&self, share: f64, keep: impl Fn(usize) -> bool) -> Option<f64> {
        let mut heights: Vec<f64> = self
            .frames
            .iter()
            .zip(&self.points)
            .filter(|(frame, _)| keep(**frame))
            .map(|(_, p)| p.y)
            .collect();
        if heights.is_empty() {
            return None;
        }
        let rank = ((heights.len() - 1) as f64 * share).round() as usize;
        Some(*heights.select_nth_unstable_by(rank, f64::total_cmp).1)
    }

    pub(crate) fn heights(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.frames
            .iter()
            .zip(&self.points)
            .map(|(frame, point)| (*frame, point.y))
    }

    /// Contacts with a surface whose height for this point is `level(frame)` (`None`: no contact there). A contact may
    /// begin only where `may_begin(frame)`; it goes on without.
    pub(crate) fn contacts(
        &self,
        tracks: &Tracks,
        leg: f64,
        level: impl Fn(usize) -> Option<f64>,
        may_begin: impl Fn(usize) -> bool,
    ) -> Vec<Contact> {
        let mut runs: Vec<(usize, usize)> = Vec::new(); // indices into the seen frames, end excluded
        let mut open: Option<usize> = None;
        for k in 0..self.frames.len() {
            let (slow, low) = if open.is_some() {
                (STILL_SLOW, STILL_LOW)
            } else {
                (SLOW, LOW)
            };
            let down = level(self.frames[k])
                .is_some_and(|surface| self.speeds[k] < slow * leg && self.points[k].y - surface < low * leg);
            match (down, open) {
                (true, None) if may_begin(self.frames[k]) => open = Some(k),
                (false, Some(first)) => {
                    runs.push((first, k));
                    open = None;
                }
                _ => {}
            }
        }
        if let Some(first) = open {
            runs.push((first, self.frames.len()));
        }
        let mut merged: Vec<(usize, usize)> = Vec::new();
        for run in runs {
            match merged.last_mut() {
                Some(last) if self.times[run.0] - self.times[last.1 - 1] <= BRIEF_S.max(1.5 * self.step) => {
                    last.1 = run.1;
                }
                _ => merged.push(run),
            }
        }
        merged.retain(|(first, end)| end - first >= 2 && self.is_down(*first, *end, leg, &level));
        merged
            .into_iter()
            .map(|run| self.refine(tracks, leg, run))
            .filter(|contact| contact.stop_time(&tracks.times) - contact.start_time(&tracks.times) >= SHORTEST_S)
            .collect()
    }

    /// Whether the middle height of a run is that of the surface: a foot that turns round in the air is slow and low too.
    fn is_down(&self, first: usize, end: usize, leg: f64, level: impl Fn(usize) -> Option<f64>) -> bool {
        let mut over: Vec<f64> = (first..end)
            .filter_map(|k| Some(self.points[k].y - level(self.frames[k])?))
            .collect();
        let middle = over.len() / 2;
        !over.is_empty() && *over.select_nth_unstable_by(middle, f64::total_cmp).1 < DOWN * leg + 2.0 * self.noise
    }

    fn refine(&self, tracks: &Tracks, leg: f64, (first, end): (usize, usize)) -> Contact {
        let at_start = first == 0 || self.frames[first] == 0;
        let at_end = end == self.frames.len();
        let known = |coarse: usize| self.gap_before(coarse) <= WIDEST_GAP_S;
        let start =
            (!at_start && known(first)).then(|| self.instant(tracks, leg, first, (first, end), Change::Landing));
        let stop = (!at_end && known(end)).then(|| self.instant(tracks, leg, end, (first, end), Change::Leaving));
        Contact {
            first: start.map_or(self.frames[first], |instant| instant.frame),
            end: stop.map_or_else(
                || if at_end { tracks.len() } else { self.frames[end] },
                |instant| instant.frame,
            ),
            start,
            stop,
        }
    }

    /// How long the point was not seen before a seen frame, seconds: 0 where no more than one frame is missing.
    fn gap_before(&self, k: usize) -> f64 {
        let apart = self.times[k] - self.times[k - 1];
        if apart > 2.5 * self.step { apart } else { 0.0 }
    }

    /// A moving stretch (line and, held back by priors, parabola and cubic) joined to a still one. The time of the joint
    /// is averaged over its likelihood, with the moving stretch's coefficients integrated out.
    fn instant(&self, tracks: &Tracks, leg: f64, coarse: usize, run: (usize, usize), change: Change) -> Instant {
        let step = self.step;
        // A point that is lost where the contact changes leaves the instant anywhere in the gap.
        // A foot that still rolls in the first frames seen again has landed in the gap too.
        let coarse = match change {
            Change::Landing => (coarse.saturating_sub(3).max(1)..=coarse)
                .rfind(|k| self.gap_before(*k) > 0.0)
                .unwrap_or(coarse),
            Change::Leaving => coarse,
        };
        let gap = self.gap_before(coarse);
        let half_gap = 0.5 * (gap - step).max(0.0);
        let moving_s = (2.5 * step).max(0.06) + half_gap;
        let still_s = (3.0 * step).max(0.08) + half_gap;
        let search_s = (2.5 * step).max(0.06) + half_gap;
        let first_guess = self.times[coarse] - 0.5 * step - half_gap;
        let mut centre = first_guess;
        let mut spread = step;
        for _ in 0..5 {
            let (from, to) = match change {
                Change::Landing => (centre - moving_s, (centre + still_s).min(self.times[run.1 - 1])),
                Change::Leaving => ((centre - still_s).max(self.times[run.0]), centre + moving_s),
            };
            let low = self.times.partition_point(|t| *t < from - 1e-9);
            let high = self.times.partition_point(|t| *t <= to + 1e-9);
            if high < low + 4 {
                break;
            }
            let grid_step = (0.5 * step).max(0.001);
            let count = (search_s / grid_step).ceil() as i32;
            let (mut best, mut misfit) = (f64::NEG_INFINITY, 0.0);
            let candidates: Vec<(f64, f64)> = (-count..=count)
                .filter_map(|k| {
                    let joint = centre + f64::from(k) * grid_step;
                    let (likelihood, here) = self.log_likelihood(low, high, joint, leg, change)?;
                    if likelihood > best {
                        (best, misfit) = (likelihood, here);
                    }
                    Some((joint, likelihood))
                })
                .collect();
            // Where the best fit misses by more than the noise, it is as much less sure.
            let widen = (misfit / (2 * (high - low) - 2).max(1) as f64).max(1.0);
            let (mut total, mut mean, mut square) = (0.0, 0.0, 0.0);
            for (joint, likelihood) in &candidates {
                let weight = ((likelihood - best) / widen).exp();
                total += weight;
                mean += weight * (joint - centre);
                square += weight * (joint - centre).powi(2);
            }
            if total == 0.0 {
                break;
            }
            mean /= total;
            spread = (square / total - mean * mean).max(0.0).sqrt();
            centre += mean;
            let farthest = if gap > 0.0 { half_gap + step } else { FARTHEST_S };
            centre = centre.clamp(first_guess - farthest, first_guess + farthest);
            // Moved along in a gap, the stretch would lose the frames before it.
            if mean.abs() < 0.25 * step || gap > 0.0 {
                break;
            }
        }
        // No fit is surer than this: feet and hands are not points that stop at once.
        let spread = match change {
            Change::Landing if self.is_hand => (HAND_LANDING_CALIBRATION * spread).max(0.2 * step),
            Change::Landing => (FOOT_LANDING_CALIBRATION * spread).max(0.2 * step),
            Change::Leaving if self.is_hand => (HAND_LEAVING_CALIBRATION * spread).max(0.3 * step),
            Change::Leaving => spread.max(0.15 * step),
        };
        // Anywhere in a gap: that is the same for both sides and stays when they are joined.
        let lost = 2.0 * half_gap / 12f64.sqrt();
        let frame = tracks.times.partition_point(|t| *t < centre).clamp(1, tracks.len() - 1);
        let local = tracks.times[frame] - tracks.times[frame - 1];
        Instant {
            frame,
            time: 0.5 * (tracks.times[frame] + tracks.times[frame - 1]),
            sd: event_sd(local).hypot(spread).hypot(lost),
            spread,
        }
    }

    /// Log of the marginal likelihood of a joint at `joint`, up to a constant.
    fn log_likelihood(&self, low: usize, high: usize, joint: f64, leg: f64, change: Change) -> Option<(f64, f64)> {
        let by = |prior| self.log_likelihood_by(prior, low, high, joint, leg, change);
        match change {
            Change::Landing => by(LANDING_PRIOR),
            Change::Leaving if self.is_hand => {
                if self.lifted {
                    by(HAND_LIFTED_PRIOR)
                } else {
                    by(HAND_LEAVING_PRIOR)
                }
            }
            Change::Leaving => by(FOOT_LEAVING_PRIOR),
        }
    }

    /// The same with one prior for the moving stretch.
    fn log_likelihood_by(
        &self,
        prior: [f64; 3],
        low: usize,
        high: usize,
        joint: f64,
        leg: f64,
        change: Change,
    ) -> Option<(f64, f64)> {
        let mut normal = SMatrix::<f64, 5, 5>::zeros();
        let mut right = [SVector::<f64, 5>::zeros(), SVector::<f64, 5>::zeros()];
        let mut square = 0.0;
        let origin = self.points[low];
        let unit = leg / self.noise;
        let mut before: Option<(SVector<f64, 5>, Vector)> = None;
        for k in low..high {
            let t = self.times[k] - joint;
            let moving = match change {
                Change::Landing => t.min(0.0),
                Change::Leaving => t.max(0.0),
            };
            // Coefficients in units of their prior sd, points in units of the noise.
            let here = SVector::<f64, 5>::new(
                1.0,
                prior[0] * unit * moving,
                prior[1] * unit * moving * moving / 2.0,
                prior[2] * unit * moving.powi(3) / 6.0,
                DRIFT * unit * t,
            );
            let place = (self.points[k] - origin) / self.noise;
            // What correlated noise adds anew in this frame.
            let kept = if k > low {
                self.rho.powi((self.frames[k] - self.frames[k - 1]) as i32)
            } else {
                0.0
            };
            let fresh = (1.0 - kept * kept).sqrt();
            let (basis, offset) = match before {
                Some((basis, offset)) if kept > 0.0 => ((here - basis * kept) / fresh, (place - offset * kept) / fresh),
                _ => (here, place),
            };
            before = Some((here, place));
            normal += basis * basis.transpose();
            right[0] += basis * offset.x;
            right[1] += basis * offset.y;
            square += offset.norm_squared();
        }
        for k in 1..5 {
            normal[(k, k)] += 1.0;
        }
        let solver = normal.cholesky()?;
        let explained: f64 = right.iter().map(|r| solver.solve(r).dot(r)).sum();
        // Two axes: each brings half of the log determinant.
        let misfit = (square - explained).max(0.0);
        Some((-0.5 * misfit - solver.ln_determinant(), misfit))
    }
}

/// Noise of a point per axis, px, from its own high frequencies; never below 0.1 % of the leg length.
pub(crate) fn noise_of(tracks: &Tracks, landmark: Landmark, leg: f64) -> f64 {
    Path::new(tracks, landmark, leg).noise
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Change {
    Landing,
    Leaving,
}

fn interval(times: &[f64]) -> f64 {
    let mut steps: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
    if steps.is_empty() {
        return 1.0;
    }
    let middle = steps.len() / 2;
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// Velocity by least squares, px/s; `None` with fewer than two instants.
pub(crate) fn slope(times: &[f64], points: &[Point]) -> Option<Vector> {
    let n = times.len() as f64;
    let mean_t = times.iter().sum::<f64>() / n;
    let mut across = Vector::zeros();
    let mut spread = 0.0;
    for (t, point) in times.iter().zip(points) {
        across += point.coords * (t - mean_t);
        spread += (t - mean_t).powi(2);
    }
    (spread > 0.0).then(|| across / spread)
}
