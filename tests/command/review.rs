//! A coach reviews one attempt.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, demo};

#[test]
fn one_attempt_in_words() {
    let bench = Bench::new();
    bench.put("turn-07.json", &demo("b-hands-near-feet"));
    let run = bench.run(&["review", "turn-07.json", "--drill", "handspring-floor"]);
    run.ended(0).quiet();
    let first = run
        .stdout
        .find("FIX FIRST\n  ◆ Hands too near the feet")
        .expect("the fault to fix first");
    let later = run
        .stdout
        .find("Closed shoulders at placement")
        .expect("the later fault");
    assert!(first < later);
    for part in [
        "Say      \"Put your hands a long way out, as far as you can reach.\"",
        "Go to    lunge-kick-to-handstand",
        "Synthetic points (seed 12)",
        "Monte Carlo seed",
        "call emergency help",
    ] {
        assert!(run.stdout.contains(part), "{part}\n{}", run.stdout);
    }
    // What the drill's cautions and those of every review both say is said once.
    let wrist = "Any wrist, elbow or back pain: stop hand-support work that day";
    assert_eq!(run.stdout.matches(wrist).count(), 1);
}

#[test]
fn the_same_attempt_as_json_and_csv() {
    let bench = Bench::new();
    bench.put("turn-07.json", &demo("b-hands-near-feet"));
    let json = bench.run(&["review", "turn-07.json", "--format", "json"]);
    json.ended(0).quiet();
    let review = springline_report::from_json(&json.stdout).expect("its own form");
    assert_eq!(review.fix_first.as_deref(), Some("hands-near-feet"));
    assert_eq!(review.attempt.athlete.as_deref(), Some("K-07"));

    let csv = bench.run(&["review", "turn-07.json", "--format", "csv"]);
    csv.ended(0).quiet();
    let mut table = csv::Reader::from_reader(csv.stdout.as_bytes());
    assert_eq!(
        table.headers().unwrap().iter().collect::<Vec<_>>(),
        springline_report::MEASURE_COLUMNS
    );
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), review.checks.len());
    for (row, check) in rows.iter().zip(&review.checks) {
        assert_eq!(&row[4], check.id);
        assert_eq!(row[11].parse().ok(), check.measured.map(|it| it.value));
        assert_eq!(&row[15], check.verdict.word.as_str());
    }
}

#[test]
fn what_the_coach_gives_goes_before_the_file() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let run = bench.run(&[
        "review",
        "turn.json",
        "--format",
        "json",
        "--athlete",
        "K-99",
        "--date",
        "2026-05-01",
        "--event",
        "hand-placement=0.9",
        "--near",
        "left",
        "--scale",
        "0.003",
        "--cutoff",
        "off",
        "--table",
        "dempster",
        "--spotted",
        "--floor",
        "0,900,1920,900",
        "--sd",
        "2.5",
    ]);
    run.ended(0).quiet();
    let review = springline_report::from_json(&run.stdout).unwrap();
    assert_eq!(review.attempt.athlete.as_deref(), Some("K-99"));
    assert_eq!(review.attempt.date.as_deref(), Some("2026-05-01"));
    let placement = review
        .events
        .iter()
        .find(|event| event.event == "hand_placement")
        .unwrap();
    assert_eq!((placement.time_s, placement.how.as_str()), (0.9, "given"));
    assert_eq!(review.body.near_side, "left");
    assert_eq!(review.body.metres_per_px.unwrap().value, 0.003);
    assert!(review.body.spotted && review.body.floor_marked);
    assert_eq!(review.provenance.cutoff_hz, None);
    assert_eq!(review.provenance.segment_table, "Dempster (Winter 2009)");
    assert_eq!(review.provenance.point_sd, "given, 2.5 px");
}

#[test]
fn the_point_sd_given_is_written_down() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    for (file, options, told) in [
        ("turn.json", &["--sd", "7"][..], "given, 7 px"),
        ("turn.json", &["--sd", "2.4"], "given, 2.4 px"),
        ("turn.json", &[], "given, 1 px"),
    ] {
        let as_form = |form| {
            let run = bench.run(&[&["review", file, "--format", form], options].concat());
            run.ended(0).quiet();
            run.stdout
        };
        let review = springline_report::from_json(&as_form("json")).unwrap();
        assert_eq!(review.provenance.point_sd, told);
        let column = springline_report::MEASURE_COLUMNS
            .iter()
            .position(|column| *column == "point_sd");
        let table = as_form("csv");
        for row in csv::Reader::from_reader(table.as_bytes()).records() {
            assert_eq!(&row.unwrap()[column.unwrap()], told);
        }
        let words = as_form("text").replace("\n  ", " ");
        assert!(words.contains(&format!("point sd: {told}, ")), "{words}");
    }
}

