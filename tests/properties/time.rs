//! When the clock was started, and the film run backwards.

use proptest::prelude::*;
use springline_drills::Catalogue;
use springline_keypoints::AttemptFile;
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::{Facing, Trial};
use springline_kinematics::{Landmark, Measure, Side, Unit};
use springline_review::{Reviewer, Settings};
use springline_simulate::{Act, Facts, Layout, Params, Recording};

use crate::reading::{Allowed, not_yet, read};
use crate::scene::{Points, Scene, What, backwards, cases, later, review, scenes};

/// Scenes in which every frame errs in its own way. Without that a contact's joint may fall on a frame's time to the last
/// digit, and which side of it is up to rounding.
fn no_two_frames_alike() -> impl Strategy<Value = Scene> {
    scenes().prop_filter("alike from frame to frame", |scene| {
        matches!(
            scene.points,
            Points::Independent(_) | Points::Correlated(_) | Points::Clicked(_)
        )
    })
}

/// Times in whole 2⁻²⁰ s, which a later start leaves exact.
fn binary_times(file: &AttemptFile) -> AttemptFile {
    let mut file = file.clone();
    for frame in &mut file.frames.0 {
        frame.t = frame.t.map(|t| (t * 1_048_576.0).round() / 1_048_576.0);
    }
    file
}

proptest! {
    #![proptest_config(cases(8))]

    /// Whether a fit to a contact takes in one more frame or candidate hangs on the last bit in a few places: the sds of
    /// instants, and what rests on them, are the same to a twentieth.
    #[test]
    fn the_clock_started_earlier(scene in no_two_frames_alike(), quarters in -4_000..40_000_i32) {
        let seconds = f64::from(quarters) / 4.0;
        let (file, drill) = (binary_times(&scene.file()), scene.what.drill());
        let (now, then) = (read(&review(&file, drill)), read(&review(&later(&file, seconds), drill)));
        let allowed = Allowed { sds: 0.05, ..Allowed::rounding() };
        let differences = then.differences(&now.with(1.0, seconds), &allowed);
        prop_assert!(differences.is_empty(), "{differences:#?}");
    }

    /// Raw points, sides as they are in the file: what is measured on one frame cannot know which frame came before.
    /// Bridged gaps lie on a cubic through the same four points, so they too are the same.
    #[test]
    fn the_film_run_backwards(scene in scenes()) {
        let file = scene.file();
        let (forward, reversed) = (unsmoothed(&file, scene.what), unsmoothed(&backwards(&file), scene.what));
        let faces_right = |trial: &Trial| match trial.facing() {
            Facing::Given(right) | Facing::Found { right, .. } => Some(right),
            Facing::Undecided { .. } => None,
        };
        prop_assert_eq!(faces_right(&forward), faces_right(&reversed));
        prop_assert_eq!(forward.near(), reversed.near());
        let off = (forward.leg().value - reversed.leg().value).abs();
        prop_assert!(off < 1e-9, "leg length off by {}", off);
        let (mut compared, mut differences) = (0, Vec::new());
        for (measure, side) in of_one_frame() {
            for frame in 0..forward.series().raw().len() {
                let (one, other) = (on_frame(&forward, measure, side, frame, false), on_frame(&reversed, measure, side, frame, true));
                match (one, other) {
                    (Some(one), Some(other)) => {
                        compared += 1;
                        let whole = if measure.units()[0] == Unit::Degrees {
                            360.0 * ((one.0 - other.0) / 360.0).round()
                        } else {
                            0.0
                        };
                        let same_sd = (one.1 - other.1).abs() <= 1e-6 * one.1.max(1.0) || one.1 > 45.0;
                        let same = (one.0 - other.0 - whole).abs() <= 1e-6;
                        if !(same && (same_sd || not_yet(&format!("{}, sd", measure.words())))) {
                            differences.push(format!("{} {side:?}, frame {frame}: {one:?}, {other:?}", measure.words()));
                        }
                    }
                    (None, None) => {}
                    (one, other) => differences.push(format!("{} {side:?}, frame {frame}: {one:?}, {other:?}", measure.words())),
                }
            }
        }
        prop_assert!(differences.is_empty(), "{differences:#?}");
        prop_assert!(compared > 500, "only {} values", compared);
    }

    /// The filter runs both ways, so the middle of a clip does not know either; at the ends each pass starts with what it
    /// knows, and the two orders differ.
    #[test]
    fn smoothed_and_run_backwards(scene in scenes()) {
        let scene = Scene { lost: 0.0, swapped: false, ..scene };
        let file = scene.file();
        let (forward, reversed) = (imported(&file, scene.what, Smoothing::default()), imported(&backwards(&file), scene.what, Smoothing::default()));
        let count = forward.series().raw().len();
        let ends = (0.35 / forward.series().interval()).ceil() as usize;
        for landmark in Landmark::ALL {
            for frame in ends..count.saturating_sub(ends) {
                let (one, other) = (forward.series().smooth(landmark, frame), reversed.series().smooth(landmark, count - 1 - frame));
                if let (Some(one), Some(other)) = (one, other) {
                    prop_assert!((one - other).norm() < 0.01, "{landmark:?}, frame {frame}: {one}, {other}");
                }
            }
        }
    }
}

