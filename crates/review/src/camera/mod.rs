//! Whether the camera stood as the measures take it to stand: square to the run, still, and fast enough.

mod body;
mod in_words;
mod moves;
mod slow;
pub(crate) mod square;

use springline_drills::{Drill, View};
use springline_keypoints::Attempt;
use springline_kinematics::Uncertain;
use springline_kinematics::trial::{Facing, Trial};

pub use in_words::setup_in_words;
pub use moves::{Drift, Shift, still};

/// A drift that is slower changes no length by much, leg lengths a second (our choice: 5 % of a leg in a second).
const SLOW_DRIFT: f64 = 0.05;

/// What is wrong with the camera, in words. It changes no verdict.
pub(crate) fn remarks(attempt: &Attempt, drill: &Drill, trial: &Trial) -> Vec<String> {
    [
        (drill.view != View::Frontal)
            .then(|| not_square(attempt, trial))
            .flatten(),
        moving(trial),
        slow::too_slow(drill, trial),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// A run that is turned out of square: by the lengths of the set-up, else by the athlete's own.
fn not_square(attempt: &Attempt, trial: &Trial) -> Option<String> {
    let setup = attempt.setup.as_ref().map(|used| &used.setup);
    let field_of_view = setup.and_then(|setup| setup.field_of_view_deg);
    let width = attempt.picture.or(setup.map(|setup| setup.picture)).map(|size| size.0);
    let by_lengths = setup.and_then(square::of_lengths).filter(square::told);
    let (angle, by) = match by_lengths {
        Some(angle) => (angle, "the two lengths of the camera set-up"),
        None => (
            body::of_body(trial, width, field_of_view).filter(square::told)?,
            "the legs, which look larger at one end of the run than at the other",
        ),
    };
    Some(turned(&angle, by, field_of_view.is_some()))
}

fn turned(angle: &Uncertain, by: &str, lens_known: bool) -> String {
    let least = if lens_known { "" } else { "at least " };
    let side = if angle.value < 0.0 { "left" } else { "right" };
    let short = 100.0 * (1.0 - angle.value.to_radians().cos());
    format!(
        "the camera is not square to the run: by {by}, it is {least}{:.0}° ± {:.0}° off, the {side} end farther away; lengths along \
         the run read about {short:.0} % short, and angles are off: turn the run or move the camera until it looks straight across",
        angle.value.abs(),
        angle.sd
    )
}

/// A camera that moves, by hands and feet that are down.
fn moving(trial: &Trial) -> Option<String> {
    let right = match trial.facing() {
        Facing::Given(right) | Facing::Found { right, .. } => right,
        Facing::Undecided { .. } => true,
    };
    let drift = still(&moves::of_contacts(trial, right))?;
    let legs = drift.speed() / trial.leg().value;
    (legs > SLOW_DRIFT).then(|| {
        format!(
            "the camera seems to move: hands and feet that are down drift by {:.0} ± {:.0} px a second ({:.0} % of a leg length); \
             distances between what is down at different times are off by that: put it on a tripod and let it stand",
            drift.speed(),
            drift.sd,
            100.0 * legs
        )
    })
}
