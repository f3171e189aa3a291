//! Drills in plain words.

use springline_drills::{CAUTIONS, Catalogue, NOT_A_SCORE, explain};

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