/// Measures that look at one frame alone, with the sides that they have.
fn of_one_frame() -> Vec<(Measure, Side)> {
    use Measure as M;
    [
        M::ShoulderOpening,
        M::HipAngle,
        M::KneeAngle,
        M::ElbowAngle,
        M::AnkleAngle,
        M::TrunkInclination,
        M::BodyLineLean,
        M::BodyLineStraightness,
        M::LegGap,
        M::EarOffset,
        M::HeadTilt,
        M::FeetApart,
        M::AnkleLead,
    ]
    .into_iter()
    .flat_map(|measure| Side::BOTH.map(|side| (measure, side)))
    .filter(|(measure, side)| measure.is_sided() || *side == Side::Left)
    .collect()
}

fn on_frame(trial: &Trial, measure: Measure, side: Side, frame: usize, from_the_end: bool) -> Option<(f64, f64)> {
    let times = &trial.series().raw().times;
    let time = times[if from_the_end { times.len() - 1 - frame } else { frame }];
    let value = trial.at(measure, side, time, 0.0, false, measure.units()[0]).ok()?;
    Some((value.value, value.sd))
}

fn unsmoothed(file: &AttemptFile, what: What) -> Trial {
    imported(file, what, Smoothing::Off)
}

/// The attempt ready to be measured, with left and right as they are in the file.
fn imported(file: &AttemptFile, what: What, smoothing: Smoothing) -> Trial {
    let catalogue = Catalogue::shipped();
    let mut settings = Settings {
        smoothing,
        ..Settings::default()
    };
    settings.import.keep_sides = true;
    let mut reviewer = Reviewer::new(&catalogue, settings);
    let bytes = serde_json::to_vec(file).unwrap();
    reviewer
        .review_bytes("attempt.json", &bytes, catalogue.drill(what.drill()).unwrap())
        .unwrap()
        .trial
}

/// A handspring filmed and run backwards goes round backward: it is no good one.
#[test]
fn a_handspring_backwards_is_no_good_one() {
    let mut nothing = 0;
    for seed in 0..30 {
        let act = Act::handspring(&Params::random(seed)).unwrap();
        let filmed = act.film(&Recording::exact().noisy(2.0), seed);
        let file: AttemptFile =
            serde_json::from_str(&filmed.to_attempt_json(Layout::Named23, &Facts::measured())).unwrap();
        let body = review(&backwards(&file), "handspring-floor").record;
        let (word, turned) = (body.outcome.word, body.body.rotation_deg);
        assert!(turned.is_none_or(|degrees| degrees < 0.0), "seed {seed}: {turned:?}");
        assert_ne!(word, "good", "seed {seed}");
        nothing += usize::from(word == "not this skill");
    }
    // Those that turn backward by little more than a quarter of a right angle pass for handsprings with faults.
    assert!(nothing >= 20, "{nothing} of 30");
}
