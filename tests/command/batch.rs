//! A coach reviews a folder of attempts.

#![allow(clippy::unwrap_used)]

mod bench;
mod club;

use bench::{Bench, demo, names_in};
use club::{DRILL, TABLES, fill, frames_into, rows};

#[test]
fn a_folder_becomes_two_tidy_tables() {
    let bench = Bench::new();
    fill(&bench, "club", 5);
    bench.put("club/monday/turn.json", &demo("a-clean"));
    bench.put("club/notes.txt", b"not an attempt");
    bench.put("club/.hidden.json", b"not an attempt");
    let run = bench.run(&["batch", "club", DRILL[0], DRILL[1], "--out", "club/tables"]);
    run.ended(0).quiet();
    assert_eq!(
        run.stdout,
        "6 attempts: 6 reviewed\n        2  good\n        1  not counted\n        3  not yet\n\
         wrote club/tables/measures.csv\nwrote club/tables/attempts.csv\n"
    );
    let attempts = rows(&bench.get("club/tables/attempts.csv"));
    let files: Vec<&str> = attempts.iter().map(|row| row["file"].as_str()).collect();
    assert_eq!(
        files,
        [
            "monday/turn.json",
            "turn-00.json",
            "turn-01.json",
            "turn-02.json",
            "turn-03.json",
            "turn-04.json"
        ]
    );
    assert_eq!(attempts[2]["fix_first"], "hands-near-feet");
    assert_eq!(attempts[2]["athlete"], "K-07");
    for row in &attempts {
        for column in [
            "program",
            "drill_sha256",
            "layout",
            "segment_table",
            "cutoff_hz",
            "point_sd",
            "monte_carlo_seed",
        ] {
            assert!(!row[column].is_empty(), "{column}");
        }
    }
    let measures = rows(&bench.get("club/tables/measures.csv"));
    let of_first = measures.iter().filter(|row| row["file"] == "turn-00.json").count();
    assert_eq!(measures.len(), 6 * of_first);
    // A row says what the review of that attempt says.
    let review = bench.run(&["review", "club/turn-01.json", "--format", "json"]);
    let review = springline_report::from_json(&review.stdout).unwrap();
    for check in &review.checks {
        let row = measures
            .iter()
            .find(|row| row["file"] == "turn-01.json" && row["check"] == check.id)
            .unwrap();
        assert_eq!(row["value"].parse().ok(), check.measured.map(|it| it.value));
        assert_eq!(row["verdict"], check.verdict.word.as_str());
    }
}

#[test]
fn tables_are_the_same_whatever_the_number_of_threads() {
    let bench = Bench::new();
    fill(&bench, "club", 24);
    bench.put("club/turn-11.json", b"{");
    for threads in ["1", "2", "7"] {
        let run = bench.run(&[
            "batch",
            "club",
            DRILL[0],
            DRILL[1],
            "--out",
            threads,
            "--threads",
            threads,
            "--jsonl",
        ]);
        run.ended(3);
    }
    for table in TABLES {
        let one = bench.get(&format!("1/{table}"));
        assert_eq!(one, bench.get(&format!("2/{table}")), "{table}");
        assert_eq!(one, bench.get(&format!("7/{table}")), "{table}");
    }
    let lines: Vec<serde_json::Value> = bench
        .get("1/reviews.jsonl")
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(lines.len(), 24);
    assert!(
        lines[11]["error"]
            .as_str()
            .unwrap()
            .starts_with("turn-11.json: line 1, column ")
    );
    springline_report::from_json(&lines[12].to_string()).unwrap();
}

