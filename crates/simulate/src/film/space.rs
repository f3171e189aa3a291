//! Small geometry of the film: places in the hall, and smooth chance without a table.

use nalgebra::Vector3;

/// A place or direction in the hall, m: x to the right of the picture, y up, z toward the camera.
pub(crate) type V3 = Vector3<f32>;

/// Shorthand for a vector.
pub(crate) fn v(x: f32, y: f32, z: f32) -> V3 {
    V3::new(x, y, z)
}

/// From `a` to `b` as `t` goes from 0 to 1.
pub(crate) fn mix(a: V3, b: V3, t: f32) -> V3 {
    a + t * (b - a)
}

/// 0 below `low`, 1 above `high`, smooth between.
pub(crate) fn smooth(low: f32, high: f32, x: f32) -> f32 {
    let t = ((x - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// The same vector with length 1; `other` where it has none.
pub(crate) fn unit_or(a: V3, other: V3) -> V3 {
    let length = a.norm();
    if length > 1e-6 { a / length } else { other }
}

/// A number of 0 to 1 that looks drawn, the same for the same three whole numbers and seed.
pub(crate) fn speckle(x: i32, y: i32, z: i32, seed: u32) -> f32 {
    let mut h = (x as u32)
        .wrapping_mul(0x9E37_79B1)
        .wrapping_add((y as u32).wrapping_mul(0x85EB_CA77))
        .wrapping_add((z as u32).wrapping_mul(0xC2B2_AE3D))
        .wrapping_add(seed.wrapping_mul(0x27D4_EB2F));
    h ^= h >> 15;
    h = h.wrapping_mul(0x2C1B_3C6D);
    h ^= h >> 12;
    h = h.wrapping_mul(0x297A_2D39);
    h ^= h >> 15;
    (h >> 8) as f32 / 16_777_216.0
}

/// Smooth noise of 0 to 1 with one bump per unit.
pub(crate) fn cloud(p: V3, seed: u32) -> f32 {
    let (fx, fy, fz) = (p.x.floor(), p.y.floor(), p.z.floor());
    let ease = |t: f32| t * t * (3.0 - 2.0 * t);
    let (u, w, s) = (ease(p.x - fx), ease(p.y - fy), ease(p.z - fz));
    let (x, y, z) = (fx as i32, fy as i32, fz as i32);
    let at = |i: i32, j: i32, k: i32| speckle(x + i, y + j, z + k, seed);
    let line = |j: i32, k: i32| at(0, j, k) + u * (at(1, j, k) - at(0, j, k));
    let face = |k: i32| line(0, k) + w * (line(1, k) - line(0, k));
    face(0) + s * (face(1) - face(0))
}

/// Two octaves of [`cloud`].
pub(crate) fn clouds(p: V3, seed: u32) -> f32 {
    0.65 * cloud(p, seed) + 0.35 * cloud(2.3 * p, seed ^ 0x51)
}

/// Linear light from an sRGB colour of 0 to 255.
pub(crate) fn colour(r: u8, g: u8, b: u8) -> V3 {
    let linear = |c: u8| (f32::from(c) / 255.0).powf(2.2);
    v(linear(r), linear(g), linear(b))
}
