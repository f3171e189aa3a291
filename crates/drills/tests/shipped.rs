//! What ships is readable and complete.

use std::collections::BTreeSet;

use springline_drills::form::{DrillForm, LadderForm};
use springline_drills::{Basis, Catalogue, Weight, template};

/// The faults that the front handspring on floor must be able to find, in the order of cause.
const FAULTS: [&str; 18] = [
    "short-lunge",
    "hands-near-feet",
    "chin-tucked",
    "closed-shoulders",
    "staggered-hands",
    "bent-arms",
    "shoulders-closing",
    "bent-knees",
    "legs-late",
    "over-arched",
    "no-block",
    "hands-past-vertical",
    "pike-in-flight",
    "tucked-landing",
    "arms-dropped",
    "feet-apart",
    "sitting-landing",
    "landing-behind-feet",
];

#[test]
fn every_shipped_file_reads_without_problem_and_names_drills_that_exist() {
    let catalogue = Catalogue::shipped();
    let mut troubles = Vec::new();
    for id in catalogue.drill_ids() {
        let text = template(id).expect("a shipped drill has its text");
        match catalogue.read_drill(&format!("{id}.toml"), text.as_bytes()) {
            Ok(drill) => assert_eq!(drill.id, id),
            Err(problems) => troubles.push(problems.to_string()),
        }
    }
    for id in catalogue.ladder_ids() {
        let text = template(id).expect("a shipped ladder has its text");
        match catalogue.read_ladder(&format!("{id}.toml"), text.as_bytes()) {
            Ok(ladder) => assert_eq!(ladder.id, id),
            Err(problems) => troubles.push(problems.to_string()),
        }
    }
    assert!(troubles.is_empty(), "{}", troubles.join("\n"));
}

#[test]
fn every_file_of_the_folder_ships() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("shipped");
    let catalogue = Catalogue::shipped();
    let listed: BTreeSet<&str> = catalogue
        .drill_ids()
        .into_iter()
        .chain(catalogue.ladder_ids())
        .collect();
    let mut count = 0;
    for entry in std::fs::read_dir(folder).expect("the folder of shipped specs") {
        let path = entry.expect("an entry").path();
        let stem = path.file_stem().and_then(|stem| stem.to_str()).expect("a plain name");
        assert!(listed.contains(stem), "{stem} is not in the list");
        count += 1;
    }
    assert_eq!(count, listed.len());
}

#[test]
fn every_shipped_file_fits_the_typed_forms() {
    let catalogue = Catalogue::shipped();
    for id in catalogue.drill_ids() {
        let text = template(id).expect("text");
        let form: DrillForm = toml::from_str(text).unwrap_or_else(|error| panic!("{id}: {error}"));
        let drill = catalogue.drill(id).expect("readable");
        assert_eq!(form.check.len(), drill.checks.len());
        assert_eq!(form.fault.len(), drill.faults.len());
        assert_eq!(form.title, drill.title);
    }
    for id in catalogue.ladder_ids() {
        let text = template(id).expect("text");
        let form: LadderForm = toml::from_str(text).unwrap_or_else(|error| panic!("{id}: {error}"));
        assert_eq!(form.rung.len(), catalogue.ladder(id).expect("readable").rungs.len());
    }
}

#[test]
fn the_floor_handspring_finds_every_fault_in_the_order_of_cause() {
    let catalogue = Catalogue::shipped();
    let drill = catalogue.drill("handspring-floor").expect("it ships");
    let faults: Vec<&str> = drill.faults.iter().map(|fault| fault.id.as_str()).collect();
    assert_eq!(faults, FAULTS);
    for fault in FAULTS {
        let points_here = |id: &Option<String>| id.as_deref() == Some(fault);
        let checks: Vec<_> = drill
            .checks
            .iter()
            .filter(|check| points_here(&check.fault_below) || points_here(&check.fault_above))
            .collect();
        assert!(!checks.is_empty(), "nothing finds {fault}");
        let decides = checks.iter().any(|check| check.weight == Weight::MustHold);
        assert!(decides || fault == "short-lunge", "{fault} is only a note");
    }
}

#[test]
fn no_check_and_no_cue_asks_for_the_neck_to_go_back() {
    use springline_kinematics::Measure;
    let catalogue = Catalogue::shipped();
    for id in catalogue.drill_ids() {
        let drill = catalogue.drill(id).expect("readable");
        for check in &drill.checks {
            if let springline_drills::Quantity::Single(reading) = check.quantity
                && matches!(reading.measure, Measure::HeadTilt | Measure::EarOffset)
            {
                assert_eq!(check.band.at_least, None, "{id}: {} flags a head held back", check.id);
            }
        }
        for fault in &drill.faults {
            let cue = fault.cue.to_lowercase();
            for words in ["head back", "neck", "chin up", "throw your head"] {
                assert!(!cue.contains(words), "{id}: cue {:?}", fault.cue);
            }
        }
    }
}

#[test]
fn contact_and_flight_times_claim_no_published_norm() {
    use springline_kinematics::Measure;
    let catalogue = Catalogue::shipped();
    for id in catalogue.drill_ids() {
        for check in &catalogue.drill(id).expect("readable").checks {
            if let springline_drills::Quantity::Single(reading) = check.quantity
                && matches!(
                    reading.measure,
                    Measure::SupportTime | Measure::FlightTime | Measure::HandFlightTime
                )
            {
                assert_eq!(check.basis, Basis::CoachSet, "{id}: {}", check.id);
            }
        }
    }
}

#[test]
fn the_ladder_climbs_and_no_cure_waits_for_the_drill_that_it_cures() {
    let catalogue = Catalogue::shipped();
    let ladder = catalogue.ladder("front-handspring").expect("it ships");
    assert_eq!(ladder.rungs.len(), 18);
    let place = |id: &str| ladder.rungs.iter().position(|rung| rung.drill == id);
    let mut below: Vec<BTreeSet<usize>> = Vec::new();
    for (index, rung) in ladder.rungs.iter().enumerate() {
        let mut all = BTreeSet::new();
        for after in &rung.after {
            let earlier = place(after).expect("a rung");
            assert!(earlier < index, "{} after {after}", rung.drill);
            all.insert(earlier);
            all.extend(below[earlier].iter().copied());
        }
        below.push(all);
    }
    for (index, rung) in ladder.rungs.iter().enumerate() {
        for fault in &catalogue.drill(&rung.drill).expect("a drill").faults {
            for cure in &fault.cured_by {
                let waits = place(cure).is_some_and(|cure| below[cure].contains(&index));
                assert!(!waits, "{}: {} is cured by {cure}, a later rung", rung.drill, fault.id);
            }
        }
    }
    let parallel: Vec<&str> = ladder
        .rungs
        .iter()
        .filter(|rung| rung.after.is_empty())
        .map(|rung| rung.drill.as_str())
        .collect();
    assert_eq!(
        parallel,
        ["bridge", "arms-overhead-lying", "hollow-hold", "front-support-bounce"]
    );
}

/// The fault of a long support may stand beside a flight that was measured: its words must not say there was none.
#[test]
fn no_block_does_not_deny_a_flight() {
    let catalogue = Catalogue::shipped();
    let mut seen = 0;
    for id in catalogue.drill_ids() {
        let drill = catalogue.drill(id).unwrap();
        for fault in drill.faults.iter().filter(|fault| fault.id == "no-block") {
            seen += 1;
            assert!(!fault.seen_as.contains("as the hands come off"), "{}", drill.id);
        }
    }
    assert!(seen > 5, "{seen}");
}
