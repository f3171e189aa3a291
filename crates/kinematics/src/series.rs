//! Tracks made ready for measuring: short gaps bridged, series smoothed, and the weights with which raw frames
//! enter a smoothed, interpolated position.

use crate::smoothing::{Butterworth, LEAST_SAMPLES, cubic_weights};
use crate::uncertainty::variance_factor;
use crate::{Landmark, Point, TemporalError, Tracks, Vector};

/// Longest gap that is bridged, seconds.
pub const LONGEST_BRIDGE_S: f64 = 0.10;

/// How tracks are smoothed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Smoothing {
    /// No smoothing.
    Off,
    /// Zero-lag Butterworth with this cut-off in Hz, capped at 0.4 × rate.
    CutoffHz(f64),
}

impl Default for Smoothing {
    fn default() -> Self {
        Smoothing::CutoffHz(10.0)
    }
}

/// Bridged and smoothed tracks.
#[derive(Clone, Debug)]
pub struct Series {
    raw: Tracks,
    interval: f64,
    even: bool,
    filter: Option<Butterworth>,
    kernel: Vec<f64>,
    landmarks: Vec<Prepared>,
}

#[derive(Clone, Debug, Default)]
struct Prepared {
    /// Every frame; of meaning inside `runs` only.
    smooth: Vec<Point>,
    bridged: Vec<usize>,
    bridges: Vec<Point>,
    /// First frame and the frame after the last of each stretch without a gap, in order.
    runs: Vec<(usize, usize)>,
}

impl Prepared {
    fn run_of(&self, frame: usize) -> Option<(usize, usize)> {
        let after = self.runs.partition_point(|(first, _)| *first <= frame);
        let run = *self.runs.get(after.checked_sub(1)?)?;
        (frame < run.1).then_some(run)
    }

    fn smooth(&self, frame: usize) -> Option<Point> {
        self.run_of(frame).map(|_| self.smooth[frame])
    }
}

/// The body at one instant.
#[derive(Clone, Debug)]
pub struct Pose {
    /// The instant, seconds.
    pub time: f64,
    points: [Option<Point>; Landmark::COUNT],
    sd: [f64; Landmark::COUNT],
}

impl Pose {
    /// A pose of given points and sds (px per axis), indexed by landmark.
    #[must_use]
    pub fn new(time: f64, points: [Option<Point>; Landmark::COUNT], sd: [f64; Landmark::COUNT]) -> Self {
        Self { time, points, sd }
    }

    /// Position of a landmark.
    #[must_use]
    pub fn at(&self, landmark: Landmark) -> Option<Point> {
        self.points[landmark.index()]
    }

    /// Standard uncertainty per axis of a landmark after smoothing, px.
    #[must_use]
    pub fn sd(&self, landmark: Landmark) -> f64 {
        self.sd[landmark.index()]
    }

    pub(crate) fn place(&mut self, landmark: Landmark, point: Point) {
        self.points[landmark.index()] = Some(point);
    }
}

impl Series {
    /// Bridges and smooths all landmarks.
    ///
    /// Gaps up to 0.10 s are bridged by the cubic through the two seen frames each side and marked; longer gaps
    /// split the series. Uneven frame intervals are resampled (linear, median interval) for the filter and
    /// brought back.
    ///
    /// # Shape
    /// `n` frames in, `n` out.
    #[must_use]
    pub fn new(raw: Tracks, smoothing: Smoothing) -> Self {
        let interval = raw.median_interval().unwrap_or(1.0);
        let even = raw
            .times
            .windows(2)
            .all(|pair| ((pair[1] - pair[0]) / interval - 1.0).abs() < 0.02);
        let filter = match smoothing {
            Smoothing::Off => None,
            Smoothing::CutoffHz(cutoff) => Butterworth::two_pass(cutoff, 1.0 / interval),
        };
        let kernel = filter.map_or_else(|| vec![1.0], |filter| filter.interior_weights());
        let mut series = Self {
            raw,
            interval,
            even,
            filter,
            kernel,
            landmarks: Vec::new(),
        };
        series.landmarks = Landmark::ALL
            .into_iter()
            .map(|landmark| series.prepare(landmark))
            .collect();
        series
    }

    /// The tracks as they came.
    #[must_use]
    pub fn raw(&self) -> &Tracks {
        &self.raw
    }

    /// Median frame interval, seconds.
    #[must_use]
    pub fn interval(&self) -> f64 {
        self.interval
    }

    /// Bridged, unsmoothed position.
    #[must_use]
    pub fn filled(&self, landmark: Landmark, frame: usize) -> Option<Point> {
        let one = &self.landmarks[landmark.index()];
        let bridge = || one.bridged.binary_search(&frame).ok().map(|k| one.bridges[k]);
        self.raw.at(landmark, frame).or_else(bridge)
    }

