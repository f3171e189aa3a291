//! The text of a saved review, letter by letter.

use springline_report::{Review, Style, from_json, text};

fn saved() -> Review {
    from_json(include_str!("one.review.json")).expect("saved by this version")
}

#[test]
fn text_is_as_it_was_read_over() {
    assert_eq!(text(&saved(), Style::PLAIN), include_str!("one.review.txt"));
}

#[test]
fn lines_keep_to_the_page_and_emphasis_adds_only_escapes() {
    let plain = text(&saved(), Style::PLAIN);
    for line in plain.lines() {
        assert!(line.chars().count() <= 80, "{line}");
        assert_eq!(line.trim_end(), line);
    }
    let dressed = text(&saved(), Style::EMPHASIS);
    assert_ne!(dressed, plain);
    let undressed = ["\u{1b}[1m", "\u{1b}[2m", "\u{1b}[0m"]
        .into_iter()
        .fold(dressed, |text, escape| text.replace(escape, ""));
    assert_eq!(undressed, plain);
}

#[test]
fn words_of_a_file_cannot_command_the_terminal() {
    let mut review = saved();
    review.attempt.athlete = Some("\u{1b}]0;owned\u{7}K-07\nFIX NOTHING".to_owned());
    review.attempt.file = "a\rb.json".to_owned();
    let plain = text(&review, Style::PLAIN);
    assert!(!plain.contains(['\u{1b}', '\r', '\u{7}']));
    assert!(plain.contains("\\u{1b}]0;owned\\u{7}K-07\\u{a}FIX NOTHING"));
}

#[test]
fn a_long_word_is_cut_and_every_verdict_has_its_place() {
    use springline_report::Word;
    let mut review = saved();
    review.attempt.file = "x".repeat(300);
    review.checks[0].verdict.word = Word::TooClose;
    review.checks[0].verdict.outside = Some(0.397);
    review.checks[0].verdict.why = Some("a marked floor line (it was assumed level)".to_owned());
    review.checks[1].verdict.word = Word::NotSeen;
    review.checks[1].verdict.outside = None;
    review.checks[1].verdict.why = Some("left toe not seen in any frame".to_owned());
    review.checks[1].measured = None;
    review.checks[2].deduction = Some(springline_report::deduction_entry(0.3, false, "a table [R]"));
    review.checks[3].deduction = Some(springline_report::deduction_entry(0.2, true, "another [R2]"));
    let plain = text(&review, Style::PLAIN);
    assert!(plain.lines().all(|line| line.chars().count() <= 80));
    for part in [
        "TOO CLOSE TO CALL\n  ◐ Long lunge (40 % likely outside its band)\n    Would settle it: a marked floor line (it was assumed level).",
        "NOT SEEN\n  ○ Hands far ahead of the push-off foot\n    Because: left toe not seen in any frame.",
        "DEDUCTIONS OF A PUBLISHED TABLE\n  This is what a published table would deduct. It is not a judge's score.",
        " 0.30\n      a table [R]",
        " up to 0.20\n      another [R2]",
    ] {
        assert!(plain.contains(part), "{part}\n{plain}");
    }
}

#[test]
fn another_form_is_refused() {
    let later = include_str!("one.review.json").replacen("\"springline-review\": 1", "\"springline-review\": 2", 1);
    let error = from_json(&later).expect_err("a later form");
    assert_eq!(error.to_string(), "form 2 of a review, expected 1");
}

#[test]
fn a_short_line_names_its_band() {
    let short = springline_report::in_short(&saved(), Style::PLAIN);
    for check in saved().checks.iter().filter(|check| check.measured.is_some()) {
        let bound = match (check.band.at_least, check.band.at_most) {
            (Some(low), Some(high)) => format!("; between {low} and {high}"),
            (Some(low), None) => format!("; at least {low}"),
            (None, Some(high)) => format!("; at most {high}"),
            (None, None) => continue,
        };
        let line = short.lines().skip_while(|line| !line.contains(&check.title)).take(2);
        assert!(line.collect::<String>().contains(&bound), "{}: {short}", check.title);
    }
    assert!(short.lines().all(|line| line.chars().count() <= 80));
}
