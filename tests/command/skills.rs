//! Skills and no skills, from the simulator through the command.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::Bench;
use springline_report::{Review, Word, from_json};
use springline_simulate::{Act, BackHandspring, Facts, Handstand, Layout, Recording};

fn put(bench: &Bench, name: &str, act: &Act) {
    let attempt = act.film(&Recording::exact().noisy(1.0), 5);
    bench.put(
        name,
        attempt.to_attempt_json(Layout::Named23, &Facts::measured()).as_bytes(),
    );
}

fn review(bench: &Bench, file: &str, drill: &str) -> Review {
    let run = bench.run(&["review", file, "--drill", drill, "--format", "json"]);
    run.ended(0).quiet();
    from_json(&run.stdout).unwrap()
}

#[test]
fn a_handstand_with_published_deductions() {
    let bench = Bench::new();
    let piked = Handstand {
        hip: 160.0,
        ..Handstand::default()
    };
    put(&bench, "piked.json", &Act::handstand(&piked).unwrap());
    let found = review(&bench, "piked.json", "handstand-deductions");
    let hips = found
        .checks
        .iter()
        .find(|check| check.measure.as_deref() == Some("hip_angle"))
        .unwrap();
    assert_eq!(hips.verdict.word, Word::Fault);
    let deduction = hips.deduction.as_ref().unwrap();
    assert_eq!(deduction.points, 0.2);
    assert!(deduction.says.contains("not a judge's score"));

    let words = bench.run(&["review", "piked.json", "--drill", "handstand-deductions"]);
    words.ended(0).quiet();
    assert!(words.stdout.contains(
        "DEDUCTIONS OF A PUBLISHED TABLE\n  This is what a published table would deduct. It is not a judge's score.\n"
    ));
    // A drill that asks for none says nothing of any.
    let plain = bench.run(&["review", "piked.json", "--drill", "handstand"]);
    assert!(!plain.ended(0).stdout.to_lowercase().contains("deduct"));
}

#[test]
fn what_is_no_handspring_is_not_called_one() {
    let bench = Bench::new();
    for (name, act) in [
        ("handstand", Act::handstand(&Handstand::default()).unwrap()),
        (
            "back-handspring",
            Act::back_handspring(&BackHandspring::default()).unwrap(),
        ),
        ("walk", Act::walk(3).unwrap()),
        ("jump", Act::standing_jump(3).unwrap()),
        ("back-somersault", Act::back_somersault(3).unwrap()),
    ] {
        let file = format!("{name}.json");
        put(&bench, &file, &act);
        let found = review(&bench, &file, "handspring-floor");
        assert_eq!(found.outcome.word, "not this skill", "{name}");
        assert!(
            !found.outcome.why.is_empty() && found.checks.is_empty() && found.faults.is_empty(),
            "{name}"
        );
        let run = bench.run(&["review", &file, "--drill", "handspring-floor", "--check"]);
        run.ended(1).quiet();
        assert!(run.stdout.contains("\nNOT THIS SKILL\n  - "), "{name}");
    }
}
