//! A coach marks a camera set-up once and uses it for every clip filmed from there.

#![allow(clippy::unwrap_used)]

mod bench;
mod club;
mod turn;

use bench::{Bench, root};
use club::{DRILL, fill, rows};
use serde_json::{Value, json};
use turn::{bare, put, review};

/// A set-up of the fixtures.
fn setup(name: &str) -> Vec<u8> {
    std::fs::read(root().join("fixtures/setups").join(name)).unwrap()
}

/// The clean demo attempt with nothing given but its drill.
fn unmarked() -> Value {
    let mut file = bare("a-clean");
    file["given"] = json!({"drill": "handspring-floor"});
    file
}

#[test]
fn one_file_marks_a_clip() {
    let bench = Bench::new();
    put(&bench, &unmarked());
    bench.put("hall.toml", &setup("good/hall.toml"));
    let plain = review(&bench, &[]);
    assert!(!plain.body.floor_marked && plain.body.metres_per_px.is_none() && plain.body.camera_setup.is_none());

    let marked = review(&bench, &["--setup", "hall.toml"]);
    let body = &marked.body;
    let used = body.camera_setup.as_ref().unwrap();
    assert_eq!(
        (used.name.as_str(), used.file.as_str()),
        ("hall, long side", "hall.toml")
    );
    assert_eq!(used.gave, ["floor line", "known length", "facing"]);
    assert!(used.gave_way.is_empty() && used.picture_size_known && used.enlarged == 1.0);
    assert!(body.floor_marked);
    assert_eq!(
        (body.facing.as_deref(), body.facing_how.as_str()),
        (Some("right"), "given")
    );
    assert!((body.metres_per_px.unwrap().value - 1.2 / 420.0).abs() < 1e-9);
    assert_eq!(
        body.scale_from.as_deref(),
        Some("from a known length of 1.2 m in the camera set-up")
    );

    // The same marks as options give the same numbers.
    let options = review(
        &bench,
        &[
            "--floor",
            "100,900,1820,900",
            "--facing",
            "right",
            "--known-length",
            "1.2=300,900,720,900",
        ],
    );
    for (one, other) in marked.checks.iter().zip(&options.checks) {
        assert_eq!(
            one.measured.map(|measured| measured.value),
            other.measured.map(|measured| measured.value),
            "{}",
            one.id
        );
    }
    let text = bench.run(&["review", "turn.json", "--setup", "hall.toml"]);
    text.ended(0).quiet();
    let text = text.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains("floor line from the camera set-up; scale 2.86 ± 0.03 mm per px, from a known length of 1.2 m in the camera set-up."),
        "{text}"
    );
    assert!(
        text.contains("From the camera set-up hall, long side (hall.toml): floor line, known length, facing."),
        "{text}"
    );
}

#[test]
fn options_go_before_the_attempts_own_and_that_before_the_set_up() {
    let bench = Bench::new();
    let mut own = unmarked();
    own["given"]["metres_per_px"] = json!(0.0028);
    own["given"]["facing"] = json!("right");
    put(&bench, &own);
    bench.put("hall.toml", &setup("good/hall.toml"));
    let found = review(&bench, &["--setup", "hall.toml"]);
    let used = found.body.camera_setup.as_ref().unwrap();
    assert_eq!(used.gave, ["floor line"]);
    assert_eq!(used.gave_way, ["known length", "facing"]);
    assert_eq!(found.body.metres_per_px.unwrap().value, 0.0028);
    assert_eq!(found.body.scale_from.as_deref(), Some("given"));
    assert!(found.body.scale_checks.iter().all(|check| check.against == "gravity"));

    let found = review(
        &bench,
        &[
            "--setup",
            "hall.toml",
            "--scale",
            "0.0029",
            "--floor",
            "100,905,1820,905",
        ],
    );
    let used = found.body.camera_setup.as_ref().unwrap();
    assert!(used.gave.is_empty() && used.gave_way.len() == 3, "{used:?}");
    assert_eq!(found.body.metres_per_px.unwrap().value, 0.0029);
    let text = bench.run(&[
        "review",
        "turn.json",
        "--setup",
        "hall.toml",
        "--floor",
        "100,905,1820,905",
    ]);
    let words = text.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("; not used, as given for the attempt: floor line"),
        "{words}"
    );
    assert!(words.contains("floor line marked; scale 2.80"), "{words}");
}

