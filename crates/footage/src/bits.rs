//! Single bits of parameter sets and slice headers.

use std::borrow::Cow;

/// Reads bits from the highest of each byte on; `None` past the end.
pub(crate) struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Bits<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0 }
    }

    pub fn bit(&mut self) -> Option<bool> {
        let byte = self.bytes.get(self.at / 8)?;
        let bit = byte >> (7 - self.at % 8) & 1 == 1;
        self.at += 1;
        Some(bit)
    }

    pub fn number(&mut self, count: u32) -> Option<u32> {
        (0..count).try_fold(0u32, |value, _| Some(value << 1 | u32::from(self.bit()?)))
    }

    pub fn skip(&mut self, count: usize) -> Option<()> {
        self.at = self.at.checked_add(count)?;
        (self.at <= 8 * self.bytes.len()).then_some(())
    }

    /// An Exp-Golomb number.
    pub fn golomb(&mut self) -> Option<u32> {
        let mut zeros = 0;
        while !self.bit()? {
            zeros += 1;
            if zeros > 31 {
                return None;
            }
        }
        Some((1u32 << zeros) - 1 + self.number(zeros)?)
    }
}

/// Without the bytes that keep start codes from appearing.
pub(crate) fn unescaped(unit: &[u8]) -> Cow<'_, [u8]> {
    if !unit.windows(3).any(|three| three == [0, 0, 3]) {
        return Cow::Borrowed(unit);
    }
    let mut zeros = 0;
    let mut bytes = Vec::with_capacity(unit.len());
    for byte in unit {
        if zeros >= 2 && *byte == 3 {
            zeros = 0;
            continue;
        }
        zeros = if *byte == 0 { zeros + 1 } else { 0 };
        bytes.push(*byte);
    }
    Cow::Owned(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_golomb_codes() {
        // 1, 010, 011, 00100: 0, 1, 2, 3.
        let mut bits = Bits::new(&[0b1010_0110, 0b0100_0000]);
        assert_eq!([0; 4].map(|_| bits.golomb().unwrap()), [0, 1, 2, 3]);
        assert_eq!(bits.number(4), Some(0));
        assert_eq!(bits.number(1), None);
        assert_eq!(Bits::new(&[0; 8]).golomb(), None);
        assert_eq!(unescaped(&[1, 0, 0, 3, 1, 0, 0, 3]).as_ref(), [1, 0, 0, 1, 0, 0]);
    }
}
