//! A coach makes a drill of their own.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, demo};

const HIP_CHECK: &str = r#"
[[check]]
id = "hips-at-placement"
title = "Hips stay open as the hands come down"
measure = "hip_angle"
side = "near"
at = "hand_placement"
at_least = 60
unit = "deg"
medium_beyond = 10
large_beyond = 20
weight = "note"
below = "hands-near-feet"
basis = "coach-set"

[pass]"#;

#[test]
fn an_angle_check_is_added_to_a_copied_drill() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    let copy = bench.run(&["drills", "copy", "handspring-floor", "my-handspring.toml"]);
    copy.ended(0).quiet();
    assert!(copy.stdout.starts_with("wrote my-handspring.toml (id my-handspring)\n"));
    let spec = bench.get("my-handspring.toml");
    assert!(spec.contains("\nid = \"my-handspring\"\n"));

    let added = spec.replace("\n[pass]", HIP_CHECK);
    bench.put("my-handspring.toml", added.as_bytes());
    let check = bench.run(&["drills", "check", "my-handspring.toml"]);
    check.ended(0).quiet();
    assert_eq!(
        check.stdout,
        "my-handspring.toml: no problems; the author is still \"your name\", put yours there\n"
    );
    let named = added.replace("author = \"your name\"", "author = \"Ann\"");
    bench.put("my-handspring.toml", named.as_bytes());
    let check = bench.run(&["drills", "check", "my-handspring.toml"]);
    assert_eq!(check.stdout, "my-handspring.toml: no problems\n");
    bench.put("my-handspring.toml", added.as_bytes());

    let explained = bench.run(&["drills", "explain", "my-handspring.toml"]);
    explained.ended(0).quiet();
    assert!(
        explained
            .stdout
            .contains("hip angle (near side) at hand placement: at least 60 degrees")
    );

    let review = bench.run(&[
        "review",
        "turn.json",
        "--drill",
        "my-handspring.toml",
        "--format",
        "json",
    ]);
    review.ended(0).quiet();
    let review = springline_report::from_json(&review.stdout).unwrap();
    assert_eq!(review.drill.id, "my-handspring");
    let check = review
        .checks
        .iter()
        .find(|check| check.id == "hips-at-placement")
        .unwrap();
    assert_eq!(check.band.at_least, Some(60.0));
    assert!(check.measured.unwrap().sd > 0.0);
    assert!(
        review
            .attempt
            .remarks
            .iter()
            .any(|remark| remark.contains("the file says drill handspring-floor"))
    );

    // The same by a folder of the coach's own, where its id is enough.
    bench.put("mine/own.toml", added.as_bytes());
    let by_id = bench.run(&[
        "--drills",
        "mine",
        "review",
        "turn.json",
        "--drill",
        "my-handspring",
        "--format",
        "json",
    ]);
    by_id.ended(0).quiet();
    assert_eq!(springline_report::from_json(&by_id.stdout).unwrap(), review);
    let list = bench.run(&["drills", "list", "--drills", "mine"]);
    list.ended(0).quiet();
    assert!(list.stdout.contains("  (your own: mine/own.toml)\n"));
    let show = bench.run(&["drills", "show", "my-handspring", "--drills", "mine"]);
    assert_eq!(show.stdout, added);
}

