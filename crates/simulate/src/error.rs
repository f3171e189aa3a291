//! What can go wrong when a figure is asked to do the impossible.

/// Why a motion could not be made from its parameters.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A limb is too short for what it is asked to reach.
    #[error("{what} at {time_s:.3} s: the limb must span {span_m:.3} m, expected at most {limit_m:.3} m")]
    OutOfReach {
        /// Which limb, doing what.
        what: &'static str,
        /// When, seconds.
        time_s: f64,
        /// What it would have to span, m.
        span_m: f64,
        /// What it can span, m.
        limit_m: f64,
    },
    /// A quantity of the motion leaves the range that a body can do.
    #[error("{what}: found {found:.3}, expected {least:.3} to {most:.3}")]
    Implausible {
        /// Which quantity, with its unit.
        what: &'static str,
        /// Its value.
        found: f64,
        /// Smallest value allowed.
        least: f64,
        /// Largest value allowed.
        most: f64,
    },
    /// A point went through the floor.
    #[error("{point} at {time_s:.3} s: height {height_m:.4} m, expected the floor or above")]
    UnderFloor {
        /// Name of the landmark.
        point: &'static str,
        /// When, seconds.
        time_s: f64,
        /// Its height, m.
        height_m: f64,
    },
    /// Film needs a camera with perspective.
    #[error("camera of a film: found one without perspective, expected a pinhole")]
    NoPerspective,
}

/// Refuses a value outside `least..=most`.
pub(crate) fn within(what: &'static str, found: f64, least: f64, most: f64) -> Result<(), Error> {
    if found.is_finite() && (least..=most).contains(&found) {
        Ok(())
    } else {
        Err(Error::Implausible {
            what,
            found,
            least,
            most,
        })
    }
}
