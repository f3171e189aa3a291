//! Where in the picture the athlete is, how the camera is turned, how large the picture is.

use proptest::prelude::*;

use crate::reading::{Allowed, read};
use crate::scene::{Points, Scene, cases, review, scaled, scenes, shifted, turned};

/// Scenes in which the floor line is marked and no sd is taken from an upright box around the points.
fn with_a_floor_line() -> impl Strategy<Value = Scene> {
    scenes()
        .prop_map(|scene| Scene { marked: true, ..scene })
        .prop_filter("a box turns with the picture", |scene| {
            !matches!(scene.points, Points::Unstated(_))
        })
}

proptest! {
    #![proptest_config(cases(8))]

    #[test]
    fn elsewhere_in_the_picture(scene in scenes(), by in [-600.0..600.0, -400.0..400.0_f64]) {
        let (file, drill) = (scene.file(), scene.what.drill());
        let (here, there) = (read(&review(&file, drill)), read(&review(&shifted(&file, by), drill)));
        let differences = there.differences(&here, &Allowed::rounding());
        prop_assert!(differences.is_empty(), "{differences:#?}");
    }

    /// Less than a quarter turn: past that the floor line of a file cannot say which side of it is up.
    #[test]
    fn the_camera_turned(scene in with_a_floor_line(), degrees in -80.0..80.0_f64) {
        let (file, drill) = (scene.file(), scene.what.drill());
        let (level, askew) = (read(&review(&file, drill)), read(&review(&turned(&file, degrees), drill)));
        let differences = askew.differences(&level, &Allowed::rounding());
        prop_assert!(differences.is_empty(), "{differences:#?}");
    }

    /// Errors are carried on by differences over 0.02 px, whatever the size of the picture: no length can be the same to
    /// less than that, and where two points lie within a px of each other nor can an sd. Points under half a px of error
    /// count as half a px where the facing is found, so that is given with them.
    #[test]
    fn a_larger_or_smaller_picture(scene in scenes(), scale in 0.4..1.6_f64) {
        let marked = scene.marked || scene.points == Points::Exact;
        let scene = Scene { marked, ..scene };
        let (file, drill) = (scene.file(), scene.what.drill());
        let (one, other) = (read(&review(&file, drill)), read(&review(&scaled(&file, scale), drill)));
        let allowed = Allowed { share: 1e-4, px: 0.02, ..Allowed::rounding() };
        let differences = other.differences(&one.with(scale, 0.0), &allowed);
        prop_assert!(differences.is_empty(), "{differences:#?}");
    }
}