#[test]
fn marks_follow_the_size_of_the_clip_and_not_its_shape() {
    let bench = Bench::new();
    bench.put("hall.toml", &setup("good/hall.toml"));
    let mut half = unmarked();
    half["picture"] = json!({"width": 960, "height": 540});
    half["sd"] = json!({"kind": "given", "px": 0.5});
    for frame in half["frames"].as_array_mut().unwrap() {
        for number in frame["points"]
            .as_array_mut()
            .unwrap()
            .iter_mut()
            .flat_map(|point| point.as_array_mut())
            .flatten()
        {
            *number = json!(number.as_f64().unwrap() / 2.0);
        }
    }
    put(&bench, &half);
    let small = review(&bench, &["--setup", "hall.toml"]);
    put(&bench, &unmarked());
    let large = review(&bench, &["--setup", "hall.toml"]);
    assert_eq!(small.body.camera_setup.as_ref().unwrap().enlarged, 0.5);
    assert_eq!(small.outcome, large.outcome);
    for (one, other) in small.checks.iter().zip(&large.checks) {
        let (a, b) = (one.measured.unwrap().value, other.measured.unwrap().value);
        assert!((a - b).abs() < 1e-6 * b.abs().max(1.0), "{}: {a} {b}", one.id);
    }

    let mut upright = unmarked();
    upright["picture"] = json!({"width": 1080, "height": 1920});
    put(&bench, &upright);
    bench.run(&["review", "turn.json", "--setup", "hall.toml"]).failed(
        "error: turn.json: found a picture of 1080 x 1920 px, expected one of the same shape as that of the set-up hall.toml, \
         1920 x 1080 px\nhint: mark a set-up of its own for clips of that shape\n",
    );

    // A clip that does not say its size is taken as it is, and said so; one that reaches out of the picture is not.
    let mut unsaid = unmarked();
    unsaid.as_object_mut().unwrap().remove("picture");
    put(&bench, &unsaid);
    let taken = bench.run(&["review", "turn.json", "--setup", "hall.toml"]);
    taken.ended(0).quiet();
    let words = taken.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("the clip does not say its picture's size, so its px were taken for those of the set-up"));
    bench.put("small.toml", &setup("good/surfaces.toml"));
    let refused = bench.run(&["review", "turn.json", "--setup", "small.toml"]);
    refused.ended(2);
    assert!(
        refused.stderr.contains(
            "and no picture size, expected points within the picture of the set-up small.toml, 1280 x 720 px"
        ) && refused.stderr.ends_with("hint: --size WIDTHxHEIGHT\n"),
        "{}",
        refused.stderr
    );
}

#[test]
fn a_batch_uses_one_for_all_and_a_manifest_one_for_each() {
    let bench = Bench::new();
    for index in 0..3 {
        bench.put(&format!("clips/turn-{index}.json"), unmarked().to_string().as_bytes());
    }
    bench.put("hall.toml", &setup("good/hall.toml"));
    bench.put("marks/corner.toml", &setup("good/two-lengths.toml"));
    let batch = [
        "batch",
        "clips",
        DRILL[0],
        DRILL[1],
        "--setup",
        "hall.toml",
        "--out",
        "out",
    ];
    bench.run(&batch).ended(0).quiet();
    let table = rows(&bench.get("out/attempts.csv"));
    assert!(table.iter().all(|row| row["camera_setup"] == "hall, long side"));
    assert!(
        table
            .iter()
            .all(|row| row["scale_from"] == "from a known length of 1.2 m in the camera set-up")
    );
    // Nothing changed: kept. Marked anew: reviewed again into the same folder.
    assert!(bench.run(&batch).ended(0).stdout.contains("3 kept from before"));
    let moved = String::from_utf8(setup("good/hall.toml"))
        .unwrap()
        .replace("720", "700");
    bench.put("hall.toml", moved.as_bytes());
    assert!(
        bench
            .run(&batch)
            .ended(0)
            .stdout
            .starts_with("3 attempts: 3 reviewed\n")
    );

    bench.put(
        "list.csv",
        b"file,setup\nclips/turn-0.json,marks/corner.toml\nclips/turn-1.json,\nclips/turn-2.json,marks/none.toml\n",
    );
    let list = [
        "batch",
        "list.csv",
        DRILL[0],
        DRILL[1],
        "--setup",
        "hall.toml",
        "--out",
        "list",
    ];
    let run = bench.run(&list);
    run.ended(3);
    let table = rows(&bench.get("list/attempts.csv"));
    let named: Vec<&str> = table.iter().map(|row| row["camera_setup"].as_str()).collect();
    assert_eq!(named, ["corner of the hall", "hall, long side", ""]);
    assert!(
        table[2]["error"].starts_with("clips/turn-2.json: line 4 of the manifest: marks/none.toml: cannot be read"),
        "{}",
        table[2]["error"]
    );
}

