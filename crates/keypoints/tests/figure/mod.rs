//! An invented stick figure that goes over its hands, for tests: exact places, then noise,
//! dropouts and swaps as asked. Everything here is synthetic.
#![allow(dead_code, clippy::unwrap_used)]

pub mod writers;

use rand::RngExt;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};
use springline_keypoints::{AttemptFile, FormatName, FrameEntry, Frames, GivenFile, PictureSize};
use springline_kinematics::{Joint, Landmark, Side};

/// Places of all landmarks in one frame, px.
pub type Pose = [[f64; 2]; Landmark::COUNT];

/// Trunk length of the figure, px.
pub const TRUNK: f64 = 150.0;

/// A direction turned clockwise in the picture from straight up.
fn direction(degrees: f64) -> [f64; 2] {
    let (sin, cos) = degrees.to_radians().sin_cos();
    [sin, -cos]
}

fn ahead(from: [f64; 2], degrees: f64, length: f64) -> [f64; 2] {
    let [x, y] = direction(degrees);
    [from[0] + length * x, from[1] + length * y]
}

/// The figure with its mid-hip at `hip`, the trunk turned by `trunk` degrees from upright, the
/// arms by `arms` (left, right) and the legs by `legs` (left, right) from hanging down; arms up is 180.
pub fn pose(hip: [f64; 2], trunk: f64, arms: [f64; 2], legs: [f64; 2]) -> Pose {
    let mut pose = [[0.0; 2]; Landmark::COUNT];
    let shoulder = ahead(hip, trunk, TRUNK);
    let ear = ahead(shoulder, trunk, 0.4 * TRUNK);
    let mut set = |landmark: Landmark, place: [f64; 2]| pose[landmark.index()] = place;
    set(Landmark::Nose, ahead(ear, trunk + 90.0, 0.2 * TRUNK));
    for side in Side::BOTH {
        let near = if side == Side::Left { 1.0 } else { -1.0 };
        let index = usize::from(side == Side::Right);
        let shift = |place: [f64; 2], by: f64| [place[0] + near * by, place[1] + near * 0.5 * by];
        let mut set = |joint, place| set(Landmark::of(joint, side), place);
        set(Joint::Eye, shift(ahead(ear, trunk + 70.0, 0.18 * TRUNK), 2.0));
        set(Joint::Ear, shift(ear, 3.0));
        let own_shoulder = shift(shoulder, 8.0);
        let arm = trunk + 180.0 - arms[index];
        let elbow = ahead(own_shoulder, arm, 0.6 * TRUNK);
        let wrist = ahead(elbow, arm, 0.5 * TRUNK);
        set(Joint::Shoulder, own_shoulder);
        set(Joint::Elbow, elbow);
        set(Joint::Wrist, wrist);
        set(Joint::Fingertip, ahead(wrist, arm, 0.3 * TRUNK));
        let own_hip = shift(hip, 6.0);
        let leg = trunk + 180.0 - legs[index];
        let knee = ahead(own_hip, leg, 0.8 * TRUNK);
        let ankle = ahead(knee, leg, 0.8 * TRUNK);
        set(Joint::Hip, own_hip);
        set(Joint::Knee, knee);
        set(Joint::Ankle, ankle);
        set(Joint::Heel, ahead(ankle, leg - 30.0, 0.1 * TRUNK));
        set(Joint::Toe, ahead(ankle, leg + 45.0, 0.35 * TRUNK));
    }
    pose
}

fn smooth(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// Seconds that [`over_the_hands`] takes.
pub const DURATION: f64 = 1.6;

/// The figure at a time, s: stands, turns once over its hands with split legs, stands.
pub fn over_the_hands(time: f64) -> Pose {
    let turn = smooth((time - 0.3) / 1.0);
    let split = 70.0 * (std::f64::consts::PI * smooth((time - 0.2) / 1.2)).sin();
    let rise = 60.0 * (std::f64::consts::PI * turn).sin();
    let hip = [500.0 + 900.0 * turn, 620.0 - rise];
    // Hands apart too, one in front of the other, but together at the start and the end.
    let apart = 25.0 * (std::f64::consts::PI * smooth((time - 0.2) / 1.2)).sin();
    pose(hip, 360.0 * turn, [170.0 + apart, 170.0 - apart], [split, -0.6 * split])
}

/// Legs that cross while the figure hangs upside down: a scissor kick.
pub fn scissors(time: f64) -> Pose {
    let swing = 45.0 * (2.0 * std::f64::consts::PI * time / 0.8).cos();
    pose([900.0, 500.0], 180.0, [178.0, 176.0], [swing, -swing])
}

/// A motion at a frame rate.
pub fn film(motion: impl Fn(f64) -> Pose, duration: f64, rate_hz: f64) -> Vec<Pose> {
    let frames = (duration * rate_hz).round() as usize + 1;
    (0..frames).map(|frame| motion(frame as f64 / rate_hz)).collect()
}

/// Points as a tool would give them: noise, dropouts, missing ones `None`.
pub type Seen = Vec<Vec<Option<[f64; 2]>>>;

/// Adds noise of `sd` px and leaves out a share of the points.
pub fn seen(clip: &[Pose], sd: f64, dropouts: f64, seed: u64) -> Seen {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let noise = Normal::new(0.0, sd.max(1e-12)).unwrap();
    clip.iter()
        .map(|pose| {
            pose.iter()
                .map(|[x, y]| {
                    let place = [x + noise.sample(&mut random), y + noise.sample(&mut random)];
                    (random.random::<f64>() >= dropouts).then_some(place)
                })
                .collect()
        })
        .collect()
}

/// Exchanges left and right of some joints from frame `first` to `last`.
pub fn swap(clip: &mut Seen, joints: &[Joint], first: usize, last: usize) {
    for frame in &mut clip[first..=last] {
        for joint in joints {
            frame.swap(
                Landmark::of(*joint, Side::Left).index(),
                Landmark::of(*joint, Side::Right).index(),
            );
        }
    }
}

/// The joints of the legs.
pub const LEGS: [Joint; 5] = [Joint::Hip, Joint::Knee, Joint::Ankle, Joint::Heel, Joint::Toe];
/// The joints of the arms.
pub const ARMS: [Joint; 4] = [Joint::Shoulder, Joint::Elbow, Joint::Wrist, Joint::Fingertip];

/// As an attempt file.
pub fn attempt_file(clip: &Seen, rate_hz: f64) -> AttemptFile {
    AttemptFile {
        format: FormatName::SpringlineAttempt,
        version: 1,
        synthetic: true,
        seed: None,
        note: Some("invented stick figure".to_owned()),
        picture: Some(PictureSize {
            width: 1920.0,
            height: 1080.0,
        }),
        layout: Some("named-23".to_owned()),
        points: Landmark::ALL.iter().map(|landmark| landmark.id().to_owned()).collect(),
        rate_hz: Some(rate_hz),
        sd: None,
        error: None,
        from: None,
        given: GivenFile::default(),
        frames: Frames(
            clip.iter()
                .map(|points| FrameEntry {
                    points: points.clone(),
                    ..FrameEntry::default()
                })
                .collect(),
        ),
    }
}

/// Somebody who stands by, to be told from the athlete.
pub fn bystander(time: f64) -> Pose {
    let sway = 4.0 * (2.0 * time).sin();
    pose([1250.0 + sway, 640.0], 2.0, [5.0, -5.0], [3.0, -3.0])
}
