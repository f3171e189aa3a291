//! What README shows is what the project does: programs, files, commands.

#![allow(clippy::unwrap_used)]

#[path = "../../examples/as_library.rs"]
#[allow(dead_code, reason = "its `main` prints")]
mod as_library;
mod bench;

use bench::{Bench, demo, root};
use serde_json::{Value, json};
use springline_drills::Catalogue;
use springline_keypoints::{ImportOptions, Layout, import_bytes};
use springline_kinematics::{EventKind, Landmark, Measure};
use springline_report::{ATTEMPT_COLUMNS, MEASURE_COLUMNS};

fn readme() -> String {
    std::fs::read_to_string(root().join("README.md")).unwrap()
}

/// The first block of that language after a text.
fn block(after: &str, language: &str) -> String {
    let readme = readme();
    let (_, rest) = readme.split_once(after).unwrap_or_else(|| panic!("README: {after}"));
    let (_, rest) = rest.split_once(&format!("\n```{language}\n")).unwrap();
    let (inside, _) = rest.split_once("\n```\n").unwrap();
    format!("{inside}\n")
}

#[test]
fn the_program_in_the_readme_is_the_example() {
    let example = std::fs::read_to_string(root().join("examples/as_library.rs")).unwrap();
    let (_, code) = example
        .split_once("#![allow(clippy::print_stdout, clippy::print_stderr)]\n\n")
        .unwrap();
    assert_eq!(block("## As a library", "rust"), code);
}

#[test]
fn the_program_in_the_readme_finds_what_the_command_finds() {
    let review = as_library::reviewed(&root().join("fixtures/demo/b-hands-near-feet.json")).unwrap();
    assert_eq!(review.outcome.word, "not yet");
    assert_eq!(review.fix_first.as_deref(), Some("hands-near-feet"));
    let sure = review
        .checks
        .iter()
        .find(|check| check.id == "hands-ahead-of-foot")
        .unwrap();
    assert!(sure.measured.is_some() && sure.verdict.outside.unwrap() > 0.99);

    let bench = Bench::new();
    bench.put("b.json", &demo("b-hands-near-feet"));
    let run = bench.run(&["review", "b.json", "--drill", "handspring-floor", "--format", "json"]);
    let printed = springline_report::from_json(&run.ended(0).stdout).unwrap();
    assert_eq!(printed.checks, review.checks);
    assert_eq!(printed.faults, review.faults);
}

/// The crates that README says to depend on are those that its program uses, and they are where it says.
#[test]
fn the_dependencies_in_the_readme_are_there() {
    let (wanted, code) = (block("## As a library", "toml"), block("## As a library", "rust"));
    let mut found = 0;
    for line in wanted.lines().filter(|line| line.starts_with("springline-")) {
        let (name, rest) = line.split_once(" = { path = \"../springline/").unwrap();
        let manifest = root().join(rest.trim_end_matches("\" }")).join("Cargo.toml");
        let text = std::fs::read_to_string(&manifest).unwrap_or_else(|error| panic!("{}: {error}", manifest.display()));
        assert!(text.contains(&format!("name = \"{name}\"\n")), "{name}");
        assert!(code.contains(&format!("use {}::", name.replace('-', "_"))), "{name}");
        found += 1;
    }
    assert_eq!(found, code.matches("use springline_").count());
}

const LAYOUT: &str = "### A layout file for a form of your own";

#[test]
fn the_layout_file_in_the_readme_reads_the_frame_beside_it() {
    let options = ImportOptions {
        layout: Some(Layout::from_toml("club-camera.toml", &block(LAYOUT, "toml")).unwrap()),
        ..ImportOptions::default()
    };
    let attempt = import_bytes("film.json", block(LAYOUT, "json").as_bytes(), &options).unwrap();
    assert_eq!(attempt.tracks.times, [0.2]);
    let at = |landmark| attempt.tracks.at(landmark, 0).map(|point| (point.x, point.y));
    assert_eq!(at(Landmark::Nose), Some((880.0, 352.0)));
    assert_eq!(at(Landmark::RightAnkle), Some((800.0, 852.0)));
    assert_eq!(at(Landmark::RightWrist), None);
}

/// A demo attempt written in the form of README's frame comes out as the attempt does, by the command that README gives.
#[test]
fn the_layout_file_in_the_readme_reviews_a_film() {
    let layout = block(LAYOUT, "toml");
    let (_, list) = layout.split_once("points = [").unwrap();
    let (list, _) = list.split_once(']').unwrap();
    let (_, list) = list.split_once('\n').unwrap(); // past the comment
    let wanted: Vec<&str> = list.split('"').skip(1).step_by(2).collect();
    assert_eq!(wanted.len(), 13);

    let attempt: Value = serde_json::from_slice(&demo("b-hands-near-feet")).unwrap();
    let names: Vec<&str> = attempt["points"]
        .as_array()
        .unwrap()
        .iter()
        .map(|name| name.as_str().unwrap())
        .collect();
    let frames: Vec<Value> = attempt["frames"]
        .as_array()
        .unwrap()
        .iter()
        .enumerate()
        .map(|(number, frame)| {
            let points: Vec<Value> = wanted
                .iter()
                .map(|name| {
                    let point = &frame["points"][names.iter().position(|other| other == name).unwrap()];
                    if point.is_null() {
                        json!([-1, -1, 0])
                    } else {
                        json!([point[0], point[1], 95])
                    }
                })
                .collect();
            json!({"no": number, "ms": 1000.0 * frame["t"].as_f64().unwrap(), "people": [{"id": 1, "pts": points}]})
        })
        .collect();
    let film = json!({"film": {"w": 1920, "h": 1080}, "frames": frames});

    let bench = Bench::new();
    bench.put("club-camera.toml", layout.as_bytes());
    bench.put("film.json", film.to_string().as_bytes());
    let command = "review film.json --layout club-camera.toml --drill handspring-floor";
    assert!(readme().contains(&format!("\n    springline {command}\n")));
    let mut arguments: Vec<&str> = command.split(' ').collect();
    arguments.extend(["--sd", "1", "--format", "json"]);
    let review = springline_report::from_json(&bench.run(&arguments).ended(0).stdout).unwrap();
    assert_eq!(review.provenance.layout, "club-camera");
    assert_eq!(review.attempt.frames, frames.len());
    assert_eq!(review.outcome.word, "not yet");
    assert_eq!(review.fix_first.as_deref(), Some("hands-near-feet"));
}

