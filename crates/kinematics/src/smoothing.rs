//! Zero-lag Butterworth smoothing, its weights at any frame, and bridging of short gaps.

/// Cut-off correction of two passes of a second-order filter: `(√2 − 1)^(1/4)`. Winter (2009) p. 69 \[R2\].
pub const TWO_PASS_CORRECTION: f64 = 0.802_243_262_9;

/// Samples of odd reflection at each end.
const PADDING: usize = 9;

/// Series of this many samples or fewer are left raw.
pub const LEAST_SAMPLES: usize = PADDING + 1;

/// A second-order Butterworth low-pass filter run forward and backward.
///
/// The gain after both passes is exactly 0.7071 at the stated cut-off: the correction is applied to the
/// pre-warped value, as Winter and Robertson do, not to the frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Butterworth {
    /// Numerator, one pass.
    pub b: [f64; 3],
    /// Denominator, one pass, first entry 1.
    pub a: [f64; 3],
    initial: [f64; 2],
}

impl Butterworth {
    /// A filter with the given cut-off, capped at 0.4 × rate.
    ///
    /// # Inputs
    /// `cutoff_hz` and `rate_hz`, both positive.
    /// # Returns
    /// `None` if either is not positive and finite.
    /// # Example
    /// ```
    /// use springline_kinematics::smoothing::Butterworth;
    /// let filter = Butterworth::two_pass(10.0, 100.0).expect("positive");
    /// assert!((filter.b[0] - 0.094447).abs() < 5e-7);
    /// assert!(Butterworth::two_pass(0.0, 100.0).is_none());
    /// ```
    #[must_use]
    pub fn two_pass(cutoff_hz: f64, rate_hz: f64) -> Option<Self> {
        Self::design(cutoff_hz.min(0.4 * rate_hz), rate_hz, TWO_PASS_CORRECTION)
    }

    /// A single-pass design, for checks against tables.
    #[must_use]
    pub fn one_pass(cutoff_hz: f64, rate_hz: f64) -> Option<Self> {
        Self::design(cutoff_hz, rate_hz, 1.0)
    }

    fn design(cutoff: f64, rate: f64, correction: f64) -> Option<Self> {
        let usable = cutoff.is_finite() && rate.is_finite() && cutoff > 0.0 && cutoff < 0.5 * rate;
        if !usable {
            return None;
        }
        let warped = (std::f64::consts::PI * cutoff / rate).tan() / correction;
        let k1 = std::f64::consts::SQRT_2 * warped;
        let k2 = warped * warped;
        let b0 = k2 / (1.0 + k1 + k2);
        let a1 = 2.0 * b0 * (1.0 - 1.0 / k2);
        let a2 = 4.0 * b0 - 1.0 - a1;
        let (b, a) = ([b0, 2.0 * b0, b0], [1.0, a1, a2]);
        // Steady state of the transposed direct form for a constant input of 1.
        let z1 = b[2] - a[2];
        let z0 = b[1] - a[1] + z1;
        Some(Self {
            b,
            a,
            initial: [z0, z1],
        })
    }

    /// Gain of one pass at a frequency, for checks.
    #[must_use]
    pub fn gain(&self, frequency_hz: f64, rate_hz: f64) -> f64 {
        let w = std::f64::consts::TAU * frequency_hz / rate_hz;
        let sum = |c: &[f64; 3]| {
            let re: f64 = c.iter().enumerate().map(|(k, v)| v * (w * k as f64).cos()).sum();
            let im: f64 = c.iter().enumerate().map(|(k, v)| v * (w * k as f64).sin()).sum();
            re.hypot(im)
        };
        sum(&self.b) / sum(&self.a)
    }

    /// Smooths an evenly sampled series.
    ///
    /// # Shape
    /// `n` samples in, `n` out, no delay. Ends: odd reflection of 9 samples and steady-state start, as SciPy's
    /// `filtfilt(…, padlen=9)`. Fewer than 10 samples are returned unchanged.
    #[must_use]
    pub fn smooth(&self, series: &[f64]) -> Vec<f64> {
        let n = series.len();
        if n < LEAST_SAMPLES {
            return series.to_vec();
        }
        let mut padded = Vec::with_capacity(n + 2 * PADDING);
        padded.extend((1..=PADDING).rev().map(|k| 2.0 * series[0] - series[k]));
        padded.extend_from_slice(series);
        padded.extend((1..=PADDING).map(|k| 2.0 * series[n - 1] - series[n - 1 - k]));
        self.pass(&mut padded, Direction::Forward);
        self.pass(&mut padded, Direction::Backward);
        padded.truncate(n + PADDING);
        padded.drain(..PADDING);
        padded
    }

