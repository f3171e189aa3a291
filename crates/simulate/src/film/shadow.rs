//! Soft shadows on what is level: the mat and the floor.

use super::hall::Hall;
use super::lens::Optics;
use super::skeleton::Skeleton;
use super::space::{V3, mix, smooth, v};
use springline_kinematics::{Joint, Side};

/// Light left on the floor around the people, on a grid of 3 cm.
pub(crate) struct Shadow {
    sheets: Vec<Sheet>,
    /// Left, top, right, bottom in the picture, px.
    window: [f32; 4],
}

struct Sheet {
    height: f32,
    origin: (f32, f32),
    size: (usize, usize),
    left: Vec<f32>,
}

const CELL: f32 = 0.03;

impl Shadow {
    /// The shadows of people; `height` is the level that each stands on.
    pub fn new(people: &[(Skeleton, f32)], hall: &Hall, optics: &Optics) -> Self {
        let sheets: Vec<Sheet> = people.iter().map(|(who, height)| sheet(who, *height, hall)).collect();
        let mut window = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
        for sheet in &sheets {
            for (i, j) in [
                (0, 0),
                (sheet.size.0, 0),
                (0, sheet.size.1),
                (sheet.size.0, sheet.size.1),
            ] {
                let (x, z) = (sheet.origin.0 + i as f32 * CELL, sheet.origin.1 + j as f32 * CELL);
                let (p, _) = optics.project(v(x, sheet.height, z));
                window[0] = window[0].min(p.x as f32 - 2.0);
                window[1] = window[1].min(p.y as f32 - 2.0);
                window[2] = window[2].max(p.x as f32 + 2.0);
                window[3] = window[3].max(p.y as f32 + 2.0);
            }
        }
        Self { sheets, window }
    }

    /// Whether shadows may fall on that pixel.
    pub fn covers(&self, x: f32, y: f32) -> bool {
        let [left, top, right, bottom] = self.window;
        x >= left && x <= right && y >= top && y <= bottom
    }

    /// Share of the light left at a place.
    pub fn left(&self, p: V3) -> f32 {
        let mut left = 1.0;
        for sheet in &self.sheets {
            if (p.y - sheet.height).abs() > 0.02 {
                continue;
            }
            let (x, z) = ((p.x - sheet.origin.0) / CELL, (p.z - sheet.origin.1) / CELL);
            if x < 0.0 || z < 0.0 || x >= (sheet.size.0 - 1) as f32 || z >= (sheet.size.1 - 1) as f32 {
                continue;
            }
            let (i, j) = (x as usize, z as usize);
            let (u, s) = (x - i as f32, z - j as f32);
            let at = |i: usize, j: usize| sheet.left[j * sheet.size.0 + i];
            let near = at(i, j) + u * (at(i + 1, j) - at(i, j));
            let far = at(i, j + 1) + u * (at(i + 1, j + 1) - at(i, j + 1));
            left *= near + s * (far - near);
        }
        left
    }
}

/// The parts that throw a shadow, with their radius as a share of stature.
fn parts(who: &Skeleton) -> Vec<(V3, V3, f32)> {
    let mut all = vec![
        (who.middle(Joint::Hip), who.middle(Joint::Shoulder), 0.075),
        (who.middle(Joint::Shoulder), who.middle(Joint::Ear), 0.05),
    ];
    for side in Side::BOTH {
        for (from, to, radius) in [
            (Joint::Shoulder, Joint::Elbow, 0.028),
            (Joint::Elbow, Joint::Wrist, 0.022),
            (Joint::Wrist, Joint::Fingertip, 0.022),
            (Joint::Hip, Joint::Knee, 0.045),
            (Joint::Knee, Joint::Ankle, 0.03),
            (Joint::Heel, Joint::Toe, 0.026),
        ] {
            all.push((who.of(from, side), who.of(to, side), radius));
        }
    }
    all
}

fn sheet(who: &Skeleton, height: f32, hall: &Hall) -> Sheet {
    let (key, h) = (hall.light.key, who.stature);
    let parts = parts(who);
    let (mut low, mut high) = ((f32::MAX, f32::MAX), (f32::MIN, f32::MIN));
    for (a, b, _) in &parts {
        for p in [a, b] {
            let rise = (p.y - height).max(0.0);
            for (x, z) in [(p.x, p.z), (p.x - key.x / key.y * rise, p.z - key.z / key.y * rise)] {
                low = (low.0.min(x - 0.5), low.1.min(z - 0.5));
                high = (high.0.max(x + 0.5), high.1.max(z + 0.5));
            }
        }
    }
    let size = (
        ((high.0 - low.0) / CELL) as usize + 2,
        ((high.1 - low.1) / CELL) as usize + 2,
    );
    let mut left = vec![1.0_f32; size.0 * size.1];
    for (from, to, radius) in parts {
        let pieces = (((to - from).norm() / 0.07) as usize).max(1);
        for i in 0..=pieces {
            let p = mix(from, to, i as f32 / pieces as f32);
            let (r, rise) = (radius * h, (p.y - height).max(0.01));
            // From the lamps: blurred by height. From everywhere above: round what is close.
            let (x, z) = (p.x - key.x / key.y * rise, p.z - key.z / key.y * rise);
            let blur = r + 0.05 + 0.28 * rise;
            let dark = 0.5 * (r / blur).powf(1.3) / (1.0 + 0.02 * pieces as f32);
            let around = 0.30 * (r * r / (r * r + rise * rise * 0.6)).min(1.0);
            stamp(&mut left, low, size, (x, z), blur, dark);
            stamp(&mut left, low, size, (p.x, p.z), r + 0.06 + 0.7 * rise.min(0.4), around);
        }
    }
    Sheet {
        height,
        origin: low,
        size,
        left: left.into_iter().map(|left| left.max(0.3)).collect(),
    }
}

fn stamp(left: &mut [f32], low: (f32, f32), size: (usize, usize), at: (f32, f32), radius: f32, dark: f32) {
    let cells = |x: f32| (x / CELL).max(0.0) as usize;
    let (i0, j0) = (cells(at.0 - radius - low.0), cells(at.1 - radius - low.1));
    let (i1, j1) = (cells(at.0 + radius - low.0) + 1, cells(at.1 + radius - low.1) + 1);
    for j in j0..=j1.min(size.1 - 1) {
        for i in i0..=i1.min(size.0 - 1) {
            let (dx, dz) = (low.0 + i as f32 * CELL - at.0, low.1 + j as f32 * CELL - at.1);
            let d = dx.hypot(dz);
            left[j * size.0 + i] *= 1.0 - dark * smooth(radius, 0.0, d);
        }
    }
}
