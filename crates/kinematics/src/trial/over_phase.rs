//! A measure over a phase: mean, least, most, range.

use nalgebra::{DMatrix, DVector};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use crate::trial::at_instant::share;
use crate::trial::propagate::{Gradient, nearest};
use crate::trial::{Fold, NotSeen, Trial, Value};
use crate::{Measure, Phase, Side, TemporalError, Unit};

/// Draws of the Monte Carlo that takes the bias off an extreme.
const DRAWS: usize = 256;
/// Its seed, always the same.
pub const SEED: u64 = 20_260_314;
/// At least this share of a phase's frames must show what is needed.
const LEAST_SEEN: f64 = 0.6;

/// How a phase is condensed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Statistic {
    /// Smallest value.
    Least,
    /// Largest value.
    Most,
    /// Mean value over time.
    Mean,
    /// Largest less smallest.
    Range,
}

/// Parts of a variance.
struct Parts {
    timing: f64,
    tilt: f64,
    points: f64,
}

/// Values of one measure through a phase, before folding.
struct Course {
    times: Vec<f64>,
    values: Vec<f64>,
    sd: Vec<f64>,
    gradients: Vec<Gradient>,
    per_tilt: Vec<f64>,
    fold: Option<Fold>,
    frames: (usize, usize),
    remarks: Vec<String>,
    ends_sd: [f64; 2],
}

impl Trial {
    /// A measure over a phase.
    ///
    /// Values are taken at every frame inside and, interpolated, at both ends. A least or most is a biased extreme; the
    /// bias is taken off by a seeded Monte Carlo with the noise that smoothing leaves. Errors shared by all frames need
    /// no such correction. The mean is over time.
    ///
    /// # Errors
    /// The phase's events are missing, or fewer than 60 % of its frames show what is needed.
    pub fn over(
        &self,
        measure: Measure,
        side: Side,
        phase: Phase,
        statistic: Statistic,
        unit: Unit,
    ) -> Result<Value, NotSeen> {
        let ends = self
            .found
            .phase(phase, self.clip())
            .ok_or_else(|| self.missing_end(phase))?;
        let course = self.course(measure, side, ends)?;
        let value = match statistic {
            Statistic::Mean => self.mean(&course, measure),
            _ => self.extreme(&course, measure, statistic),
        };
        self.convert(value, unit)
    }

    fn missing_end(&self, phase: Phase) -> NotSeen {
        let Some((start, ends)) = phase.bounds() else {
            return NotSeen::Event(crate::EventKind::HandPlacement);
        };
        let ends = ends.iter().copied();
        let found = |kind: &crate::EventKind| self.found.event(*kind).is_some();
        if !found(&start) {
            return NotSeen::Event(start);
        }
        match ends.clone().find(found) {
            Some(end) => NotSeen::NoTime { start, end },
            None => NotSeen::Event(ends.clone().next().unwrap_or(start)),
        }
    }

    fn course(
        &self,
        measure: Measure,
        side: Side,
        [(from, from_sd), (to, to_sd)]: [(f64, f64); 2],
    ) -> Result<Course, NotSeen> {
        let times = &self.series.raw().times;
        let inside: Vec<usize> = (0..times.len())
            .filter(|k| times[*k] > from + 1e-9 && times[*k] < to - 1e-9)
            .collect();
        let frames = (
            inside.first().copied().unwrap_or(0),
            inside.last().copied().unwrap_or(0),
        );
        let mut course = Course {
            times: Vec::new(),
            values: Vec::new(),
            sd: Vec::new(),
            gradients: Vec::new(),
            per_tilt: Vec::new(),
            fold: self.fold_of(measure),
            frames,
            remarks: Vec::new(),
            ends_sd: [from_sd, to_sd],
        };
        let expected = inside.len() + 2;
        let instants = std::iter::once(None)
            .chain(inside.into_iter().map(Some))
            .chain(std::iter::once(None));
        let mut reason = None;
        for (k, frame) in instants.enumerate() {
            let pose = match frame {
                Some(frame) => Some(self.series.pose_at_frame(frame)),
                None => self.series.pose_at(if k == 0 { from } else { to }),
            };
            let Some(pose) = pose else { continue };
            match self.sample(measure, side, &pose, &mut course.remarks) {
                Ok(sample) => {
                    let before = course.values.last().copied();
                    let value = match before {
                        Some(before) => before + nearest(sample.raw.value - before, Self::period_of(measure)),
                        None => sample.raw.value,
                    };
                    course.times.push(pose.time);
                    course.values.push(value);
                    course.sd.push(sample.gradient.variance().sqrt());
                    course.gradients.push(sample.gradient);
                    course.per_tilt.push(sample.per_tilt);
                }
                Err(error) => reason = reason.or(Some(error)),
            }
        }
        let seen = course.values.len();
        if seen < 2 || (seen as f64) < LEAST_SEEN * expected as f64 {
            return Err(match reason {
                Some(error) if seen == 0 => error,
                _ => NotSeen::TooFewFrames { seen, frames: expected },
            });
        }
        Ok(course)
    }