    fn pass(&self, data: &mut [f64], direction: Direction) {
        let [b0, b1, b2] = self.b;
        let [_, a1, a2] = self.a;
        let run = |x: &mut f64, z: &mut [f64; 2]| {
            let input = *x;
            let output = b0 * input + z[0];
            z[0] = b1 * input - a1 * output + z[1];
            z[1] = b2 * input - a2 * output;
            *x = output;
        };
        let first = match direction {
            Direction::Forward => data.first(),
            Direction::Backward => data.last(),
        };
        let Some(&first) = first else { return };
        let mut z = [self.initial[0] * first, self.initial[1] * first];
        match direction {
            Direction::Forward => data.iter_mut().for_each(|x| run(x, &mut z)),
            Direction::Backward => data.iter_mut().rev().for_each(|x| run(x, &mut z)),
        }
    }

    /// The weights with which the samples of a series of length `n` enter the smoothed value at `index`.
    ///
    /// # Shape
    /// `(first, weights)`: sample `first + k` has weight `weights[k]`; weights below 1e-9 of the largest at both
    /// ends are left out. A series too short to smooth gives weight 1 at `index`.
    /// # Panics
    /// If `index` is not below `n`.
    #[must_use]
    pub fn weights(&self, n: usize, index: usize) -> (usize, Vec<f64>) {
        assert!(index < n, "frame {index} of a series of {n}");
        if n < LEAST_SAMPLES {
            return (index, vec![1.0]);
        }
        // Far from the frame the weights vanish; the response falls by e every 1/(ω) samples.
        let reach = self.reach();
        let low = index.saturating_sub(reach);
        let high = (index + reach + 1).min(n);
        let touches_end = low < PADDING + 1 || high + PADDING + 1 > n;
        if !touches_end {
            // Time-invariant inside: the response to an impulse is symmetric.
            return (low, self.interior_weights());
        }
        let (low, high) = (
            if low < PADDING + 1 { 0 } else { low },
            if high + PADDING + 1 > n { n } else { high },
        );
        let padded_len = n + 2 * PADDING;
        let adjoint = self.adjoint_row(padded_len, index + PADDING);
        let mut weights = vec![0.0; n];
        for (k, weight) in adjoint.into_iter().enumerate() {
            if k < PADDING {
                weights[0] += 2.0 * weight;
                weights[PADDING - k] -= weight;
            } else if k < n + PADDING {
                weights[k - PADDING] += weight;
            } else {
                weights[n - 1] += 2.0 * weight;
                weights[n - 1 - (k - n - PADDING + 1)] -= weight;
            }
        }
        (low, weights[low..high].to_vec())
    }

    /// The weights far from the ends, symmetric about their middle entry; cut where they fall below 1e-9.
    #[must_use]
    pub fn interior_weights(&self) -> Vec<f64> {
        let reach = self.reach();
        let mut impulse = vec![0.0; 2 * reach + 1];
        impulse[reach] = 1.0;
        self.impulse(&mut impulse);
        impulse
    }

    /// Row of the two-pass operator on the padded series: the transposed passes applied to a unit vector.
    fn adjoint_row(&self, len: usize, index: usize) -> Vec<f64> {
        let mut row = vec![0.0; len];
        row[index] = 1.0;
        // y = B F x, so the row is Fᵀ Bᵀ e; a transposed pass runs the other way, and its start-up state feeds
        // the first sample.
        self.transposed_pass(&mut row, Direction::Backward);
        self.transposed_pass(&mut row, Direction::Forward);
        row
    }

    fn transposed_pass(&self, row: &mut [f64], of: Direction) {
        if of == Direction::Backward {
            row.reverse();
        }
        // Extra weight of the first sample through the initial state: the free response to it.
        let mut z = self.initial;
        let mut extra = 0.0;
        for value in row.iter() {
            let output = z[0];
            z[0] = -self.a[1] * output + z[1];
            z[1] = -self.a[2] * output;
            extra += output * value;
        }
        row.reverse();
        let mut state = [0.0; 2];
        for x in row.iter_mut() {
            let input = *x;
            let output = self.b[0] * input + state[0];
            state[0] = self.b[1] * input - self.a[1] * output + state[1];
            state[1] = self.b[2] * input - self.a[2] * output;
            *x = output;
        }
        row.reverse();
        if let Some(first) = row.first_mut() {
            *first += extra;
        }
        if of == Direction::Backward {
            row.reverse();
        }
    }

    fn impulse(&self, data: &mut [f64]) {
        // Without start-up states: the ends are far from the impulse.
        let run = |iter: &mut dyn Iterator<Item = &mut f64>| {
            let mut z = [0.0; 2];
            for x in iter {
                let input = *x;
                let output = self.b[0] * input + z[0];
                z[0] = self.b[1] * input - self.a[1] * output + z[1];
                z[1] = self.b[2] * input - self.a[2] * output;
                *x = output;
            }
        };
        run(&mut data.iter_mut());
        run(&mut data.iter_mut().rev());
    }