#[test]
fn a_bad_file_is_a_row_with_its_error() {
    let bench = Bench::new();
    fill(&bench, "club", 3);
    let clean = demo("a-clean");
    bench.put("club/cut.json", &clean[..5000]);
    bench.put("club/empty.json", b"");
    bench.put("club/text.json", b"hello");
    bench.put("club/table.csv", b"a,b\n1,2\n");
    let run = bench.run(&["batch", "club", DRILL[0], DRILL[1], "--out", "out"]);
    run.ended(3);
    assert!(
        run.stdout
            .starts_with("7 attempts: 3 reviewed, 4 could not be read\n        1  good\n        2  not yet\nwrote "),
        "{}",
        run.stdout
    );
    let told: Vec<&str> = run.stderr.lines().collect();
    assert_eq!(told.len(), 4, "{}", run.stderr);
    for (line, file) in told.iter().zip(["cut.json", "empty.json", "table.csv"]) {
        assert!(line.starts_with(&format!("error: {file}: ")), "{line}");
    }
    assert_eq!(
        told[3],
        "hint: 1 more could not be read; the column \"error\" of out/attempts.csv says why"
    );
    let attempts = rows(&bench.get("out/attempts.csv"));
    assert_eq!(attempts.len(), 7);
    for row in &attempts {
        let good = row["file"].starts_with("turn");
        assert_eq!(row["read"], if good { "yes" } else { "no" });
        assert_eq!(row["error"].is_empty(), good);
        assert!(
            good || row["error"].starts_with(&format!("{}: ", row["file"])),
            "{}",
            row["error"]
        );
        assert_eq!(row["drill"], "handspring-floor");
    }
    let measured = rows(&bench.get("out/measures.csv"));
    assert!(measured.iter().all(|row| row["file"].starts_with("turn")));

    // Known from before, they are counted once again, and only once.
    std::fs::remove_file(bench.path("club/turn-00.json")).unwrap();
    std::fs::remove_file(bench.path("club/turn-01.json")).unwrap();
    std::fs::remove_file(bench.path("club/cut.json")).unwrap();
    let again = bench.run(&["batch", "club", DRILL[0], DRILL[1], "--out", "out"]);
    again.ended(3);
    assert!(
        again
            .stdout
            .starts_with("4 attempts: 1 kept from before, 3 could not be read\n        1  not yet\n"),
        "{}",
        again.stdout
    );
    assert!(
        again
            .stderr
            .ends_with("\nhint: the column \"error\" of out/attempts.csv has this for each attempt\n"),
        "{}",
        again.stderr
    );
}

#[test]
fn one_attempt_is_told_in_the_singular() {
    let bench = Bench::new();
    fill(&bench, "club", 1);
    let run = bench.run(&["batch", "club", "--out", "out"]);
    assert!(run.ended(0).stdout.starts_with("1 attempt: 1 reviewed\n"));
    let mut lone: serde_json::Value = serde_json::from_slice(&demo("a-clean")).unwrap();
    lone["frames"].as_array_mut().unwrap().truncate(1);
    lone["given"].as_object_mut().unwrap().remove("events");
    bench.put("lone/turn.json", lone.to_string().as_bytes());
    let run = bench.run(&["batch", "lone", "--out", "lone-tables"]);
    run.ended(3);
    assert!(
        run.stderr
            .starts_with("error: turn.json: found 1 frame, expected at least 5\n"),
        "{}",
        run.stderr
    );
}

#[test]
fn results_of_the_program_are_no_attempts() {
    let bench = Bench::new();
    fill(&bench, "club", 2);
    // The tables lie where the attempts are, beside a review, tables saved by a spreadsheet and the list of the season.
    let batch = ["batch", "club", "--out", "club"];
    bench.run(&batch).ended(0).quiet();
    let review = ["review", "club/turn-00.json", "--format"];
    for (form, file) in [("json", "club/turn-00.review.json"), ("csv", "club/turn-00.csv")] {
        bench.run(&[&review[..], &[form, "--out", file]].concat()).ended(0);
    }
    let table = bench.get("club/attempts.csv").replace(',', ";");
    bench.put("club/old/monday.csv", format!("\u{feff}{table}").as_bytes());
    bench.put("club/season.csv", b"file;athlete\nturn-00.json;K-01\n");
    let again = bench.run(&batch);
    again.ended(0);
    assert!(
        again.stdout.starts_with("2 attempts: 2 kept from before\n"),
        "{}",
        again.stdout
    );
    assert_eq!(
        again.stderr,
        "note: left out 5 results of this program: attempts.csv, measures.csv, old/monday.csv and 2 more\n\
         note: left out 1 list of attempts: season.csv\n"
    );

    bench.run(&["batch", "club", "--out", "tables"]).ended(0);
    bench
        .run(&["batch", "tables", "--out", "out"])
        .failed("error: tables: found only results of this program in it, expected keypoint files\n");
    bench.put("lists/season.csv", b"file;athlete\nturn-00.json;K-01\n");
    bench.run(&["batch", "lists", "--out", "out"]).failed(
        "error: lists: found only a list of attempts in it, expected keypoint files\n\
         hint: name the list itself: `springline batch LIST.csv`\n",
    );
}

