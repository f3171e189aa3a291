//! How far the camera is off square, by the athlete's own size along the run.
//!
//! The legs are as long after the landing as before the hands came down. Where they look smaller they are farther away, and from the
//! depths at two places of the run its angle follows, see [`super::square`].

use springline_kinematics::trial::{Facing, Trial};
use springline_kinematics::{EventKind, Joint, Landmark, Point, Side, TemporalError, Uncertain};

use super::square::{Lens, Seen, off_square};

/// Uncertainty of a limb's size in the picture besides that of its points, relative (our choice: joints are no points, and limbs
/// leave the plane).
const MODEL_SHARE: f64 = 0.03;
/// A limb turned from the vertical by more is left out: turned with the run it would look short, degrees.
const UPRIGHT_DEG: f64 = 35.0;
/// Frames of a limb that make a size.
const LEAST_FRAMES: usize = 5;

/// The angle by which the run is turned out of square; positive: the picture's right end is farther away.
///
/// # Returns
/// The limbs' mean, weighted; `None` where the hands don't come down and the feet after them, or too few frames show the legs.
pub(crate) fn of_body(trial: &Trial, width: Option<f64>, field_of_view_deg: Option<f64>) -> Option<Uncertain> {
    let found = trial.found();
    let placed = found.event(EventKind::HandPlacement)?.frame;
    let landed = found.event(EventKind::FeetTouchdown)?.frame;
    let last = trial.series().raw().len();
    if landed <= placed {
        return None;
    }
    let across = Across::new(trial);
    let lens = Lens::new(width.or_else(|| across.reach())?, field_of_view_deg);
    let (mut sum, mut weights) = (0.0, 0.0);
    for side in Side::BOTH {
        for (from, to) in [(Joint::Hip, Joint::Knee), (Joint::Knee, Joint::Ankle)] {
            let limb = [from, to].map(|joint| Landmark::of(joint, side));
            let ends = across.size(limb, 0..placed).zip(across.size(limb, landed..last));
            if let Some(angle) = ends.and_then(|(before, after)| off_square(before, after, lens)) {
                sum += angle.value / (angle.sd * angle.sd);
                weights += (angle.sd * angle.sd).recip();
            }
        }
    }
    (weights > 0.0).then(|| Uncertain::new(sum / weights, weights.recip().sqrt()))
}

/// The raw points with places across the picture.
struct Across<'a> {
    trial: &'a Trial,
    /// −1 where the points were mirrored.
    sign: f64,
}

impl<'a> Across<'a> {
    fn new(trial: &'a Trial) -> Self {
        let mirrored = match trial.facing() {
            Facing::Given(right) | Facing::Found { right, .. } => !right,
            Facing::Undecided { .. } => false,
        };
        Self {
            trial,
            sign: if mirrored { -1.0 } else { 1.0 },
        }
    }

    /// How far the points reach across: the picture is at least as wide.
    fn reach(&self) -> Option<f64> {
        let raw = self.trial.series().raw();
        let points = Landmark::ALL
            .into_iter()
            .flat_map(|landmark| raw.track(landmark).positions.iter().flatten());
        let most = points.map(|point| self.sign * point.x).fold(0.0, f64::max);
        (most > 0.0).then_some(most)
    }

    /// Median size of a limb over the frames in which it stands upright, and the mean place of its middle.
    fn size(&self, [from, to]: [Landmark; 2], frames: std::ops::Range<usize>) -> Option<Seen> {
        let raw = self.trial.series().raw();
        let (mut sizes, mut place, mut variance) = (Vec::new(), 0.0, 0.0);
        for frame in frames {
            let (Some(top), Some(bottom)) = (raw.at(from, frame), raw.at(to, frame)) else {
                continue;
            };
            let limb: springline_kinematics::Vector = top - bottom;
            if limb.x.abs() > UPRIGHT_DEG.to_radians().tan() * limb.y {
                continue;
            }
            sizes.push(limb.norm());
            place += self.sign * Point::from((top.coords + bottom.coords) / 2.0).x;
            variance += raw.sd_at(from, frame).powi(2) + raw.sd_at(to, frame).powi(2);
        }
        let count = sizes.len();
        if count < LEAST_FRAMES {
            return None;
        }
        let (_, size, _) = sizes.select_nth_unstable_by(count / 2, f64::total_cmp);
        let size = *size;
        let averaged = match raw.temporal_error {
            TemporalError::Independent => count as f64,
            // Neighbours that go together count for less.
            TemporalError::Correlated(rho) => (count as f64 * (1.0 - rho) / (1.0 + rho)).max(1.0),
            TemporalError::Shared => 1.0,
        };
        let sd = (variance / count as f64 / averaged).sqrt();
        (size > 0.0).then(|| Seen {
            x: place / count as f64,
            size,
            share: MODEL_SHARE.hypot(sd / size),
        })
    }
}
