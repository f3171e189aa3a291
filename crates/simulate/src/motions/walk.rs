//! Walking past.

use super::{drawn, drawn_body, through};
use crate::body::{Body, State};
use crate::curve::Curve;
use crate::error::Error;
use crate::motion::{FootContact, Rule, leg_channels, reach};
use crate::story::Story;
use crate::synthetic::Act;
use rand::RngExt;
use springline_kinematics::{Point, Side};

impl Act {
    /// Six steps of walking, arms swinging.
    ///
    /// # Errors
    /// [`Error`] if no draw of this seed can be done.
    pub fn walk(seed: u64) -> Result<Self, Error> {
        drawn(seed, 22, |c| {
            let body = drawn_body(c);
            let step_m = body.leg_m() * c.random_range(0.55..0.75);
            walk(&body, step_m, c.random_range(0.42..0.6), c.random_range(12.0..28.0))
        })
    }
}

const STEPS: i32 = 6;
/// A foot stays down for this many step times.
const STANCE: f64 = 1.2;

fn walk(body: &Body, step_m: f64, step_s: f64, arm_swing: f64) -> Result<Act, Error> {
    let speed = step_m / step_s;
    let hip_m = 0.94 * body.leg_m() + body.ankle_height_m;
    let upright = State::upright(body, 10.0).turned(4.0);
    let toe_at = |k: i32| {
        Point::new(
            speed * f64::from(k) * step_s + 0.45 * step_m + 0.5 * body.toe_ahead(),
            0.0,
        )
    };
    let pitch = |k: i32| {
        let down = f64::from(k) * step_s;
        Curve::through(&[(down + 0.6 * step_s, 0.0), (down + STANCE * step_s, 42.0)])
    };
    // Each leg: down, leaving, halfway through its swing.
    let held = |side: Side, k: i32, t: f64| {
        let mut state = upright;
        reach(
            body,
            &mut state,
            side,
            Point::new(speed * t, hip_m),
            toe_at(k),
            pitch(k).at(t),
        );
        state
    };
    let end = f64::from(STEPS) * step_s;
    let mut motion = through(*body, &[(0.0, upright)], end);
    motion.rules.push((
        f64::NEG_INFINITY,
        Rule::Path {
            x: Curve::between((0.0, 0.0, speed), (end, speed * end, speed)),
            y: Curve::between((0.0, hip_m, 0.0), (end, hip_m, 0.0)),
        },
    ));
    for side in Side::BOTH {
        let parity = if side == Side::Left { 0 } else { 1 };
        let strides = (-3..=STEPS + 2).filter(|k| k.rem_euclid(2) == parity);
        let mut keys = [Vec::new(), Vec::new(), Vec::new()];
        let mut arm = Vec::new();
        for k in strides {
            let down = f64::from(k) * step_s;
            let off = down + STANCE * step_s;
            let air = (2.0 - STANCE) * step_s;
            let lands = held(side, k, down);
            let leaves = held(side, k, off);
            for (i, (channel, (high, share))) in leg_channels(side)
                .into_iter()
                .zip([(148.0, 0.62), (100.0, 0.42), (76.0, 0.55)])
                .enumerate()
            {
                keys[i].extend([
                    (down, lands.0[channel]),
                    (off, leaves.0[channel]),
                    (off + share * air, high),
                ]);
            }
            arm.extend([(down, 10.0 - arm_swing), (down + step_s, 10.0 + arm_swing)]);
            motion.feet.push(FootContact {
                side,
                on: down,
                off,
                toe: toe_at(k),
                pitch: pitch(k),
            });
        }
        for (i, channel) in leg_channels(side).into_iter().enumerate() {
            motion.curves[channel] = Curve::through(&keys[i]);
        }
        motion.curves[State::shoulder_at(side)] = Curve::through(&arm);
        motion.curves[State::elbow_at(side)] = Curve::through(&[(0.0, 160.0)]);
    }
    for foot in motion
        .feet
        .clone()
        .into_iter()
        .filter(|foot| foot.off > -step_s && foot.off < end + step_s)
    {
        motion.release(&leg_channels(foot.side), foot.off, 0.3 * (2.0 - STANCE) * step_s);
    }
    motion.check()?;
    Ok(Act {
        motion,
        story: Story::default(),
        title: "walk",
    })
}
