//! A coach reviews a folder of attempts.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, demo, names_in};

const NAMES: [&str; 5] = [
    "a-clean",
    "b-hands-near-feet",
    "c-no-block",
    "d-lands-behind",
    "e-too-close",
];
const TABLES: [&str; 3] = ["attempts.csv", "measures.csv", "reviews.jsonl"];
const DRILL: [&str; 2] = ["--drill", "handspring-floor"];

/// `count` attempts in a folder, named so that their order is plain.
fn fill(bench: &Bench, folder: &str, count: usize) {
    for index in 0..count {
        bench.put(
            &format!("{folder}/turn-{index:02}.json"),
            &demo(NAMES[index % NAMES.len()]),
        );
    }
}

/// The clean demo attempt with a JSON file for each frame; says how many.
fn frames_into(bench: &Bench, folder: &str) -> usize {
    let attempt: serde_json::Value = serde_json::from_slice(&demo("a-clean")).unwrap();
    let frames = attempt["frames"].as_array().unwrap();
    for (index, frame) in frames.iter().enumerate() {
        // The 17 of COCO come first; flat x, y, score triples.
        let triples: Vec<f64> = frame["points"].as_array().unwrap()[..17]
            .iter()
            .flat_map(|point| [point[0].as_f64().unwrap(), point[1].as_f64().unwrap(), 0.9])
            .collect();
        let people = serde_json::json!({"people": [{"points": triples}]});
        bench.put(
            &format!("{folder}/frame-{index:05}.json"),
            people.to_string().as_bytes(),
        );
    }
    frames.len()
}

fn rows(table: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let headers = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            headers
                .iter()
                .map(str::to_owned)
                .zip(record.iter().map(str::to_owned))
                .collect()
        })
        .collect()
}

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
fn a_manifest_gives_athlete_drill_date_and_rate() {
    let bench = Bench::new();
    fill(&bench, "clips", 3);
    bench.run(&["drills", "copy", "handspring-floor", "mine.toml"]).ended(0);
    bench.put(
        "list.csv",
        "\u{feff}File;Athlete code;Drill;Date;fps\n\
         clips/turn-02.json;K-50;;2026-04-01;\n\
         clips/turn-00.json;\"K-51; second\";mine.toml;;60\n\
         clips/turn-00.json;;handspring-thin-mat;;\n\
         clips/absent.json;K-52;;;\n"
            .as_bytes(),
    );
    let run = bench.run(&["batch", "list.csv", DRILL[0], DRILL[1], "--out", "out"]);
    run.ended(3);
    let attempts = rows(&bench.get("out/attempts.csv"));
    let told: Vec<[&str; 5]> = attempts
        .iter()
        .map(|row| ["file", "athlete", "date", "drill", "read"].map(|column| row[column].as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ["clips/absent.json", "K-52", "", "handspring-floor", "no"],
            ["clips/turn-00.json", "K-03", "2026-03-14", "handspring-thin-mat", "yes"],
            ["clips/turn-00.json", "K-51; second", "2026-03-14", "mine", "yes"],
            ["clips/turn-02.json", "K-50", "2026-04-01", "handspring-floor", "yes"],
        ]
    );
}

#[test]
fn every_problem_of_a_manifest_at_once() {
    let bench = Bench::new();
    bench.put(
        "list.csv",
        b"file,drill,date,rate\nx.json,,2026-02-28,60\n,,,50\ny.json\nz.json,,,\nz.json,,,\n",
    );
    let run = bench.run(&["batch", "list.csv", "--out", "out"]);
    run.failed(
        "error: list.csv: line 3: found no file, expected the path of a keypoint file\n\
         error: list.csv: line 4: found 1 field, expected 4 as in the header\n\
         error: list.csv: line 6: found \"z.json\" a second time, expected each file once for each drill\n",
    );
    bench.put("list.csv", b"fil,day,date\nx.json,,\n");
    bench.run(&["batch", "list.csv", "--out", "out"]).failed(
        "error: list.csv: line 1: found column date a second time, expected each column once\n\
         error: list.csv: line 1: found the columns fil, day, date, expected a column file with the paths of the attempts\n\
         hint: columns: file, athlete, drill, date, rate; only file is required. One attempt is reviewed by `springline review`\n",
    );
    assert!(!bench.path("out").exists());
    bench.put("turn.json", &demo("a-clean"));
    bench.run(&["batch", "turn.json", "--out", "out"]).failed(
        "error: turn.json: line 1: found JSON, expected a table of attempts (CSV) with a header row\n\
         hint: one attempt is reviewed by `springline review`\n",
    );
    bench.put("good.csv", b"file,drill\nturn.json,handspring-floor\n");
    bench
        .run(&["batch", "good.csv", "--out", "turn.json"])
        .failed("error: turn.json: found a file, expected a folder\nhint: another name with --out\n");
    bench.put("list.csv", b"");
    assert!(
        bench
            .run(&["batch", "list.csv", "--out", "out"])
            .ended(2)
            .stderr
            .contains("line 1: found no")
    );
}

