//! First-order propagation, normal tails, folded distributions, timing.

use nalgebra::Vector2;

/// Variance (rad²) of the included angle at `B` between `BA` and `BC`, with isotropic point sds.
///
/// `var = sA²/a² + sC²/c² + sB²(1/a² + 1/c² − 2 cosθ/(a c))`
///
/// # Inputs
/// `a = |BA|`, `c = |BC|` and the sds in one length unit; `theta` in radians.
/// # Source
/// Derived, checked by 400,000 draws \[C\] (published values 5.3).
/// # Example
/// ```
/// use springline_kinematics::uncertainty::angle_variance;
/// let sd = angle_variance(100.0, 100.0, std::f64::consts::PI, [2.0; 3]).sqrt().to_degrees();
/// assert!((sd - 2.807).abs() < 5e-4);
/// ```
#[must_use]
pub fn angle_variance(a: f64, c: f64, theta: f64, [sd_a, sd_b, sd_c]: [f64; 3]) -> f64 {
    (sd_a / a).powi(2) + (sd_c / c).powi(2) + sd_b.powi(2) * (a.powi(-2) + c.powi(-2) - 2.0 * theta.cos() / (a * c))
}

/// Standard normal distribution function.
///
/// # Source
/// Φ(z) = erfc(−z/√2)/2; erfc by its continued fraction and series to about 1e-14, checked against SciPy.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// Complementary error function.
#[must_use]
pub fn erfc(x: f64) -> f64 {
    let size = x.abs();
    let tail = if size < 2.5 {
        // erf by its everywhere-convergent series with positive terms.
        let mut term = size;
        let mut sum = size;
        let mut n = 0.0;
        while term > 1e-17 * sum && n < 200.0 {
            n += 1.0;
            term *= 2.0 * size * size / (2.0 * n + 1.0);
            sum += term;
        }
        1.0 - sum * 2.0 / std::f64::consts::PI.sqrt() * (-size * size).exp()
    } else if size > 27.0 {
        0.0
    } else {
        // Continued fraction, evaluated from its tail.
        let mut fraction = 0.0;
        for k in (1..=60).rev() {
            fraction = f64::from(k) / 2.0 / (size + fraction);
        }
        (-size * size).exp() / std::f64::consts::PI.sqrt() / (size + fraction)
    };
    if x < 0.0 { 2.0 - tail } else { tail }
}

/// Probability that the true value lies below `limit`, given `value` and its `sd`.
///
/// With `sd` 0 the answer is 0 or 1; a value exactly on the limit lies inside.
#[must_use]
pub fn probability_below(value: f64, sd: f64, limit: f64) -> f64 {
    if sd <= 0.0 {
        return if value < limit { 1.0 } else { 0.0 };
    }
    normal_cdf((limit - value) / sd)
}

/// Probability that the true size of a signed quantity exceeds `limit` (not negative), when `size` with `sd`
/// was measured unsigned: `Φ((x − L)/s) + Φ((−x − L)/s)`.
#[must_use]
pub fn probability_size_above(size: f64, sd: f64, limit: f64) -> f64 {
    if sd <= 0.0 {
        return if size > limit { 1.0 } else { 0.0 };
    }
    (normal_cdf((size - limit) / sd) + normal_cdf((-size - limit) / sd)).min(1.0)
}

/// Standard uncertainty of an event known to the frame: `1/(fs √12)`, seconds. `interval`: s between frames.
#[must_use]
pub fn event_sd(interval: f64) -> f64 {
    interval / 12f64.sqrt()
}

/// Standard uncertainty of the time between two such events: `1/(fs √6)`, seconds.
///
/// ```
/// use springline_kinematics::uncertainty::interval_sd;
/// assert!((interval_sd(1.0 / 60.0) * 1000.0 - 6.8).abs() < 0.01);
/// ```
#[must_use]
pub fn interval_sd(interval: f64) -> f64 {
    interval / 6f64.sqrt()
}

/// Standard uncertainty per axis (px) of an open pose model's point: `σ √area / √2`.
///
/// # Inputs
/// `oks_sigma`: COCO OKS sigma of the point; `area`: px².
/// # Source
/// COCO evaluation code, read \[R\]; the use as a default uncertainty is ours \[C\].
#[must_use]
pub fn pose_model_sd(oks_sigma: f64, area: f64) -> f64 {
    oks_sigma * area.sqrt() / std::f64::consts::SQRT_2
}

