//! A folder of the coach's own over what ships.

use std::fs;

use springline_drills::{Catalogue, Error, load_drill, load_ladder, template};

fn text(id: &str) -> &'static str {
    template(id).expect("it ships")
}

#[test]
fn a_file_of_the_coachs_own_takes_the_place_of_the_shipped_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let own = text("handstand").replace("title = \"Handstand\"", "title = \"Our handstand\"");
    fs::write(folder.path().join("handstand.toml"), &own).expect("written");
    let new = text("handstand-hop")
        .replace("id = \"handstand-hop\"", "id = \"double-hop\"")
        .replace(
            "[\"front-support-bounce\"]",
            "[\"double-hop\", \"front-support-bounce\"]",
        );
    fs::write(folder.path().join("hop.toml"), new).expect("written");
    let ladder = text("front-handspring")
        .replace("id = \"front-handspring\"", "id = \"our-ladder\"")
        .replace("drill = \"handstand-hop\"", "drill = \"double-hop\"")
        .replace("\"handstand-hop\"", "\"double-hop\"");
    fs::write(folder.path().join("ladder.toml"), ladder).expect("written");
    fs::write(folder.path().join("notes.txt"), "not a spec").expect("written");

    let catalogue = Catalogue::with_folder(folder.path()).expect("good files");
    let drill = catalogue.drill("handstand").expect("own");
    assert_eq!(drill.title, "Our handstand");
    assert_ne!(
        drill.hash,
        Catalogue::shipped().drill("handstand").expect("shipped").hash
    );
    assert_eq!(
        catalogue.own_file("handstand"),
        Some(folder.path().join("handstand.toml").as_path())
    );
    assert_eq!(catalogue.own_file("bridge"), None);
    let ids = catalogue.drill_ids();
    assert_eq!(ids.iter().filter(|id| **id == "handstand").count(), 1);
    assert_eq!(ids.last(), Some(&"double-hop"));
    let ladder = catalogue.ladder("our-ladder").expect("own");
    assert!(ladder.rungs.iter().any(|rung| rung.drill == "double-hop"));
    assert_eq!(catalogue.ladder_ids(), ["front-handspring", "our-ladder"]);
}

#[test]
fn every_problem_of_every_file_of_a_folder_comes_at_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let spoiled = text("bridge").replace("unit = \"s\"", "unit = \"m\"");
    fs::write(folder.path().join("a.toml"), spoiled).expect("written");
    fs::write(folder.path().join("b.toml"), text("handstand")).expect("written");
    fs::write(folder.path().join("c.toml"), text("handstand")).expect("written");
    let ladder = text("front-handspring").replace("drill = \"handstand-hop\"", "drill = \"hop\"");
    fs::write(folder.path().join("d.toml"), ladder).expect("written");

    let error = Catalogue::with_folder(folder.path()).expect_err("spoiled");
    let Error::Spec { problems } = error else {
        panic!("{error}")
    };
    let lines: Vec<String> = problems
        .list()
        .iter()
        .map(|problem| {
            let name = problem.file.rsplit('/').next().expect("a name");
            format!("{name}: {}", problem.found)
        })
        .collect();
    assert_eq!(
        lines,
        [
            "a.toml: unit \"m\" for hold_time",
            "c.toml: id \"handstand\" a second time",
            "d.toml: unknown drill \"hop\"",
            "d.toml: rung \"handstand-hop\" is not on this ladder",
        ]
    );

    // Or each bad file costs itself only; what ships under its id is not taken instead.
    fs::write(
        folder.path().join("e.toml"),
        text("handstand-hop").replace("\"handstand-hop\"", "\"our-hop\""),
    )
    .expect("written");
    let catalogue = Catalogue::with_good_of_folder(folder.path()).expect("readable");
    let bad: Vec<&str> = catalogue.bad().iter().map(|bad| bad.id.as_str()).collect();
    assert_eq!(bad, ["bridge", "handstand", "front-handspring"]);
    assert!(matches!(catalogue.drill("bridge"), Err(Error::Spec { .. })));
    assert!(matches!(catalogue.ladder("front-handspring"), Err(Error::Spec { .. })));
    assert!(catalogue.drill("our-hop").is_ok() && catalogue.drill("hollow-hold").is_ok());
}

#[test]
fn what_cannot_be_read_is_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let missing = folder.path().join("missing.toml");
    for error in [
        load_drill(&missing).expect_err("missing"),
        load_ladder(&missing).expect_err("missing"),
        Catalogue::with_folder(&missing).expect_err("missing"),
        Catalogue::shipped()
            .load_drill(folder.path())
            .expect_err("a folder is no file"),
    ] {
        assert!(matches!(error, Error::Unreadable { .. }), "{error}");
        assert!(error.to_string().contains("cannot be read"), "{error}");
    }
}

#[test]
fn the_hash_follows_every_byte() {
    let one = text("bridge");
    let drill = springline_drills::read_drill("x", one.as_bytes()).expect("good");
    let other = springline_drills::read_drill("x", format!("{one}\n").as_bytes()).expect("good");
    assert_eq!(drill.hash.len(), 64);
    assert_ne!(drill.hash, other.hash);
    assert_eq!(drill.hash, Catalogue::shipped().drill("bridge").expect("shipped").hash);
}

#[test]
fn a_near_name_is_offered_for_an_unknown_id() {
    let catalogue = Catalogue::shipped();
    let message = |error: Error| error.to_string();
    assert_eq!(
        message(catalogue.drill("handspring_floor").expect_err("unknown")),
        "unknown drill \"handspring_floor\"; expected an id of the catalogue; \
         did you mean \"handspring-floor\"?"
    );
    assert_eq!(
        message(catalogue.ladder("qqq").expect_err("unknown")),
        "unknown ladder \"qqq\"; expected an id of the catalogue"
    );
}
