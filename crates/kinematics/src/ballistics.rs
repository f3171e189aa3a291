//! Free flight of the centre of mass: heights from times and velocities, parabola fits, gravity as a scale.

use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};

use crate::uncertainty::variance_factor;
use crate::{Point, Uncertain};

/// Acceleration of gravity used throughout, m/s².
pub const GRAVITY: f64 = 9.81;

/// Share of error that the body model adds to a scale from gravity.
pub const BODY_MODEL_SHARE: f64 = 0.05;

/// Height of a flight that leaves and lands at the same height: `g t²/8`, m.
///
/// Invalid in a handspring, where the centre of mass leaves and lands at different heights; kept for jumps.
///
/// ```
/// use springline_kinematics::ballistics::height_of_symmetric_flight;
/// assert!((height_of_symmetric_flight(0.5, 9.81) - 0.30656).abs() < 5e-6);
/// ```
#[must_use]
pub fn height_of_symmetric_flight(flight_time_s: f64, g: f64) -> f64 {
    g * flight_time_s * flight_time_s / 8.0
}

/// Rise of the centre of mass that leaves upward at `velocity`: `v²/2g`, m; 0 if it leaves downward.
#[must_use]
pub fn rise(velocity: f64, g: f64) -> f64 {
    velocity.max(0.0).powi(2) / (2.0 * g)
}

/// Flight time of a centre of mass that leaves upward at `velocity` and lands `drop` lower, seconds.
///
/// # Returns
/// `None` if it never gets there (`drop` negative and too high).
#[must_use]
pub fn flight_time(velocity: f64, drop: f64, g: f64) -> Option<f64> {
    let inside = velocity * velocity + 2.0 * g * drop;
    (inside >= 0.0).then(|| (velocity + inside.sqrt()) / g)
}

/// Standard uncertainty of gravity from a free parabola through `frames` points of sd `sd` at `rate` frames a second, in
/// the unit of `sd` per s²: `2 s √(180 / (N(N²−1)(N²−4))) fs²`.
///
/// # Returns
/// `None` with fewer than 3 frames.
#[must_use]
pub fn gravity_sd(frames: usize, sd: f64, rate: f64) -> Option<f64> {
    let n = frames as f64;
    (frames >= 3).then(|| 2.0 * sd * (180.0 / (n * (n * n - 1.0) * (n * n - 4.0))).sqrt() * rate * rate)
}

/// What a scale from gravity is good for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GravityScale {
    /// Up to 10 %: a scale.
    Scale,
    /// Up to 20 %: a check of another scale only.
    CheckOnly,
    /// Beyond: refused.
    Refused,
}

/// Judges a scale from gravity by its relative sd (points only); 5 % for the body model is added in quadrature.
#[must_use]
pub fn judge_gravity_scale(relative_sd: f64) -> GravityScale {
    match relative_sd.hypot(BODY_MODEL_SHARE) {
        share if share <= 0.10 => GravityScale::Scale,
        share if share <= 0.20 => GravityScale::CheckOnly,
        _ => GravityScale::Refused,
    }
}

/// A scale from gravity, and what it is good for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromGravity {
    /// Metres per unit of the track (px), 5 % for the body model in its uncertainty.
    pub scale: Uncertain,
    /// Frames of flight that it rests on.
    pub frames: usize,
    /// What it is good for.
    pub good_for: GravityScale,
}

/// A parabola fitted to the centre of mass in flight; heights up.
#[derive(Clone, Debug, PartialEq)]
pub struct Flight {
    /// Gravity left free, in length per s²; `None` with fewer than 4 points.
    pub gravity: Option<Uncertain>,
    /// Frames used.
    pub frames: usize,
    samples: Vec<(f64, f64)>,
    sd: f64,
    rho: f64,
}

impl Flight {
    /// Vertical velocity at departure with gravity fixed at `g` (same length unit per s²).
    #[must_use]
    pub fn velocity_with_gravity(&self, g: f64) -> Uncertain {
        let basis = |t: f64| Vector2::new(1.0, t);
        let normal: Matrix2<f64> = self
            .samples
            .iter()
            .map(|(t, _)| basis(*t) * basis(*t).transpose())
            .sum();
        let Some(inverse) = normal.try_inverse() else {
            return Uncertain::new(0.0, f64::INFINITY);
        };
        let weights: Vec<f64> = self.samples.iter().map(|(t, _)| (inverse * basis(*t)).y).collect();
        let value = self
            .samples
            .iter()
            .zip(&weights)
            .map(|((t, y), weight)| weight * (y + 0.5 * g * t * t))
            .sum();
        Uncertain::new(value, self.sd * variance_factor(&weights, self.rho).sqrt())
    }

    /// Metres per unit of the track by which the flight falls with 9.81 m/s².
    ///
    /// # Returns
    /// `None` with fewer than 4 frames, or if the fit does not fall.
    #[must_use]
    pub fn scale(&self) -> Option<FromGravity> {
        let free = self.gravity.filter(|free| free.value > 0.0)?;
        let value = GRAVITY / free.value;
        let relative = free.sd / free.value;
        Some(FromGravity {
            scale: Uncertain::new(value, value * relative.hypot(BODY_MODEL_SHARE)),
            frames: self.frames,
            good_for: judge_gravity_scale(relative),
        })
    }
}

