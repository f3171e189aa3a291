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
