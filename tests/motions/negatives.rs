//! Clips that are not the skill that the drill is for, or end too early to tell.

use springline_assess::{Outcome, Verdict};
use springline_kinematics::EventKind;
use springline_simulate::{Act, BackHandspring, Cartwheel, Error, Facing, FlatBack, Handstand, Hop, Params};

use crate::draws::Draws;
use crate::scene::{self, Extra, Film};

const SEEDS: u64 = 50;

type Make = fn(u64) -> Result<Act, Error>;

fn handstand(seed: u64) -> Result<Act, Error> {
    let mut draw = Draws::new(seed);
    Act::handstand(&Handstand {
        kick_s: draw.between(0.5, 0.9),
        hold_s: draw.between(0.3, 2.0),
        lean: draw.between(-6.0, 6.0),
        shoulder: draw.between(165.0, 180.0),
        gap: draw.between(0.0, 30.0),
        ..Handstand::default()
    })
}

fn hop(seed: u64) -> Result<Act, Error> {
    let mut draw = Draws::new(seed);
    Act::handstand_hop(&Hop {
        air_s: draw.between(0.12, 0.3),
        ..Hop::default()
    })
}

fn flat_back(seed: u64) -> Result<Act, Error> {
    let mut draw = Draws::new(seed);
    Act::flat_back(&FlatBack {
        fall_s: draw.between(0.25, 0.35),
        mat_m: draw.between(0.3, 0.5),
        ..FlatBack::default()
    })
}

fn back_handspring(seed: u64) -> Result<Act, Error> {
    let mut draw = Draws::new(seed);
    Act::back_handspring(&BackHandspring {
        stature_m: draw.between(1.2, 1.7),
        shoulder: draw.between(160.0, 172.0),
        support_s: draw.between(0.27, 0.36),
        flight_s: draw.between(0.23, 0.29),
        ..BackHandspring::default()
    })
}

fn cartwheel(seed: u64) -> Result<Act, Error> {
    let mut draw = Draws::new(seed);
    Act::cartwheel(&Cartwheel {
        stature_m: draw.between(1.2, 1.7),
        straddle: draw.between(80.0, 130.0),
        hands_apart_s: draw.between(0.08, 0.2),
        ..Cartwheel::default()
    })
}

fn handspring(seed: u64) -> Result<Act, Error> {
    Act::handspring(&Params::random(seed))
}

/// Noise, rate, facing and what comes before vary with the seed.
fn films(seed: u64) -> [Film; 2] {
    [0.0, 3.0].map(|noise_px| Film {
        noise_px,
        seed,
        rate_hz: [60.0, 30.0, 120.0][seed as usize % 3],
        facing: if seed.is_multiple_of(2) {
            Facing::Right
        } else {
            Facing::Left
        },
        before: if seed % 4 < 2 { Extra::None } else { Extra::Walk(1.0) },
        ..Film::exact()
    })
}

/// Reviews of an act over all seeds by a drill that `allowed` does not accept.
fn wrong(name: &str, drill: &str, make: Make, allowed: fn(&Outcome) -> bool) -> Vec<String> {
    let drill = scene::drill(drill);
    let mut wrong = Vec::new();
    let mut acts = 0;
    for seed in 0..SEEDS {
        let Ok(act) = make(seed) else { continue };
        acts += 1;
        for film in films(seed) {
            let (_, assessment) = scene::review(&scene::film(&act, film), &drill);
            if !allowed(&assessment.outcome) {
                wrong.push(format!("{name} by {}, {film:?}: {:?}", drill.id, assessment.outcome));
            }
        }
    }
    if acts < SEEDS / 2 {
        wrong.push(format!("{name}: only {acts} of {SEEDS} seeds make an act"));
    }
    wrong
}