/// Fits the flight. `track`: times (s) and positions, Y up; `sd`: per axis of one position; `rho`: correlation of the
/// positions' errors from frame to frame (0: independent); `departure`: s. Where the free parabola misses the points by
/// more than `sd`, its gravity is as much less sure.
#[must_use]
pub fn fit_flight(track: &[(f64, Point)], sd: f64, rho: f64, departure: f64) -> Flight {
    let samples: Vec<(f64, f64)> = track.iter().map(|(t, point)| (t - departure, point.y)).collect();
    let basis = |t: f64| Vector3::new(1.0, t, -0.5 * t * t);
    let normal: Matrix3<f64> = samples.iter().map(|(t, _)| basis(*t) * basis(*t).transpose()).sum();
    let gravity = (samples.len() >= 4)
        .then(|| normal.try_inverse())
        .flatten()
        .map(|inverse| {
            let weights: Vec<f64> = samples.iter().map(|(t, _)| (inverse * basis(*t)).z).collect();
            let fit: Vector3<f64> = samples.iter().map(|(t, y)| inverse * basis(*t) * *y).sum();
            let misses: f64 = samples.iter().map(|(t, y)| (y - basis(*t).dot(&fit)).powi(2)).sum();
            let spare = samples.len() - 3;
            let sd = sd.max((misses / spare as f64).sqrt());
            Uncertain::new(fit.z, sd * variance_factor(&weights, rho).sqrt())
        });
    Flight {
        gravity,
        frames: samples.len(),
        samples,
        sd,
        rho,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_flights() {
        // BMC open course [R]/[C], published-values worked examples 11-15, 18, 19, 24
        assert!((height_of_symmetric_flight(1.323 - 0.907, 9.8) - 0.212).abs() < 5e-4);
        for (t, h) in [
            (0.10, 0.01226),
            (0.15, 0.02759),
            (0.20, 0.04905),
            (0.30, 0.11036),
            (0.40, 0.19620),
        ] {
            assert!((height_of_symmetric_flight(t, 9.81) - h).abs() < 6e-6, "{t}");
        }
        assert!((rise(1.37, 9.8) - 0.0958).abs() < 5e-5);
        assert!((flight_time(0.0, 1.22, 9.8).expect("falls") - 0.499).abs() < 5e-4);
        assert!((flight_time(1.5, 0.30, 9.81).expect("lands") - 0.44367).abs() < 6e-6);
        assert!((rise(1.5, 9.81) - 0.11468).abs() < 6e-6);
        assert!((flight_time(2.2, 0.40, 9.81).expect("lands") - 0.58736).abs() < 6e-6);
        assert!((rise(1.0, 9.81) - 0.0510).abs() < 5e-5);
        // One frame at 60 fps on 0.5 s: g t dt / 4
        assert!((9.81 * 0.5 / 60.0 / 4.0 - 0.0204f64).abs() < 5e-5);
    }

    #[test]
    fn gravity_by_frames() {
        // measures.md section 6: s = 1 px, 350 px/m, 60 fps: 6 frames 34 %, 12 frames 6 %
        let relative = |frames| gravity_sd(frames, 1.0, 60.0).expect("enough") / (350.0 * GRAVITY);
        assert!((relative(6) - 0.34).abs() < 0.005 && (relative(12) - 0.06).abs() < 0.005);
        assert_eq!(judge_gravity_scale(relative(12)), GravityScale::Scale);
        assert_eq!(judge_gravity_scale(0.15), GravityScale::CheckOnly);
        assert_eq!(judge_gravity_scale(relative(6)), GravityScale::Refused);
    }

    #[test]
    fn an_exact_parabola_gives_its_gravity() {
        let track: Vec<(f64, Point)> = (0..10)
            .map(|k| {
                let t = f64::from(k) / 60.0;
                (2.0 + t, Point::new(t, 3.0 + 1.2 * t - 0.5 * 9.81 * t * t))
            })
            .collect();
        let flight = fit_flight(&track, 0.001, 0.0, 2.0);
        let gravity = flight.gravity.expect("enough frames");
        assert!((gravity.value - 9.81).abs() < 1e-9);
        assert!((gravity.sd / gravity_sd(10, 0.001, 60.0).expect("enough") - 1.0).abs() < 1e-6);
        assert!((flight.velocity_with_gravity(9.81).value - 1.2).abs() < 1e-9);
        let scale = flight.scale().expect("it falls");
        assert!((scale.scale.value - 1.0).abs() < 1e-9);
        assert_eq!((scale.frames, scale.good_for), (10, GravityScale::Scale));
        // What rises gives no scale.
        let rising: Vec<(f64, Point)> = track.iter().map(|(t, point)| (*t, Point::new(0.0, -point.y))).collect();
        assert_eq!(fit_flight(&rising, 0.001, 0.0, 2.0).scale(), None);
    }

    #[test]
    fn errors_that_last_move_the_parabola_more() {
        // Seeded draws: the spread of the fitted gravity is the stated one, with errors of correlation 0 and 0.6.
        let mut state = 20_260_314_u64;
        let mut normal = || {
            let mut sum = -6.0;
            for _ in 0..12 {
                state = state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                sum += (state >> 11) as f64 / (1_u64 << 53) as f64;
            }
            sum
        };
        for rho in [0.0, 0.6] {
            let (mut square, mut stated) = (0.0, 0.0);
            for _ in 0..4000 {
                let mut error = normal();
                let track: Vec<(f64, Point)> = (0..17)
                    .map(|k| {
                        let t = f64::from(k) / 60.0;
                        error = rho * error + (1.0 - rho * rho).sqrt() * normal();
                        (t, Point::new(0.0, -0.5 * GRAVITY * t * t + 0.004 * error))
                    })
                    .collect();
                let free = fit_flight(&track, 0.004, rho, 0.0).gravity.expect("enough frames");
                square += (free.value - GRAVITY).powi(2);
                stated += free.sd;
            }
            let (seen, stated) = ((square / 4000.0_f64).sqrt(), stated / 4000.0);
            assert!(
                (0.9..1.02).contains(&(seen / stated)),
                "{rho}: {seen} seen, {stated} stated"
            );
        }
    }
}
