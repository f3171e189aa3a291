//! A coach's files are safe from the results.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, demo};

#[test]
fn no_table_is_written_over_what_it_is_made_from() {
    let bench = Bench::new();
    bench.put("club/turn-00.json", &demo("a-clean"));
    let refused = |arguments: &[&str], out: &str, input: &str| {
        bench.run(arguments).failed(&format!(
            "error: {out}: found {input}, which is read here, expected another file to write to\n\
             hint: another name or folder for what is written\n"
        ));
    };
    // The list of attempts has the name of a table.
    let list = b"file,drill\nclub/turn-00.json,mine.toml\n";
    bench.put("attempts.csv", list);
    bench.run(&["drills", "copy", "handspring-floor", "mine.toml"]).ended(0);
    let spec = bench.get("mine.toml");
    for out in [".", "club/.."] {
        refused(
            &["batch", "attempts.csv", "--out", out, "--force"],
            &format!("{out}/attempts.csv"),
            "attempts.csv",
        );
    }
    assert_eq!(bench.get("attempts.csv").as_bytes(), list);
    // An attempt has it; a link leads to a spec, of a row or of all, or to an attempt.
    bench.put("club/measures.csv", b"frame,nose_x,nose_y\n0,1,2\n");
    refused(
        &[
            "batch",
            "club",
            "--drill",
            "handspring-floor",
            "--out",
            "club",
            "--force",
        ],
        "club/measures.csv",
        "club/measures.csv",
    );
    std::fs::create_dir(bench.path("out")).unwrap();
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("../mine.toml", bench.path("out/measures.csv")).unwrap();
        let to_out = ["--out", "out", "--force"];
        refused(
            &[&["batch", "attempts.csv"][..], &to_out].concat(),
            "out/measures.csv",
            "mine.toml",
        );
        let drill = ["batch", "club", "--drill", "./mine.toml"];
        refused(&[&drill[..], &to_out].concat(), "out/measures.csv", "./mine.toml");
        std::fs::remove_file(bench.path("out/measures.csv")).unwrap();
        std::os::unix::fs::symlink("../club/turn-00.json", bench.path("out/reviews.jsonl")).unwrap();
        refused(
            &[&["batch", "attempts.csv", "--jsonl"][..], &to_out].concat(),
            "out/reviews.jsonl",
            "club/turn-00.json",
        );
    }
    assert_eq!(bench.get("mine.toml"), spec);
    assert_eq!(bench.get("club/turn-00.json").as_bytes(), demo("a-clean"));
    assert!(!bench.path("springline-batch.journal").exists());
}

#[test]
fn no_review_is_written_over_what_it_is_made_from() {
    let bench = Bench::new();
    bench.put("club/turn.json", &demo("a-clean"));
    bench.put(
        "layout.toml",
        b"format = \"springline-layout\"\nversion = 1\nname = \"own\"\npoints = [\"left_hip\", \"left_knee\"]\n\
          [json]\nframes = \"clip[*]\"\npoints = \"joints\"\n",
    );
    bench
        .run(&["drills", "copy", "handspring-floor", "own/mine.toml"])
        .ended(2);
    std::fs::create_dir(bench.path("own")).unwrap();
    bench
        .run(&["drills", "copy", "handspring-floor", "own/mine.toml"])
        .ended(0);
    #[cfg(unix)]
    std::os::unix::fs::symlink("club", bench.path("team")).unwrap();
    let before = ["club/turn.json", "own/mine.toml", "layout.toml"].map(|name| bench.get(name));
    let review = ["review", "club/turn.json"];
    let mut cases = vec![
        (vec![], "club/turn.json", "club/turn.json"),
        (vec![], "./club/../club/turn.json", "club/turn.json"),
        (vec!["--drill", "own/mine.toml"], "own/./mine.toml", "own/mine.toml"),
        (vec!["--drills", "own"], "own/mine.toml", "own/mine.toml"),
        (vec!["--layout", "layout.toml"], "own/../layout.toml", "layout.toml"),
    ];
    if cfg!(unix) {
        cases.push((vec![], "team/turn.json", "club/turn.json"));
    }
    for (options, out, input) in cases {
        // With --force or without, the same is said.
        for last in [&["--force"][..], &[]] {
            let arguments = [&review[..], &options, &["--out", out], last].concat();
            bench.run(&arguments).failed(&format!(
                "error: {out}: found {input}, which is read here, expected another file to write to\n\
                 hint: another name or folder for what is written\n"
            ));
        }
    }
    bench
        .run(&["drills", "--drills", "own", "copy", "mine", "own/mine.toml", "--force"])
        .failed(
            "error: own/mine.toml: found own/mine.toml, which is read here, expected another file to write to\n\
             hint: another name or folder for what is written\n",
        );
    assert_eq!(
        before,
        ["club/turn.json", "own/mine.toml", "layout.toml"].map(|name| bench.get(name))
    );
    // A frame of the attempt, but a review beside the frames may be made anew.
    let frames = ["review", "clip", "--drill", "handspring-floor", "--rate", "60"];
    bench.put("clip/frame-0.json", b"{}");
    bench.put("clip/frame-1.json", b"{}");
    let run = bench.run(&[&frames[..], &["--out", "clip/frame-1.json", "--force"]].concat());
    run.failed(
        "error: clip/frame-1.json: found clip, which is read here, expected another file to write to\n\
         hint: another name or folder for what is written\n",
    );
    bench.put("clip/review.txt", b"old");
    let run = bench.run(&[&frames[..], &["--out", "clip/review.txt", "--force"]].concat());
    assert!(!run.stderr.contains("which is read here"), "{}", run.stderr);
}

