//! A coach lists the attempts of a folder in a table.

#![allow(clippy::unwrap_used)]

mod bench;
mod club;

use bench::{Bench, demo};
use club::{DRILL, fill, rows};

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
         hint: columns: file, athlete, drill, date, rate, setup; only file is required. One attempt is reviewed by `springline review`\n",
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
    // To a review it is a film, and this one has only its first bytes.
    let cut = "error: turn.mp4: found no table of contents (moov), expected one; recording or copying it was not finished\n\
         hint: copy the film from the camera again\n";
    bench.run(&["review", "turn.mp4", DRILL[0], DRILL[1]]).failed(cut);
    // Larger than any list or keypoint file, and no byte of it written.
    let film = std::fs::File::options()
        .append(true)
        .open(bench.path("turn.mp4"))
        .unwrap();
    film.set_len(2 << 30).unwrap();
    bench.run(&["batch", "turn.mp4", "--out", "out"]).failed(told);
    bench.run(&["review", "turn.mp4", DRILL[0], DRILL[1]]).failed(cut);
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
         note: list.csv: columns \"coach\", \"Notes\" are not used; columns that are: file, athlete, drill, date, rate, setup\n"
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
