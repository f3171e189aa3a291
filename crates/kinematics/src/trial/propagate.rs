//! First-order propagation of point errors through any measure, by central differences.

use crate::series::Pose;
use crate::{Landmark, Point, Vector};

/// Step of the central differences, px.
const STEP_PX: f64 = 0.02;

/// Change of a value per px of each landmark, with the landmark's sd.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Gradient {
    per_px: [Vector; Landmark::COUNT],
    sd: [f64; Landmark::COUNT],
}

impl Gradient {
    pub(crate) fn zero() -> Self {
        Self {
            per_px: [Vector::zeros(); Landmark::COUNT],
            sd: [0.0; Landmark::COUNT],
        }
    }

    pub(crate) fn set(&mut self, landmark: Landmark, per_px: Vector, sd: f64) {
        self.per_px[landmark.index()] = per_px;
        self.sd[landmark.index()] = sd;
    }

    /// Adds to one landmark's part; `sd` counts where it had none.
    pub(crate) fn shift(&mut self, landmark: Landmark, by: Vector, sd: f64) {
        let k = landmark.index();
        self.per_px[k] += by;
        if self.sd[k] == 0.0 {
            self.sd[k] = sd;
        }
    }

    pub(crate) fn add(&mut self, other: &Gradient, weight: f64) {
        for k in 0..Landmark::COUNT {
            self.per_px[k] += other.per_px[k] * weight;
            self.sd[k] = self.sd[k].max(other.sd[k]);
        }
    }

    pub(crate) fn minus(&self, other: &Gradient) -> Self {
        let mut difference = self.clone();
        difference.add(other, -1.0);
        difference
    }

    pub(crate) fn scale(&mut self, factor: f64) {
        for per_px in &mut self.per_px {
            *per_px *= factor;
        }
    }

    pub(crate) fn variance(&self) -> f64 {
        self.per_px
            .iter()
            .zip(&self.sd)
            .map(|(g, sd)| g.norm_squared() * sd * sd)
            .sum()
    }

    /// Change of the value when each landmark moves by its own vector.
    pub(crate) fn along(&self, mut by: impl FnMut(Landmark) -> Vector) -> f64 {
        Landmark::ALL
            .into_iter()
            .filter(|landmark| self.per_px[landmark.index()] != Vector::zeros())
            .map(|landmark| self.per_px[landmark.index()].dot(&by(landmark)))
            .sum()
    }

    pub(crate) fn squared(&self, landmark: Landmark) -> f64 {
        self.per_px[landmark.index()].norm_squared()
    }
}

/// Gradient of `f` at `pose` over the landmarks in `used`. `period`: full turn for angles, to step over branch cuts.
pub(crate) fn gradient(
    pose: &Pose,
    used: &[Landmark],
    period: Option<f64>,
    f: impl Fn(&Pose) -> Option<f64>,
) -> Gradient {
    let mut gradient = Gradient::zero();
    let mut moved = pose.clone();
    for landmark in used {
        let Some(here) = pose.at(*landmark) else { continue };
        let mut slope = |axis: Vector| {
            moved.place(*landmark, here + axis * STEP_PX);
            let ahead = f(&moved);
            moved.place(*landmark, here - axis * STEP_PX);
            let behind = f(&moved);
            moved.place(*landmark, here);
            match (ahead, behind) {
                (Some(a), Some(b)) => nearest(a - b, period) / (2.0 * STEP_PX),
                _ => 0.0,
            }
        };
        let per_px = Vector::new(slope(Vector::x()), slope(Vector::y()));
        gradient.set(*landmark, per_px, pose.sd(*landmark));
    }
    gradient
}

/// Change of `f` per radian of turning the whole picture.
pub(crate) fn per_turn(pose: &Pose, period: Option<f64>, f: impl Fn(&Pose) -> Option<f64>) -> f64 {
    let step = 1e-4;
    let turned = |by: f64| {
        let turn = nalgebra::Rotation2::new(by);
        let mut points = [None; Landmark::COUNT];
        for landmark in Landmark::ALL {
            points[landmark.index()] = pose.at(landmark).map(|point: Point| turn * point);
        }
        f(&Pose::new(pose.time, points, [0.0; Landmark::COUNT]))
    };
    match (turned(step), turned(-step)) {
        (Some(a), Some(b)) => nearest(a - b, period) / (2.0 * step),
        _ => 0.0,
    }
}

/// A difference brought to within half a period of zero.
pub(crate) fn nearest(difference: f64, period: Option<f64>) -> f64 {
    period.map_or(difference, |period| difference - period * (difference / period).round())
}
