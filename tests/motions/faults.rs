//! Faults of the drills on the way to the handspring, dialled in well past the limit: each is found by its check.
//!
//! The handspring's own faults, by amount and against the stated uncertainty, are in `tests/accuracy`.

use springline_assess::{Outcome, Verdict};
use springline_drills::Weight;
use springline_simulate::{
    Act, BackHandspring, Bounce, BridgeHold, Cartwheel, Error, Facing, FlatBack, ForwardFall, Handstand, Hop, LyingHold,
};

use crate::scene::{self, Film};

const SEEDS: u64 = 6;

struct Faulty {
    drill: &'static str,
    check: &'static str,
    act: Result<Act, Error>,
    girdle: f64,
}

fn all() -> Vec<Faulty> {
    let mut list = Vec::new();
    let mut add = |drill, check, act| {
        list.push(Faulty {
            drill,
            check,
            act,
            girdle: 0.05,
        });
    };

    let handstand = |change: fn(&mut Handstand)| {
        let mut dials = Handstand::default();
        change(&mut dials);
        Act::handstand(&dials)
    };
    add("handstand", "line", handstand(|d| d.lean = 21.0));
    add("handstand", "shoulders-open", handstand(|d| d.shoulder = 148.0));
    add("handstand", "hips", handstand(|d| d.hip = 150.0));
    add("handstand", "hips", handstand(|d| d.hip = 212.0));
    add("handstand", "arms-straight", handstand(|d| d.elbow = 150.0));
    add("handstand", "knees-straight", handstand(|d| d.knee = 150.0));
    add("handstand", "legs-together", handstand(|d| d.gap = 35.0));
    add("handstand", "hold-time", handstand(|d| d.hold_s = 1.5));

    let hop = |change: fn(&mut Hop)| {
        let mut dials = Hop {
            air_s: 0.2,
            ..Hop::default()
        };
        change(&mut dials);
        Act::handstand_hop(&dials)
    };
    add("handstand-hop", "arms-in-support", hop(|d| d.handstand.elbow = 150.0));
    add(
        "handstand-hop",
        "legs-together-at-departure",
        hop(|d| d.handstand.gap = 35.0),
    );
    add(
        "handstand-hop",
        "shoulders-at-departure",
        hop(|d| d.handstand.shoulder = 148.0),
    );
    add(
        "handstand-hop",
        "hips-not-arched-at-departure",
        hop(|d| d.handstand.hip = 215.0),
    );
    add(
        "handstand-hop",
        "hips-not-piked-at-departure",
        hop(|d| d.handstand.hip = 148.0),
    );
    add("handstand-hop", "knees-straight", hop(|d| d.handstand.knee = 148.0));
    add("handstand-hop", "support-time", hop(|d| d.handstand.hold_s = 1.5));

    let flat_back = |change: fn(&mut FlatBack)| {
        let mut dials = FlatBack::default();
        change(&mut dials);
        Act::flat_back(&dials)
    };
    add(
        "handstand-flat-back",
        "hands-ahead-of-foot",
        flat_back(|d| d.support.hand_to_foot = 0.6),
    );
    add(
        "handstand-flat-back",
        "arms-in-support",
        flat_back(|d| d.support.support_elbow = 150.0),
    );
    add("handstand-flat-back", "hips-at-landing", flat_back(|d| d.hip = 148.0));
    add("handstand-flat-back", "head-at-landing", flat_back(|d| d.head = 140.0));
    add(
        "handstand-flat-back",
        "arms-at-landing",
        flat_back(|d| d.shoulder = 125.0),
    );
    add("handstand-flat-back", "knees-at-landing", flat_back(|d| d.knee = 148.0));

    let fall = |change: fn(&mut ForwardFall)| {
        let mut dials = ForwardFall::default();
        change(&mut dials);
        Act::forward_fall(&dials)
    };
    add("forward-fall", "arms-by-ears", fall(|d| d.shoulder = 125.0));
    add("forward-fall", "hips-long", fall(|d| d.hip = 148.0));
    add("forward-fall", "knees-straight", fall(|d| d.knee = 150.0));
    add("forward-fall", "on-toes", fall(|d| d.heel = 0.0));

    let bounce = |change: fn(&mut Bounce)| {
        let mut dials = Bounce {
            give: 0.5,
            ..Bounce::default()
        };
        change(&mut dials);
        Act::front_support_bounce(&dials)
    };
    add("front-support-bounce", "arms-at-departure", bounce(|d| d.elbow = 145.0));
    add("front-support-bounce", "body-tight", bounce(|d| d.hip = 140.0));
    add("front-support-bounce", "knees-straight", bounce(|d| d.knee = 148.0));

    let back = |change: fn(&mut BackHandspring)| {
        let mut dials = BackHandspring::default();
        change(&mut dials);
        Act::back_handspring(&dials)
    };
    add(
        "back-handspring",
        "shoulders-at-placement",
        back(|d| d.shoulder = 140.0),
    );
    add("back-handspring", "arms-in-support", back(|d| d.elbow = 130.0));
    add("back-handspring", "support-time", back(|d| d.support_s = 0.6));
    add(
        "back-handspring",
        "knees-at-touchdown",
        back(|d| d.touchdown_knee = 105.0),
    );

    let cartwheel = |change: fn(&mut Cartwheel)| {
        let mut dials = Cartwheel::default();
        change(&mut dials);
        Act::cartwheel(&dials)
    };
    add("cartwheel", "arms-in-support", cartwheel(|d| d.elbow = 148.0));
    add("cartwheel", "knees-inverted", cartwheel(|d| d.knee = 148.0));
    add("cartwheel", "wide-straddle", cartwheel(|d| d.straddle = 60.0));

    let hollow = |change: fn(&mut LyingHold)| {
        let mut dials = LyingHold {
            hold_s: 22.0,
            ..LyingHold::default()
        };
        change(&mut dials);
        Act::lying_hold(&dials)
    };
    add("hollow-hold", "hips", hollow(|d| d.hip = 125.0));
    add("hollow-hold", "shoulders-open", hollow(|d| d.shoulder = 135.0));
    add("hollow-hold", "knees-straight", hollow(|d| d.knee = 150.0));
    add("hollow-hold", "arms-straight", hollow(|d| d.elbow = 150.0));
    add("hollow-hold", "hold-time", hollow(|d| d.hold_s = 12.0));

    let lying = |change: fn(&mut LyingHold)| {
        let mut dials = LyingHold {
            shoulder: 178.0,
            hip: 180.0,
            trunk: 270.0,
            ..LyingHold::default()
        };
        change(&mut dials);
        Act::lying_hold(&dials)
    };
    add("arms-overhead-lying", "shoulders-open", lying(|d| d.shoulder = 155.0));

    let bridge = |change: fn(&mut BridgeHold)| {
        let mut dials = BridgeHold::default();
        change(&mut dials);
        Act::bridge_hold(&dials)
    };
    add("bridge", "shoulders-open", bridge(|d| d.shoulder = 160.0));
    add("bridge", "arms-straight", bridge(|d| d.elbow = 148.0));
    add("bridge", "knees-long", bridge(|d| d.knee = 120.0));
    add("bridge", "hold-time", bridge(|d| d.hold_s = 1.5));

    list.push(Faulty {
        drill: "front-support-bounce",
        check: "shoulder-travel",
        act: bounce(|_| {}),
        // The shoulders give way instead of pushing.
        girdle: -0.02,
    });
    list
}

