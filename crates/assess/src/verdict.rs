//! From value and band to a verdict.

use springline_drills::{Band, Check, Thresholds};
use springline_kinematics::trial::{Fold, Value};
use springline_kinematics::uncertainty::{probability_below, probability_size_above};

/// How far outside the band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Outside the band.
    Small,
    /// Beyond the spec's medium limit.
    Medium,
    /// Beyond the spec's large limit.
    Large,
}

impl Severity {
    /// `small`, `medium`, `large`.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Severity::Small => "small",
            Severity::Medium => "medium",
            Severity::Large => "large",
        }
    }
}

/// What a check says.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Outside the band with probability 0.90 or more.
    Fault {
        /// Probability of lying outside.
        outside: f64,
        /// How far outside.
        severity: Severity,
        /// Below the band (else above).
        below: bool,
    },
    /// Outside with probability 0.10 or less.
    Good {
        /// Probability of lying outside.
        outside: f64,
    },
    /// Between the two.
    TooClose {
        /// Probability of lying outside.
        outside: f64,
        /// What would settle it, in words.
        settles: String,
    },
    /// An event or a joint is missing.
    NotSeen {
        /// Which, in words.
        why: String,
    },
}

impl Verdict {
    /// The word used in outputs.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Verdict::Fault { .. } => "fault",
            Verdict::Good { .. } => "good",
            Verdict::TooClose { .. } => "too close to call",
            Verdict::NotSeen { .. } => "not seen",
        }
    }

    /// Probability of lying outside the band, if there is a value.
    #[must_use]
    pub fn outside(&self) -> Option<f64> {
        match self {
            Verdict::Fault { outside, .. } | Verdict::Good { outside } | Verdict::TooClose { outside, .. } => {
                Some(*outside)
            }
            Verdict::NotSeen { .. } => None,
        }
    }
}

/// Probabilities that the true value lies below and above the band.
///
/// # Source
/// Normal tails with a flat prior; folded ones for values measured unsigned (measures, section 7).
#[must_use]
pub fn probability_outside(value: &Value, band: Band) -> [f64; 2] {
    let size_above = |limit: f64| {
        let size = match value.fold {
            Some(Fold::FromStraight) => 180.0 - value.value,
            _ => value.value,
        };
        if limit < 0.0 {
            1.0
        } else {
            probability_size_above(size.max(0.0), value.sd, limit)
        }
    };
    let below = band.at_least.map_or(0.0, |limit| match value.fold {
        None => probability_below(value.value, value.sd, limit),
        Some(Fold::FromStraight) => size_above(180.0 - limit),
        Some(Fold::FromZero) => 1.0 - size_above(limit),
    });
    let above = band.at_most.map_or(0.0, |limit| match value.fold {
        None => probability_below(-value.value, value.sd, -limit),
        Some(Fold::FromStraight) => 1.0 - size_above(180.0 - limit),
        Some(Fold::FromZero) => size_above(limit),
    });
    [below, above]
}

/// The verdict of a check on a value; `outside` as from [`probability_outside`].
pub(crate) fn verdict(
    check: &Check,
    value: &Value,
    [below, above]: [f64; 2],
    thresholds: Thresholds,
    settles: String,
) -> Verdict {
    let outside = (below + above).min(1.0);
    if outside >= thresholds.fault {
        let is_below = below >= above;
        let beyond = match (is_below, check.band.at_least, check.band.at_most) {
            (true, Some(limit), _) => limit - value.value,
            (false, _, Some(limit)) => value.value - limit,
            _ => 0.0,
        };
        let severity = if beyond >= check.severity.large_beyond {
            Severity::Large
        } else if beyond >= check.severity.medium_beyond {
            Severity::Medium
        } else {
            Severity::Small
        };
        Verdict::Fault {
            outside,
            severity,
            below: is_below,
        }
    } else if outside <= thresholds.good {
        Verdict::Good { outside }
    } else {
        Verdict::TooClose { outside, settles }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_pose_model_can_call_good() {
        // With 10° at the shoulder, 165 needs 165 + 1.2816 · 10 = 177.8 to be good.
        let band = Band {
            at_least: Some(165.0),
            at_most: None,
        };
        let p = |value: f64| springline_kinematics::uncertainty::probability_below(value, 10.0, 165.0);
        assert!(p(177.9) <= 0.10 && p(177.7) > 0.10);
        assert!(band.at_most.is_none());
    }
}
