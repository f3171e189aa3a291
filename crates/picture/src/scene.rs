//! One event in plain values, ready to be drawn.

use springline_kinematics::series::Pose;
use springline_kinematics::{EventKind, Landmark, Measure, Side};

use crate::mark::Mark;

/// What is known of the body and the view, the same for all events of an attempt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The side nearer to the camera; it is drawn darker and over the other.
    pub near: Side,
    /// Leg length, in the unit of the pose. Thickness of limbs and size of the head follow from it.
    pub leg: f64,
    /// The athlete faces left in the picture: the gym plane is drawn mirrored, as it was filmed.
    pub mirrored: bool,
    /// The support faces the camera: angles have no sign.
    pub frontal: bool,
    /// The push-off foot.
    pub push_off: Option<Side>,
    /// The foot that lands first in a step-out.
    pub landed_first: Option<Side>,
}

/// Where something stands, in the gym plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Floor {
    /// One level floor.
    Level(f64),
    /// A surface of its own under a contact: from `x` less half its length to `x` and half of it, at height `y`.
    Piece {
        /// Middle.
        x: f64,
        /// Height.
        y: f64,
    },
}

/// A check at this event, in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What is drawn for it: the measure, if it is one of the body's shape at this very instant and was seen.
    pub shown: Option<Measure>,
    /// The side it was taken on.
    pub side: Option<Side>,
    /// The value in degrees or in its own unit.
    pub value: Option<f64>,
    /// The number for beside the joint: `138.4 ± 0.8°`.
    pub number: String,
    /// Title of the check.
    pub title: String,
    /// Value, side and band in words, or why it was not seen.
    pub details: String,
    /// Word of the verdict.
    pub word: String,
    /// Its shape.
    pub mark: Mark,
}

/// One event.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Which.
    pub event: EventKind,
    /// The body at that instant, gym plane.
    pub pose: Pose,
    /// What is known of body and view.
    pub known: Known,
    /// Joints that are bridged or otherwise doubtful: drawn hollow.
    pub hollow: Vec<Landmark>,
    /// Hands and feet that are down, by the point that touches.
    pub down: Vec<Landmark>,
    /// Where the floor is.
    pub floor: Vec<Floor>,
    /// The checks that belong to this event, in the order of the drill.
    pub labels: Vec<Label>,
    /// When: `0.943 ± 0.008 s (found)`.
    pub time: String,
    /// Title of the drill.
    pub title: String,
    /// Athlete code, date and file, as far as they are known.
    pub whose: String,
    /// The points are invented, not those of a person.
    pub synthetic: bool,
    /// What the shading says: `dark: right side (near)`.
    pub sides: String,
    /// Joints that are not seen, in words; empty if none is missing.
    pub missing: String,
    /// The caution that goes with every picture.
    pub caution: String,
}

impl Scene {
    /// A scene with nothing on it but the body.
    #[must_use]
    pub fn new(event: EventKind, pose: Pose, known: Known) -> Self {
        Self {
            event,
            pose,
            known,
            hollow: Vec::new(),
            down: Vec::new(),
            floor: Vec::new(),
            labels: Vec::new(),
            time: String::new(),
            title: String::new(),
            whose: String::new(),
            synthetic: false,
            sides: String::new(),
            missing: String::new(),
            caution: String::new(),
        }
    }
}