/// What a run into the folder `out` is told when that holds other results.
fn of_another(what: &str, held: &str) -> String {
    format!(
        "error: out: found the results of {what} in it ({held}), expected a folder of its own for each batch\n\
         hint: another folder with --out, or --force to replace those results\n"
    )
}

#[test]
fn tables_of_another_batch_are_kept() {
    let bench = Bench::new();
    bench.put("monday/turn.json", &demo("a-clean"));
    bench.put("tuesday/turn.json", &demo("b-hands-near-feet"));
    bench.put("list.csv", b"file\nmonday/turn.json\n");
    let into = |from: &str, options: &[&str]| bench.run(&[&["batch", from, "--out", "out"], options].concat());
    let by = ["--drill", "handspring-floor"];
    into("monday", &by).ended(0).quiet();
    let tables = ["out/attempts.csv", "out/measures.csv", "out/springline-batch.journal"];
    let first = tables.map(|table| bench.get(table));
    let other = of_another("another batch", "monday, drill handspring-floor");
    for (from, options) in [
        ("tuesday", &by[..]),
        ("list.csv", &by),
        ("monday", &[]),
        ("monday", &["--drill", "handspring-thin-mat"]),
        ("tuesday", &["--drill", "handspring-floor", "--fresh"]),
    ] {
        into(from, options).failed(&other);
    }
    into("monday", &["--drill", "handspring-floor", "--cutoff", "off"]).failed(&of_another(
        "this batch with other options",
        "monday, drill handspring-floor",
    ));
    assert_eq!(tables.map(|table| bench.get(table)), first);

    // The same work goes on: however the folder is spelled, with JSON lines too, and after both were moved together.
    for (from, options) in [
        ("./monday/", &by[..]),
        ("tuesday/../monday", &[by[0], by[1], "--jsonl"]),
    ] {
        let run = into(from, options);
        assert!(run.ended(0).stdout.starts_with("1 attempt: "), "{}", run.stdout);
    }
    std::fs::create_dir(bench.path("season")).unwrap();
    for name in ["monday", "out"] {
        std::fs::rename(bench.path(name), bench.path(&format!("season/{name}"))).unwrap();
    }
    let run = bench.run(&["batch", "season/monday", by[0], by[1], "--out", "season/out", "--jsonl"]);
    assert!(
        run.ended(0).stdout.starts_with("1 attempt: 1 kept from before\n"),
        "{}",
        run.stdout
    );
}

#[test]
fn force_replaces_the_tables_of_another_batch() {
    let bench = Bench::new();
    // Of the same name, size and time, and yet another attempt.
    let clean = demo("a-clean");
    let mut near = demo("b-hands-near-feet");
    near.resize(clean.len().max(near.len()), b' ');
    let mut padded = clean.clone();
    padded.resize(near.len(), b' ');
    for (folder, bytes) in [("monday", &padded), ("tuesday", &near)] {
        bench.put(&format!("{folder}/turn.json"), bytes);
        let file = std::fs::File::options()
            .write(true)
            .open(bench.path(&format!("{folder}/turn.json")))
            .unwrap();
        file.set_modified(std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_800_000_000))
            .unwrap();
    }
    bench.run(&["batch", "monday", "--out", "out"]).ended(0);
    let run = bench.run(&["batch", "tuesday", "--out", "out", "--force"]);
    run.ended(0).quiet();
    assert!(run.stdout.starts_with("1 attempt: 1 reviewed\n"), "{}", run.stdout);
    assert!(bench.get("out/attempts.csv").contains("hands-near-feet"));
    // Now the folder is that batch's.
    let run = bench.run(&["batch", "tuesday", "--out", "out"]);
    assert!(run.ended(0).stdout.starts_with("1 attempt: 1 kept from before\n"));
    bench
        .run(&["batch", "monday", "--out", "out"])
        .failed(&of_another("another batch", "tuesday, each by its own drill"));
}

#[test]
fn a_batch_in_which_nothing_could_be_read_is_no_loss() {
    let bench = Bench::new();
    let no_drill = String::from_utf8(demo("a-clean"))
        .unwrap()
        .replace("\"drill\":\"handspring-floor\",", "");
    bench.put("club/turn.json", no_drill.as_bytes());
    bench.run(&["batch", "club", "--out", "out"]).ended(3);
    let run = bench.run(&["batch", "club", "--drill", "handspring-floor", "--out", "out"]);
    run.ended(0).quiet();
    assert!(run.stdout.starts_with("1 attempt: 1 reviewed\n"), "{}", run.stdout);
}
