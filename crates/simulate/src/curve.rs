//! Smooth functions of time through given values.

/// A twice continuously differentiable function of time through keys: a quintic between neighbours
/// with no acceleration at the keys. Between two keys it never leaves their range, because the rate at
/// a key is the harmonic mean of the slopes on both sides, and 0 at a turning point.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Curve {
    keys: Vec<Key>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Key {
    time: f64,
    value: f64,
    rate: f64,
}

/// Least distance of two keys in time, seconds.
const APART: f64 = 0.004;

impl Curve {
    /// Through `(time, value)` pairs in order of importance: one that comes nearer than 4 ms to an
    /// earlier one of the list is left out. Constant before the first and after the last.
    pub fn through(wanted: &[(f64, f64)]) -> Self {
        let mut keys: Vec<Key> = Vec::with_capacity(wanted.len());
        for &(time, value) in wanted {
            if keys.iter().all(|key| (key.time - time).abs() >= APART) {
                keys.push(Key { time, value, rate: 0.0 });
            }
        }
        keys.sort_by(|a, b| a.time.total_cmp(&b.time));
        for i in 1..keys.len().saturating_sub(1) {
            let (a, b, c) = (keys[i - 1], keys[i], keys[i + 1]);
            let before = (b.value - a.value) / (b.time - a.time);
            let after = (c.value - b.value) / (c.time - b.time);
            if before * after > 0.0 {
                keys[i].rate = 2.0 * before * after / (before + after);
            }
        }
        Self { keys }
    }

    /// From one `(time, value, rate)` to another.
    pub fn between(a: (f64, f64, f64), b: (f64, f64, f64)) -> Self {
        let key = |(time, value, rate)| Key { time, value, rate };
        Self {
            keys: vec![key(a), key(b)],
        }
    }

    /// The same from `time` on, another curve before it; both must be at rest there or agree.
    pub fn preceded_by(mut self, before: &Self, time: f64) -> Self {
        self.keys.retain(|key| key.time >= time - APART / 2.0);
        let mut keys: Vec<Key> = before
            .keys
            .iter()
            .copied()
            .filter(|key| key.time < time - APART / 2.0)
            .collect();
        keys.append(&mut self.keys);
        Self { keys }
    }

    /// Value at a time.
    pub fn at(&self, time: f64) -> f64 {
        let next = self.keys.partition_point(|key| key.time <= time);
        if next == 0 {
            return self.keys.first().map_or(0.0, |key| key.value);
        }
        let a = self.keys[next - 1];
        let Some(b) = self.keys.get(next) else { return a.value };
        quintic(time, (a.time, a.value, a.rate), (b.time, b.value, b.rate))
    }
}

/// The quintic between two `(time, value, rate)` without acceleration at its ends.
pub(crate) fn quintic(time: f64, a: (f64, f64, f64), b: (f64, f64, f64)) -> f64 {
    let span = b.0 - a.0;
    let s = (time - a.0) / span;
    let (s3, s4, s5) = (s.powi(3), s.powi(4), s.powi(5));
    let rise = 10.0 * s3 - 15.0 * s4 + 6.0 * s5;
    let start = s - 6.0 * s3 + 8.0 * s4 - 3.0 * s5;
    let end = -4.0 * s3 + 7.0 * s4 - 3.0 * s5;
    a.1 + (b.1 - a.1) * rise + span * (a.2 * start + b.2 * end)
}

/// A passing correction of one channel: from one `(time, value, rate)` to another, nothing outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Blend {
    /// Which channel of the state.
    pub channel: usize,
    /// Start.
    pub from: (f64, f64, f64),
    /// End.
    pub to: (f64, f64, f64),
}

impl Blend {
    /// Value at a time; 0 outside.
    pub fn at(&self, time: f64) -> f64 {
        if time < self.from.0 || time >= self.to.0 {
            return 0.0;
        }
        quintic(time, self.from, self.to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passes_through_its_keys_and_never_beyond_them() {
        let curve = Curve::through(&[(0.0, 10.0), (0.3, 175.0), (0.35, 150.0), (0.5, 150.0), (0.6, 178.0)]);
        for (time, value) in [
            (0.0, 10.0),
            (0.3, 175.0),
            (0.35, 150.0),
            (0.6, 178.0),
            (9.0, 178.0),
            (-1.0, 10.0),
        ] {
            assert!((curve.at(time) - value).abs() < 1e-12);
        }
        for i in 0..600 {
            let value = curve.at(f64::from(i) * 0.001);
            assert!((10.0 - 1e-9..=178.0 + 1e-9).contains(&value), "{i}: {value}");
        }
        for i in 0..50 {
            assert!((curve.at(0.35 + f64::from(i) * 0.003) - 150.0).abs() < 1e-12);
        }
    }

    #[test]
    fn is_smooth_to_the_second_derivative() {
        let curve = Curve::through(&[(0.0, 0.0), (0.1, 30.0), (0.35, 60.0), (0.5, 20.0)]);
        let h = 1e-5;
        let second = |t: f64| (curve.at(t - h) - 2.0 * curve.at(t) + curve.at(t + h)) / (h * h);
        for key in [0.1, 0.35] {
            assert!((second(key - 2.0 * h) - second(key + 2.0 * h)).abs() < 150.0);
            assert!(second(key).abs() < 100.0);
        }
    }

    #[test]
    fn a_less_important_key_yields() {
        let curve = Curve::through(&[(0.0, 0.0), (1.0, 5.0), (1.003, 50.0)]);
        assert!((curve.at(2.0) - 5.0).abs() < 1e-12);
    }
}
