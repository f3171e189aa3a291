//! Deductions of published tables, edge by edge. Numbers typed from the sources; none is a judge's score.
//!
//! Tags: \[R2\] read in a source that quotes the rules, \[C\] a reading of ours where the table is silent.

use springline_assess::{Assessment, assess, search_of};
use springline_drills::{Amount, Catalogue, Drill, NOT_A_SCORE, explain};
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::{Settings, Trial};
use springline_simulate::{Act, Handstand, Recording};

const HAIR: f64 = 1e-6;

fn drill() -> Drill {
    Catalogue::shipped()
        .drill("handstand-deductions")
        .expect("it ships")
        .clone()
}

fn points(points: f64) -> Option<Amount> {
    Some(Amount { points, up_to: false })
}

fn up_to(points: f64) -> Option<Amount> {
    Some(Amount { points, up_to: true })
}

#[track_caller]
fn table(check: &str, lines: &[(f64, Option<Amount>)]) {
    let drill = drill();
    let check = drill.checks.iter().find(|known| known.id == check).expect("a check");
    let table = check.deduction.as_ref().expect("with a table");
    for (value, expected) in lines {
        assert_eq!(table.of(*value), *expected, "{} at {value}", check.id);
    }
}

/// FIG men's angular deviations: 0-15: 0; 16-30: 0.1; 31-45: 0.3; over 45: 0.5 and not recognised. \[R2\]
///
/// The table has whole degrees; between them "over 15", as its last line says "over 45". \[C\]
#[test]
fn line_of_the_handstand() {
    for side in [1.0, -1.0] {
        table(
            "line",
            &[
                (0.0, 0.0),
                (15.0 - HAIR, 0.0),
                (15.0, 0.0),
                (15.0 + HAIR, 0.1),
                (16.0, 0.1),
                (30.0 - HAIR, 0.1),
                (30.0, 0.1),
                (30.0 + HAIR, 0.3),
                (31.0, 0.3),
                (45.0 - HAIR, 0.3),
                (45.0, 0.3),
                (45.0 + HAIR, 0.5),
                (46.0, 0.5),
                (90.0, 0.5),
            ]
            .map(|(deviation, amount)| (side * deviation, points(amount))),
        );
    }
}

/// US women's programme, stretched position: hip 136-179: up to 0.20; arch up to 0.20. \[R2\]
///
/// Below 136 the table has no line. Where an arch begins it does not say; the same degree is taken. \[C\]
#[test]
fn stretched_hips() {
    table(
        "hips",
        &[
            (180.0, points(0.0)),
            (179.0 + HAIR, points(0.0)),
            (179.0, up_to(0.2)),
            (179.0 - HAIR, up_to(0.2)),
            (150.0, up_to(0.2)),
            (136.0 + HAIR, up_to(0.2)),
            (136.0, up_to(0.2)),
            (136.0 - HAIR, None),
            (90.0, None),
            (181.0 - HAIR, points(0.0)),
            (181.0, up_to(0.2)),
            (181.0 + HAIR, up_to(0.2)),
            (230.0, up_to(0.2)),
        ],
    );
}

/// US women's programme: bent arms in support and bent legs up to 0.30; 90 degrees of bend or more is the maximum 0.30.
/// \[R2\]
///
/// "There is no official number" for slightly bent: up to 15 degrees count as straight. \[C\]
#[test]
fn bent_arms_and_legs() {
    for check in ["arms-straight", "knees-straight"] {
        table(
            check,
            &[
                (180.0, points(0.0)),
                (165.0 + HAIR, points(0.0)),
                (165.0, points(0.0)),
                (165.0 - HAIR, up_to(0.3)),
                (120.0, up_to(0.3)),
                (90.0 + HAIR, up_to(0.3)),
                (90.0, points(0.3)),
                (90.0 - HAIR, points(0.3)),
                (40.0, points(0.3)),
            ],
        );
    }
    // A hyperextended knee is bent the other way.
    table("knees-straight", &[(190.0, points(0.0)), (195.5, up_to(0.3))]);
}

