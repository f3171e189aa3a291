//! From light to the picture that a phone keeps: exposure, tone, noise, and the mark that says synthetic.

use crate::corrupt::source;
use rand::RngExt;
use rand_distr::StandardNormal;

/// Rows of the letters of the mark, five pixels wide, from the left bit.
const LETTERS: [(char, [u8; 7]); 8] = [
    ('s', [0, 0, 14, 16, 14, 1, 30]),
    ('y', [0, 0, 17, 17, 15, 1, 14]),
    ('n', [0, 0, 22, 25, 17, 17, 17]),
    ('t', [8, 8, 28, 8, 8, 9, 6]),
    ('h', [16, 16, 22, 25, 17, 17, 17]),
    ('e', [0, 0, 14, 17, 31, 16, 14]),
    ('i', [4, 0, 12, 4, 4, 4, 14]),
    ('c', [0, 0, 14, 16, 16, 17, 14]),
];

/// Noise drawn once and looked up from another place in each picture.
pub(crate) struct Sensor {
    grain: Vec<f32>,
    curve: Vec<f32>,
    sd: f32,
    seed: u64,
    rate_hz: f64,
}

impl Sensor {
    pub fn new(seed: u64, sd: f32, rate_hz: f64) -> Self {
        let mut chance = source(seed, 90);
        // Neighbours share some of it, as after the phone's own smoothing.
        let white: Vec<f32> = (0..65_537).map(|_| chance.sample::<f32, _>(StandardNormal)).collect();
        let grain = white.windows(2).map(|pair| 0.84 * pair[0] + 0.54 * pair[1]).collect();
        let curve = (0..=4096).map(|i| tone(i as f32 / 2048.0)).collect();
        Self {
            grain,
            curve,
            sd,
            seed,
            rate_hz,
        }
    }

    /// Bytes red, green, blue of a picture.
    pub fn expose(&self, light: &[[f32; 3]], size: (u32, u32), frame: usize, threads: usize) -> Vec<u8> {
        let mut chance = source(self.seed ^ (frame as u64).wrapping_mul(0x9E37_79B9), 91);
        let t = frame as f64 / self.rate_hz;
        // Slow hunting of the exposure and the flicker of lamps.
        let drift = 0.03 * (0.9 * t + self.seed as f64).sin() + 0.006 * (100.0 * std::f64::consts::PI * t).sin();
        let gain = 1.0 + drift as f32;
        let w = size.0 as usize;
        let mut bytes = vec![0; light.len() * 3];
        let starts: Vec<usize> = (0..size.1).map(|_| chance.random_range(0..65_536)).collect();
        let rows = (size.1 as usize).div_ceil(threads.max(1));
        std::thread::scope(|scope| {
            let parts = bytes
                .chunks_mut(rows * w * 3)
                .zip(light.chunks(rows * w))
                .zip(starts.chunks(rows));
            for ((bytes, light), starts) in parts {
                scope.spawn(move || {
                    for ((bytes, light), start) in bytes.chunks_mut(w * 3).zip(light.chunks(w)).zip(starts) {
                        for (x, (out, pixel)) in bytes.chunks_mut(3).zip(light).enumerate() {
                            for c in 0..3 {
                                let at = (pixel[c] * gain * 2048.0).clamp(0.0, 4096.0) as usize;
                                let value = self.curve[at];
                                // Stronger in the dark, as seen after the tone curve.
                                let sd = self.sd * (1.25 - value / 400.0);
                                let grain = self.grain[(start + x * 3 + c * 7919) & 65_535];
                                out[c] = (value + sd * grain + 0.5).clamp(0.0, 255.0) as u8;
                            }
                        }
                    }
                });
            }
        });
        mark(&mut bytes, size);
        bytes
    }
}

/// A phone's tone curve: gamma with a soft shoulder.
fn tone(light: f32) -> f32 {
    let bent = light * 1.02 / (1.0 + 0.16 * light * light);
    255.0 * bent.clamp(0.0, 1.0).powf(1.0 / 2.2)
}

/// Writes `synthetic` into the lower left corner.
fn mark(bytes: &mut [u8], size: (u32, u32)) {
    let (w, h) = (size.0 as usize, size.1 as usize);
    let scale = (w.min(h) / 360).max(1);
    let (left, top) = (4 * scale, h - 11 * scale);
    let wide = 9 * 6 * scale + scale;
    for y in top - scale..(top + 8 * scale).min(h) {
        for x in left - scale..(left + wide).min(w) {
            for c in 0..3 {
                let at = (y * w + x) * 3 + c;
                bytes[at] = (u16::from(bytes[at]) * 2 / 5) as u8;
            }
        }
    }
    for (k, letter) in "synthetic".chars().enumerate() {
        let Some((_, rows)) = LETTERS.iter().find(|(known, _)| *known == letter) else {
            continue;
        };
        for (row, bits) in rows.iter().enumerate() {
            for column in 0..5 {
                if bits & (16 >> column) == 0 {
                    continue;
                }
                for dy in 0..scale {
                    for dx in 0..scale {
                        let (x, y) = (left + (k * 6 + column) * scale + dx, top + row * scale + dy);
                        if x < w && y < h {
                            bytes[(y * w + x) * 3..(y * w + x) * 3 + 3].fill(225);
                        }
                    }
                }
            }
        }
    }
}