    /// Smoothed position.
    #[must_use]
    pub fn smooth(&self, landmark: Landmark, frame: usize) -> Option<Point> {
        self.landmarks[landmark.index()].smooth(frame)
    }

    /// Median raw position of a landmark over frames `first` to before `end`, axis by axis.
    #[must_use]
    pub fn median_while(&self, landmark: Landmark, first: usize, end: usize) -> Option<Point> {
        let positions = self.raw.track(landmark).positions.get(first..end)?;
        let median = |axis: usize| {
            let mut values: Vec<f64> = positions.iter().flatten().map(|point| point[axis]).collect();
            let middle = values.len() / 2;
            (!values.is_empty()).then(|| *values.select_nth_unstable_by(middle, f64::total_cmp).1)
        };
        Some(Point::new(median(0)?, median(1)?))
    }

    /// Frames of a landmark that were bridged.
    #[must_use]
    pub fn bridged(&self, landmark: Landmark) -> &[usize] {
        &self.landmarks[landmark.index()].bridged
    }

    /// Whether some series was too short to be smoothed.
    #[must_use]
    pub fn has_raw_runs(&self) -> bool {
        self.filter.is_some()
            && self
                .landmarks
                .iter()
                .any(|one| one.runs.iter().any(|(first, end)| end - first < LEAST_SAMPLES))
    }

    /// The frame at or just before `time`; `None` outside the clip.
    #[must_use]
    pub fn frame_before(&self, time: f64) -> Option<usize> {
        let times = &self.raw.times;
        let after = times.partition_point(|t| *t <= time);
        (after > 0 && time <= *times.last()? + 1e-9).then(|| after - 1)
    }

    /// The body in one frame, smoothed, with effective sds.
    #[must_use]
    pub fn pose_at_frame(&self, frame: usize) -> Pose {
        self.pose(self.raw.times[frame], frame, None)
    }

    /// The body at an instant between frames: cubic through the four frames around it where they are there,
    /// else linear; `None` outside the clip.
    #[must_use]
    pub fn pose_at(&self, time: f64) -> Option<Pose> {
        let frame = self.frame_before(time)?;
        let times = &self.raw.times;
        let at_frame = frame + 1 >= times.len() || (time - times[frame]).abs() < 1e-9;
        Some(self.pose(time, frame, (!at_frame).then_some(time)))
    }

    fn pose(&self, time: f64, frame: usize, between: Option<f64>) -> Pose {
        let mut points = [None; Landmark::COUNT];
        let mut sd = [0.0; Landmark::COUNT];
        let mut common: Option<f64> = None;
        for landmark in Landmark::ALL {
            let Some((position, stencil)) = self.interpolate(landmark, frame, between) else {
                continue;
            };
            points[landmark.index()] = Some(position);
            let raw_sd = self.point_sd(landmark, frame);
            let factor = if raw_sd == 0.0 || self.raw.temporal_error == TemporalError::Shared {
                1.0
            } else {
                self.factor(landmark, &stencil, &mut common)
            };
            sd[landmark.index()] = raw_sd * factor.sqrt();
        }
        Pose { time, points, sd }
    }

    /// Position of a landmark at an instant with the weights of the smoothed frames around it.
    fn interpolate(&self, landmark: Landmark, frame: usize, between: Option<f64>) -> Option<(Point, Stencil)> {
        let one = &self.landmarks[landmark.index()];
        let Some(time) = between else {
            return one.smooth(frame).map(|point| (point, Stencil::single(frame)));
        };
        let times = &self.raw.times;
        let run = one.run_of(frame);
        let next_run = one.run_of(frame + 1);
        match (run, next_run) {
            (Some(run), Some(_)) if frame + 1 < run.1 => {
                let stencil = if frame > run.0 && frame + 2 < run.1 {
                    let at = [times[frame - 1], times[frame], times[frame + 1], times[frame + 2]];
                    Stencil {
                        first: frame - 1,
                        len: 4,
                        weights: cubic_weights(time, at),
                    }
                } else {
                    let u = (time - times[frame]) / (times[frame + 1] - times[frame]);
                    Stencil {
                        first: frame,
                        len: 2,
                        weights: [1.0 - u, u, 0.0, 0.0],
                    }
                };
                let mut sum = Vector::zeros();
                for k in 0..stencil.len {
                    sum += one.smooth[stencil.first + k].coords * stencil.weights[k];
                }
                Some((Point::from(sum), stencil))
            }
            _ => None,
        }
    }

