//! From the gym plane to the picture.

use crate::body::Pose;
use springline_kinematics::{Landmark, Point, Side};

/// Width and height of every picture, px.
pub const PICTURE: (f64, f64) = (1920.0, 1080.0);

/// Which way the athlete faces in the picture when upright.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    /// Toward smaller x.
    Left,
    /// Toward larger x.
    Right,
}

impl Facing {
    /// `left` or `right`.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Facing::Left => "left",
            Facing::Right => "right",
        }
    }
}

/// How the camera draws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lens {
    /// Every plane parallel to the picture keeps its shape: no perspective at all.
    Square {
        /// Scale, px per metre.
        px_per_m: f64,
    },
    /// A pinhole camera, level.
    Pinhole {
        /// Distance from the plane of motion, m.
        distance_m: f64,
        /// Height of the lens over the floor, m.
        height_m: f64,
        /// Turn of the camera's axis about the vertical, degrees; 0 square to the plane.
        yaw: f64,
        /// Focal length, px.
        focal_px: f64,
        /// Radial coefficient k of r' = r (1 + k r²), r in focal lengths; 0 for none.
        radial: f64,
    },
}

/// A camera in the gym.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// How it draws.
    pub lens: Lens,
    /// Which way the athlete faces in the picture.
    pub facing: Facing,
    /// How far the camera aims ahead of the middle of the motion, m.
    pub pan_m: f64,
}

impl Camera {
    /// Square to the plane, no perspective, 350 px per metre, facing right.
    #[must_use]
    pub fn square() -> Self {
        Self {
            lens: Lens::Square { px_per_m: 350.0 },
            facing: Facing::Right,
            pan_m: 0.0,
        }
    }

    /// A pinhole camera 8 m away at hip height, 350 px per metre in the plane of motion.
    #[must_use]
    pub fn pinhole() -> Self {
        Self {
            lens: pinhole(8.0, 1.0, 0.0),
            facing: Facing::Right,
            pan_m: 0.0,
        }
    }

    /// The same camera with the athlete facing the other way.
    #[must_use]
    pub fn facing(mut self, facing: Facing) -> Self {
        self.facing = facing;
        self
    }

    /// Scale in the plane of motion at the middle of the picture, px per metre.
    #[must_use]
    pub fn px_per_m(&self) -> f64 {
        match self.lens {
            Lens::Square { px_per_m } => px_per_m,
            Lens::Pinhole {
                distance_m, focal_px, ..
            } => focal_px / distance_m,
        }
    }

    /// The side of the athlete nearer to the camera.
    #[must_use]
    pub fn near_side(&self) -> Side {
        match self.facing {
            Facing::Left => Side::Left,
            Facing::Right => Side::Right,
        }
    }
}

/// A pinhole lens with 350 px per metre at that distance (m); height in m, yaw in degrees.
#[must_use]
pub fn pinhole(distance_m: f64, height_m: f64, yaw: f64) -> Lens {
    Lens::Pinhole {
        distance_m,
        height_m,
        yaw,
        focal_px: 350.0 * distance_m,
        radial: 0.0,
    }
}

/// A camera aimed at one motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// The camera.
    pub camera: Camera,
    /// Where along the gym plane it aims, m.
    pub aim_x_m: f64,
}

impl View {
    /// The picture point (px, x right, y down) of a place: gym plane in m, depth toward the athlete's
    /// right in m.
    #[must_use]
    pub fn project(&self, place: Point, depth_m: f64) -> Point {
        let mirror = match self.camera.facing {
            Facing::Right => 1.0,
            Facing::Left => -1.0,
        };
        let (x, y, z) = (mirror * (place.x - self.aim_x_m), place.y, mirror * depth_m);
        let middle = PICTURE.0 / 2.0;
        match self.camera.lens {
            Lens::Square { px_per_m } => Point::new(middle + px_per_m * x, 0.86 * PICTURE.1 - px_per_m * y),
            Lens::Pinhole {
                distance_m,
                height_m,
                yaw,
                focal_px,
                radial,
            } => {
                let (sin, cos) = yaw.to_radians().sin_cos();
                let (across, toward) = (x * cos + z * sin, z * cos - x * sin);
                let away = distance_m - toward;
                let (u, v) = (across / away, (y - height_m) / away);
                let bend = 1.0 + radial * (u * u + v * v);
                Point::new(middle + focal_px * bend * u, PICTURE.1 / 2.0 - focal_px * bend * v)
            }
        }
    }

    /// Every landmark in the picture, px.
    #[must_use]
    pub fn picture(&self, pose: &Pose) -> [Point; Landmark::COUNT] {
        std::array::from_fn(|i| self.project(pose.points[i], pose.depth[i]))
    }

    /// Two points on the floor line under the motion, px, left one first.
    #[must_use]
    pub fn floor_line(&self) -> [Point; 2] {
        let at = |x: f64| self.project(Point::new(x, 0.0), 0.0);
        let (a, b) = (at(self.aim_x_m - 2.2), at(self.aim_x_m + 2.2));
        if a.x < b.x { [a, b] } else { [b, a] }
    }
}
