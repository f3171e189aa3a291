//! The hall: floor, mats, wall and what stands about, drawn once for a fixed camera.

use super::lens::Optics;
use super::light::Light;
use super::space::{V3, clouds, colour, mix, smooth, speckle, v};
use super::walls;
use crate::corrupt::source;
use rand::RngExt;

/// A block with a colour and a kind of surface.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Block {
    pub low: V3,
    pub high: V3,
    pub tone: V3,
    pub kind: Kind,
}

/// What a block is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Vinyl over foam, with seams.
    Mat,
    /// Boards, one above the other, with a padded top.
    Box,
    /// Plain timber.
    Bench,
}

/// A hall of one seed.
#[derive(Clone, Debug)]
pub(crate) struct Hall {
    pub light: Light,
    pub seed: u32,
    /// Height of the hall's floor; the figure's is 0. Lower when it works on a stack of mats.
    pub floor_m: f32,
    pub back_m: f32,
    pub blocks: Vec<Block>,
    pub wall: V3,
    pub dado: V3,
    ground: V3,
    boards: bool,
}

/// What a ray meets.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sight {
    pub light: V3,
    /// Distance along the ray, m.
    pub distance: f32,
}

impl Hall {
    /// The hall of that seed; the figure works on mats that are `platform_m` high.
    pub fn new(seed: u64, platform_m: f32) -> Self {
        let mut chance = source(seed, 80);
        let c = &mut chance;
        let floor_m = -platform_m.max(0.035);
        let mats = [
            (38, 92, 160),
            (34, 122, 96),
            (170, 46, 44),
            (70, 78, 96),
            (186, 178, 160),
            (58, 130, 176),
        ];
        let walls = [
            (214, 208, 196),
            (196, 204, 206),
            (222, 214, 190),
            (180, 186, 190),
            (206, 196, 184),
        ];
        let dados = [
            (120, 150, 160),
            (150, 128, 104),
            (96, 116, 100),
            (164, 158, 148),
            (110, 104, 120),
        ];
        let grounds = [(176, 132, 86), (120, 128, 132), (148, 112, 78), (86, 112, 120)];
        let mut pick = |list: &[(u8, u8, u8)]| {
            let (r, g, b) = list[c.random_range(0..list.len())];
            colour(r, g, b)
        };
        let mat = pick(&mats);
        let (wall, dado, ground) = (pick(&walls), pick(&dados), pick(&grounds));
        let other = pick(&mats);
        let third = pick(&mats);
        let back_m = -c.random_range(4.2..6.8);
        let mut blocks = vec![Block {
            low: v(-6.0, floor_m, -c.random_range(0.9..1.25)),
            high: v(6.0, 0.0, c.random_range(0.8..1.2)),
            tone: mat,
            kind: Kind::Mat,
        }];
        let mut put = |x: f32, z: f32, size: V3, tone: V3, kind: Kind| {
            blocks.push(Block {
                low: v(x, floor_m, z),
                high: v(x + size.x, floor_m + size.y, z + size.z),
                tone,
                kind,
            });
        };
        // A vaulting box, thick mats on a pile and one against the wall, a bench, foam blocks.
        let timber = colour(172, 128, 84);
        let x = c.random_range(-3.6..1.6);
        put(
            x,
            back_m + c.random_range(0.9..1.6),
            v(1.4, c.random_range(0.9..1.2), 0.5),
            timber,
            Kind::Box,
        );
        let x = c.random_range(-3.8..2.0);
        put(
            x,
            back_m + 0.25,
            v(2.0, c.random_range(0.25..0.6), 1.2),
            other,
            Kind::Mat,
        );
        let x = c.random_range(-4.2..3.0);
        put(x, back_m + 0.02, v(1.5, 1.9, 0.28), third, Kind::Mat);
        let x = c.random_range(-3.0..0.5);
        put(x, back_m + 2.1, v(2.6, 0.3, 0.25), timber, Kind::Bench);
        let x = c.random_range(-3.0..3.0);
        put(x, -2.3, v(0.7, 0.5, 0.5), mix(other, third, 0.5), Kind::Mat);
        Self {
            light: Light::new(c.random_range(-0.55..0.55), c.random_range(0.0..1.0)),
            seed: c.random(),
            floor_m,
            back_m,
            blocks,
            wall,
            dado,
            ground,
            boards: c.random_bool(0.6),
        }
    }