#[test]
fn an_event_of_the_clip_is_never_said_to_be_missing() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let mut unseen = 0;
    for events in [
        &["feet_touchdown=1.19"][..],
        &["hand_departure=1.7", "feet_touchdown=1.7"],
        &["push_off_foot_down=1.07"],
        &["push_off_foot_leaves=0.2", "push_off_foot_down=0.1"],
        &["hand_placement=0.2"],
    ] {
        let mut arguments = vec!["review", "turn.json", "--format", "json"];
        arguments.extend(events.iter().flat_map(|event| ["--event", *event]));
        let run = bench.run(&arguments);
        run.ended(0).quiet();
        let review = springline_report::from_json(&run.stdout).unwrap();
        for check in &review.checks {
            let Some(why) = check.verdict.why.as_ref() else {
                continue;
            };
            unseen += usize::from(check.measured.is_none());
            for event in &review.events {
                let kind = springline_kinematics::EventKind::from_id(&event.event).unwrap();
                let missing = format!("{} not found", kind.words());
                assert!(!why.contains(&missing), "{events:?}: {why}");
            }
        }
    }
    assert!(unseen > 0);
    let run = bench.run(&["review", "turn.json", "--event", "feet_touchdown=1.19"]);
    let why = "Because: feet touchdown comes no later than hand departure, so there is no";
    assert!(run.ended(0).stdout.contains(why), "{}", run.stdout);
}

#[test]
fn check_tells_by_exit_code_whether_the_attempt_is_good() {
    let bench = Bench::new();
    bench.put("clean.json", &demo("a-clean"));
    bench.put("fault.json", &demo("b-hands-near-feet"));
    bench.put("close.json", &demo("e-too-close"));
    for (file, code, word) in [
        ("clean.json", 0, "\nGOOD\n"),
        ("fault.json", 1, "\nNOT YET\n"),
        ("close.json", 1, "\nNOT COUNTED\n"),
    ] {
        let run = bench.run(&["review", file, "--check"]);
        run.ended(code).quiet();
        assert!(run.stdout.contains(word), "{}", run.stdout);
        bench.run(&["review", file]).ended(0).quiet();
    }
}

#[test]
fn a_result_file_appears_whole_or_not_at_all() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let run = bench.run(&["review", "turn.json", "--out", "turn.txt"]);
    run.ended(0).quiet();
    assert_eq!(run.stdout, "");
    let text = bench.get("turn.txt");
    assert!(text.starts_with("Front handspring, floor to floor\n"));

    let again = bench.run(&["review", "turn.json", "--out", "turn.txt"]);
    again.failed("error: turn.txt: found a file that is there already, expected a new file\nhint: another name, or --force to write over it\n");
    assert_eq!(bench.get("turn.txt"), text);
    bench
        .run(&["review", "turn.json", "--out", "turn.txt", "--force", "--format", "csv"])
        .ended(0)
        .quiet();
    assert!(bench.get("turn.txt").starts_with("file,athlete"));
    assert_eq!(bench.names(), ["turn.json", "turn.txt"]);

    let nowhere = bench.run(&["review", "turn.json", "--out", "no/where.txt"]);
    nowhere.failed("error: no/where.txt: cannot be written: there is no folder no\n");
    let folder = bench.run(&["review", "turn.json", "--out", "."]);
    folder.failed("error: .: found a folder, expected a new file\nhint: another name with --out\n");
}

#[test]
fn options_and_output_are_checked_before_the_attempt_is_read() {
    let bench = Bench::new();
    bench.put("there.txt", b"x");
    let run = bench.run(&[
        "review",
        "missing.json",
        "--drill",
        "handspring-floor",
        "--out",
        "there.txt",
    ]);
    run.failed("error: there.txt: found a file that is there already, expected a new file\nhint: another name, or --force to write over it\n");
    let run = bench.run(&["review", "missing.json", "--drill", "handspring-flor"]);
    run.failed(
        "error: unknown drill \"handspring-flor\"; expected an id of the catalogue; did you mean \"handspring-floor\"?\n\
         hint: `springline drills list` shows the ids; a spec file of your own works too\n",
    );
}

