//! Draws bodies before the hall: rays march to the skin, tile by tile, on all threads.

use super::figure::Figure;
use super::hall::Hall;
use super::lens::Optics;
use super::shadow::Shadow;
use super::shape::Rod;
use super::space::V3;
use std::sync::Mutex;

const TILE: usize = 8;

/// A body made ready for one camera: where in the picture each rod is.
pub(crate) struct Staged {
    figure: Figure,
    /// Per rod: ends in the picture and the larger radius, px.
    spans: Vec<[f32; 5]>,
}

/// What a ray meets of a body.
pub(crate) struct Touch {
    pub distance: f32,
    pub rod: usize,
    share: f32,
    place: V3,
}

impl Staged {
    pub fn new(figure: Figure, optics: &Optics) -> Self {
        let margin = 0.02 * figure.stature;
        let spans = figure
            .flesh
            .rods
            .iter()
            .map(|rod: &Rod| {
                let to = rod.from + rod.along;
                let (a, away) = optics.project(rod.from);
                let (b, other) = optics.project(to);
                let thick = rod.reach() + margin;
                let px = f64::from(thick) * optics.px_per_m(away.min(other) - f64::from(thick)) + 1.0;
                [a.x as f32, a.y as f32, b.x as f32, b.y as f32, px as f32]
            })
            .collect();
        Self { figure, spans }
    }