    fn mean(&self, course: &Course, measure: Measure) -> Value {
        let weights = trapezoid(&course.times);
        let mean: f64 = weights.iter().zip(&course.values).map(|(w, v)| w * v).sum();
        let shared = self.series.raw().temporal_error == TemporalError::Shared;
        let mut gradient = Gradient::zero();
        let mut per_tilt = 0.0;
        for (k, w) in weights.iter().enumerate() {
            gradient.add(&course.gradients[k], *w);
            per_tilt += w * course.per_tilt[k];
        }
        let points = if shared {
            gradient.variance()
        } else {
            let correlation = self.correlation();
            let mut sum = 0.0;
            for i in 0..weights.len() {
                for j in 0..weights.len() {
                    let lag = (course.times[i] - course.times[j]).abs() / self.series.interval();
                    sum += weights[i] * weights[j] * course.sd[i] * course.sd[j] * at_lag(&correlation, lag);
                }
            }
            sum.max(0.0)
        };
        let length = course.times[course.times.len() - 1] - course.times[0];
        let shift = |value: f64, sd: f64| {
            if length > 0.0 {
                (value - mean) / length * sd
            } else {
                0.0
            }
        };
        let last = course.values.len() - 1;
        let timing = shift(course.values[0], course.ends_sd[0]).hypot(shift(course.values[last], course.ends_sd[1]));
        let parts = Parts {
            timing: timing * timing,
            tilt: (per_tilt * self.tilt_sd).powi(2),
            points,
        };
        Value {
            fold: course.fold,
            ..self.value(
                measure,
                course,
                fold(mean, course.fold),
                parts,
                shared.then(|| Box::new(gradient)),
            )
        }
    }

    fn extreme(&self, course: &Course, measure: Measure, statistic: Statistic) -> Value {
        let folded: Vec<f64> = course.values.iter().map(|v| fold(*v, course.fold)).collect();
        let (low, high) = (argument(&folded, f64::lt), argument(&folded, f64::gt));
        let pick = |values: &[f64]| match statistic {
            Statistic::Least => values.iter().copied().fold(f64::INFINITY, f64::min),
            Statistic::Most => values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            _ => {
                values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
                    - values.iter().copied().fold(f64::INFINITY, f64::min)
            }
        };
        let raw = pick(&folded);
        let shared = self.series.raw().temporal_error == TemporalError::Shared;
        let sign = |k: usize| match course.fold {
            Some(Fold::FromStraight) => -course.values[k].signum(),
            Some(Fold::FromZero) => course.values[k].signum(),
            None => 1.0,
        };
        let mut gradient = Gradient::zero();
        let mut per_tilt = 0.0;
        let mut at = |k: usize, weight: f64| {
            gradient.add(&course.gradients[k], weight * sign(k));
            per_tilt += weight * sign(k) * course.per_tilt[k];
        };
        match statistic {
            Statistic::Least => at(low, 1.0),
            Statistic::Most => at(high, 1.0),
            _ => {
                at(high, 1.0);
                at(low, -1.0);
            }
        }
        let (best, points) = if shared {
            (raw, gradient.variance())
        } else {
            self.likely_extreme(course, raw, pick)
        };
        // An extreme at an end moves with the end.
        let timing: f64 = [
            (low, statistic != Statistic::Most),
            (high, statistic != Statistic::Least),
        ]
        .into_iter()
        .filter(|(_, counts)| *counts)
        .map(|(k, _)| {
            end_rate(&course.times, &folded, k).map_or(0.0, |(rate, end)| (rate * course.ends_sd[end]).powi(2))
        })
        .sum();
        let parts = Parts {
            timing,
            tilt: (per_tilt * self.tilt_sd).powi(2),
            points,
        };
        let mut value = best;
        if statistic == Statistic::Range || course.fold == Some(Fold::FromZero) {
            value = value.max(0.0);
        }
        self.value(measure, course, value, parts, shared.then(|| Box::new(gradient)))
    }

