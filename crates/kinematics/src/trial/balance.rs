//! The flight of the centre of mass: rise after departure, gravity as a check on scale.

use crate::ballistics::{self, Flight, FromGravity, GRAVITY, GravityScale, fit_flight};
use crate::trial::{NotSeen, Trial, Value};
use crate::{EventKind, Phase, TemporalError, Uncertain, Unit};

/// Frames of the flight are this many standard deviations clear of its two events: one frame on the floor bends the
/// parabola more than any noise.
const CLEAR_SDS: f64 = 2.0;

impl Trial {
    /// The parabola of the centre of mass between hand departure and landing, px, 2 sd clear of both.
    ///
    /// # Errors
    /// No flight in the clip, fewer than 4 frames of it, no centre of mass, or a spotter's touch.
    pub fn flight(&self) -> Result<Flight, NotSeen> {
        if self.spotted {
            return Err(NotSeen::Undefined(
                "a spotter touched the athlete, so the flight is not free",
            ));
        }
        let ends = self.found.phase(Phase::Flight, self.clip()).ok_or_else(|| {
            let missing = [EventKind::HandDeparture, EventKind::FeetTouchdown]
                .into_iter()
                .find(|kind| self.found.event(*kind).is_none());
            missing.map_or(
                NotSeen::Undefined("no flight: the feet land before the hands leave"),
                NotSeen::Event,
            )
        })?;
        let times = &self.series.raw().times;
        let inside: Vec<usize> = (0..times.len())
            .filter(|k| {
                times[*k] >= ends[0].0 + CLEAR_SDS * ends[0].1 && times[*k] <= ends[1].0 - CLEAR_SDS * ends[1].1
            })
            .collect();
        let mut track = Vec::new();
        let mut sd = 0.0;
        for frame in &inside {
            // Raw points: smoothing rounds the corners at both ends of a short flight.
            let ends = self.ends;
            let at = |landmark| self.series.filled(landmark, *frame);
            if let Ok(mass) = crate::mass::centre_of_mass(&self.table, ends, at, |_| false) {
                track.push((times[*frame], mass.position));
                let raw = crate::Landmark::ALL
                    .into_iter()
                    .map(|l| (mass.weights[l.index()] * self.series.raw().sd_at(l, *frame)).powi(2))
                    .sum::<f64>();
                sd += raw.sqrt();
            }
        }
        if track.len() < 4 {
            return Err(NotSeen::TooFewFrames {
                seen: track.len(),
                frames: inside.len().max(4),
            });
        }
        let rho = match self.series.raw().temporal_error {
            TemporalError::Correlated(rho) => rho,
            // An error shared by all frames leaves the parabola's shape alone as long as the body does not turn; taken as
            // independent, which asks for more.
            TemporalError::Independent | TemporalError::Shared => 0.0,
        };
        Ok(fit_flight(&track, sd / track.len() as f64, rho, ends[0].0))
    }

    /// Metres per px by which the centre of mass falls with 9.81 m/s² in the flight, and what that scale is good for.
    ///
    /// # Errors
    /// As [`Trial::flight`]; a centre of mass that does not fall.
    pub fn scale_from_gravity(&self) -> Result<FromGravity, NotSeen> {
        self.flight()?.scale().ok_or(NotSeen::Undefined(
            "the centre of mass does not fall in what was taken for the flight",
        ))
    }

    /// Rise of the centre of mass from departure to the top of the flight: `v²/2g`, v from a parabola with g fixed.
    pub(crate) fn rise_after_departure(&self, unit: Unit) -> Result<Value, NotSeen> {
        let flight = self.flight();
        // With a spotter's touch no scale would help.
        if self.spotted {
            flight.clone()?;
        }
        let scale = self.scale.ok_or(NotSeen::Scale)?;
        let flight = flight?;
        let event = self
            .found
            .event(EventKind::HandDeparture)
            .ok_or(NotSeen::Event(EventKind::HandDeparture))?;
        let rise = |metres_per_px: f64| {
            let velocity = flight.velocity_with_gravity(GRAVITY / metres_per_px);
            (ballistics::rise(velocity.value * metres_per_px, GRAVITY), velocity)
        };
        let (value, velocity) = rise(scale.value);
        // A later departure starts with g·δt less velocity.
        let up = velocity.value.max(0.0) * scale.value;
        let velocity_sd = (velocity.sd * scale.value).hypot(GRAVITY * event.sd);
        // The scale enters twice: in the lengths, and in how fast the body falls in px.
        let step = 0.001 * scale.value;
        let by_scale = (rise(scale.value + step).0 - rise(scale.value - step).0) / (2.0 * step);
        // Of a square the second order counts too: the velocity may be close to 0.
        let by_velocity = (up * velocity_sd).hypot(velocity_sd * velocity_sd / std::f64::consts::SQRT_2) / GRAVITY;
        let metres = Uncertain::new(value, by_velocity.hypot(by_scale * scale.sd));
        let px = Value {
            value: metres.value / scale.value,
            sd: metres.sd / scale.value,
            unit: Unit::Pixels,
            fold: None,
            frames: (event.frame, event.frame),
            remarks: Vec::new(),
            timing_share: 0.0,
            tilt_share: 0.0,
            gradient: None,
            own_variance: (metres.sd / scale.value).powi(2),
        };
        if unit == Unit::Metres {
            return Ok(Value {
                value: metres.value,
                sd: metres.sd,
                unit,
                own_variance: metres.sd.powi(2),
                ..px
            });
        }
        Ok(px)
    }

    /// Gravity as measured by the flight divided by 9.81 m/s², where a scale is known: a consistency check on the scale
    /// (warn past 15 %). The body model's 5 % and the scale's own uncertainty are in its sd.
    ///
    /// # Returns
    /// `None` without a scale, without a free flight, or where the flight gives gravity to over 20 % only.
    #[must_use]
    pub fn gravity_ratio(&self) -> Option<Uncertain> {
        let given = self.scale?;
        let found = self.scale_from_gravity().ok()?;
        if found.good_for == GravityScale::Refused {
            return None;
        }
        let ratio = given.value / found.scale.value;
        let relative = (given.sd / given.value).hypot(found.scale.sd / found.scale.value);
        Some(Uncertain::new(ratio, ratio * relative))
    }
}
