//! Whether the camera stood still: what doesn't move in the gym must not move in the picture.

use springline_kinematics::trial::Trial;
use springline_kinematics::{Joint, Landmark, Side, TemporalError};

/// Contacts shorter than this, their ends cut off, show no drift, seconds.
const LEAST_S: f64 = 0.12;
/// So much at each end of a contact is left out: the point still comes down, or already leaves, seconds.
const ENDS_S: f64 = 0.04;
/// A hand or foot that is down may creep by so much in all, leg lengths (our choice: fingers roll, toes turn).
const CREEP: f64 = 0.03;
/// A drift is told from this many standard deviations on.
const SURE_SDS: f64 = 3.3;
/// Each of two shifts at least must show it by itself with this many.
const ALONE_SDS: f64 = 2.0;

/// How fast something that is still in the gym goes across the picture, over some time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// When it was first looked at, s.
    pub from_s: f64,
    /// When it was last looked at, s.
    pub to_s: f64,
    /// To the right, px a second.
    pub across: f64,
    /// Upward, px a second.
    pub up: f64,
    /// Standard uncertainty of each of the two, px a second.
    pub sd: f64,
}

/// A camera that moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// What is still goes to the right with so many px a second.
    pub across: f64,
    /// And upward.
    pub up: f64,
    /// Standard uncertainty of each of the two.
    pub sd: f64,
}

impl Drift {
    /// Px a second, whichever way.
    #[must_use]
    pub fn speed(&self) -> f64 {
        self.across.hypot(self.up)
    }
}

/// Whether what should be still drifts one way: on the whole by more than chance, and in two places by itself.
///
/// # Inputs
/// Shifts of hands and feet that are down, or of the background of a film, each independent of the others.
/// # Returns
/// `None` for a camera that stands still as far as can be told.
///
/// ```
/// use springline_review::camera::{Shift, still};
/// let shift = |from_s, across| Shift { from_s, to_s: from_s + 0.3, across, up: 0.0, sd: 10.0 };
/// // A foot, then the hands, then the feet: one way, and fast.
/// let drift = still(&[shift(0.2, 55.0), shift(0.9, 48.0), shift(1.5, 50.0)]).expect("it moves");
/// assert!((drift.across - 51.0).abs() < 0.1 && drift.sd < 6.0);
/// // One foot that slides is no camera that moves.
/// assert!(still(&[shift(0.2, 120.0), shift(0.9, -5.0), shift(1.5, 8.0)]).is_none());
/// ```
#[must_use]
pub fn still(shifts: &[Shift]) -> Option<Drift> {
    let usable = |shift: &&Shift| shift.sd > 0.0 && (shift.across + shift.up + shift.sd).is_finite();
    let (mut across, mut up, mut weights) = (0.0, 0.0, 0.0);
    for shift in shifts.iter().filter(usable) {
        let weight = (shift.sd * shift.sd).recip();
        across += weight * shift.across;
        up += weight * shift.up;
        weights += weight;
    }
    if weights <= 0.0 {
        return None;
    }
    let drift = Drift {
        across: across / weights,
        up: up / weights,
        sd: weights.recip().sqrt(),
    };
    let speed = drift.speed();
    let along = |shift: &Shift| (shift.across * drift.across + shift.up * drift.up) / speed;
    let agree = shifts
        .iter()
        .filter(usable)
        .filter(|shift| along(shift) > ALONE_SDS * shift.sd)
        .count();
    (speed > SURE_SDS * drift.sd && agree >= 2).then_some(drift)
}

/// What the hands and feet do while they are down; both of a pair at the same time count once. `right`: whether the points lie as
/// in the picture (else mirrored).
pub(crate) fn of_contacts(trial: &Trial, right: bool) -> Vec<Shift> {
    let found = trial.found();
    let feet = found.feet.stand_in.unwrap_or(Joint::Toe);
    let mut pairs: Vec<[Vec<Shift>; 2]> = Vec::new();
    let one = |joint, side, first, end| shift_of(trial, Landmark::of(joint, side), first, end);
    if let Some(support) = &found.support {
        let hands = support.stand_in.unwrap_or(Joint::Fingertip);
        pairs.push(Side::BOTH.map(|side| {
            let contact = support.hands[usize::from(side == Side::Right)];
            contact
                .and_then(|contact| one(hands, side, contact.first, contact.end))
                .into_iter()
                .collect()
        }));
    }
    pairs.push(Side::BOTH.map(|side| {
        let contacts = &found.feet.contacts[usize::from(side == Side::Right)];
        let shifts = contacts
            .iter()
            .filter_map(|contact| one(feet, side, contact.first, contact.end));
        shifts.collect()
    }));
    let mut shifts: Vec<Shift> = pairs
        .into_iter()
        .flat_map(|[left, right]| paired(left, right))
        .collect();
    if !right {
        shifts.iter_mut().for_each(|shift| shift.across = -shift.across);
    }
    shifts
}

/// Left and right at the same time as one: what creeps, creeps together.
fn paired(left: Vec<Shift>, mut right: Vec<Shift>) -> Vec<Shift> {
    let mut all = Vec::new();
    for one in left {
        let same = right
            .iter()
            .position(|other| one.from_s < other.to_s && other.from_s < one.to_s);
        all.push(match same.map(|place| right.remove(place)) {
            None => one,
            Some(other) => Shift {
                from_s: one.from_s.min(other.from_s),
                to_s: one.to_s.max(other.to_s),
                across: f64::midpoint(one.across, other.across),
                up: f64::midpoint(one.up, other.up),
                sd: one.sd.max(other.sd),
            },
        });
    }
    all.append(&mut right);
    all
}

/// A line through the raw points of a contact.
fn shift_of(trial: &Trial, landmark: Landmark, first: usize, end: usize) -> Option<Shift> {
    let raw = trial.series().raw();
    let (&from, &to) = (raw.times.get(first)?, raw.times.get(end.checked_sub(1)?)?);
    let points: Vec<(f64, springline_kinematics::Point, f64)> = (first..end)
        .filter(|frame| (from + ENDS_S..=to - ENDS_S).contains(&raw.times[*frame]))
        .filter_map(|frame| Some((raw.times[frame], raw.at(landmark, frame)?, raw.sd_at(landmark, frame))))
        .collect();
    let (start, stop) = (points.first()?.0, points.last()?.0);
    let count = points.len() as f64;
    if points.len() < 4 || stop - start < LEAST_S {
        return None;
    }
    let mean = points.iter().map(|(t, _, _)| t).sum::<f64>() / count;
    let spread: f64 = points.iter().map(|(t, _, _)| (t - mean).powi(2)).sum();
    let slope = |value: fn(&springline_kinematics::Point) -> f64| {
        points
            .iter()
            .map(|(t, point, _)| (t - mean) * value(point))
            .sum::<f64>()
            / spread
    };
    let noise = (points.iter().map(|(_, _, sd)| sd * sd).sum::<f64>() / count).sqrt();
    let together = match raw.temporal_error {
        TemporalError::Correlated(rho) => ((1.0 + rho) / (1.0 - rho)).sqrt(),
        TemporalError::Independent | TemporalError::Shared => 1.0,
    };
    let creep = CREEP * trial.leg().value / (stop - start);
    Some(Shift {
        from_s: start,
        to_s: stop,
        across: slope(|point| point.x),
        up: slope(|point| point.y),
        sd: creep.hypot(together * noise / spread.sqrt()),
    })
}
