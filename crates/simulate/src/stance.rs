//! Standing on the feet with a given lean.

use crate::body::{Body, State, direction};
use crate::error::Error;
use crate::motion::{mid_ankle, reach};
use springline_kinematics::{Joint, Point, Side, Vector};

/// Turns the whole body about the first foot until the landing lean (ankle to centre of mass) is as
/// asked. `second`: where the second toe is from the first, and how far its heel is turned up; without
/// it the second leg stays as given. `over_first`: the lean is that over the first ankle, else mid-ankle.
pub(crate) fn balance(
    body: &Body,
    mut state: State,
    first: Side,
    pitch: f64,
    second: Option<(Vector, f64)>,
    lean: f64,
    over_first: bool,
) -> Result<State, Error> {
    let mut template = state;
    let mut found = f64::NAN;
    for _ in 0..1500 {
        for channel in [
            State::hip_at(first.other()),
            State::knee_at(first.other()),
            State::knee_at(first),
        ] {
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
        let ankle = if over_first {
            pose.of(Joint::Ankle, first)
        } else {
            mid_ankle(&pose)
        };
        found = direction(pose.mass_centre() - ankle);
        let stretched = short > 0.0 || (second.is_some() && state.knee(first.other()) > 176.5);
        if !stretched && (found - lean).abs() < 1e-10 {
            return Ok(state);
        }
        if stretched && (found - lean).abs() < 1.0 {
            // Bend the first knee until the second foot reaches the floor.
            template.0[State::knee_at(first)] -= 0.5;
            if template.knee(first) < 90.0 {
                let limit_m = body.leg_m();
                return Err(Error::OutOfReach {
                    what: "second leg at the landing",
                    time_s: 0.0,
                    span_m: limit_m + short,
                    limit_m,
                });
            }
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
