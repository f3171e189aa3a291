//! What the command says about itself.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, names_in};

#[test]
fn help_names_commands_and_exit_codes() {
    let bench = Bench::new();
    let run = bench.run(&["--help"]);
    run.ended(0).quiet();
    assert_eq!(run.stdout, include_str!("help.txt"));
    for command in [
        "demo",
        "review",
        "batch",
        "track",
        "drills",
        "setup",
        "layouts",
        "schema",
        "cite",
        "completions",
        "man",
    ] {
        let help = bench.run(&[command, "--help"]);
        help.ended(0).quiet();
        assert!(
            help.stdout.contains(&format!("Usage: springline {command}")),
            "{}",
            help.stdout
        );
    }
}

#[test]
fn help_says_what_a_coach_asks() {
    let bench = Bench::new();
    for (command, parts) in [
        (
            "review",
            &[
                "\nScale and surfaces (of several scales the surest is used, the others are compared with it):\n",
                "--known-length <M=X1,Y1,X2,Y2>",
                "--scale <M_PER_PX|gravity>",
                "--hand-surface <M|X,Y>",
                "--error <KIND|0..1>",
                "--pictures <FOLDER>",
                "\nExamples:\n  springline review turn-07.json --drill handspring-floor\n",
            ][..],
        ),
        (
            "batch",
            &[
                "A manifest: a CSV file with the columns file,",
                "Finished work is kept",
                "--foot-surface",
            ],
        ),
        ("demo", &["Five handsprings made by a simulator."]),
    ] {
        let help = bench.run(&[command, "--help"]);
        for part in parts {
            assert!(help.stdout.contains(part), "{part}\n{}", help.stdout);
        }
        assert!(help.stdout.lines().all(|line| line.chars().count() <= 100));
    }
}

#[test]
fn a_wrong_command_is_met_with_the_nearest() {
    let bench = Bench::new();
    let run = bench.run(&["reveiw", "x.json"]);
    run.ended(2);
    assert_eq!(run.stdout, "");
    assert!(run.stderr.contains("'review'"), "{}", run.stderr);
    bench.run(&[]).ended(2);
}

#[test]
fn schemas_are_json_with_a_title() {
    let bench = Bench::new();
    for (form, key) in [
        ("attempt", "frames"),
        ("layout", "points"),
        ("setup", "known_length"),
        ("drill", "check"),
        ("ladder", "rung"),
        ("review", "springline-review"),
    ] {
        let run = bench.run(&["schema", form]);
        run.ended(0).quiet();
        let schema: serde_json::Value = serde_json::from_str(&run.stdout).unwrap();
        assert!(schema["title"].is_string(), "{form}");
        assert!(
            schema["properties"].get(key).is_some(),
            "{form}: {:?}",
            schema["properties"].as_object().unwrap().keys()
        );
    }
}

#[test]
fn layouts_say_what_they_allow() {
    let bench = Bench::new();
    let table = bench.run(&["layouts"]);
    table.ended(0).quiet();
    let line = |name: &str| {
        table
            .stdout
            .lines()
            .find(|line| line.starts_with(name))
            .unwrap()
            .split_whitespace()
            .collect::<Vec<_>>()
    };
    assert_eq!(line("shoulder opening")[2..], ["yes"; 5]);
    assert_eq!(line("heel height")[2..], ["-", "yes", "yes", "yes", "yes"]);
    let one = bench.run(&["layouts", "coco-17"]);
    one.ended(0).quiet();
    assert!(one.stdout.contains("    5  left_shoulder\n"));
    let lacking = one.stdout.split("measures that it lacks points for:\n").nth(1).unwrap();
    assert_eq!(lacking, "  ankle angle\n  mass over foot\n  heel height\n");
    bench.run(&["layouts", "coco-71"]).failed(
        "error: layout: found neither a file nor a shipped layout \"coco-71\", expected a layout file that is there, or one of \
         coco-17, coco-wholebody-133, points-25, points-33, named-23\n\
         hint: `springline layouts` shows the names\n",
    );
}

#[test]
fn completions_and_manual_pages() {
    let bench = Bench::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let run = bench.run(&["completions", shell]);
        run.ended(0).quiet();
        assert!(
            run.stdout.contains("springline") && run.stdout.contains("batch"),
            "{shell}"
        );
    }
    let page = bench.run(&["man"]);
    page.ended(0).quiet();
    assert!(page.stdout.contains(".TH") && page.stdout.contains("Exit codes"));
    bench.run(&["man", "--out", "man"]).ended(0).quiet();
    let names = names_in(&bench.path("man"));
    for name in [
        "springline.1",
        "springline-review.1",
        "springline-batch.1",
        "springline-drills-copy.1",
    ] {
        assert!(names.iter().any(|found| found == name), "{names:?}");
    }
    bench.run(&["man", "--out", "man"]).ended(2);
    bench.run(&["man", "--out", "man", "--force"]).ended(0).quiet();
}

#[test]
fn a_citation_names_version_and_sources() {
    let run = Bench::new().run(&["cite"]);
    run.ended(0).quiet();
    assert!(
        run.stdout
            .starts_with(concat!("Springline ", env!("CARGO_PKG_VERSION")))
    );
    assert!(run.stdout.contains("J Biomech 29(9):1223-1230") && run.stdout.contains("[M] from memory, unchecked"));
    assert!(run.stdout.lines().all(|line| line.chars().count() <= 120));
}