    /// What the eye sees along a ray. The camera is level; `wide` is the ray's width in radians.
    pub fn look(&self, eye: V3, ray: V3, wide: f32) -> Sight {
        let mut best = f32::MAX;
        let mut hit = None;
        if ray.y < -1e-5 {
            best = (self.floor_m - eye.y) / ray.y;
        }
        if ray.z < -1e-5 {
            let wall = (self.back_m - eye.z) / ray.z;
            if wall < best {
                best = wall;
                hit = Some((None, v(0.0, 0.0, 1.0)));
            }
        }
        for side in [-14.0_f32, 14.0] {
            let far = (side - eye.x) / ray.x;
            if far > 0.0 && far < best {
                best = far;
                hit = Some((None, v(-side.signum(), 0.0, 0.0)));
            }
        }
        for block in &self.blocks {
            if let Some((distance, normal)) = enter(block, eye, ray)
                && distance < best
            {
                best = distance;
                hit = Some((Some(block), normal));
            }
        }
        let place = eye + best * ray;
        let light = match hit {
            None => self.lit(
                self.ground_tone(place, best * wide),
                v(0.0, 1.0, 0.0),
                self.open_floor(place),
            ),
            Some((None, normal)) => walls::look(self, place, normal),
            Some((Some(block), normal)) => {
                let rise = (place.y - self.floor_m) / 0.25;
                let open = if normal.y > 0.5 {
                    self.open_top(block, place)
                } else {
                    0.55 + 0.4 * rise.clamp(0.0, 1.0)
                };
                self.lit(self.block_tone(block, place, normal), normal, open)
            }
        };
        Sight { light, distance: best }
    }

    /// Light from a plain surface.
    pub fn lit(&self, tone: V3, normal: V3, open: f32) -> V3 {
        let facing = normal.dot(&self.light.key).max(0.0) * open.powf(0.7);
        let up = 0.5 + 0.5 * normal.y;
        let around = (up * self.light.sky + (1.0 - up) * self.light.floor) * open;
        tone.component_mul(&(0.8 * facing * self.light.key_tone + around))
    }

    /// How open the floor is there: less beside blocks and the wall.
    fn open_floor(&self, place: V3) -> f32 {
        let mut open = smooth(-0.15, 0.8, place.z - self.back_m).max(0.35);
        for block in &self.blocks {
            open *= shade_beside(block, place, block.high.y - self.floor_m);
        }
        open
    }

    /// The same on top of a block, beside higher ones.
    fn open_top(&self, on: &Block, place: V3) -> f32 {
        let higher = self.blocks.iter().filter(|block| block.high.y > on.high.y + 0.02);
        higher
            .map(|block| shade_beside(block, place, block.high.y - on.high.y))
            .product()
    }

    fn ground_tone(&self, p: V3, px_m: f32) -> V3 {
        let grain = if self.boards {
            // Boards 9 cm wide, each of its own shade.
            let row = (p.z / 0.09).floor();
            let start = speckle(row as i32, 3, 0, self.seed) * 1.7;
            let board = ((p.x + start) / 1.7).floor();
            let shade = 0.8 + 0.35 * speckle(row as i32, board as i32, 1, self.seed);
            let edge = (p.z / 0.09 - row - 0.5).abs();
            let gap = 1.0 - 0.4 * smooth(0.44, 0.5, edge) * (0.004 / (px_m + 0.004));
            shade * gap * (0.85 + 0.3 * clouds(v(p.x * 6.0, 0.0, p.z * 70.0), self.seed))
        } else {
            0.8 + 0.4 * clouds(v(p.x * 30.0, 0.0, p.z * 30.0), self.seed)
        };
        // Lines of a games court.
        let line = (p.z + 2.9).abs() < 0.025 || (p.x - 2.1).abs() < 0.025 && p.z < -2.9;
        if line {
            colour(228, 226, 214)
        } else {
            self.ground * grain
        }
    }

