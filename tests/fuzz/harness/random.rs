//! Seeded draws (splitmix64).

/// A source of chance.
pub struct Draws(u64);

impl Draws {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0xd134_2543_de82_ef95) ^ 0x2545_f491_4f6c_dd1d)
    }

    pub fn any(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// 0 to below `count`, 0 if there is none.
    pub fn below(&mut self, count: usize) -> usize {
        if count == 0 {
            0
        } else {
            (self.any() % count as u64) as usize
        }
    }

    /// True once in `times`.
    pub fn one_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    /// 1 mostly, seldom up to 8.
    pub fn few(&mut self) -> usize {
        1 << self.below(4).min(self.below(4))
    }

    /// One of a list.
    pub fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}