#[test]
fn a_film_is_no_list_of_attempts() {
    let bench = Bench::new();
    bench.put(
        "turn.mp4",
        b"\0\0\0\x20ftypisom\0\0\x02\0isomiso2avc1mp41\0\x89\xff\xfe",
    );
    let told = "error: turn.mp4: found a film, expected the joint points that a pose tool or a person made of it\n\
                hint: `springline review --help` and README say what is read\n";
    bench.run(&["batch", "turn.mp4", "--out", "out"]).failed(told);
    bench.run(&["review", "turn.mp4", DRILL[0], DRILL[1]]).failed(told);
    // Larger than any list or keypoint file, and no byte of it written.
    let film = std::fs::File::options()
        .append(true)
        .open(bench.path("turn.mp4"))
        .unwrap();
    film.set_len(2 << 30).unwrap();
    bench.run(&["batch", "turn.mp4", "--out", "out"]).failed(told);
    bench.run(&["review", "turn.mp4", DRILL[0], DRILL[1]]).failed(told);
    // A list that was saved in another encoding.
    bench.put("list.csv", b"file,athlete\nturn.json,M\xfcller\n");
    bench.run(&["batch", "list.csv", "--out", "out"]).failed(
        "error: list.csv: line 2: found a letter of another encoding (such as Latin-1) or a file that is no text, expected \
         UTF-8 text; save the table as UTF-8\n",
    );
}

#[test]
fn a_mistyped_drill_is_the_error_of_its_row() {
    let bench = Bench::new();
    fill(&bench, "clips", 3);
    bench.put("bad.toml", b"id = 7\n");
    bench.put(
        "list.csv",
        b"file,drill\nclips/turn-00.json,handspring-flor\nclips/turn-01.json,bad.toml\nclips/turn-02.json,handspring-floor\n",
    );
    let batch = ["batch", "list.csv", "--out", "out"];
    let run = bench.run(&batch);
    run.ended(3);
    assert!(
        run.stdout.starts_with("3 attempts: 1 reviewed, 2 could not be read\n"),
        "{}",
        run.stdout
    );
    let attempts = rows(&bench.get("out/attempts.csv"));
    assert_eq!(
        attempts[0]["error"],
        "clips/turn-00.json: line 2 of the manifest: unknown drill \"handspring-flor\"; expected an id of the catalogue; \
         did you mean \"handspring-floor\"?"
    );
    let spec = &attempts[1]["error"];
    assert!(
        spec.starts_with("clips/turn-01.json: line 3 of the manifest: bad.toml:1:1: no \"title\"; "),
        "{spec}"
    );
    assert!(spec.lines().count() == 1 && spec.contains("; and "), "{spec}");
    assert_eq!(attempts[2]["read"], "yes");

    // Mended, that row is reviewed and the others are kept.
    bench.put(
        "list.csv",
        b"file,drill\nclips/turn-00.json,handspring-floor\nclips/turn-02.json,handspring-floor\n",
    );
    let run = bench.run(&batch);
    run.ended(0).quiet();
    assert!(
        run.stdout.starts_with("2 attempts: 1 reviewed, 1 kept from before\n"),
        "{}",
        run.stdout
    );
}

