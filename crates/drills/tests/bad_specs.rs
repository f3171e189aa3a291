//! Each file of `fixtures/drills/bad` says in its first lines what is wrong with it and where.

use std::path::{Path, PathBuf};

use springline_drills::{Catalogue, Error, Problems, SIZE_LIMIT, read_drill, read_ladder};

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/drills/bad")
}

/// The problems that a file announces, as `line:column: message`.
fn announced(text: &str) -> Vec<String> {
    let lines = text.lines().map_while(|line| line.strip_prefix("# expect "));
    lines.map(str::to_owned).collect()
}

#[test]
fn every_bad_file_has_exactly_the_problems_that_it_announces() {
    let catalogue = Catalogue::shipped();
    let mut count = 0;
    let mut troubles = Vec::new();
    let mut paths: Vec<PathBuf> = std::fs::read_dir(fixtures())
        .expect("the folder of bad specs")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    for path in paths {
        let text = std::fs::read_to_string(&path).expect("readable");
        let expected = announced(&text);
        assert!(!expected.is_empty(), "{} announces nothing", path.display());
        let found: Vec<String> = match catalogue.check_file(&path) {
            Ok(()) => Vec::new(),
            Err(Error::Spec { problems }) => problems
                .list()
                .iter()
                .map(|problem| {
                    let line = problem.to_string();
                    let file = format!("{}:", path.display());
                    line.strip_prefix(&file).expect("begins with the file").to_owned()
                })
                .collect(),
            Err(other) => vec![other.to_string()],
        };
        if found != expected {
            troubles.push(format!(
                "{}\n  expected\n    {}\n  found\n    {}",
                path.display(),
                expected.join("\n    "),
                found.join("\n    ")
            ));
        }
        count += 1;
    }
    assert!(troubles.is_empty(), "{}", troubles.join("\n"));
    assert!(count >= 70, "only {count} bad specs");
}

fn only(problems: &Problems) -> String {
    assert_eq!(problems.list().len(), 1, "{problems}");
    problems.to_string()
}

#[test]
fn an_empty_file_lacks_every_key() {
    let problems = read_drill("empty.toml", b"").expect_err("empty");
    let missing: Vec<&str> = problems.list().iter().map(|problem| problem.found.as_str()).collect();
    assert_eq!(
        missing,
        [
            "no \"id\"",
            "no \"title\"",
            "no \"purpose\"",
            "no \"skill\"",
            "no \"version\"",
            "no \"author\"",
            "no \"view\"",
            "no \"setup\"",
            "no \"events\"",
            "no \"check\"",
        ]
    );
    assert!(
        problems
            .list()
            .iter()
            .all(|problem| (problem.line, problem.column) == (1, 1))
    );
    let problems = read_ladder("empty.toml", b"").expect_err("empty");
    assert_eq!(problems.list().len(), 6);
}

#[test]
fn what_is_not_utf_8_is_named_with_its_place() {
    let problems = read_drill("latin.toml", b"id = \"x\"\ntitle = \"\xe9\"").expect_err("not UTF-8");
    assert_eq!(
        only(&problems),
        "latin.toml:2:10: byte 0xE9, which is not UTF-8 text; expected a text file saved as UTF-8"
    );
}

#[test]
fn a_file_over_a_megabyte_is_refused() {
    let problems = read_drill("big.toml", &vec![b'#'; SIZE_LIMIT + 1]).expect_err("too large");
    assert_eq!(
        only(&problems),
        "big.toml:1:1: a file of more than 1048576 bytes; expected a spec of at most 1 MB"
    );
}

#[test]
fn a_byte_order_mark_is_no_problem() {
    let text = springline_drills::template("handstand-hop").expect("it ships");
    let drill = read_drill("bom.toml", format!("\u{feff}{text}").as_bytes()).expect("readable");
    assert_eq!(drill.id, "handstand-hop");
}

#[test]
fn windows_line_ends_are_no_problem() {
    let text = springline_drills::template("handstand-hop").expect("it ships");
    let drill = read_drill("crlf.toml", text.replace('\n', "\r\n").as_bytes()).expect("readable");
    assert_eq!(drill.checks.len(), 10);
}