    /// The rods that may touch a disc of the picture.
    pub fn near(&self, x: f32, y: f32, radius: f32, found: &mut Vec<u8>) {
        found.clear();
        for (i, &[ax, ay, bx, by, px]) in self.spans.iter().enumerate() {
            let (dx, dy) = (bx - ax, by - ay);
            let t = (((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy).max(1e-6)).clamp(0.0, 1.0);
            let (ex, ey) = (ax + t * dx - x, ay + t * dy - y);
            if ex * ex + ey * ey < (px + radius) * (px + radius) {
                found.push(i as u8);
            }
        }
    }

    /// Between which distances from the eye those rods are, m.
    pub fn depths(&self, eye: V3, rods: &[u8]) -> (f32, f32) {
        self.figure.flesh.depths(eye, rods)
    }

    /// Follows a ray to the skin, within those distances from the eye.
    pub fn touch(&self, eye: V3, ray: V3, depths: (f32, f32), rods: &[u8]) -> Option<Touch> {
        let (mut t, end) = depths;
        for _ in 0..48 {
            let place = eye + t * ray;
            let d = self.figure.flesh.distance(place, rods);
            if d.abs() < 0.0009 {
                let (rod, share) = self.figure.flesh.owner(place, rods);
                return Some(Touch {
                    distance: t,
                    rod,
                    share,
                    place,
                });
            }
            // A little more than is safe; a step too far comes back.
            t += if d > 0.0 { 1.2 * d } else { d };
            if t > end {
                return None;
            }
        }
        None
    }

    /// Light that comes from a place on the skin.
    pub fn light(&self, touch: &Touch, ray: V3, hall: &Hall, rods: &[u8]) -> V3 {
        let flesh = &self.figure.flesh;
        let normal = flesh.normal(touch.place, rods, 0.0015);
        let step = 0.04_f32;
        let d = flesh.distance(touch.place + step * normal, rods).min(step);
        let mut open = 1.0 - 0.75 * (step - d) / step;
        // The floor takes light from what is close above it.
        open *= 1.0 - 0.35 * (1.0 - touch.place.y / 0.12).clamp(0.0, 1.0);
        let step = 0.06_f32;
        let d = flesh.distance(touch.place + 0.01 * normal + step * hall.light.key, rods);
        let lit = (0.5 + 1.4 * d / step).clamp(0.25, 1.0);
        let surface = self.figure.surface(touch.place, touch.rod, touch.share);
        hall.light.shade(&surface, normal, -ray, open.max(0.15), lit)
    }

    pub fn rod(&self, index: usize) -> &Rod {
        &self.figure.flesh.rods[index]
    }
}

/// The empty hall as the camera sees it.
pub(crate) struct Backdrop {
    pub light: Vec<[f32; 3]>,
    pub depth: Vec<f32>,
}

/// One picture in linear light: bodies at several instants of the exposure before the hall.
/// `shift` (px) moves the picture, as an unsteady hand does.
pub(crate) fn picture(
    optics: &Optics,
    hall: &Hall,
    backdrop: &Backdrop,
    instants: &[Vec<Staged>],
    shadow: &Shadow,
    shift: (f32, f32),
    threads: usize,
) -> Vec<[f32; 3]> {
    let (w, h) = (optics.size.0 as usize, optics.size.1 as usize);
    let mut light = vec![[0.0_f32; 3]; w * h];
    let eye = optics.eye();
    let bands = Mutex::new(light.chunks_mut(w * TILE).enumerate());
    std::thread::scope(|scope| {
        for _ in 0..threads.max(1) {
            scope.spawn(|| {
                let mut rods = Vec::new();
                loop {
                    let Some((band, rows)) = bands.lock().ok().and_then(|mut left| left.next()) else {
                        return;
                    };
                    ground(optics, backdrop, shadow, shift, band * TILE, rows);
                    let heights = rows.len() / w;
                    for x0 in (0..w).step_by(TILE) {
                        let half = TILE as f32 / 2.0;
                        let (mx, my) = (x0 as f32 + half - shift.0, (band * TILE) as f32 + half - shift.1);
                        let far = TILE as f32 * 0.75 + 1.0;
                        for (k, people) in instants.iter().enumerate() {
                            let seen: Vec<(&Staged, Vec<u8>, (f32, f32))> = people
                                .iter()
                                .filter_map(|staged| {
                                    staged.near(mx, my, far, &mut rods);
                                    (!rods.is_empty()).then(|| (staged, rods.clone(), staged.depths(eye, &rods)))
                                })
                                .collect();
                            if seen.is_empty() {
                                continue;
                            }
                            let weight = 1.0 / instants.len() as f32;
                            let (jx, jy) = jitter(k);
                            for y in 0..heights {
                                for x in x0..(x0 + TILE).min(w) {
                                    let px = (x as f32 + jx - shift.0, (band * TILE + y) as f32 + jy - shift.1);
                                    let limit = depth_at(optics, backdrop, px);
                                    let ray = optics.ray(px.0, px.1);
                                    let mut best: Option<(Touch, &Staged, &[u8])> = None;
                                    for (staged, rods, (near, far)) in &seen {
                                        let limit = best.as_ref().map_or(limit, |(touch, ..)| touch.distance);
                                        if let Some(touch) = staged.touch(eye, ray, (*near, far.min(limit)), rods) {
                                            best = Some((touch, staged, rods));
                                        }
                                    }
                                    if let Some((touch, staged, rods)) = best {
                                        let found = staged.light(&touch, ray, hall, rods);
                                        let under = backdrop_at(optics, backdrop, shadow, px);
                                        let pixel = &mut rows[y * w + x];
                                        for c in 0..3 {
                                            pixel[c] += weight * (found[c] - under[c]);
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
            });
        }
    });
    light
}

/// Where in the pixel the ray of an instant goes.
fn jitter(instant: usize) -> (f32, f32) {
    const PLACES: [(f32, f32); 5] = [(0.5, 0.25), (0.2, 0.7), (0.8, 0.65), (0.35, 0.45), (0.65, 0.9)];
    PLACES[instant % PLACES.len()]
}

fn index(optics: &Optics, px: (f32, f32)) -> usize {
    let (w, h) = (optics.size.0 as i32, optics.size.1 as i32);
    let (x, y) = (
        (px.0.floor() as i32).clamp(0, w - 1),
        (px.1.floor() as i32).clamp(0, h - 1),
    );
    (y * w + x) as usize
}

/// How far the hall is behind a picture point, m along the ray.
pub(crate) fn depth_at(optics: &Optics, backdrop: &Backdrop, px: (f32, f32)) -> f32 {
    backdrop.depth[index(optics, px)]
}

fn backdrop_at(optics: &Optics, backdrop: &Backdrop, shadow: &Shadow, px: (f32, f32)) -> [f32; 3] {
    let i = index(optics, px);
    let dim = dimmed(optics, backdrop, shadow, i);
    backdrop.light[i].map(|c| c * dim)
}

fn dimmed(optics: &Optics, backdrop: &Backdrop, shadow: &Shadow, i: usize) -> f32 {
    let (x, y) = (i % optics.size.0 as usize, i / optics.size.0 as usize);
    if !shadow.covers(x as f32, y as f32) {
        return 1.0;
    }
    let ray = optics.ray(x as f32 + 0.5, y as f32 + 0.5);
    shadow.left(optics.eye() + backdrop.depth[i] * ray)
}

/// Fills rows with the hall behind, shadows on it.
fn ground(
    optics: &Optics,
    backdrop: &Backdrop,
    shadow: &Shadow,
    shift: (f32, f32),
    first: usize,
    rows: &mut [[f32; 3]],
) {
    let w = optics.size.0 as usize;
    let still = shift == (0.0, 0.0);
    for (i, pixel) in rows.iter_mut().enumerate() {
        let (x, y) = (i % w, first + i / w);
        if still {
            let dim = dimmed(optics, backdrop, shadow, y * w + x);
            *pixel = backdrop.light[y * w + x].map(|c| c * dim);
            continue;
        }
        let (fx, fy) = (x as f32 - shift.0, y as f32 - shift.1);
        let (u, s) = (fx - fx.floor(), fy - fy.floor());
        let mut sum = [0.0; 3];
        for (dx, dy, weight) in [
            (0.0, 0.0, (1.0 - u) * (1.0 - s)),
            (1.0, 0.0, u * (1.0 - s)),
            (0.0, 1.0, (1.0 - u) * s),
            (1.0, 1.0, u * s),
        ] {
            let found = backdrop_at(optics, backdrop, shadow, (fx + dx, fy + dy));
            for c in 0..3 {
                sum[c] += weight * found[c];
            }
        }
        *pixel = sum;
    }
}