#[test]
fn every_table_names_its_source_and_is_no_score() {
    let drill = drill();
    let with_table: Vec<_> = drill
        .checks
        .iter()
        .filter_map(|check| check.deduction.as_ref())
        .collect();
    assert_eq!(with_table.len(), 4);
    assert!(with_table.iter().all(|table| table.source.contains("[R2]")));
    assert_eq!(
        NOT_A_SCORE,
        "This is what a published table would deduct. It is not a judge's score."
    );
    let words = explain(&drill).split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(words.matches(NOT_A_SCORE).count(), 4);
    for part in [
        "Deduction counted from 0 degrees: 0.10 over 15 degrees, 0.30 over 30 degrees, 0.50 over 45 degrees away.",
        "Deduction counted from 180 degrees: up to 0.20 from 1 degree away. The table has no line below 136 degrees.",
        "up to 0.30 over 15 degrees, 0.30 from 90 degrees away.",
    ] {
        assert!(words.contains(part), "{part}\n{words}");
    }
}

/// `None` where the figure cannot do it.
fn assessed(handstand: &Handstand) -> Option<Assessment> {
    let drill = drill();
    let filmed = Act::handstand(handstand).ok()?.film(&Recording::exact(), 1);
    let settings = Settings {
        smoothing: Smoothing::Off,
        search: search_of(&drill, &[]),
        ..Settings::default()
    };
    let trial = Trial::new(filmed.tracks, &settings).expect("can be measured");
    Some(assess(&drill, &trial))
}

/// The tables once more, by the value that was measured: points, whether they are the most.
fn typed(check: &str, value: f64) -> Option<(f64, bool)> {
    let off = (value - 180.0).abs();
    match check {
        "line" => Some((
            match value.abs() {
                off if off <= 15.0 => 0.0,
                off if off <= 30.0 => 0.1,
                off if off <= 45.0 => 0.3,
                _ => 0.5,
            },
            false,
        )),
        "hips" if value < 136.0 => None,
        "hips" => Some(if off < 1.0 { (0.0, false) } else { (0.2, true) }),
        _ if off <= 15.0 => Some((0.0, false)),
        _ => Some((0.3, off < 90.0)),
    }
}

#[test]
fn a_measured_handstand_gets_the_deduction_of_its_values() {
    let with = |change: &dyn Fn(&mut Handstand, f64), values: &[f64]| -> Vec<Handstand> {
        values
            .iter()
            .map(|value| {
                let mut handstand = Handstand::default();
                change(&mut handstand, *value);
                handstand
            })
            .collect()
    };
    let mut handstands = vec![Handstand::default()];
    handstands.extend(with(
        &|it, value| it.lean = value,
        &[12.0, 14.0, 16.0, 18.0, -16.0, -18.0],
    ));
    handstands.extend(with(
        &|it, value| it.hip = value,
        &[160.0, 140.0, 134.0, 130.0, 125.0, 195.0],
    ));
    handstands.extend(with(&|it, value| it.knee = value, &[170.0, 160.0, 140.0, 95.0, 85.0]));
    handstands.extend(with(&|it, value| it.elbow = value, &[170.0, 160.0, 140.0, 120.0]));
    let mut seen = std::collections::BTreeSet::new();
    for assessment in handstands.iter().filter_map(assessed) {
        for check in &assessment.checks {
            let Some(measured) = &check.measured else { continue };
            if !["line", "hips", "arms-straight", "knees-straight"].contains(&check.id.as_str()) {
                assert_eq!(check.deduction, None, "{} has no table", check.id);
                continue;
            }
            let told = check.deduction.as_ref().map(|it| (it.points, it.up_to));
            assert_eq!(
                told,
                typed(&check.id, measured.value),
                "{} {}",
                check.id,
                measured.value
            );
            let silent = check
                .remarks
                .iter()
                .any(|remark| remark.contains("has no line for this value"));
            assert_eq!(silent, told.is_none(), "{:?}", check.remarks);
            seen.insert(format!("{} {told:?}", check.id));
        }
    }
    // Each table was met on both sides of an edge.
    for met in [
        "line Some((0.0, false))",
        "line Some((0.1, false))",
        "hips Some((0.0, false))",
        "hips Some((0.2, true))",
        "hips None",
        "knees-straight Some((0.0, false))",
        "knees-straight Some((0.3, true))",
        "arms-straight Some((0.0, false))",
        "arms-straight Some((0.3, true))",
    ] {
        assert!(seen.contains(met), "{met} not met: {seen:?}");
    }
}