    /// Samples after which the response has fallen below 1e-9.
    fn reach(&self) -> usize {
        let radius = self.a[2].sqrt().clamp(1e-3, 0.999_9);
        ((1e-9f64.ln() / radius.ln()).ceil() as usize).clamp(4, 4000)
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Direction {
    Forward,
    Backward,
}

/// Value at `t` of the cubic through four points `(t, value)`.
///
/// # Returns
/// Weights of the four values (Lagrange).
#[must_use]
pub fn cubic_weights(t: f64, at: [f64; 4]) -> [f64; 4] {
    let mut weights = [1.0; 4];
    for (i, weight) in weights.iter_mut().enumerate() {
        for (j, other) in at.iter().enumerate() {
            if i != j {
                *weight *= (t - other) / (at[i] - other);
            }
        }
    }
    weights
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn winter_coefficients() {
        // published values 4 [C]; (cut-off, rate, b0, −a1, −a2)
        for (fc, fs, b0, b1, b2) in [
            (10.0, 100.0, 0.094_447, 0.962_641, -0.340_428),
            (6.0, 30.0, 0.264_494, 0.115_977, -0.173_952),
            (6.0, 120.0, 0.029_569, 1.458_104, -0.576_380),
            (8.0, 240.0, 0.014_275, 1.634_729, -0.691_827),
        ] {
            let filter = Butterworth::two_pass(fc, fs).expect("usable");
            assert!((filter.b[0] - b0).abs() < 6e-7, "{fc}/{fs}: {:?}", filter.b);
            assert!(
                (-filter.a[1] - b1).abs() < 6e-7 && (-filter.a[2] - b2).abs() < 6e-7,
                "{:?}",
                filter.a
            );
            let both = filter.gain(fc, fs).powi(2);
            assert!((both - std::f64::consts::FRAC_1_SQRT_2).abs() < 1e-9, "{both}");
        }
        // Winter's worked ratio, C = 1 [M] example, [C] values
        let one = Butterworth::one_pass(6.0, 60.0).expect("usable");
        assert!((one.b[0] - 0.067_455).abs() < 6e-7 && (one.a[1] + 1.142_981).abs() < 6e-7);
        // butter order 2, Wn = 0.1 [R]
        let tenth = Butterworth::one_pass(0.05, 1.0).expect("usable");
        assert!((tenth.b[0] - 0.020_083_37).abs() < 6e-9 && (tenth.a[1] + 1.561_018_08).abs() < 6e-9);
        // The simplified correction, a different filter: 12.465 Hz [R]
        let simple = Butterworth::one_pass(12.465_047_027_709_272, 100.0).expect("usable");
        assert!((simple.b[0] - 0.097_185_22).abs() < 6e-9);
    }

    #[test]
    fn weights_reproduce_the_filter_everywhere() {
        for n in [10, 11, 25, 120, 300] {
            for (fc, fs) in [(10.0, 60.0), (10.0, 24.0), (10.0, 240.0)] {
                let filter = Butterworth::two_pass(fc, fs).expect("usable");
                let series: Vec<f64> = (0..n).map(|k| ((k * k * 7 + 3 * k) % 31) as f64 - 11.0).collect();
                let smooth = filter.smooth(&series);
                for index in 0..n {
                    let (first, weights) = filter.weights(n, index);
                    let sum: f64 = weights.iter().zip(&series[first..]).map(|(w, x)| w * x).sum();
                    assert!(
                        (sum - smooth[index]).abs() < 1e-6,
                        "n {n} fs {fs} index {index}: {sum} {}",
                        smooth[index]
                    );
                }
            }
        }
    }

    #[test]
    fn constants_and_lines_pass() {
        let filter = Butterworth::two_pass(10.0, 60.0).expect("usable");
        let line: Vec<f64> = (0..50).map(|k| 3.0 + 0.5 * f64::from(k)).collect();
        for (a, b) in filter.smooth(&line).iter().zip(&line).skip(18).take(14) {
            assert!((a - b).abs() < 1e-3, "a line away from the ends: {a} {b}");
        }
        for value in filter.smooth(&[4.2; 30]) {
            assert!((value - 4.2).abs() < 1e-12);
        }
        assert_eq!(filter.smooth(&[1.0, 5.0, 2.0]), vec![1.0, 5.0, 2.0]);
    }

    #[test]
    fn cubic_through_four_points() {
        let cubic = |t: f64| 2.0 - t + 0.5 * t * t - 0.1 * t * t * t;
        let at = [0.0, 1.0, 4.0, 5.0];
        let weights = cubic_weights(2.2, at);
        let sum: f64 = weights.iter().zip(at).map(|(w, t)| w * cubic(t)).sum();
        assert!((sum - cubic(2.2)).abs() < 1e-12);
    }
}