    fn value(
        &self,
        measure: Measure,
        course: &Course,
        value: f64,
        parts: Parts,
        gradient: Option<Box<Gradient>>,
    ) -> Value {
        let own = parts.timing + parts.tilt;
        let all = own + parts.points;
        Value {
            value,
            sd: all.sqrt(),
            unit: measure.units()[0].in_px(),
            // An extreme is no folded value; the mean says so itself.
            fold: None,
            frames: course.frames,
            remarks: course.remarks.clone(),
            timing_share: share(parts.timing, all),
            tilt_share: share(parts.tilt, all),
            own_variance: if gradient.is_some() { own } else { all },
            gradient,
        }
    }

    /// An extreme freed of its bias, and its variance.
    ///
    /// The course is a smooth curve seen through noise: as many Legendre coefficients as a motion of 8 Hz bandwidth has in
    /// the time, small unless the values say otherwise (a prior whose size is weighed by its evidence), and the
    /// correlated noise that smoothing leaves. Seeded draws of the curve give the extreme's mean and spread; a held joint
    /// is so not taken for its noisiest frame.
    fn likely_extreme(&self, course: &Course, raw: f64, pick: impl Fn(&[f64]) -> f64) -> (f64, f64) {
        if course.sd.iter().all(|sd| *sd == 0.0) {
            return (raw, 0.0);
        }
        let factor = noise_factor(&course.times, self.series.interval(), &self.correlation());
        let Some(curves) = Curves::fit(course, &factor) else {
            return (
                raw,
                course.sd.iter().map(|sd| sd * sd).sum::<f64>() / course.sd.len() as f64,
            );
        };
        let mut random = ChaCha8Rng::seed_from_u64(SEED);
        let (mut sum, mut square) = (0.0, 0.0);
        for k in 0..DRAWS {
            let curve: Vec<f64> = curves
                .draw(k, &mut random)
                .into_iter()
                .map(|value| fold(value, course.fold))
                .collect();
            let got = pick(&curve) - raw;
            sum += got;
            square += got * got;
        }
        let mean = sum / DRAWS as f64;
        (raw + mean, (square / DRAWS as f64 - mean * mean).max(0.0))
    }

    fn correlation(&self) -> Vec<f64> {
        self.series.noise_autocorrelation(64).unwrap_or_else(|| vec![1.0])
    }
}

fn fold(value: f64, fold: Option<Fold>) -> f64 {
    match fold {
        Some(Fold::FromStraight) => 180.0 - value.abs(),
        Some(Fold::FromZero) => value.abs(),
        None => value,
    }
}

fn argument(values: &[f64], before: impl Fn(&f64, &f64) -> bool) -> usize {
    (0..values.len()).fold(0, |best, k| if before(&values[k], &values[best]) { k } else { best })
}

/// Rate of change at an end of the course if `k` is that end: `(per second, which end)`.
fn end_rate(times: &[f64], values: &[f64], k: usize) -> Option<(f64, usize)> {
    let last = values.len() - 1;
    let rate = |a: usize, b: usize| (values[b] - values[a]) / (times[b] - times[a]).max(1e-9);
    match k {
        0 => Some((rate(0, 1), 0)),
        k if k == last => Some((rate(last - 1, last), 1)),
        _ => None,
    }
}

/// Weights of a time mean by trapezoids; they sum to 1.
fn trapezoid(times: &[f64]) -> Vec<f64> {
    let n = times.len();
    let length = times[n - 1] - times[0];
    if length <= 0.0 {
        return vec![1.0 / n as f64; n];
    }
    (0..n)
        .map(|k| {
            let before = if k > 0 { times[k] - times[k - 1] } else { 0.0 };
            let after = if k + 1 < n { times[k + 1] - times[k] } else { 0.0 };
            0.5 * (before + after) / length
        })
        .collect()
}

fn at_lag(correlation: &[f64], lag: f64) -> f64 {
    let whole = lag.floor() as usize;
    let part = lag - lag.floor();
    let get = |k: usize| correlation.get(k).copied().unwrap_or(0.0);
    get(whole) * (1.0 - part) + get(whole + 1) * part
}

/// Share of the noise that is taken as new in every value: keeps the correlation of nearly equal instants invertible.
const NEW_SHARE: f64 = 0.1;

/// Lower triangular factor of the noise correlation between the instants (rows).
fn noise_factor(times: &[f64], interval: f64, correlation: &[f64]) -> Vec<Vec<f64>> {
    let n = times.len();
    let mut lower = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let lag = (times[i] - times[j]).abs() / interval;
            let mut sum = if i == j {
                1.0
            } else {
                (1.0 - NEW_SHARE) * at_lag(correlation, lag)
            };
            for k in 0..j {
                sum -= lower[i][k] * lower[j][k];
            }
            lower[i][j] = if i == j {
                sum.max(1e-3).sqrt()
            } else {
                sum / lower[j][j]
            };
        }
    }
    lower
}