    /// Variance factor of smoothing and interpolation at a stencil; `common` keeps the value that all landmarks
    /// far from gaps and ends share.
    fn factor(&self, landmark: Landmark, stencil: &Stencil, common: &mut Option<f64>) -> f64 {
        let rho = match self.raw.temporal_error {
            TemporalError::Independent => 0.0,
            TemporalError::Correlated(rho) => rho,
            TemporalError::Shared => return 1.0,
        };
        let one = &self.landmarks[landmark.index()];
        let reach = self.kernel.len() / 2;
        let (low, high) = (stencil.first.saturating_sub(reach), stencil.first + stencil.len + reach);
        let Some((run_first, run_end)) = one.run_of(stencil.first) else {
            return 1.0;
        };
        let inner = low >= run_first + 10 && high + 10 <= run_end;
        let bridged = one.bridged.iter().any(|frame| (low..high).contains(frame));
        if inner && !bridged {
            let value = common.get_or_insert_with(|| {
                let mut weights = vec![0.0; 2 * reach + stencil.len];
                for k in 0..stencil.len {
                    for (j, w) in self.kernel.iter().enumerate() {
                        weights[k + j] += stencil.weights[k] * w;
                    }
                }
                variance_factor(&weights, rho)
            });
            return *value;
        }
        variance_factor(&self.raw_weights(landmark, stencil, (run_first, run_end)), rho)
    }

    /// Weights of the raw frames of a run (indexed from its first frame) at a stencil, bridged frames traced back
    /// to the seen ones.
    fn raw_weights(&self, landmark: Landmark, stencil: &Stencil, (first, end): (usize, usize)) -> Vec<f64> {
        let one = &self.landmarks[landmark.index()];
        let n = end - first;
        let mut weights = vec![0.0; n];
        for k in 0..stencil.len {
            let (start, row) = match &self.filter {
                Some(filter) => filter.weights(n, stencil.first + k - first),
                None => (stencil.first + k - first, vec![1.0]),
            };
            for (j, w) in row.into_iter().enumerate() {
                weights[start + j] += stencil.weights[k] * w;
            }
        }
        let seen = |k: usize| !one.bridged.contains(&k);
        for &frame in one.bridged.iter().filter(|frame| (first..end).contains(frame)) {
            let weight = std::mem::take(&mut weights[frame - first]);
            let before: Vec<usize> = (first..frame).rev().filter(|k| seen(*k)).take(2).collect();
            let after: Vec<usize> = (frame + 1..end).filter(|k| seen(*k)).take(2).collect();
            for (source, share) in self.bridge_weights(frame, &before, &after) {
                weights[source - first] += weight * share;
            }
        }
        weights
    }

    /// Weights of the seen frames in a bridged one: cubic with two each side, linear with fewer.
    fn bridge_weights(&self, frame: usize, before: &[usize], after: &[usize]) -> Vec<(usize, f64)> {
        let times = &self.raw.times;
        let t = times[frame];
        if let ([b1, b2], [a1, a2]) = (before, after) {
            let weights = cubic_weights(t, [times[*b2], times[*b1], times[*a1], times[*a2]]);
            return vec![
                (*b2, weights[0]),
                (*b1, weights[1]),
                (*a1, weights[2]),
                (*a2, weights[3]),
            ];
        }
        match (before.first(), after.first()) {
            (Some(b), Some(a)) => {
                let u = (t - times[*b]) / (times[*a] - times[*b]);
                vec![(*b, 1.0 - u), (*a, u)]
            }
            _ => Vec::new(),
        }
    }

    /// Raw point sd at a frame, from the nearest frame that has one.
    fn point_sd(&self, landmark: Landmark, frame: usize) -> f64 {
        let sd = &self.raw.track(landmark).sd;
        let usable = |k: usize| sd.get(k).copied().map(f64::from).filter(|s| s.is_finite() && *s > 0.0);
        (0..sd.len().min(30))
            .find_map(|away| usable(frame + away).or_else(|| frame.checked_sub(away).and_then(usable)))
            .unwrap_or(0.0)
    }