#[test]
fn wrong_options_say_what_was_expected() {
    let bench = Bench::new();
    for (option, value, expected) in [
        ("--rate", "0", "expected 1 to 2000"),
        ("--rate", "NaN", "expected a number"),
        ("--size", "1920", "expected width x height in px, such as 1920x1080"),
        ("--floor", "1,2,1,2", "expected two different points"),
        ("--scale", "-1", "expected `gravity` or metres per px"),
        ("--cutoff", "none", "expected Hz, 0.5 to 1000, or `off`"),
        (
            "--event",
            "handplacement=1",
            "unknown event; expected one of push_off_foot_down, hand_placement",
        ),
        ("--event", "hand_placement", "such as hand_placement=0.45"),
        ("--date", "14.3.2026", "expected year-month-day, such as 2026-03-14"),
        ("--sd", "-1", "expected px, 0.01 to 1000, or `clicked` or `pose-model`"),
        ("--sd", "NaN", "expected px, 0.01 to 1000, or"),
        ("--sd", "1e9", "expected px, 0.01 to 1000, or"),
        ("--sd", "0", "expected px, 0.01 to 1000, or `clicked` or `pose-model`"),
        ("--child-age", "3", "expected 4 to 20"),
        ("--table", "winter", "de-leva-female, de-leva-male, dempster"),
    ] {
        let option = format!("{option}={value}");
        let run = bench.run(&["review", "x.json", &option]);
        run.ended(2);
        assert_eq!(run.stdout, "");
        assert!(run.stderr.contains(expected), "{option}: {}", run.stderr);
    }
}

#[test]
fn unreadable_input_names_file_place_found_and_expected() {
    let bench = Bench::new();
    let clean = demo("a-clean");
    bench.put("empty.json", b"");
    bench.put("cut.json", &clean[..clean.len() / 2]);
    bench.put("text.json", b"hello");
    bench.put("nodrill.json", &replaced(&clean, "\"drill\":\"handspring-floor\",", ""));
    bench.put(
        "number.json",
        &replaced(&clean, "\"rate_hz\":60.0", "\"rate_hz\":\"sixty\""),
    );
    let drill = ["--drill", "handspring-floor"];
    for (file, start) in [
        ("missing.json", "error: missing.json: cannot be read: "),
        (
            "empty.json",
            "error: empty.json: found nothing in it, expected keypoints\n",
        ),
        ("cut.json", "error: cut.json: line 1, column "),
        ("text.json", "error: text.json: "),
        ("number.json", "error: number.json: line 1, column "),
    ] {
        let run = bench.run(&["review", file, drill[0], drill[1]]);
        run.ended(2);
        assert_eq!(run.stdout, "");
        assert!(run.stderr.starts_with(start), "{}", run.stderr);
    }
    let run = bench.run(&["review", "nodrill.json"]);
    run.failed(
        "error: nodrill.json: found no drill in the file, expected one; name the drill\n\
         hint: --drill ID; `springline drills list` shows the ids\n",
    );
    assert_eq!(
        bench
            .run(&["review", "nodrill.json", "--drill", "handspring-floor"])
            .code,
        0
    );
}

