//! Drills in plain words.

use springline_drills::{CAUTIONS, Catalogue, NOT_A_SCORE, explain, explain_ladder};

#[test]
fn the_forward_fall_reads_as_it_was_reviewed() {
    let catalogue = Catalogue::shipped();
    let words = explain(catalogue.drill("forward-fall").expect("it ships"));
    let reviewed = include_str!("reviewed/forward-fall.txt");
    assert_eq!(
        words, reviewed,
        "read the new text, then write it to tests/reviewed/forward-fall.txt"
    );
}

#[test]
fn every_explanation_is_whole_and_fits_a_page() {
    let catalogue = Catalogue::shipped();
    for id in catalogue.drill_ids() {
        let drill = catalogue.drill(id).expect("it ships");
        let words = explain(drill);
        let joined = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        for line in words.lines() {
            assert!(line.chars().count() <= 88, "{id}: {line}");
        }
        for caution in CAUTIONS {
            assert!(joined.contains(&flat(caution)), "{id} lacks {caution:?}");
        }
        assert_eq!(joined.matches("Any wrist").count(), 1, "{id}");
        for tag in ["[R", "[C]", "[M]"] {
            assert!(!words.contains(tag), "{id} shows {tag}");
        }
        for check in &drill.checks {
            assert!(joined.contains(&flat(&check.title)), "{id} lacks {:?}", check.title);
            if check.deduction.is_some() {
                assert!(joined.contains(NOT_A_SCORE), "{id} shows a deduction as a score");
            }
        }
        for fault in &drill.faults {
            for text in [&fault.name, &fault.seen_as, &fault.cue, &fault.cured_by[0]] {
                assert!(joined.contains(&flat(text)), "{id} lacks {text:?}");
            }
        }
    }
}

#[test]
fn the_ladder_tells_every_rung_in_order_and_its_rule() {
    let catalogue = Catalogue::shipped();
    let ladder = catalogue.ladder("front-handspring").expect("it ships");
    let words = explain_ladder(ladder, &catalogue);
    assert!(words.lines().all(|line| line.chars().count() <= 88), "{words}");
    let mut rest = words.as_str();
    for (index, rung) in ladder.rungs.iter().enumerate() {
        let title = &catalogue.drill(&rung.drill).expect("it ships").title;
        let block = format!(
            "  {}. {title} ({})\n     Proves: {}\n",
            index + 1,
            rung.drill,
            rung.proves
        );
        let at = rest
            .find(&block)
            .unwrap_or_else(|| panic!("lacks {block:?} in its place"));
        rest = &rest[at + block.len()..];
        let after = match rung.after.as_slice() {
            [] => "Can be worked from the start.".to_owned(),
            some => format!("First pass: {}", some.join(", ")),
        };
        assert!(rest.trim_start().starts_with(&after), "{}", rung.drill);
    }
    for rule in [
        "After 3 good attempts in a row",
        "A test set of 10 attempts",
        "After 21 days off",
        "common practice",
    ] {
        assert!(rest.contains(rule), "{rule}");
    }
}