    fn prepare(&self, landmark: Landmark) -> Prepared {
        let positions = &self.raw.track(landmark).positions;
        if positions.iter().all(Option::is_none) {
            return Prepared::default();
        }
        let times = &self.raw.times;
        let mut filled = positions.clone();
        let mut bridged = Vec::new();
        let seen: Vec<usize> = (0..positions.len()).filter(|k| positions[*k].is_some()).collect();
        for (index, pair) in seen.windows(2).enumerate() {
            let (left, right) = (pair[0], pair[1]);
            let gap = right - left > 1;
            // A gap is as long as the frames that it lacks.
            let missing_s = times[right] - times[left] - self.interval;
            if !gap || missing_s > LONGEST_BRIDGE_S + 1e-9 {
                continue;
            }
            let near =
                |k: usize, to: usize| times[k.max(to)] - times[k.min(to)] <= LONGEST_BRIDGE_S + 2.0 * self.interval;
            let before: Vec<usize> = [Some(left), index.checked_sub(1).map(|k| seen[k])]
                .into_iter()
                .flatten()
                .filter(|k| near(*k, left))
                .collect();
            let after: Vec<usize> = [Some(right), seen.get(index + 2).copied()]
                .into_iter()
                .flatten()
                .filter(|k| near(*k, right))
                .collect();
            for frame in left + 1..right {
                let mut sum = Vector::zeros();
                for (source, weight) in self.bridge_weights(frame, &before, &after) {
                    if let Some(point) = positions[source] {
                        sum += point.coords * weight;
                    }
                }
                filled[frame] = Some(Point::from(sum));
                bridged.push(frame);
            }
        }
        let mut runs = Vec::new();
        let mut start = None;
        for (k, point) in filled.iter().enumerate() {
            match (point, start) {
                (Some(_), None) => start = Some(k),
                (None, Some(first)) => {
                    runs.push((first, k));
                    start = None;
                }
                _ => {}
            }
        }
        if let Some(first) = start {
            runs.push((first, filled.len()));
        }
        let bridges = bridged.iter().filter_map(|frame| filled[*frame]).collect();
        let mut smooth: Vec<Point> = filled.into_iter().map(Option::unwrap_or_default).collect();
        smooth.shrink_to_fit();
        if let Some(filter) = &self.filter {
            for &(first, end) in &runs {
                self.smooth_run(filter, &mut smooth[first..end], &times[first..end]);
            }
        }
        Prepared {
            smooth,
            bridged,
            bridges,
            runs,
        }
    }

    fn smooth_run(&self, filter: &Butterworth, run: &mut [Point], times: &[f64]) {
        if run.len() < LEAST_SAMPLES {
            return;
        }
        let axis = |k: usize| -> Vec<f64> { run.iter().map(|point| point[k]).collect() };
        let smooth = |series: Vec<f64>| {
            if self.even {
                filter.smooth(&series)
            } else {
                let grid_len = ((times[times.len() - 1] - times[0]) / self.interval).round() as usize + 1;
                let grid: Vec<f64> = (0..grid_len).map(|k| times[0] + k as f64 * self.interval).collect();
                let even = resample(times, &series, &grid);
                resample(&grid, &filter.smooth(&even), times)
            }
        };
        let (x, y) = (smooth(axis(0)), smooth(axis(1)));
        for (point, (x, y)) in run.iter_mut().zip(x.into_iter().zip(y)) {
            *point = Point::new(x, y);
        }
    }

    /// Autocorrelation of the noise left after smoothing, at lags of whole frames, far from gaps and ends; first
    /// entry 1. `None` for errors shared by all frames.
    #[must_use]
    pub fn noise_autocorrelation(&self, lags: usize) -> Option<Vec<f64>> {
        let rho = match self.raw.temporal_error {
            TemporalError::Independent => 0.0,
            TemporalError::Correlated(rho) => rho,
            TemporalError::Shared => return None,
        };
        let n = self.kernel.len();
        let covariance = |lag: usize| {
            let mut sum = 0.0;
            for i in 0..n {
                if rho == 0.0 {
                    if i + lag < n {
                        sum += self.kernel[i + lag] * self.kernel[i];
                    }
                } else {
                    for j in 0..n {
                        let distance = (i as i64 - j as i64 + lag as i64).unsigned_abs();
                        sum += self.kernel[i] * self.kernel[j] * rho.powi(distance.min(i32::MAX as u64) as i32);
                    }
                }
            }
            sum
        };
        let zero = covariance(0);
        Some((0..lags).map(|lag| covariance(lag) / zero).collect())
    }

    /// Half of `Σ|w||t|`: by how much a corner of the path (per unit of velocity change) biases the smoothed point
    /// at the corner, seconds.
    #[must_use]
    pub fn corner_reach(&self) -> f64 {
        let middle = self.kernel.len() / 2;
        let sum: f64 = self
            .kernel
            .iter()
            .enumerate()
            .map(|(k, w)| w * k.abs_diff(middle) as f64 * self.interval)
            .sum();
        (0.5 * sum).abs()
    }
}

#[derive(Clone, Copy, Debug)]
struct Stencil {
    first: usize,
    len: usize,
    weights: [f64; 4],
}

impl Stencil {
    fn single(frame: usize) -> Self {
        Self {
            first: frame,
            len: 1,
            weights: [1.0, 0.0, 0.0, 0.0],
        }
    }
}

/// Linear interpolation of `values` at `times` (ascending) onto `grid`; held constant beyond the ends.
fn resample(times: &[f64], values: &[f64], grid: &[f64]) -> Vec<f64> {
    grid.iter()
        .map(|t| {
            let after = times.partition_point(|x| x <= t);
            if after == 0 {
                return values[0];
            }
            if after == times.len() {
                return values[times.len() - 1];
            }
            let u = (t - times[after - 1]) / (times[after] - times[after - 1]);
            values[after - 1] * (1.0 - u) + values[after] * u
        })
        .collect()
}