/// Smooth curves that a noisy course may stand for, weighed by how well they explain it.
struct Curves {
    /// Legendre polynomials at the instants, one row each.
    design: DMatrix<f64>,
    /// One for each size of the prior: share, mean and lower triangular factor of the covariance of the coefficients.
    posteriors: Vec<(f64, DVector<f64>, DMatrix<f64>)>,
}

impl Curves {
    /// Most coefficients.
    const MOST: usize = 12;
    /// Joint angles of a handspring hold next to nothing above this (our choice), Hz.
    const BANDWIDTH_HZ: f64 = 8.0;
    /// Sizes of the prior, in standard deviations of one value.
    const SIZES: [f64; 10] = [0.05, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0];

    /// `factor`: lower triangular factor of the noise correlation.
    fn fit(course: &Course, factor: &[Vec<f64>]) -> Option<Self> {
        let n = course.values.len();
        let (from, length) = (course.times[0], (course.times[n - 1] - course.times[0]).max(1e-9));
        let size = ((2.0 * Self::BANDWIDTH_HZ * length - 1e-6).ceil() as usize + 2)
            .min(Self::MOST)
            .min(n);
        let design = legendre(&course.times, from, length, size);
        let whiten = |mut white: Vec<f64>| {
            for i in 0..n {
                let known: f64 = (0..i).map(|j| factor[i][j] * white[j]).sum();
                white[i] = (white[i] / course.sd[i].max(1e-9) - known) / factor[i][i];
            }
            white
        };
        let values = DVector::from_vec(whiten(course.values.clone()));
        let mut part = DMatrix::zeros(n, size);
        for d in 0..size {
            part.set_column(
                d,
                &DVector::from_vec(whiten(design.column(d).iter().copied().collect())),
            );
        }
        let (normal, right) = (part.transpose() * &part, part.transpose() * &values);
        let typical = (course.sd.iter().map(|sd| sd * sd).sum::<f64>() / n as f64).sqrt();
        let mut weighed = Vec::new();
        for prior in Self::SIZES {
            let mut with_prior = normal.clone();
            let mut log_prior = 0.0;
            for d in 1..size {
                let sd = prior * typical / (d as f64).powf(1.5);
                with_prior[(d, d)] += sd.powi(-2);
                log_prior -= sd.ln();
            }
            let Some(solver) = with_prior.cholesky() else { continue };
            let mean = solver.solve(&right);
            let evidence = 0.5 * mean.dot(&right) + log_prior - 0.5 * solver.ln_determinant();
            let Some(spread) = solver.inverse().cholesky() else {
                continue;
            };
            weighed.push((evidence, mean, spread.unpack()));
        }
        let best = weighed.iter().map(|one| one.0).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = weighed.iter().map(|one| (one.0 - best).exp()).sum();
        let posteriors: Vec<_> = weighed
            .into_iter()
            .map(|(evidence, mean, spread)| ((evidence - best).exp() / total, mean, spread))
            .collect();
        (!posteriors.is_empty()).then_some(Self { design, posteriors })
    }

    /// Draw `k` of [`DRAWS`]: the sizes of the prior take turns by their shares.
    fn draw(&self, k: usize, random: &mut ChaCha8Rng) -> Vec<f64> {
        let place = (k as f64 + 0.5) / DRAWS as f64;
        let mut until = 0.0;
        let last = self.posteriors.len() - 1;
        let chosen = self.posteriors.iter().position(|(share, ..)| {
            until += share;
            place < until
        });
        let (_, mean, spread) = &self.posteriors[chosen.unwrap_or(last)];
        let white = DVector::from_fn(mean.len(), |_, _| StandardNormal.sample(random));
        (&self.design * (mean + spread * white)).iter().copied().collect()
    }
}

/// Legendre polynomials of degree below `size` at `times`, one row each; `from` and `length` map to −1…1.
fn legendre(times: &[f64], from: f64, length: f64, size: usize) -> DMatrix<f64> {
    let mut design = DMatrix::zeros(times.len(), size);
    for (k, time) in times.iter().enumerate() {
        let u = 2.0 * (time - from) / length - 1.0;
        let (mut before, mut here) = (0.0, 1.0);
        for d in 0..size {
            design[(k, d)] = here;
            let degree = d as f64;
            (before, here) = (
                here,
                ((2.0 * degree + 1.0) * u * here - degree * before) / (degree + 1.0),
            );
        }
    }
    design
}