#[test]
fn a_wrong_date_or_rate_is_the_error_of_its_row() {
    let bench = Bench::new();
    fill(&bench, "clips", 3);
    let list = |first: &str| {
        let rows = format!(
            "file,date,rate\nclips/turn-00.json,{first}\nclips/turn-01.json,2026-04-01,60\nclips/turn-02.json,,0\n"
        );
        bench.put("list.csv", rows.as_bytes());
    };
    list("2026-02-30,fast");
    let batch = ["batch", "list.csv", DRILL[0], DRILL[1], "--out", "out"];
    let run = bench.run(&batch);
    run.ended(3);
    assert!(
        run.stdout.starts_with("3 attempts: 1 reviewed, 2 could not be read\n"),
        "{}",
        run.stdout
    );
    let attempts = rows(&bench.get("out/attempts.csv"));
    let told: Vec<&str> = attempts.iter().map(|row| row["error"].as_str()).collect();
    assert_eq!(
        told,
        [
            "clips/turn-00.json: line 2 of the manifest: found date \"2026-02-30\", expected year-month-day, such as \
             2026-03-14; found rate \"fast\", expected 1 to 2000 frames a second",
            "",
            "clips/turn-02.json: line 4 of the manifest: found rate \"0\", expected 1 to 2000 frames a second",
        ]
    );
    // Left out, they are no error any more, and that row is reviewed.
    list(",");
    let run = bench.run(&batch);
    run.ended(3);
    assert!(
        run.stdout
            .starts_with("3 attempts: 1 reviewed, 1 kept from before, 1 could not be read\n"),
        "{}",
        run.stdout
    );
}