#[test]
fn every_fault_is_found_by_its_check() {
    let mut wrong = Vec::new();
    let (mut found, mut tried) = (0, 0);
    for faulty in all() {
        let drill = scene::drill(faulty.drill);
        let name = format!("{} {}", faulty.drill, faulty.check);
        let act = match &faulty.act {
            Ok(act) => act,
            Err(error) => {
                wrong.push(format!("{name}: {error}"));
                continue;
            }
        };
        let check = drill.checks.iter().find(|check| check.id == faulty.check);
        let must = check.is_some_and(|check| check.weight == Weight::MustHold);
        let mut here = 0;
        let mut said = String::new();
        for seed in 0..SEEDS {
            let film = Film {
                noise_px: if seed == 0 { 0.0 } else { 3.0 },
                facing: if seed.is_multiple_of(2) {
                    Facing::Right
                } else {
                    Facing::Left
                },
                girdle: if faulty.drill == "front-support-bounce" {
                    faulty.girdle
                } else {
                    0.0
                },
                seed,
                ..Film::exact()
            };
            let (_, assessment) = scene::review(&scene::film(act, film), &drill);
            let result = assessment.checks.iter().find(|check| check.id == faulty.check);
            let fault = result.is_some_and(|check| matches!(check.verdict, Verdict::Fault { .. }));
            let counted = !must || assessment.outcome == Outcome::NotGood;
            if fault && counted {
                here += 1;
            } else {
                said = format!(
                    "{film:?}: {:?} {:?}",
                    assessment.outcome,
                    result.map(|c| (&c.verdict, &c.measured))
                );
            }
        }
        found += here;
        tried += SEEDS;
        // Ninety-five in a hundred over all, and never fewer than two thirds of one fault.
        if 3 * here < 2 * SEEDS {
            wrong.push(format!("{name}: found {here} of {SEEDS} times, such as {said}"));
        }
    }
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
    assert!(20 * found >= 19 * tried, "{found} of {tried} found");
}
