//! Simulated attempts and how they are measured.

use crate::draws::Draws;
use springline_assess::search_of;
use springline_drills::{Catalogue, Drill};
use springline_kinematics::gym_plane::FloorLine;
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::{Settings, Trial};
use springline_kinematics::{Landmark, TemporalError, Uncertain, uncertainty::pose_model_sd};
use springline_simulate::{Act, Dropouts, Fault, Noise, Params, Recording, Synthetic};

/// The drill that everything is measured by.
pub fn drill() -> Drill {
    Catalogue::shipped()
        .drill("handspring-floor")
        .expect("it ships")
        .clone()
}

/// The first seed: 0, or another to see whether the figures hold for attempts that nothing was tuned on
/// (`SPRINGLINE_FIRST_SEED`).
pub fn first_seed() -> u64 {
    std::env::var("SPRINGLINE_FIRST_SEED").map_or(0, |seed| seed.parse().expect("a whole number"))
}

/// Draws for a seed counted from the first one.
pub fn draws(seed: u64) -> Draws {
    Draws::new(first_seed() + seed)
}

/// A handspring drawn over the whole range of what the figure can do.
pub fn any(seed: u64) -> Act {
    Act::handspring(&Params::random(first_seed() + seed)).expect("random parameters are possible")
}

/// A handspring a little different from the clean one, without any fault dialled in.
pub fn nearly_clean(seed: u64) -> Act {
    let clean = Params::clean();
    for turn in 0.. {
        let mut draw = draws(seed * 1000 + turn);
        let mut p = clean.clone();
        p.stature_m = draw.between(1.15, 1.75);
        p.stand_before_s = draw.between(0.1, 0.6);
        p.hand_to_foot += draw.between(-0.08, 0.08);
        p.lunge_length += draw.between(-0.1, 0.1);
        p.placement_shoulder += draw.between(-4.0, 4.0);
        p.least_shoulder = p.placement_shoulder - draw.between(0.0, 4.0);
        p.departure_shoulder = p.placement_shoulder + draw.between(-3.0, 3.0);
        p.support_s += draw.between(-0.02, 0.06);
        p.departure_lean += draw.between(-4.0, 4.0);
        p.flight_hip += draw.between(-3.0, 1.0);
        p.settled_lean += draw.between(-1.0, 4.0);
        if let Ok(act) = Act::handspring(&p) {
            return act;
        }
    }
    unreachable!("some draw is possible")
}

/// The clean handspring of some stature with one fault of some amount; `None` if the body cannot do it.
pub fn faulty(fault: Fault, amount: f64, seed: u64) -> Option<Act> {
    let mut clean = Params::clean();
    clean.stature_m = draws(seed).between(1.25, 1.65);
    Act::handspring(&clean.with_fault(fault, amount)).ok()
}

/// Exact points at 60 frames per second.
pub fn exact() -> Recording {
    Recording::exact()
}

/// What the points are spoilt with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spoilt {
    /// Independent noise, px per axis.
    Independent(f64),
    /// Noise with this correlation from frame to frame, px per axis.
    Correlated(f64, f64),
    /// One offset for each landmark and clip, px per axis.
    Shared(f64),
    /// Clicked by hand: independent, 0.5 % of stature.
    Clicked,
    /// Drafted and looked over: one offset for each landmark and clip, 1 % of stature (our choice).
    Drafted,
    /// An open pose model: one offset for each landmark and clip, sized by its OKS sigma.
    PoseModel,
}

/// Films an act at a rate with spoilt points.
pub fn film(act: &Act, rate: f64, spoilt: Spoilt, dropouts: f64, seed: u64) -> Synthetic {
    let mut recording = Recording::exact().at_rate(rate);
    recording.dropouts = Dropouts {
        single: dropouts,
        ..Dropouts::default()
    };
    let stature_px = act.truth().body().stature_m * recording.camera.px_per_m();
    recording.noise = match spoilt {
        Spoilt::Independent(px) => Noise {
            independent_px: px,
            ..Noise::default()
        },
        Spoilt::Correlated(px, rho) => Noise {
            correlated_px: px,
            rho,
            ..Noise::default()
        },
        Spoilt::Shared(px) => Noise {
            shared_px: px,
            ..Noise::default()
        },
        Spoilt::Clicked => Noise {
            independent_px: 0.005 * stature_px,
            ..Noise::default()
        },
        Spoilt::Drafted => Noise {
            shared_px: 0.01 * stature_px,
            ..Noise::default()
        },
        Spoilt::PoseModel => Noise::default(),
    };
    let mut filmed = act.film(&recording, first_seed() + seed);
    if spoilt == Spoilt::PoseModel {
        spoil_as_pose_model(&mut filmed, seed);
    }
    filmed
}

/// COCO OKS sigmas [R]; heel and toe as the ankle, fingertip as the wrist (our choice).
fn oks_sigma(landmark: Landmark) -> f64 {
    use springline_kinematics::Joint as J;
    match landmark.joint() {
        None => 0.026,
        Some(J::Eye) => 0.025,
        Some(J::Ear) => 0.035,
        Some(J::Shoulder) => 0.079,
        Some(J::Elbow) => 0.072,
        Some(J::Wrist | J::Fingertip) => 0.062,
        Some(J::Hip) => 0.107,
        Some(J::Knee) => 0.087,
        Some(J::Ankle | J::Heel | J::Toe) => 0.089,
    }
}

fn spoil_as_pose_model(filmed: &mut Synthetic, seed: u64) {
    let frames = filmed.tracks.len();
    let area = median_box(filmed) * 0.53;
    let mut draws = draws(seed ^ 0x51ed);
    for landmark in Landmark::ALL {
        let sd = pose_model_sd(oks_sigma(landmark), area);
        let offset = springline_kinematics::Vector::new(draws.normal(), draws.normal()) * sd;
        let track = filmed.tracks.track_mut(landmark);
        for point in track.positions.iter_mut().flatten() {
            *point += offset;
        }
        track.sd = vec![sd as f32; frames];
    }
    filmed.tracks.temporal_error = TemporalError::Shared;
}

fn median_box(filmed: &Synthetic) -> f64 {
    let mut areas: Vec<f64> = (0..filmed.tracks.len())
        .map(|frame| {
            let points: Vec<_> = Landmark::ALL
                .into_iter()
                .filter_map(|l| filmed.tracks.at(l, frame))
                .collect();
            let span = |axis: usize| {
                let values = points.iter().map(|p| p[axis]);
                values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min)
            };
            span(0) * span(1)
        })
        .collect();
    areas.sort_by(f64::total_cmp);
    areas[areas.len() / 2]
}

/// The attempt ready to be measured by the drill, with the floor line and the scale marked.
pub fn trial(filmed: &Synthetic, drill: &Drill, smoothing: Smoothing) -> Trial {
    let scale = 1.0 / filmed.recording.camera.px_per_m();
    let settings = Settings {
        smoothing,
        floor: Some(FloorLine {
            points: filmed.truth.view().floor_line(),
            sd: 0.5,
        }),
        metres_per_px: Some(Uncertain::new(scale, 0.001 * scale)),
        search: search_of(drill, &[]),
        ..Settings::default()
    };
    Trial::new(filmed.tracks.clone(), &settings).expect("a simulated attempt can be measured")
}