#[test]
fn attempts_beside_tables_count_and_what_is_left_out_is_told() {
    let bench = Bench::new();
    fill(&bench, "club/monday", 2);
    fill(&bench, "club/tuesday", 3);
    // Monday's tables lie among Monday's attempts, journal and all; one file there cannot be read.
    bench.put("club/monday/aa.json", b"{");
    bench
        .run(&["batch", "club/monday", "--out", "club/monday", "--jsonl"])
        .ended(3);
    std::fs::remove_file(bench.path("club/monday/aa.json")).unwrap();
    for out in ["out", "club/tuesday"] {
        let run = bench.run(&["batch", "club", "--out", out]);
        run.ended(0);
        assert!(
            run.stdout.starts_with("5 attempts: 5 reviewed\n"),
            "{out}: {}",
            run.stdout
        );
        assert_eq!(
            run.stderr,
            "note: left out 3 results of this program: monday/attempts.csv, monday/measures.csv, monday/reviews.jsonl\n"
        );
    }
    let files: Vec<String> = rows(&bench.get("out/attempts.csv"))
        .into_iter()
        .map(|mut row| row.remove("file").unwrap())
        .collect();
    assert_eq!(
        files,
        [
            "monday/turn-00.json",
            "monday/turn-01.json",
            "tuesday/turn-00.json",
            "tuesday/turn-01.json",
            "tuesday/turn-02.json"
        ]
    );
    bench.put("lines/reviews.jsonl", bench.get("club/monday/reviews.jsonl").as_bytes());
    bench
        .run(&["batch", "lines", "--out", "out"])
        .failed("error: lines: found only results of this program in it, expected keypoint files\n");
    let review = bench.run(&["review", "lines/reviews.jsonl"]);
    review.ended(2);
    assert!(
        review
            .stderr
            .ends_with("\nhint: that is a result of this program; give the attempt that it was made from\n"),
        "{}",
        review.stderr
    );
}

#[test]
fn a_folder_of_frames_is_one_attempt() {
    let bench = Bench::new();
    fill(&bench, "club", 2);
    let frames = frames_into(&bench, "club/clip");
    let run = bench.run(&["batch", "club", DRILL[0], DRILL[1], "--rate", "60", "--out", "out"]);
    run.ended(0);
    let attempts = rows(&bench.get("out/attempts.csv"));
    let files: Vec<&str> = attempts.iter().map(|row| row["file"].as_str()).collect();
    assert_eq!(files, ["clip", "turn-00.json", "turn-01.json"]);
    assert_eq!(attempts[0]["frames"], frames.to_string());
    assert_eq!(attempts[0]["layout"], "coco-17");
}

#[test]
fn the_frames_of_one_attempt_are_no_folder_of_attempts() {
    let bench = Bench::new();
    let frames = frames_into(&bench, "clip");
    let batch = ["batch", "clip", DRILL[0], DRILL[1], "--out", "out"];
    let told = "error: clip: found one attempt with a JSON file for each frame, expected a folder of attempts\n\
                hint: `springline review clip` reviews it\n";
    bench.run(&batch).failed(told);
    assert_eq!(bench.names(), ["clip"]);
    // Whatever else lies there, and though the frame in the middle is broken.
    bench.put(&format!("clip/frame-{:05}.json", frames / 2), b"{\"people\"");
    bench.put("clip/table.csv", b"frame,nose_x,nose_y\n0,1,2\n");
    bench.run(&batch).failed(told);
    bench
        .run(&["review", "clip", DRILL[0], DRILL[1], "--rate", "60"])
        .ended(2);

    // Attempts with numbers in their names are still attempts.
    fill(&bench, "club", 3);
    assert!(
        bench
            .run(&["batch", "club", "--out", "out"])
            .ended(0)
            .stdout
            .starts_with("3 attempts: ")
    );
}

#[test]
fn without_a_drill_each_file_names_its_own() {
    let bench = Bench::new();
    fill(&bench, "club", 1);
    let nameless = String::from_utf8(demo("a-clean"))
        .unwrap()
        .replace("\"drill\":\"handspring-floor\",", "");
    bench.put("club/nameless.json", nameless.as_bytes());
    bench.run(&["batch", "club", "--out", "out"]).ended(3);
    let attempts = rows(&bench.get("out/attempts.csv"));
    assert_eq!(
        attempts[0]["error"],
        "nameless.json: found no drill in the file, expected one; name the drill"
    );
    assert_eq!(
        (attempts[1]["drill"].as_str(), attempts[1]["outcome"].as_str()),
        ("handspring-floor", "good")
    );
}