#[test]
fn every_problem_of_a_spec_at_once() {
    let bench = Bench::new();
    bench.run(&["drills", "copy", "handspring-floor", "mine.toml"]).ended(0);
    let spoiled = bench
        .get("mine.toml")
        .replace("\n[pass]", HIP_CHECK)
        .replace(
            "measure = \"hip_angle\"\nside = \"near\"\nat = \"hand_placement\"",
            "measure = \"hip_angel\"\nside = \"near\"\nat = \"hand_placment\"",
        )
        .replacen("unit = \"leg lengths\"", "unit = \"deg\"", 1);
    bench.put("mine.toml", spoiled.as_bytes());
    bench.run(&["drills", "copy", "handstand"]).ended(0);
    let run = bench.run(&["drills", "check", "mine.toml", "handstand.toml", "absent.toml"]);
    run.ended(2);
    assert_eq!(
        run.stdout,
        "handstand.toml: no problems; the author is still \"your name\", put yours there\n"
    );
    let line = |needle: &str| spoiled.lines().position(|line| line.contains(needle)).unwrap() + 1;
    let errors: Vec<&str> = run.stderr.lines().collect();
    assert_eq!(errors.len(), 4, "{}", run.stderr);
    assert!(
        errors[0].starts_with("error: mine.toml:") && errors[0].contains("unit \"deg\" for lunge_length"),
        "{}",
        errors[0]
    );
    let start = format!("error: mine.toml:{}:", line("hip_angel"));
    assert!(
        errors[1].starts_with(&start) && errors[1].ends_with("did you mean \"hip_angle\"?"),
        "{}",
        errors[1]
    );
    let start = format!("error: mine.toml:{}:", line("hand_placment"));
    assert!(
        errors[2].starts_with(&start) && errors[2].ends_with("did you mean \"hand_placement\"?"),
        "{}",
        errors[2]
    );
    assert!(
        errors[3].starts_with("error: absent.toml: cannot be read"),
        "{}",
        errors[3]
    );

    // The same problems come up when the spec is used, before the attempt is read.
    let used = bench.run(&["review", "absent.json", "--drill", "mine.toml"]);
    used.ended(2);
    assert_eq!(used.stderr.lines().collect::<Vec<_>>(), errors[..3]);
}

#[test]
fn a_copy_never_writes_over_a_file() {
    let bench = Bench::new();
    bench.put("handstand.toml", b"mine");
    bench.run(&["drills", "copy", "handstand"]).failed(
        "error: handstand.toml: found a file that is there already, expected a new file\n\
         hint: another name, or --force to write over it\n",
    );
    assert_eq!(bench.get("handstand.toml"), "mine");
    bench.run(&["drills", "copy", "handstand", "--force"]).ended(0).quiet();
    let shown = bench.run(&["drills", "show", "handstand"]);
    let copied = bench.get("handstand.toml");
    assert!(copied.contains("author = \"your name\"\nnotes = [\"After handstand, version 1, by Springline.\"]\n"));
    let same = |text: &str| -> Vec<String> {
        let kept = |line: &&str| !line.starts_with("author = ") && !line.starts_with("notes = ");
        text.lines().filter(kept).map(str::to_owned).collect()
    };
    assert_eq!(same(&copied), same(&shown.stdout));
    bench.run(&["drills", "copy", "handstnad"]).failed(
        "error: unknown drill \"handstnad\"; expected an id of the catalogue; did you mean \"handstand\"?\n\
         hint: `springline drills list` shows the ids; a spec file of your own works too\n",
    );
}

#[test]
fn the_list_holds_every_drill_once() {
    let bench = Bench::new();
    let run = bench.run(&["drills", "list"]);
    run.ended(0).quiet();
    let catalogue = springline_drills::Catalogue::shipped();
    for id in catalogue.drill_ids() {
        let lines = run
            .stdout
            .lines()
            .filter(|line| line.split_whitespace().next() == Some(id));
        assert_eq!(lines.count(), 1, "{id}");
        let explained = bench.run(&["drills", "explain", id]);
        explained.ended(0).quiet();
        assert!(
            explained.stdout.contains(&catalogue.drill(id).unwrap().purpose[..20]),
            "{id}"
        );
    }
}

#[test]
fn a_ladder_is_explained_and_a_skill_leads_to_its_drill() {
    let bench = Bench::new();
    let ladder = bench.run(&["drills", "explain", "front-handspring"]);
    ladder.ended(0).quiet();
    assert!(
        ladder
            .stdout
            .contains("\n  17. Front handspring, floor to floor (handspring-floor)\n     Proves: The skill.\n")
    );
    bench.run(&["drills", "explain", "handspring"]).failed(
        "error: unknown drill \"handspring\"; expected an id of the catalogue; did you mean \"handspring-floor\"?\n\
         hint: `springline drills list` shows the ids; a spec file of your own works too\n",
    );
    bench
        .run(&["review", "absent.json", "--drill", "front-handspring"])
        .failed(
            "error: \"front-handspring\" is a ladder of drills; expected one of its drills, such as \"handspring-floor\"\n",
        );
}

