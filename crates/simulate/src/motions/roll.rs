//! A forward roll: hands on the floor, but the body goes over the back.

use super::{both_feet, drawn, drawn_body, through};
use crate::body::{Body, State};
use crate::curve::Curve;
use crate::error::Error;
use crate::motion::{FootContact, HandContact, Rule, leg_channels};
use crate::stance::balance;
use crate::story::Story;
use crate::synthetic::Act;
use rand::RngExt;
use springline_kinematics::{Joint, Point, Side, Vector};

impl Act {
    /// A forward roll from squat to stand. Hands are placed, but the shoulders come down to the floor.
    ///
    /// # Errors
    /// [`Error`] if no draw of this seed can be done.
    pub fn forward_roll(seed: u64) -> Result<Self, Error> {
        drawn(seed, 23, |c| {
            let body = drawn_body(c);
            roll(
                &body,
                c.random_range(0.1..0.6),
                c.random_range(0.85..1.15),
                c.random_range(0.3..0.8),
            )
        })
    }
}

/// Half the thickness of the trunk, m per metre of stature.
const HALF_TRUNK: f64 = 0.08;

fn roll(body: &Body, wait: f64, pace: f64, after: f64) -> Result<Act, Error> {
    let both = |state: State, lean: f64| {
        balance(
            body,
            state,
            Side::Left,
            12.0,
            Some((Vector::zeros(), 12.0)),
            lean,
            false,
        )
    };
    let upright = State::upright(body, 15.0);
    let stand = both(upright, 3.0)?;
    let squat = both(upright.turned(40.0).arms(75.0, 165.0).legs(55.0, 60.0, 75.0), 6.0)?;
    let (stand_s, squat_s) = (wait, wait + 0.5 * pace);
    let hands_s = squat_s + 0.35 * pace;

    // Leaning on the hands, feet still down: the wrists come down to the floor.
    let toe = |state: &State| {
        let pose = body.pose(state, Point::origin());
        (pose.of(Joint::Toe, Side::Left), pose.of(Joint::Wrist, Side::Left))
    };
    let mut reach = upright
        .turned(78.0)
        .arms(98.0, 168.0)
        .legs(62.0, 100.0, 85.0)
        .head_at(115.0);
    let low = |trunk: f64| {
        let mut state = reach.turned(trunk);
        for side in Side::BOTH {
            state.aim_foot(side, body.flat_foot() + 12.0);
        }
        let (toe, wrist) = toe(&state);
        (state, wrist.y - toe.y - body.wrist_height_m)
    };
    let (mut a, mut b) = (20.0, 140.0);
    for _ in 0..60 {
        let middle = 0.5 * (a + b);
        if low(middle).1 > 0.0 { a = middle } else { b = middle }
    }
    reach = low(a).0;
    for side in Side::BOTH {
        reach.aim_hand(side, body.flat_palm());
    }
    let mut squat = squat;
    for side in Side::BOTH {
        squat.0[State::hand_at(side)] = 0.8 * reach.hand(side);
    }
    let (foot, wrist) = toe(&reach);
    let wrist = Point::new(wrist.x - foot.x, body.wrist_height_m);

    // Shoulders down: hands still flat, arms bent, tucked in.
    let half = HALF_TRUNK * body.stature_m;
    let shoulders_s = hands_s + 0.36 * pace;
    let down = upright
        .turned(226.0)
        .arms(72.0, 140.0)
        .legs(60.0, 100.0, 130.0)
        .head_at(160.0);
    let mut down = down;
    for side in Side::BOTH {
        down.0[State::hand_at(side)] = -95.0;
    }
    let hips_s = shoulders_s + 0.3 * pace;
    let seated = upright
        .turned(322.0)
        .arms(70.0, 150.0)
        .legs(50.0, 58.0, 104.0)
        .head_at(125.0);
    let feet_s = hips_s + 0.16 * pace;
    let rise = both(
        upright
            .turned(395.0)
            .arms(80.0, 165.0)
            .legs(52.0, 52.0, 80.0)
            .head_at(110.0),
        -16.0,
    )?;
    let up_s = feet_s + 0.7 * pace;
    let last = both(upright.turned(360.0), 3.0)?;
    let poses = [
        (0.0, stand),
        (stand_s, stand),
        (squat_s, squat),
        (hands_s, reach),
        (shoulders_s, down),
        (hips_s, seated),
        (feet_s, rise),
        (up_s, last),
    ];
    let mut motion = through(*body, &poses, up_s + after);
    let pitch = Curve::through(&[(stand_s, 12.0)]);
    both_feet(&mut motion, (f64::NEG_INFINITY, hands_s), Point::origin(), &pitch);
    for side in Side::BOTH {
        let (on, off) = (hands_s, hands_s + 0.16 * pace);
        motion.hands.push(HandContact {
            side,
            on,
            off,
            wrist,
            palm: body.flat_palm(),
        });
        motion.release(&leg_channels(side), hands_s, 0.15);
    }
    let off = hands_s + 0.16 * pace;
    motion.rules.push((hands_s, Rule::Hands));
    // On the back: mid-hip moves from over the shoulders to the floor, then to where the feet carry it.
    let from = motion.instant(off - crate::motion::JUST).root;
    let chest = body.trunk_m * crate::body::unit(down.trunk());
    let first = Point::new(wrist.x + 0.18 * body.stature_m, half) - chest;
    let second = Point::new(first.x + 0.42 * body.stature_m, half);
    let landed = body.pose(&rise, Point::origin()).of(Joint::Toe, Side::Left);
    let toe_x = second.x + 0.36 * body.stature_m;
    let third = Point::new(toe_x, 0.0) - landed.coords;
    let through = |pick: fn(&Vector) -> f64| {
        let keys = [
            (off, pick(&from.coords)),
            (shoulders_s, pick(&first.coords)),
            (hips_s, pick(&second.coords)),
            (feet_s, pick(&third.coords)),
        ];
        Curve::through(&keys)
    };
    motion.rules.push((
        off,
        Rule::Path {
            x: through(|v| v.x),
            y: through(|v| v.y),
        },
    ));
    let hands: Vec<usize> = Side::BOTH.into_iter().map(State::hand_at).collect();
    motion.release(&hands, off, 1.2 * pace);
    for side in Side::BOTH {
        let toe = Point::new(toe_x, 0.0);
        motion.feet.push(FootContact {
            side,
            on: feet_s,
            off: f64::INFINITY,
            toe,
            pitch: pitch.clone(),
        });
    }
    motion.rules.push((feet_s, Rule::Foot(Side::Left)));
    motion.check()?;
    Ok(Act {
        motion,
        story: Story::default(),
        title: "forward roll",
    })
}