#[test]
fn a_later_run_reads_only_what_is_new_or_changed() {
    let bench = Bench::new();
    fill(&bench, "club", 6);
    let batch = ["batch", "club", DRILL[0], DRILL[1], "--out", "out"];
    assert!(
        bench
            .run(&batch)
            .ended(0)
            .stdout
            .starts_with("6 attempts: 6 reviewed\n")
    );
    let first = bench.get("out/measures.csv");
    assert!(
        bench
            .run(&batch)
            .ended(0)
            .stdout
            .starts_with("6 attempts: 6 kept from before\n")
    );
    assert_eq!(bench.get("out/measures.csv"), first);

    bench.put("club/turn-00.json", &demo("b-hands-near-feet"));
    bench.put("club/turn-99.json", &demo("a-clean"));
    std::fs::remove_file(bench.path("club/turn-05.json")).unwrap();
    assert!(
        bench
            .run(&batch)
            .ended(0)
            .stdout
            .starts_with("6 attempts: 2 reviewed, 4 kept from before\n")
    );
    let resumed: Vec<String> = TABLES[..2]
        .iter()
        .map(|table| bench.get(&format!("out/{table}")))
        .collect();

    // Other settings: everything anew. --fresh: the same tables as ever.
    let off = bench.run(&[&batch[..], &["--cutoff", "off", "--force"]].concat());
    assert!(off.ended(0).stdout.starts_with("6 attempts: 6 reviewed\n"));
    let fresh = bench.run(&[&batch[..], &["--fresh", "--force"]].concat());
    assert!(fresh.ended(0).stdout.starts_with("6 attempts: 6 reviewed\n"));
    for (table, before) in TABLES.iter().zip(resumed) {
        assert_eq!(bench.get(&format!("out/{table}")), before);
    }
}

#[test]
fn json_lines_once_asked_for_stay_true() {
    let bench = Bench::new();
    fill(&bench, "club", 2);
    let batch = ["batch", "club", DRILL[0], DRILL[1], "--out", "out"];
    bench.run(&[&batch[..], &["--jsonl"]].concat()).ended(0);
    fill(&bench, "club", 3);
    bench.run(&batch).ended(0);
    assert_eq!(bench.get("out/reviews.jsonl").lines().count(), 3);
}

#[test]
fn foreign_tables_are_not_written_over() {
    let bench = Bench::new();
    fill(&bench, "club", 1);
    bench.put("out/measures.csv", b"mine\n");
    let batch = ["batch", "club", DRILL[0], DRILL[1], "--out", "out"];
    bench.run(&batch).failed(
        "error: out/measures.csv: found a file that is there already, expected a new file\n\
         hint: another name, or --force to write over it\n",
    );
    assert_eq!(names_in(&bench.path("out")), ["measures.csv"]);
    assert_eq!(bench.get("out/measures.csv"), "mine\n");
    bench.run(&[&batch[..], &["--force"]].concat()).ended(0).quiet();
    assert_eq!(
        names_in(&bench.path("out")),
        ["attempts.csv", "measures.csv", "springline-batch.journal"]
    );
}

#[test]
fn wrong_folders_are_told_before_any_work() {
    let bench = Bench::new();
    bench.put("empty/readme.txt", b"x");
    bench
        .run(&["batch", "empty", DRILL[0], DRILL[1], "--out", "out"])
        .failed(
            "error: empty: found no .json, .csv or .tsv file in it, expected keypoint files\n\
                 hint: README says what files hold joint points; `springline review FILM` drafts them on a film\n",
        );
    bench
        .run(&["batch", "absent", DRILL[0], DRILL[1], "--out", "out"])
        .failed("error: absent: cannot be read: No such file or directory (os error 2)\n");
    assert_eq!(bench.names(), ["empty"]);
    fill(&bench, "club", 1);
    bench
        .run(&["batch", "club", DRILL[0], DRILL[1], "--out", "club/turn-00.json"])
        .failed("error: club/turn-00.json: found a file, expected a folder\nhint: another name with --out\n");
    bench
        .run(&["batch", "club", "--drill", "handsprin", "--out", "out"])
        .ended(2);
    bench.run(&["batch", "club", "--out", "out", "--threads", "0"]).ended(2);
}
