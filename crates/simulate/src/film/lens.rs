//! The camera of the film: the simulator's pinhole, in any picture size.

use super::space::{V3, v};
use crate::camera::{Lens, PICTURE, View};
use crate::error::{Error, within};
use springline_kinematics::Point;

/// A pinhole camera in the hall, with the picture that it draws.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Optics {
    /// Width and height of the picture, px.
    pub size: (u32, u32),
    centre: (f64, f64),
    focal_px: f64,
    distance_m: f64,
    height_m: f64,
    sin: f64,
    cos: f64,
    radial: f64,
}

impl Optics {
    /// The view's camera in a picture of that size, enlarged by `zoom`. At 1920 x 1080 and zoom 1 it draws
    /// what [`View::project`] says.
    pub fn new(view: &View, size: (u32, u32), zoom: f64) -> Result<Self, Error> {
        let Lens::Pinhole {
            distance_m,
            height_m,
            yaw,
            focal_px,
            radial,
        } = view.camera.lens
        else {
            return Err(Error::NoPerspective);
        };
        within("distance of the camera, m", distance_m, 2.0, 40.0)?;
        within("width of the picture, px", f64::from(size.0), 32.0, 4096.0)?;
        within("height of the picture, px", f64::from(size.1), 32.0, 4096.0)?;
        within("zoom", zoom, 0.1, 10.0)?;
        let (w, h) = (f64::from(size.0), f64::from(size.1));
        let (sin, cos) = yaw.to_radians().sin_cos();
        Ok(Self {
            size,
            centre: (w / 2.0, h / 2.0),
            focal_px: zoom * focal_px * w / PICTURE.0,
            distance_m,
            height_m,
            sin,
            cos,
            radial,
        })
    }

    /// Where the lens is.
    pub fn eye(&self) -> V3 {
        let (x, z) = (-self.distance_m * self.sin, self.distance_m * self.cos);
        v(x as f32, self.height_m as f32, z as f32)
    }

    /// Picture point (px, y down) and distance along the axis (m) of a place in the hall.
    pub fn project(&self, place: V3) -> (Point, f64) {
        let (x, y, z) = (f64::from(place.x), f64::from(place.y), f64::from(place.z));
        let (across, toward) = (x * self.cos + z * self.sin, z * self.cos - x * self.sin);
        let away = (self.distance_m - toward).max(0.05);
        let (u, w) = (across / away, (y - self.height_m) / away);
        let bend = 1.0 + self.radial * (u * u + w * w);
        let scale = self.focal_px * bend;
        (Point::new(self.centre.0 + scale * u, self.centre.1 - scale * w), away)
    }

    /// Size in px of one metre at that distance along the axis.
    pub fn px_per_m(&self, away: f64) -> f64 {
        self.focal_px / away
    }

    /// Direction (length 1) of the ray through a picture point.
    pub fn ray(&self, x: f32, y: f32) -> V3 {
        let (u, w) = (
            (f64::from(x) - self.centre.0) / self.focal_px,
            (self.centre.1 - f64::from(y)) / self.focal_px,
        );
        let (mut a, mut b) = (u, w);
        if self.radial != 0.0 {
            for _ in 0..4 {
                let bend = 1.0 + self.radial * (a * a + b * b);
                (a, b) = (u / bend, w / bend);
            }
        }
        // Across a, up b, away 1.
        let (x, z) = (a * self.cos + self.sin, a * self.sin - self.cos);
        v(x as f32, b as f32, z as f32).normalize()
    }
}
