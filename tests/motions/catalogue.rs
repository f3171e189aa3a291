//! Every motion with the drill that is its own.

use springline_simulate::{
    Act, BackHandspring, Bounce, BridgeHold, Cartwheel, FlatBack, ForwardFall, Handstand, Hop, LyingHold, Params,
};

use crate::scene::Extra;

/// A motion, its drill, and what may come before and after it.
pub struct Motion {
    pub name: &'static str,
    pub drill: &'static str,
    pub act: Act,
    pub before: Extra,
    pub after: Extra,
    /// How far the shoulders sink before the push, leg lengths.
    pub girdle: f64,
}

const STILL: Extra = Extra::Still(0.7);
const WALK: Extra = Extra::Walk(1.5);

/// Every motion as it should be done.
pub fn clean() -> Vec<Motion> {
    let motion = |name, drill, act: Result<Act, springline_simulate::Error>, before, after| Motion {
        name,
        drill,
        act: act.unwrap_or_else(|error| panic!("{name}: {error}")),
        before,
        after,
        girdle: if name == "bounce" { 0.05 } else { 0.0 },
    };
    let lying = LyingHold {
        shoulder: 178.0,
        hip: 180.0,
        trunk: 270.0,
        ..LyingHold::default()
    };
    let hollow = LyingHold {
        hold_s: 22.0,
        ..LyingHold::default()
    };
    let step_out = Params {
        step_out: true,
        second_foot_after_s: 0.25,
        residual_gap: 70.0,
        step_out_gap: 70.0,
        ..Params::clean()
    };
    let bounce = Bounce {
        give: 0.5,
        ..Bounce::default()
    };
    let hop = Hop {
        air_s: 0.2,
        ..Hop::default()
    };
    let handspring = || Act::handspring(&Params::clean());
    vec![
        motion(
            "handstand",
            "handstand",
            Act::handstand(&Handstand::default()),
            WALK,
            STILL,
        ),
        motion(
            "handstand",
            "handstand-deductions",
            Act::handstand(&Handstand::default()),
            WALK,
            STILL,
        ),
        motion(
            "handstand",
            "lunge-kick-to-handstand",
            Act::handstand(&Handstand::default()),
            WALK,
            STILL,
        ),
        motion("hop", "handstand-hop", Act::handstand_hop(&hop), WALK, STILL),
        motion(
            "flat back",
            "handstand-flat-back",
            Act::flat_back(&FlatBack::default()),
            WALK,
            STILL,
        ),
        motion(
            "fall",
            "forward-fall",
            Act::forward_fall(&ForwardFall::default()),
            WALK,
            Extra::None,
        ),
        motion(
            "bounce",
            "front-support-bounce",
            Act::front_support_bounce(&bounce),
            STILL,
            STILL,
        ),
        motion(
            "back handspring",
            "back-handspring",
            Act::back_handspring(&BackHandspring::default()),
            WALK,
            WALK,
        ),
        motion(
            "cartwheel",
            "cartwheel",
            Act::cartwheel(&Cartwheel::default()),
            STILL,
            STILL,
        ),
        motion("hollow", "hollow-hold", Act::lying_hold(&hollow), WALK, WALK),
        motion("lying", "arms-overhead-lying", Act::lying_hold(&lying), WALK, WALK),
        motion("bridge", "bridge", Act::bridge_hold(&BridgeHold::default()), WALK, WALK),
        motion(
            "step-out",
            "handspring-step-out-floor",
            Act::handspring(&step_out),
            WALK,
            WALK,
        ),
        motion("handspring", "handspring-floor", handspring(), WALK, WALK),
        motion("handspring", "handspring-thin-mat", handspring(), WALK, WALK),
        motion("handspring", "handspring-raised-mats", handspring(), WALK, WALK),
        motion("handspring", "handspring-run-raised-mats", handspring(), WALK, WALK),
        motion("handspring", "handspring-board", handspring(), WALK, WALK),
        motion("handspring", "handspring-off-block", handspring(), WALK, WALK),
        motion("handspring", "handspring-fall-forward", handspring(), WALK, WALK),
    ]
}
