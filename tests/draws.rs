//! Seeded draws for tests: the same seed gives the same numbers.

/// Seeded draws (splitmix64).
pub struct Draws(u64);

impl Draws {
    /// Seeds are mixed, so that neighbours do not walk through the same numbers one step apart.
    pub fn new(seed: u64) -> Self {
        Self(mix(seed.wrapping_mul(0xd134_2543_de82_ef95) ^ 0x2545_f491_4f6c_dd1d))
    }

    /// Evenly between 0 and 1.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        (mix(self.0) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly between two values.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    /// Standard normal (Box–Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }
}

fn mix(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