#[test]
fn a_bad_file_in_a_folder_of_drills_costs_itself_only() {
    let bench = Bench::new();
    bench.put("turn.json", &demo("a-clean"));
    bench.run(&["drills", "copy", "handstand", "mine.toml"]).ended(0);
    let good = bench.get("mine.toml");
    bench.put("own/mine.toml", good.as_bytes());
    let spoiled =
        good.replacen("version = \"1\"", "versoin = \"1\"", 1)
            .replacen("id = \"mine\"", "id = \"bridge\"", 1);
    bench.put("own/bridge.toml", spoiled.as_bytes());
    let list = bench.run(&["drills", "list", "--drills", "own"]);
    list.ended(3);
    assert!(list.stdout.contains("(your own: own/mine.toml)\n"), "{}", list.stdout);
    assert!(
        list.stdout.contains("  cannot be used, see the note\n"),
        "{}",
        list.stdout
    );
    assert!(
        list.stderr.starts_with("note: left out: own/bridge.toml:"),
        "{}",
        list.stderr
    );
    // Another drill can be used; the bad one cannot, nor what ships under its id.
    bench
        .run(&["review", "turn.json", "--drill", "handspring-floor", "--drills", "own"])
        .ended(0);
    let run = bench.run(&["review", "turn.json", "--drill", "bridge", "--drills", "own"]);
    run.ended(2);
    assert!(run.stderr.contains("\nerror: own/bridge.toml:"), "{}", run.stderr);

    let check = bench.run(&["drills", "check", "own"]);
    check.ended(2);
    assert_eq!(
        check.stdout,
        "own/mine.toml: no problems; the author is still \"your name\", put yours there\n"
    );
    assert!(check.stderr.starts_with("error: own/bridge.toml:"), "{}", check.stderr);
    bench.put("empty/notes.txt", b"");
    bench
        .run(&["drills", "check", "empty"])
        .failed("error: empty: found no spec file (*.toml) in it\n");
}

#[test]
fn the_id_of_a_copy_follows_its_file_name() {
    let bench = Bench::new();
    let copy = bench.run(&["drills", "copy", "handstand", "My Drill 2.toml"]);
    copy.ended(0).quiet();
    assert_eq!(
        copy.stdout,
        "wrote My Drill 2.toml (id my-drill-2)\n\
         next: put your name and your changes in it, then `springline drills check \"My Drill 2.toml\"` and `--drill \"My \
         Drill 2.toml\"`\n"
    );
    assert!(bench.get("My Drill 2.toml").contains("\nid = \"my-drill-2\"\n"));
    // A name that makes no id keeps the shipped one, and that is said.
    for name in ["7.toml", "équilibre.toml"] {
        let copy = bench.run(&["drills", "copy", "handstand", name]);
        let says =
            format!("wrote {name} (id handstand, as the shipped one: change it if both shall be used side by side)\n");
        assert!(copy.stdout.starts_with(&says), "{}", copy.stdout);
    }
    let quoted = bench.run(&["drills", "copy", "handstand", "it's $1.toml"]);
    assert!(
        quoted.stdout.contains("drills check 'it'\\''s $1.toml'`"),
        "{}",
        quoted.stdout
    );
}

#[test]
fn one_more_problem_is_told_in_the_singular() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("own")).unwrap();
    bench
        .run(&["drills", "copy", "handspring-floor", "own/mine.toml"])
        .ended(0);
    let spec = format!("zig = 1\nzag = 2\n{}", bench.get("own/mine.toml"));
    bench.put("own/mine.toml", spec.as_bytes());
    let run = bench.run(&["drills", "--drills", "own", "list"]);
    assert!(
        run.ended(3)
            .stderr
            .ends_with("\nnote: 1 more problem in it: `springline drills check own/mine.toml`\n"),
        "{}",
        run.stderr
    );
}
