//! Whatever the bytes: an answer, never a panic, and in good time.

use proptest::prelude::*;
use springline_drills::{Catalogue, Problems, SIZE_LIMIT, read_drill, read_ladder, template};

/// Reads the bytes as both; a refusal names at least one place inside the file.
fn read_both(bytes: &[u8]) {
    let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
    let sane = |problems: Problems| {
        assert!(!problems.list().is_empty());
        for problem in problems.list() {
            assert!((1..=lines).contains(&problem.line) && problem.column >= 1);
            assert!(!problem.to_string().contains('\n'), "{problem:?}");
        }
    };
    if let Err(problems) = read_drill("any.toml", bytes) {
        sane(problems);
    }
    if let Err(problems) = read_ladder("any.toml", bytes) {
        sane(problems);
    }
}

#[test]
fn a_good_file_cut_short_anywhere_never_panics() {
    for id in ["handstand-hop", "front-handspring", "handstand-deductions"] {
        let text = template(id).expect("it ships").as_bytes();
        for end in (0..text.len()).step_by(7) {
            read_both(&text[..end]);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        read_both(&bytes);
    }

    #[test]
    fn any_text(text in "\\PC{0,200}") {
        read_both(text.as_bytes());
    }

    #[test]
    fn a_good_file_with_bytes_changed(
        changes in proptest::collection::vec((0usize..8000, any::<u8>()), 1..12),
    ) {
        let mut bytes = template("handstand-hop").expect("it ships").as_bytes().to_vec();
        let length = bytes.len();
        for (at, byte) in changes {
            bytes[at % length] = byte;
        }
        read_both(&bytes);
    }

    #[test]
    fn a_good_file_with_lines_moved(order in proptest::collection::vec(0usize..400, 1..60)) {
        let text = template("handspring-floor").expect("it ships");
        let mut lines: Vec<&str> = text.lines().collect();
        let count = lines.len();
        for pair in order.windows(2) {
            lines.swap(pair[0] % count, pair[1] % count);
        }
        read_both(lines.join("\n").as_bytes());
    }

    #[test]
    fn a_good_file_with_values_changed(
        line in 0usize..600,
        value in prop_oneof![
            Just("nan".to_owned()), Just("-inf".to_owned()), Just("1e400".to_owned()),
            Just("99999999999999999999".to_owned()), Just("0x7fff".to_owned()),
            Just("2026-03-14".to_owned()), Just("[[]]".to_owned()), Just("{ a = {} }".to_owned()),
            Just("''".to_owned()), Just("true".to_owned()), "-?[0-9]{1,9}\\.[0-9]{1,9}",
        ],
    ) {
        let text = template("handspring-floor").expect("it ships");
        let lines: Vec<&str> = text.lines().collect();
        let line = line % lines.len();
        let mut spoiled = String::new();
        for (index, old) in lines.iter().enumerate() {
            match old.split_once(" = ") {
                Some((key, _)) if index == line => spoiled.push_str(&format!("{key} = {value}")),
                _ => spoiled.push_str(old),
            }
            spoiled.push('\n');
        }
        read_both(spoiled.as_bytes());
    }
}

/// Files of the largest size that are made to be slow.
#[test]
fn a_megabyte_of_anything_is_answered() {
    let fill = |piece: &str| piece.repeat(SIZE_LIMIT / piece.len());
    let numbered = |line: &dyn Fn(usize) -> String| {
        let mut text = String::new();
        let mut index = 0;
        while text.len() + 200 < SIZE_LIMIT {
            text.push_str(&line(index));
            index += 1;
        }
        text
    };
    let texts = [
        fill("["),
        fill("[[check]]\n"),
        fill("[[rung]]\ndrill = \"a\"\nafter = [\"a\"]\n"),
        fill("a = [\n"),
        fill("{"),
        fill("\""),
        fill("]\n"),
        fill("é"),
        numbered(&|index| format!("key{index} = {index}\n")),
        numbered(&|index| format!("[[rung]]\ndrill = \"r{index}\"\nafter = [\"r{}\"]\n", index + 1)),
        numbered(&|index| format!("[[check]]\nid = \"c{index}\"\nbelow = \"f{index}\"\n")),
        format!("notes = [{}]", fill("\"a\",").trim_end_matches(',')),
        format!("a{} = 1", ".a".repeat(SIZE_LIMIT / 2 - 10)),
        format!("id = \"{}\"", "x".repeat(SIZE_LIMIT - 20)),
    ];
    for text in &texts {
        read_both(text.as_bytes());
    }
}

#[test]
fn control_characters_of_a_file_never_reach_a_message() {
    let text = "id = \"\\u001b]0;x\\u0007\"\n\"\\u001b[2J\" = 1\nview = \"\\u202efrontal\"\n";
    let problems = read_drill("x.toml", text.as_bytes()).expect_err("bad");
    assert!(
        !problems.to_string().chars().any(|c| c.is_control() && c != '\n'),
        "{problems}"
    );
}

#[test]
fn an_unknown_id_of_any_kind_is_an_error_with_a_bound() {
    let catalogue = Catalogue::shipped();
    let error = catalogue.drill(&"x".repeat(10_000)).expect_err("unknown");
    assert!(error.to_string().len() < 20_000);
    assert!(catalogue.ladder("").is_err());
}