#[test]
fn columns_that_are_not_used_are_told() {
    let bench = Bench::new();
    fill(&bench, "clips", 1);
    bench.put(
        "list.csv",
        b"file,athelte,coach,drill,Notes\nclips/turn-00.json,K-50,K-90,handspring-floor,windy\n",
    );
    let run = bench.run(&["batch", "list.csv", "--out", "out"]);
    run.ended(0);
    assert_eq!(
        run.stderr,
        "note: list.csv: column \"athelte\" is not used; did you mean \"athlete\"?\n\
         note: list.csv: columns \"coach\", \"Notes\" are not used; columns that are: file, athlete, drill, date, rate\n"
    );
    assert_eq!(rows(&bench.get("out/attempts.csv"))[0]["athlete"], "K-03");
    // A manifest given to review.
    let review = bench.run(&["review", "list.csv"]);
    review.ended(2);
    assert!(
        review
            .stderr
            .ends_with("\nhint: that is a list of attempts; `springline batch` reviews those\n"),
        "{}",
        review.stderr
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
                 hint: springline reads joint points, not video; README says what files hold them\n",
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

#[cfg(target_os = "linux")]
mod interrupted {
    use std::io::{BufRead as _, BufReader, Write as _};
    use std::os::unix::fs::OpenOptionsExt as _;
    use std::process::{Child, Command, Stdio};

    use super::{Bench, DRILL, TABLES, demo, fill};

    const BATCH: [&str; 9] = [
        "batch",
        "club",
        DRILL[0],
        DRILL[1],
        "--out",
        "out",
        "--threads",
        "1",
        "--jsonl",
    ];

    /// Twelve attempts, of which the ninth is a pipe: reading it waits until somebody writes.
    fn with_a_pipe(bench: &Bench) {
        fill(bench, "club", 12);
        std::fs::remove_file(bench.path("club/turn-08.json")).unwrap();
        let made = Command::new("mkfifo")
            .arg(bench.path("club/turn-08.json"))
            .status()
            .unwrap();
        assert!(made.success());
    }

    fn start(bench: &Bench) -> Child {
        bench
            .command(&BATCH)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
    }

    /// Waits until somebody reads the pipe, and takes its other end.
    fn other_end(bench: &Bench) -> std::fs::File {
        const WITHOUT_WAITING: i32 = 0o4000;
        let path = bench.path("club/turn-08.json");
        let mut open = std::fs::OpenOptions::new();
        open.write(true);
        loop {
            if let Ok(_held) = open.clone().custom_flags(WITHOUT_WAITING).open(&path) {
                return open.open(&path).unwrap();
            }
            std::thread::yield_now();
        }
    }

    /// Waits until eight attempts are written down.
    fn eight_done(bench: &Bench) {
        let journal = bench.path("out/springline-batch.journal");
        loop {
            let text = std::fs::read_to_string(&journal).unwrap_or_default();
            if text.lines().filter(|line| line.starts_with("{\"id\":\"turn-")).count() == 8 && text.ends_with("\n\n") {
                return;
            }
            std::thread::yield_now();
        }
    }

    fn undisturbed() -> [String; 3] {
        let bench = Bench::new();
        fill(&bench, "club", 12);
        bench.run(&BATCH).ended(0);
        TABLES.map(|table| bench.get(&format!("out/{table}")))
    }

    #[test]
    fn a_killed_run_goes_on_without_doing_work_twice() {
        let bench = Bench::new();
        with_a_pipe(&bench);
        let mut child = start(&bench);
        eight_done(&bench);
        child.kill().unwrap();
        child.wait().unwrap();
        assert_eq!(super::names_in(&bench.path("out")), ["springline-batch.journal"]);

        std::fs::remove_file(bench.path("club/turn-08.json")).unwrap();
        bench.put("club/turn-08.json", &demo(super::NAMES[8 % 5]));
        let again = bench.run(&BATCH);
        again.ended(0).quiet();
        assert!(
            again
                .stdout
                .starts_with("12 attempts: 4 reviewed, 8 kept from before\n"),
            "{}",
            again.stdout
        );
        assert_eq!(TABLES.map(|table| bench.get(&format!("out/{table}"))), undisturbed());
    }

    #[test]
    fn ctrl_c_keeps_finished_work() {
        let bench = Bench::new();
        with_a_pipe(&bench);
        let mut child = start(&bench);
        eight_done(&bench);
        let mut pipe = other_end(&bench);
        let sent = Command::new("kill")
            .args(["-INT", &child.id().to_string()])
            .status()
            .unwrap();
        assert!(sent.success());
        let mut stderr = BufReader::new(child.stderr.take().unwrap());
        let mut line = String::new();
        stderr.read_line(&mut line).unwrap();
        assert_eq!(
            line,
            "stopping after the attempts at hand; Ctrl-C again stops at once\n"
        );

        // The attempt at hand is finished, no other begun.
        pipe.write_all(&demo(super::NAMES[8 % 5])).unwrap();
        drop(pipe);
        line.clear();
        stderr.read_line(&mut line).unwrap();
        assert_eq!(
            line,
            "stopped with 9 of 12 attempts done; the same command goes on from here\n"
        );
        let ended = child.wait().unwrap();
        assert_eq!(ended.code(), Some(130));
        assert_eq!(super::names_in(&bench.path("out")), ["springline-batch.journal"]);

        std::fs::remove_file(bench.path("club/turn-08.json")).unwrap();
        bench.put("club/turn-08.json", &demo(super::NAMES[8 % 5]));
        let again = bench.run(&BATCH);
        // The pipe had no size and another time: it counts as changed.
        assert!(
            again
                .ended(0)
                .stdout
                .starts_with("12 attempts: 4 reviewed, 8 kept from before\n"),
            "{}",
            again.stdout
        );
        assert_eq!(TABLES.map(|table| bench.get(&format!("out/{table}"))), undisturbed());
    }

    #[test]
    fn a_full_disk_leaves_no_half_table() {
        let bench = Bench::new();
        fill(&bench, "club", 5);
        let program = env!("CARGO_BIN_EXE_springline");
        let limited = |kilobytes: usize, rest: &str| {
            let line = format!("trap '' XFSZ; ulimit -f {kilobytes}; exec '{program}' {rest}");
            super::bench::Run::of(
                Command::new("bash")
                    .args(["-c", &line])
                    .current_dir(bench.path(""))
                    .output()
                    .unwrap(),
            )
        };
        let run = limited(40, "batch club --drill handspring-floor --threads 1 --out out");
        run.failed("error: out/springline-batch.journal: cannot be written: File too large (os error 27)\n");
        assert_eq!(super::names_in(&bench.path("out")), ["springline-batch.journal"]);
        // With room again it goes on.
        let run = bench.run(&["batch", "club", DRILL[0], DRILL[1], "--out", "out"]);
        run.ended(0).quiet();
        assert!(run.stdout.contains("kept from before"), "{}", run.stdout);

        let run = limited(4, "review club/turn-00.json --format json --out review.json");
        run.failed("error: review.json: cannot be written: File too large (os error 27)\n");
        assert_eq!(bench.names(), ["club", "out"]);
    }
}