const OWN_DRILL: &str = "## Add an angle check to a drill";

/// The commands in the order of README, with README's check at the end of the copy.
#[test]
fn the_check_in_the_readme_can_be_added() {
    let readme = readme();
    let (_, section) = readme.split_once(OWN_DRILL).unwrap();
    let bench = Bench::new();
    bench.put("turn-07.json", &demo("a-clean"));
    let mut ran = Vec::new();
    for line in section.lines().take_while(|line| !line.starts_with("```")) {
        let Some(command) = line.strip_prefix("    springline ") else {
            continue;
        };
        let (command, _) = command.split_once(" #").unwrap_or((command, ""));
        let arguments: Vec<&str> = command.split_whitespace().collect();
        let run = bench.run(&arguments);
        run.ended(0);
        if arguments[1] == "copy" {
            let copy = bench.get("my-handspring.toml");
            assert!(copy.contains("\nauthor = \"your name\"\n") && copy.contains("\"After handspring-floor, version"));
            bench.put(
                "my-handspring.toml",
                format!("{copy}\n{}", block(OWN_DRILL, "toml")).as_bytes(),
            );
        }
        ran.push((arguments[..2].join(" "), run));
    }
    let commands: Vec<&str> = ran.iter().map(|(command, _)| command.as_str()).collect();
    let explain = "drills explain";
    assert_eq!(
        commands,
        ["drills copy", "drills check", explain, "review turn-07.json", explain]
    );
    assert_eq!(
        ran[1].1.stdout,
        "my-handspring.toml: no problems; the author is still \"your name\", put yours there\n"
    );
    assert!(ran[2].1.stdout.contains("Pointed feet in the air"));
    assert!(ran[3].1.stdout.contains("Pointed feet in the air"));
    assert!(ran[4].1.stdout.contains("Proves: "));
}

#[test]
fn the_tables_of_measures_are_those_of_the_catalogue() {
    let readme = readme();
    let layouts = Layout::builtins();
    let allowed: Vec<_> = layouts.iter().map(Layout::measures_allowed).collect();
    let mut head = "| measure |".to_owned();
    for layout in &layouts {
        head += &format!(" {} |", layout.name());
    }
    assert!(readme.contains(&format!("\n{head}\n")), "{head}");
    for measure in Measure::ALL {
        let mut row = format!("| {} |", measure.words());
        for allowed in &allowed {
            row += if allowed.contains(measure) { " yes |" } else { " – |" };
        }
        assert!(readme.contains(&format!("\n{row}\n")), "{row}");
        let row = format!(
            "| {} (`{}`) | {} |",
            measure.words(),
            measure.id(),
            measure.definition()
        );
        assert!(readme.contains(&format!("\n{row}\n")), "{row}");
    }
}

/// Columns as README lists them, left to right; `hand_placement_s` stands for the times of all events.
#[test]
fn the_columns_of_the_tables_are_told() {
    let readme = readme();
    let (_, section) = readme.split_once("### The tables").unwrap();
    let (section, _) = section.split_once("\n## ").unwrap();
    let told: Vec<&str> = section
        .lines()
        .filter_map(|line| line.strip_prefix("| `"))
        .flat_map(|line| line.split(" |").next().unwrap().trim_end_matches('`').split("`, `"))
        .map(|column| column.trim_end_matches("` and so on"))
        .collect();
    let columns: Vec<&str> = MEASURE_COLUMNS
        .iter()
        .copied()
        .chain(ATTEMPT_COLUMNS.iter().map(String::as_str))
        .collect();
    let is_event = |column: &str| EventKind::from_id(column.trim_end_matches("_s")).is_some();
    for column in columns.iter().filter(|column| !is_event(column)) {
        assert!(told.contains(column), "README does not tell what {column} is");
    }
    for column in told {
        assert!(
            columns.contains(&column),
            "README tells of {column}, which is in neither table"
        );
    }
}

#[test]
fn as_many_drills_ship_as_the_readme_says() {
    let catalogue = Catalogue::shipped();
    let rungs = catalogue.ladder("front-handspring").unwrap().rungs.len();
    assert_eq!((catalogue.drill_ids().len(), rungs), (25, 18));
    assert!(readme().contains("Twenty-five drills ship: the ladder to the front handspring (eighteen rungs)"));
}