#[test]
fn bad_set_ups_are_told_at_once_before_anything_is_read() {
    let bench = Bench::new();
    fill(&bench, "clips", 1);
    bench.put("bad.toml", &setup("bad/misspelt.toml"));
    for command in [
        &["review", "clips/turn-00.json", "--setup", "bad.toml"][..],
        &["batch", "clips", "--out", "out", "--setup", "bad.toml"],
    ] {
        let run = bench.run(command);
        run.ended(2);
        assert_eq!(
            run.stderr
                .lines()
                .filter(|line| line.starts_with("error: bad.toml: line "))
                .count(),
            5
        );
        assert!(
            run.stderr
                .ends_with("hint: `springline setup example` shows what a set-up file holds\n")
        );
    }
    assert!(!bench.path("out").exists());
    // A set-up is read, so nothing is written over it.
    bench.put("hall.toml", &setup("good/hall.toml"));
    let over = bench.run(&[
        "review",
        "clips/turn-00.json",
        "--setup",
        "hall.toml",
        "--out",
        "hall.toml",
        "--force",
    ]);
    over.ended(2);
    assert_eq!(bench.get("hall.toml").as_bytes(), setup("good/hall.toml"));
    bench
        .run(&["review", "clips/turn-00.json", "--setup", "nowhere.toml"])
        .ended(2);
}

#[test]
fn an_example_to_start_from_and_a_check() {
    let bench = Bench::new();
    let example = bench.run(&["setup", "example"]);
    example.ended(0).quiet();
    let written = bench.run(&["setup", "example", "mine.toml"]);
    written.ended(0).quiet();
    assert_eq!(
        written.stdout,
        "wrote mine.toml\nnext: put your own marks in it, then `springline setup check mine.toml` and `--setup mine.toml`\n"
    );
    assert_eq!(bench.get("mine.toml"), example.stdout);
    bench.run(&["setup", "example", "mine.toml"]).ended(2);
    bench.run(&["setup", "example", "mine.toml", "--force"]).ended(0);

    bench.put("corner.toml", &setup("good/two-lengths.toml"));
    bench.put("bad.toml", &setup("bad/cm.toml"));
    let check = bench.run(&["setup", "check", "mine.toml", "corner.toml", "bad.toml"]);
    assert_eq!(
        check.stdout,
        "mine.toml: no problems\n  hall, long side, marked on 1920 x 1080 px\n  floor line tilted by -0.24° ± 0.14°\n  \
         scale 2.857 ± 0.041 mm per px, from a known length of 1.2 m\n\
         corner.toml: no problems\n  corner of the hall, marked on 1920 x 1080 px\n  floor line tilted by 0.00° ± 0.14°\n  \
         scale 2.941 ± 0.038 mm per px, from a known length of 1 m\n  by the two lengths the camera is 16° ± 1° off square to \
         the run, its right end farther away: turn the camera, or move it, until both look the same, and mark again\n"
    );
    assert_eq!(check.code, 2);
    assert_eq!(
        check.stderr,
        "error: bad.toml: line 7, column 5: found 120 m, expected a number, 0.05 to 30 m\n"
    );
}