    fn block_tone(&self, block: &Block, p: V3, normal: V3) -> V3 {
        let local = p - block.low;
        let worn = 0.86 + 0.28 * clouds(3.0 * p, self.seed ^ 9) + 0.06 * (clouds(60.0 * p, self.seed ^ 10) - 0.5);
        match block.kind {
            Kind::Mat => {
                let seam = |x: f32, every: f32| {
                    let d = (x / every - (x / every).round()).abs() * every;
                    smooth(0.014, 0.004, d)
                };
                let mut dark = if normal.y > 0.5 {
                    seam(local.x, 1.5)
                } else {
                    0.6 * seam(local.x, 1.5)
                };
                let rim = (local.z).min(block.high.z - p.z);
                let size = block.high - block.low;
                if normal.y > 0.5 && size.z > 1.4 {
                    // A lighter strip along each edge of the run.
                    if (0.10..0.14).contains(&rim) {
                        return mix(block.tone, colour(235, 235, 230), 0.8) * worn;
                    }
                } else if normal.y < 0.5 && size.y > 0.3 {
                    dark = dark.max(seam(p.y - block.low.y, 0.3));
                }
                block.tone * worn * (1.0 - 0.45 * dark)
            }
            Kind::Box => {
                if p.y > block.high.y - 0.14 {
                    return colour(120, 84, 56) * worn;
                }
                let board = (local.y / 0.24).fract();
                let gap = 1.0 - 0.6 * smooth(0.06, 0.0, board.min(1.0 - board));
                let grain = 0.8 + 0.4 * clouds(v(p.x * 5.0, p.y * 60.0, p.z * 5.0), self.seed ^ 2);
                block.tone * grain * gap
            }
            Kind::Bench => {
                // A plank on two feet: what is between them is dark.
                let span = block.high.x - block.low.x;
                let foot = local.x < 0.25 || local.x > span - 0.25;
                let plank = local.y > 0.24;
                let grain = 0.8 + 0.4 * clouds(v(p.x * 4.0, p.y * 70.0, p.z * 50.0), self.seed ^ 2);
                block.tone * if plank || foot { grain } else { 0.18 }
            }
        }
    }

    /// Draws the empty hall, supersampled: linear light for each pixel, and its distance.
    pub fn draw(&self, optics: &Optics, threads: usize) -> (Vec<[f32; 3]>, Vec<f32>) {
        let (w, h) = (optics.size.0 as usize, optics.size.1 as usize);
        let mut light = vec![[0.0; 3]; w * h];
        let mut depth = vec![0.0; w * h];
        let eye = optics.eye();
        let wide = (optics.px_per_m(1.0) as f32).recip();
        let rows = h.div_ceil(threads.max(1));
        std::thread::scope(|scope| {
            let parts = light.chunks_mut(rows * w).zip(depth.chunks_mut(rows * w)).enumerate();
            for (band, (light, depth)) in parts {
                scope.spawn(move || {
                    for (i, (light, depth)) in light.iter_mut().zip(depth.iter_mut()).enumerate() {
                        let (x, y) = ((i % w) as f32, (band * rows + i / w) as f32);
                        let mut sum = V3::zeros();
                        for (dx, dy) in [(0.38, 0.13), (0.88, 0.38), (0.13, 0.63), (0.63, 0.88)] {
                            let sight = self.look(eye, optics.ray(x + dx, y + dy), wide);
                            sum += 0.25 * sight.light;
                            *depth = if *depth == 0.0 {
                                sight.distance
                            } else {
                                depth.min(sight.distance)
                            };
                        }
                        *light = [sum.x, sum.y, sum.z];
                    }
                });
            }
        });
        (light, depth)
    }
}

/// Where a ray enters a block, and the face's direction.
fn enter(block: &Block, eye: V3, ray: V3) -> Option<(f32, V3)> {
    let (mut near, mut far, mut axis) = (0.0_f32, f32::MAX, 3);
    for i in 0..3 {
        let (a, b) = ((block.low[i] - eye[i]) / ray[i], (block.high[i] - eye[i]) / ray[i]);
        let (a, b) = (a.min(b), a.max(b));
        if a > near {
            (near, axis) = (a, i);
        }
        far = far.min(b);
    }
    if axis > 2 || near > far {
        return None;
    }
    let mut normal = V3::zeros();
    normal[axis] = -ray[axis].signum();
    Some((near, normal))
}

/// Light left beside a block that rises `rise` over the place.
fn shade_beside(block: &Block, p: V3, rise: f32) -> f32 {
    let dx = (block.low.x - p.x).max(p.x - block.high.x).max(0.0);
    let dz = (block.low.z - p.z).max(p.z - block.high.z).max(0.0);
    let away = dx.hypot(dz) / rise.clamp(0.02, 0.6);
    1.0 - 0.5 * (-2.2 * away).exp()
}