fn none(wrong: Vec<String>) {
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

/// The motion is another skill, and the review says so.
#[test]
fn another_skill_is_not_this_skill() {
    let table: [(&str, Make, &[&str]); 9] = [
        (
            "standing jump",
            Act::standing_jump,
            &[
                "handspring-floor",
                "handspring-off-block",
                "handstand-flat-back",
                "back-handspring",
                "cartwheel",
                "handstand",
                "handstand-hop",
                "front-support-bounce",
                "forward-fall",
                "hollow-hold",
            ],
        ),
        (
            "walk",
            Act::walk,
            &[
                "handspring-floor",
                "handspring-off-block",
                "back-handspring",
                "cartwheel",
                "handstand",
                "front-support-bounce",
                "forward-fall",
                "hollow-hold",
                "bridge",
            ],
        ),
        (
            "back somersault",
            Act::back_somersault,
            &[
                "handspring-floor",
                "handspring-off-block",
                "handspring-vault",
                "back-handspring",
                "cartwheel",
                "handstand",
            ],
        ),
        (
            "forward roll",
            Act::forward_roll,
            &[
                "handspring-floor",
                "handspring-off-block",
                "handstand-flat-back",
                "back-handspring",
                "handstand-hop",
                "front-support-bounce",
                "cartwheel",
            ],
        ),
        (
            "back handspring",
            back_handspring,
            &["handspring-floor", "cartwheel", "front-support-bounce"],
        ),
        (
            "handspring",
            handspring,
            &["back-handspring", "cartwheel", "handstand-hop", "front-support-bounce"],
        ),
        ("cartwheel", cartwheel, &["handspring-floor", "handstand-flat-back"]),
        ("handstand", handstand, &["front-support-bounce", "cartwheel"]),
        ("flat back", flat_back, &["front-support-bounce", "handstand-hop"]),
    ];
    let mut all = Vec::new();
    for (name, make, drills) in table {
        for drill in drills {
            all.extend(wrong(name, drill, make, |outcome| {
                matches!(outcome, Outcome::NotThere { .. })
            }));
        }
    }
    none(all);
}

/// The motion is near enough to the drill that parts of it can be measured: it never counts, for or against, as done.
#[test]
fn a_neighbour_is_never_counted() {
    let not_counted = |outcome: &Outcome| matches!(outcome, Outcome::NotThere { .. } | Outcome::NotCounted { .. });
    let mut all = Vec::new();
    for (name, make, drill) in [
        ("handstand", handstand as Make, "handspring-floor"),
        ("handstand", handstand, "handstand-hop"),
        ("hop", hop, "handspring-floor"),
        ("handstand", handstand, "back-handspring"),
        ("handspring", handspring, "handstand"),
        ("forward roll", Act::forward_roll, "handstand"),
    ] {
        all.extend(wrong(name, drill, make, not_counted));
    }
    none(all);
}

/// A handspring cut off at either end: what lies outside is not seen, what lies inside stays as it was.
#[test]
fn a_cut_clip_says_what_it_does_not_show() {
    let drill = scene::drill("handspring-floor");
    let act = Act::handspring(&Params::clean()).expect("it is possible");
    let whole = scene::film(&act, Film::exact());
    let (start, end) = whole.truth.span();
    let (trial, full) = scene::review(&whole, &drill);
    assert_eq!(full.outcome, Outcome::Good);
    let at = |kind| trial.found().event(kind).expect("a whole handspring").time;
    let order = [
        EventKind::HandPlacement,
        EventKind::Inverted,
        EventKind::HandDeparture,
        EventKind::FeetTouchdown,
    ];
    let mut cuts = 0;
    for (early, kind) in order.into_iter().flat_map(|kind| [(true, kind), (false, kind)]) {
        for seed in 0..5 {
            let cut = if early {
                (start, at(kind) - 0.03 - 0.01 * seed as f64)
            } else {
                (at(kind) + 0.03 + 0.01 * seed as f64, end)
            };
            let film = Film {
                cut: Some(cut),
                seed,
                ..Film::exact()
            };
            let (trial, assessment) = scene::review(&scene::film(&act, film), &drill);
            let lost = |kind: &EventKind| early == (at(*kind) > cut.1) && (at(*kind) < cut.0 || at(*kind) > cut.1);
            for kind in order.iter().filter(|kind| lost(kind)) {
                let found = trial.found().event(*kind).map(|event| event.time);
                assert_eq!(found, None, "{kind:?} lies outside {cut:?}");
            }
            assert!(
                matches!(
                    assessment.outcome,
                    Outcome::NotThere { .. } | Outcome::NotCounted { .. }
                ),
                "cut to {cut:?}: {:?}",
                assessment.outcome
            );
            for check in &assessment.checks {
                let whole = full
                    .checks
                    .iter()
                    .find(|other| other.id == check.id)
                    .map(|c| c.verdict.word());
                let same = matches!(check.verdict, Verdict::NotSeen { .. }) || Some(check.verdict.word()) == whole;
                assert!(
                    same,
                    "cut to {cut:?}: {} {:?} of {:?}",
                    check.id, check.verdict, check.measured
                );
            }
            cuts += 1;
        }
    }
    assert_eq!(cuts, 40);
}