/// Factor by which a linear filter changes the variance of its input: `ΣΣ w_i w_j ρ^|i−j|`.
///
/// `rho` 0 gives `Σw²`. `weights`: those of the filter at the frame in question.
#[must_use]
pub fn variance_factor(weights: &[f64], rho: f64) -> f64 {
    let own: f64 = weights.iter().map(|w| w * w).sum();
    if rho == 0.0 {
        return own;
    }
    // Σ_i w_i Σ_{j<i} w_j ρ^{i−j} by recursion.
    let mut before = 0.0;
    let mut cross = 0.0;
    for w in weights {
        cross += w * before;
        before = rho * (before + w);
    }
    own + 2.0 * cross
}

/// Product–quotient rule for `value = a / b` with independent relative uncertainties.
///
/// ```
/// use springline_kinematics::{Uncertain, uncertainty::quotient};
/// // Density of 4.0 ± 0.5 g in 2.0 ± 0.2 cm³ (BMC open course, propagation of uncertainty \[R\]).
/// let density = quotient(Uncertain::new(4.0, 0.5), Uncertain::new(2.0, 0.2));
/// assert!((density.value - 2.0).abs() < 1e-12 && (density.sd - 0.32).abs() < 5e-3);
/// ```
#[must_use]
pub fn quotient(a: crate::Uncertain, b: crate::Uncertain) -> crate::Uncertain {
    let value = a.value / b.value;
    let sd = ((a.sd / b.value).powi(2) + (value * b.sd / b.value).powi(2)).sqrt();
    crate::Uncertain::new(value, sd)
}

/// Bound on the error of an angle when the plane of motion is yawed by `yaw` (rad) against the picture:
/// horizontal components shrink by `cos yaw`. Returns the apparent direction (rad from vertical) of a segment
/// truly inclined by `inclination` (rad from vertical).
#[must_use]
pub fn yawed_inclination(inclination: f64, yaw: f64) -> f64 {
    let apparent = Vector2::new(inclination.sin() * yaw.cos(), inclination.cos());
    apparent.x.atan2(apparent.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angle_noise_table() {
        // published values 5.3 [C]
        for (a, c, theta, sd, expected) in [
            (100.0, 100.0, 180.0f64, 2.0, 2.807),
            (100.0, 100.0, 90.0, 2.0, 2.292),
            (100.0, 100.0, 30.0, 2.0, 1.726),
            (120.0, 150.0, 170.0, 3.0, 3.156),
            (60.0, 90.0, 180.0, 2.0, 3.924),
        ] {
            let got = angle_variance(a, c, theta.to_radians(), [sd; 3]).sqrt().to_degrees();
            assert!((got - expected).abs() < 6e-4, "{a} {c} {theta}: {got}");
        }
        // Shoulder opening with pose-model sized noise: 10.1°.
        let got = angle_variance(120.0, 110.0, std::f64::consts::PI, [7.2, 7.9, 10.7])
            .sqrt()
            .to_degrees();
        assert!((got - 10.1).abs() < 0.5, "{got}");
    }

    #[test]
    fn yaw_of_a_forty_five_degree_segment() {
        // published values 5.3 [C]: 0.44 at 10°, 1.78 at 20°, 4.11 at 30°
        for (yaw, error) in [(10.0f64, 0.44), (20.0, 1.78), (30.0, 4.11)] {
            let apparent = yawed_inclination(45f64.to_radians(), yaw.to_radians()).to_degrees();
            assert!((45.0 - apparent - error).abs() < 0.01, "{yaw}: {apparent}");
        }
    }

    #[test]
    fn pose_model_default_of_a_standing_person() {
        // published values 5.2 [C]: area 20,000 px², hip 15.1 / √2
        assert!((pose_model_sd(0.107, 20_000.0) * std::f64::consts::SQRT_2 - 15.1).abs() < 0.05);
    }

    #[test]
    fn normal_tails() {
        assert!((normal_cdf(1.281_551_565_544_600_4) - 0.9).abs() < 1e-12);
        assert!((normal_cdf(-6.0) - 9.865_876_450_376_98e-10).abs() < 1e-20);
        assert!((normal_cdf(0.0) - 0.5).abs() < 1e-16);
    }

    #[test]
    fn correlated_variance_factor_agrees_with_the_double_sum() {
        let w = [0.1, -0.2, 0.5, 0.4, 0.2];
        let rho: f64 = 0.6;
        let mut direct = 0.0;
        for i in 0..5usize {
            for j in 0..5usize {
                direct += w[i] * w[j] * rho.powi(i.abs_diff(j) as i32);
            }
        }
        assert!((variance_factor(&w, rho) - direct).abs() < 1e-14);
    }
}