#[test]
fn common_mistakes_are_met_with_what_to_do() {
    let bench = Bench::new();
    let clean = demo("a-clean");
    bench.put("turn.json", &clean);
    bench.put(
        "turn.mp4",
        b"\0\0\0\x20ftypisom\0\0\x02\0isomiso2avc1mp41\0\0\0\x08free",
    );
    bench.put("club/a.json", &clean);
    bench.put("club/b.json", &clean);
    bench.put("other/note.txt", b"hello");
    bench.put("roster.csv", b"name,age\nA-01,8\n");
    bench
        .run(&["review", "turn.json", "--format", "json", "--out", "review.json"])
        .ended(0);
    bench
        .run(&["review", "turn.json", "--format", "csv", "--out", "review.csv"])
        .ended(0);
    bench.run(&["drills", "copy", "handspring-floor", "mine.toml"]).ended(0);
    let folders = "hint: review takes a folder for one attempt with a JSON file for each frame; `springline batch` reviews \
                   a folder of attempts\n";
    let result = "hint: that is a result of this program; give the attempt that it was made from\n";
    for (attempt, found, hint) in [
        (
            "turn.mp4",
            "error: turn.mp4: found no table of contents (moov), expected one; recording or copying it was not finished\n",
            "",
        ),
        (
            "club",
            "error: club: file names: found names such as \"a.json\" that don't number the frames, expected a different \
             number in each file's name\n",
            folders,
        ),
        (
            "other",
            "error: other: found a folder without .json files, expected keypoints in a known form, or in one that a \
             layout file describes\n",
            folders,
        ),
        (
            "review.json",
            "error: review.json: found JSON: an object with springline-review, ",
            result,
        ),
        (
            "review.csv",
            "error: review.csv: found a table with the columns file, athlete, ",
            result,
        ),
        (
            "roster.csv",
            "error: roster.csv: found a table with the columns name, age, not those of body points, expected frame, point, \
             x and y (a row for each point), or frame and pairs such as left_hip_x and left_hip_y for four points or more \
             (a row for each frame)\n",
            "hint: describe it in a layout file and give that with --layout; `springline schema layout` has its form\n",
        ),
        (
            "mine.toml",
            "error: mine.toml: found a table with the columns # Front handspring",
            "hint: a drill is given with --drill, a layout file with --layout\n",
        ),
    ] {
        let run = bench.run(&["review", attempt, "--drill", "handspring-floor"]);
        run.ended(2);
        assert_eq!(run.stdout, "");
        assert!(
            run.stderr.starts_with(found) && run.stderr.ends_with(hint),
            "{}",
            run.stderr
        );
    }
    for (options, error) in [
        (
            ["--person", "3"],
            "error: turn.json: person 3 was asked for, but only 1 person is in view\n\
             hint: people are counted from 1 in order of appearance\n",
        ),
        (
            ["--from", "5"],
            "error: turn.json: found no frame from 5 s to 2.458 s, expected times within 0.008 s to 2.458 s\n",
        ),
        (
            ["--event", "hand_placement=99"],
            "error: turn.json: event hand_placement: found 99 s, expected a time of the clip, 0.008 s to 2.458 s\n",
        ),
    ] {
        bench
            .run(&["review", "turn.json", options[0], options[1]])
            .failed(error);
    }
    // An event of the file is refused likewise; one that a stretch leaves out is told.
    let own = replaced(
        &clean,
        "\"facing\":\"right\"",
        "\"events\":{\"settled\":2.4},\"facing\":\"right\"",
    );
    bench.put("own.json", &own);
    bench.run(&["review", "own.json"]).ended(0);
    let cut = bench.run(&["review", "own.json", "--to", "2.2"]);
    assert!(
        cut.ended(0)
            .stdout
            .contains("Note: the event \"settled\" of the file lies outside the stretch and was left"),
        "{}",
        cut.stdout
    );
    bench.put("late.json", &replaced(&own, "\"settled\":2.4", "\"settled\":24"));
    bench
        .run(&["review", "late.json"])
        .failed("error: late.json: event settled: found 24 s, expected a time of the clip, 0.008 s to 2.458 s\n");
}

#[test]
fn a_layout_whose_places_are_not_in_the_file_is_told() {
    let bench = Bench::new();
    bench.put("turn.json", br#"{"clip": [{"j": [[1, 2], [3, 4]]}]}"#);
    bench.put(
        "own.toml",
        b"format = \"springline-layout\"\nversion = 1\nname = \"own\"\npoints = [\"left_hip\", \"left_knee\"]\n\
          [json]\nframes = \"clip[*]\"\npoints = \"joints\"\n",
    );
    bench
        .run(&[
            "review",
            "turn.json",
            "--layout",
            "own.toml",
            "--drill",
            "handspring-floor",
        ])
        .failed(
            "error: turn.json: json.points: `joints` leads nowhere; a person has j\n\
             hint: `springline schema layout` says what each place of a layout file means\n",
        );
}

/// The times of the file are rounded; its frame rate isn't.
#[test]
fn the_frame_rate_is_the_one_that_the_file_says() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let run = bench.run(&["review", "turn.json", "--format", "json"]);
    let review: serde_json::Value = serde_json::from_str(&run.ended(0).stdout).unwrap();
    assert_eq!(review["attempt"]["rate_hz"], serde_json::json!(60.0));
}

#[test]
fn a_closed_pipe_ends_quietly() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let run = bench.run_into_closed_pipe(&["review", "turn.json", "--format", "json"]);
    run.ended(0).quiet();
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_an_error() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let run = bench.run_into("/dev/full", &["review", "turn.json"]);
    run.failed("error: stdout: cannot be written: No space left on device (os error 28)\n");
}

fn replaced(bytes: &[u8], from: &str, to: &str) -> Vec<u8> {
    let text = std::str::from_utf8(bytes).unwrap();
    assert!(text.contains(from), "{from}");
    text.replace(from, to).into_bytes()
}
