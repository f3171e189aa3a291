//! What a sequence parameter set of HEVC says of size and colour.

use crate::bits::Bits;
use crate::planes::Colour;

/// Size as coded, and colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Told {
    pub width: u32,
    pub height: u32,
    pub bits: u32,
    /// How many pictures a decoder has to hold.
    pub pictures: u32,
    pub colour: Colour,
}

/// Reads a set without its two-byte head and without escapes; `None` if even the size can't be read.
pub(crate) fn read(set: &[u8]) -> Option<Told> {
    let mut bits = Bits::new(set);
    bits.skip(4)?;
    let layers = bits.number(3)?;
    bits.skip(1)?;
    levels(&mut bits, layers)?;
    bits.golomb()?;
    let chroma = bits.golomb()?;
    if chroma == 3 {
        bits.skip(1)?;
    }
    let (width, height) = (bits.golomb()?, bits.golomb()?);
    let (depth, pictures, order_bits) = held(&mut bits, layers)?;
    Some(Told {
        width,
        height,
        bits: depth,
        pictures,
        colour: colour(&mut bits, order_bits).unwrap_or(Colour::UNSAID),
    })
}

/// Depth, the most pictures held in any layer, and how many bits an order count takes.
fn held(bits: &mut Bits<'_>, layers: u32) -> Option<(u32, u32, u32)> {
    if bits.bit()? {
        for _ in 0..4 {
            bits.golomb()?;
        }
    }
    let depth = bits.golomb()?.max(bits.golomb()?).saturating_add(8);
    let order_bits = bits.golomb()?.min(16) + 4;
    let each = bits.bit()?;
    let mut most = 0;
    for _ in 0..if each { layers + 1 } else { 1 } {
        most = most.max(bits.golomb()?);
        bits.golomb()?;
        bits.golomb()?;
    }
    Some((depth, most.saturating_add(1), order_bits))
}

/// Passes over profile, tier and levels.
fn levels(bits: &mut Bits<'_>, layers: u32) -> Option<()> {
    bits.skip(96)?;
    let mut present = Vec::new();
    for _ in 0..layers {
        present.push((bits.bit()?, bits.bit()?));
    }
    if layers > 0 {
        bits.skip(2 * (8 - layers as usize))?;
    }
    for (profile, level) in present {
        bits.skip(if profile { 88 } else { 0 } + if level { 8 } else { 0 })?;
    }
    Some(())
}

/// The colour, which stands after nearly everything else.
fn colour(bits: &mut Bits<'_>, order_bits: u32) -> Option<Colour> {
    for _ in 0..6 {
        bits.golomb()?;
    }
    if bits.bit()? && bits.bit()? {
        scaling(bits)?;
    }
    bits.skip(2)?;
    if bits.bit()? {
        bits.skip(8)?;
        bits.golomb()?;
        bits.golomb()?;
        bits.skip(1)?;
    }
    references(bits)?;
    if bits.bit()? {
        for _ in 0..bits.golomb()?.min(64) {
            bits.skip(order_bits as usize + 1)?;
        }
    }
    bits.skip(2)?;
    if !bits.bit()? {
        return None;
    }
    // The usability part begins.
    if bits.bit()? && bits.number(8)? == 255 {
        bits.skip(32)?;
    }
    if bits.bit()? {
        bits.skip(1)?;
    }
    if !bits.bit()? {
        return None;
    }
    bits.skip(3)?;
    let full = bits.bit()?;
    if !bits.bit()? {
        return Some(Colour { full, ..Colour::UNSAID });
    }
    bits.skip(8)?;
    Some(Colour {
        transfer: bits.number(8)? as u8,
        matrix: bits.number(8)? as u8,
        full,
    })
}

/// Passes over scaling lists.
fn scaling(bits: &mut Bits<'_>) -> Option<()> {
    for size in 0..4u32 {
        for _ in 0..if size == 3 { 2 } else { 6 } {
            if !bits.bit()? {
                bits.golomb()?;
                continue;
            }
            let count = 64.min(1 << (4 + 2 * size)) + u32::from(size > 1);
            for _ in 0..count {
                bits.golomb()?;
            }
        }
    }
    Some(())
}

/// Passes over the sets of short-term reference pictures.
fn references(bits: &mut Bits<'_>) -> Option<()> {
    let sets = bits.golomb()?;
    if sets > 64 {
        return None;
    }
    let mut before = 0u32;
    for index in 0..sets {
        if index > 0 && bits.bit()? {
            bits.skip(1)?;
            bits.golomb()?;
            let mut count = 0;
            for _ in 0..=before {
                let used = bits.bit()?;
                if used || bits.bit()? {
                    count += 1;
                }
            }
            before = count;
        } else {
            let (earlier, later) = (bits.golomb()?, bits.golomb()?);
            before = earlier.checked_add(later).filter(|sum| *sum <= 64)?;
            for _ in 0..before {
                bits.golomb()?;
                bits.skip(1)?;
            }
        }
    }
    Some(())
}
