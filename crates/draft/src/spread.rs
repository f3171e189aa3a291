//! How far drafted points lie from the truth, as measured.

use springline_kinematics::{Joint, Landmark};

/// Standard uncertainty per axis of a drafted point, as a share of stature.
///
/// `turn`: how far the trunk is from upright, rad, 0 to π; `seen`: the model's word on whether the point can be seen.
pub(crate) fn sd_share(landmark: Landmark, turn: f64, seen: f64, doubtful: bool) -> f64 {
    let row = match landmark.joint() {
        None | Some(Joint::Eye) => 0,
        Some(Joint::Ear) => 1,
        Some(Joint::Shoulder) => 2,
        Some(Joint::Elbow) => 3,
        Some(Joint::Wrist) => 4,
        Some(Joint::Fingertip) => 5,
        Some(Joint::Hip) => 6,
        Some(Joint::Knee) => 7,
        Some(Joint::Ankle) => 8,
        Some(Joint::Heel) => 9,
        Some(Joint::Toe) => 10,
    };
    let column = usize::from(turn > 1.05) + usize::from(turn > 2.09);
    let hidden = if seen < 0.5 { 2 } else { usize::from(seen < 0.9) };
    SHARE[row][column] * HIDDEN[hidden] * if doubtful { DOUBTFUL } else { 1.0 }
}

/// Root mean square error per axis of drafts on three rendered clips (two handsprings, a cartwheel; 400 bodies upright, 60
/// lying, 90 upside down), as a share of stature: nose and eyes, ears, shoulders, elbows, wrists, fingertips, hips, knees,
/// ankles, heels, toes; upright, lying, upside down. Arms are the worst upright: held overhead before a dark wall they are
/// taken for arms by the side.
const SHARE: [[f64; 3]; 11] = [
    [0.030, 0.013, 0.017],
    [0.029, 0.015, 0.014],
    [0.032, 0.027, 0.032],
    [0.069, 0.049, 0.039],
    [0.101, 0.062, 0.045],
    [0.135, 0.077, 0.047],
    [0.020, 0.018, 0.018],
    [0.028, 0.018, 0.020],
    [0.042, 0.031, 0.033],
    [0.046, 0.039, 0.042],
    [0.044, 0.035, 0.044],
];
/// Surely seen, perhaps, hardly: from the same clips.
const HIDDEN: [f64; 3] = [1.0, 1.12, 1.25];
/// Our own choice: too few doubtful frames were had to measure it.
const DOUBTFUL: f64 = 3.0;
