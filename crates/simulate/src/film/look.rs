//! What a made-up person looks like: build, skin, hair, clothes, all from a seed.

use super::space::{V3, colour};
use crate::corrupt::source;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;

/// What somebody wears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outfit {
    /// Leotard without sleeves, legs bare.
    Leotard,
    /// Leotard with long sleeves, legs bare.
    LongSleeves,
    /// T-shirt and shorts.
    Shorts,
    /// Top and long leggings.
    Leggings,
    /// T-shirt and long tracksuit trousers.
    Tracksuit,
}

/// How the hair is worn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hair {
    /// Cut short.
    Short,
    /// Tied to a tail at the back.
    Ponytail,
    /// Tied to a bun.
    Bun,
}

/// The look of one made-up person.
#[derive(Clone, Debug)]
pub struct Look {
    /// What is worn.
    pub outfit: Outfit,
    /// How the hair is worn.
    pub hair: Hair,
    pub(crate) girth: f32,
    pub(crate) muscle: f32,
    pub(crate) head: f32,
    pub(crate) skin: V3,
    pub(crate) hair_tone: V3,
    pub(crate) iris: V3,
    pub(crate) top: V3,
    pub(crate) bottom: V3,
    pub(crate) accent: V3,
    pub(crate) pattern: u8,
    pub(crate) socks: bool,
    pub(crate) seed: u32,
}

const SKINS: [(u8, u8, u8); 7] = [
    (238, 200, 178),
    (228, 184, 154),
    (219, 170, 134),
    (198, 146, 108),
    (164, 112, 78),
    (122, 80, 56),
    (88, 58, 44),
];
const HAIRS: [(u8, u8, u8); 6] = [
    (32, 24, 20),
    (58, 38, 26),
    (96, 64, 40),
    (150, 108, 64),
    (190, 152, 96),
    (120, 52, 28),
];
const CLOTHS: [(u8, u8, u8); 10] = [
    (196, 30, 58),
    (28, 92, 170),
    (24, 26, 34),
    (110, 40, 140),
    (16, 128, 120),
    (226, 102, 26),
    (230, 230, 226),
    (222, 70, 140),
    (36, 44, 96),
    (92, 150, 40),
];

fn pick(chance: &mut ChaCha8Rng, list: &[(u8, u8, u8)]) -> V3 {
    let (r, g, b) = list[chance.random_range(0..list.len())];
    colour(r, g, b)
}

impl Look {
    /// A gymnast of that seed.
    #[must_use]
    pub fn gymnast(seed: u64) -> Self {
        let mut look = Self::drawn(seed);
        let mut chance = source(seed, 71);
        look.outfit = match chance.random_range(0..10) {
            0..4 => Outfit::Leotard,
            4 => Outfit::LongSleeves,
            5..8 => Outfit::Shorts,
            _ => Outfit::Leggings,
        };
        if matches!(look.outfit, Outfit::Leotard | Outfit::LongSleeves) {
            look.bottom = look.top;
            look.hair = if chance.random_bool(0.6) {
                Hair::Ponytail
            } else {
                Hair::Bun
            };
        }
        look
    }

    /// A grown-up who spots, of that seed.
    #[must_use]
    pub fn coach(seed: u64) -> Self {
        let mut look = Self::drawn(seed ^ 0xC0AC);
        look.outfit = Outfit::Tracksuit;
        look.girth *= 1.02;
        look.head = 0.96;
        look.bottom = colour(34, 38, 52);
        look.socks = true;
        look
    }

    fn drawn(seed: u64) -> Self {
        let mut chance = source(seed, 70);
        let c = &mut chance;
        let skin = pick(c, &SKINS);
        let dark = skin.y < 0.2;
        let hair_tone = if dark { pick(c, &HAIRS[..2]) } else { pick(c, &HAIRS) };
        Self {
            outfit: Outfit::Shorts,
            hair: [Hair::Short, Hair::Ponytail, Hair::Ponytail, Hair::Bun][c.random_range(0..4)],
            girth: c.random_range(0.93..1.12),
            muscle: c.random_range(0.92..1.1),
            head: c.random_range(1.02..1.1),
            skin,
            hair_tone,
            iris: if dark {
                colour(50, 32, 22)
            } else {
                pick(c, &[(60, 90, 120), (84, 58, 36), (70, 92, 62)])
            },
            top: pick(c, &CLOTHS),
            bottom: pick(c, &CLOTHS),
            accent: pick(c, &CLOTHS),
            pattern: c.random_range(0..4),
            socks: c.random_bool(0.25),
            seed: c.random(),
        }
    }
}
