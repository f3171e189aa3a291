//! Standing on the feet with a given lean.

use crate::body::{Body, State, direction};
use crate::error::Error;
use crate::motion::{mid_ankle, reach};
use springline_kinematics::{Joint, Point, Side, Vector};

/// A joint state on one or two feet.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stance {
    pub state: State,
}

/// Turns the whole body about the first foot until the landing lean (ankle to centre of mass) is as
/// asked. `second`: where the second toe is from the first, and how far its heel is turned up; without
/// it the second leg stays as given and the lean is that over the first ankle.
pub(crate) fn balance(
    body: &Body,
    mut state: State,
    first: Side,
    pitch: f64,
    second: Option<(Vector, f64)>,
    lean: f64,
) -> Result<Stance, Error> {
    let template = state;
    let mut found = f64::NAN;
    for _ in 0..80 {
        for channel in [State::hip_at(first.other()), State::knee_at(first.other())] {
            state.0[channel] = template.0[channel];
        }
        state.aim_foot(first, body.flat_foot() + pitch);
        let foot = body.pose(&state, Point::origin()).of(Joint::Toe, first);
        let root = Point::origin() - foot.coords;
        let mut short = 0.0;
        if let Some((toe, pitch)) = second {
            short = reach(body, &mut state, first.other(), root, Point::origin() + toe, pitch);
        }
        let pose = body.pose(&state, root);
        let ankle = match second {
            Some((toe, _)) if toe.x.abs() < 0.5 * body.leg_m() => mid_ankle(&pose),
            _ => pose.of(Joint::Ankle, first),
        };
        found = direction(pose.mass_centre() - ankle);
        if (found - lean).abs() < 1e-10 {
            if short > 0.0 {
                let limit_m = body.leg_m();
                return Err(Error::OutOfReach {
                    what: "second leg at the landing",
                    time_s: 0.0,
                    span_m: limit_m + short,
                    limit_m,
                });
            }
            return Ok(Stance { state });
        }
        state.0[State::TRUNK] += 0.9 * (lean - found);
    }
    Err(Error::Implausible {
        what: "landing lean, degrees",
        found,
        least: lean,
        most: lean,
    })
}
