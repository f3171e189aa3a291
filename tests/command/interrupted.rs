//! A batch that is killed, stopped or out of room goes on where it was.

#![allow(clippy::unwrap_used)]
#![cfg(target_os = "linux")]

mod bench;
mod club;

use std::io::{BufRead as _, BufReader, Write as _};
use std::os::unix::fs::OpenOptionsExt as _;
use std::process::{Child, Command, Stdio};

use bench::{Bench, demo, names_in};
use club::{DRILL, NAMES, TABLES, fill};

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
    assert_eq!(names_in(&bench.path("out")), ["springline-batch.journal"]);

    std::fs::remove_file(bench.path("club/turn-08.json")).unwrap();
    bench.put("club/turn-08.json", &demo(NAMES[8 % 5]));
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
    pipe.write_all(&demo(NAMES[8 % 5])).unwrap();
    drop(pipe);
    line.clear();
    stderr.read_line(&mut line).unwrap();
    assert_eq!(
        line,
        "stopped with 9 of 12 attempts done; the same command goes on from here\n"
    );
    let ended = child.wait().unwrap();
    assert_eq!(ended.code(), Some(130));
    assert_eq!(names_in(&bench.path("out")), ["springline-batch.journal"]);

    std::fs::remove_file(bench.path("club/turn-08.json")).unwrap();
    bench.put("club/turn-08.json", &demo(NAMES[8 % 5]));
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
        bench::Run::of(
            Command::new("bash")
                .args(["-c", &line])
                .current_dir(bench.path(""))
                .output()
                .unwrap(),
        )
    };
    let run = limited(40, "batch club --drill handspring-floor --threads 1 --out out");
    run.failed("error: out/springline-batch.journal: cannot be written: File too large (os error 27)\n");
    assert_eq!(names_in(&bench.path("out")), ["springline-batch.journal"]);
    // With room again it goes on.
    let run = bench.run(&["batch", "club", DRILL[0], DRILL[1], "--out", "out"]);
    run.ended(0).quiet();
    assert!(run.stdout.contains("kept from before"), "{}", run.stdout);

    let run = limited(4, "review club/turn-00.json --format json --out review.json");
    run.failed("error: review.json: cannot be written: File too large (os error 27)\n");
    assert_eq!(bench.names(), ["club", "out"]);
}
