//! A quick lane for the commonest file: a COCO results list as tools write it.
//!
//! It reads plain objects with flat lists of numbers straight from the bytes, over twice as fast as
//! the general reader, and gives up at the first thing that isn't plain (an escape in a text, a word,
//! a nested value, anything faulty): the general reader then starts again and says what is wrong.
//! So it only ever has to be right about good files, and a test holds the two to the same result.

use crate::coco::Reader;
use crate::limits;
use crate::numbers::{Numbers, Tag, last_digits};

/// Reads a whole results list into the reader; `None`: not plain, the reader is to be thrown away.
pub(crate) fn read(text: &str, reader: &mut Reader<'_>) -> Option<()> {
    let mut cursor = Cursor {
        text,
        bytes: text.as_bytes(),
        at: 0,
    };
    cursor.space();
    cursor.take(b'[')?;
    cursor.space();
    if cursor.peek()? == b']' {
        return None;
    }
    loop {
        entry(&mut cursor, reader)?;
        cursor.space();
        match cursor.next()? {
            b',' => cursor.space(),
            b']' => break,
            _ => return None,
        }
    }
    cursor.space();
    (cursor.at == cursor.bytes.len()).then_some(())
}

fn entry(cursor: &mut Cursor<'_>, reader: &mut Reader<'_>) -> Option<()> {
    cursor.take(b'{')?;
    reader.start_entry();
    let (mut image, mut category, mut person) = (Tag::Missing, Tag::Missing, Tag::Missing);
    loop {
        cursor.space();
        let key = cursor.string()?;
        cursor.space();
        cursor.take(b':')?;
        cursor.space();
        let part = match key {
            "image_id" => {
                image = cursor.tag()?;
                None
            }
            "category_id" => {
                category = cursor.tag()?;
                None
            }
            "track_id" => {
                person = cursor.tag()?;
                None
            }
            "keypoints" => Some(0),
            "foot_kpts" => Some(1),
            "face_kpts" => Some(2),
            "lefthand_kpts" => Some(3),
            "righthand_kpts" => Some(4),
            _ => {
                cursor.skip()?;
                None
            }
        };
        if let Some(part) = part {
            let numbers = reader.part(part);
            numbers.clear();
            cursor.numbers(numbers)?;
        }
        cursor.space();
        match cursor.next()? {
            b',' => {}
            b'}' => break,
            _ => return None,
        }
    }
    reader.end_entry(&image, &category, &person).ok()
}

/// Ten to the power of 0 to 22: all exact.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

struct Cursor<'a> {
    text: &'a str,
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Cursor<'a> {
    #[inline]
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    #[inline]
    fn next(&mut self) -> Option<u8> {
        let byte = self.peek()?;
        self.at += 1;
        Some(byte)
    }

    #[inline]
    fn take(&mut self, byte: u8) -> Option<()> {
        (self.next()? == byte).then_some(())
    }

    #[inline]
    fn space(&mut self) {
        while let Some(b' ' | b'\n' | b'\r' | b'\t') = self.peek() {
            self.at += 1;
        }
    }

    /// A text without escapes.
    fn string(&mut self) -> Option<&'a str> {
        self.take(b'"')?;
        let start = self.at;
        loop {
            match self.next()? {
                b'"' => return self.text.get(start..self.at - 1),
                b'\\' | 0..=0x1f => return None,
                _ => {}
            }
        }
    }

    /// A whole number of at most 18 digits or a text with digits.
    fn tag(&mut self) -> Option<Tag> {
        if self.peek()? == b'"' {
            return last_digits(self.string()?).map(Tag::Number);
        }
        let start = self.at;
        self.number()?;
        let digits = self.text.get(start..self.at)?;
        (digits.len() <= 18)
            .then(|| digits.parse().ok())
            .flatten()
            .map(Tag::Number)
    }

    /// A number as JSON allows it.
    #[inline]
    fn number(&mut self) -> Option<f64> {
        let start = self.at;
        let negative = self.peek()? == b'-';
        self.at += usize::from(negative);
        let first = self.at;
        let mut whole: u64 = 0;
        while let Some(digit @ b'0'..=b'9') = self.peek() {
            whole = whole.wrapping_mul(10).wrapping_add(u64::from(digit - b'0'));
            self.at += 1;
        }
        let before = self.at - first;
        if before == 0 || (before > 1 && self.bytes[first] == b'0') {
            return None;
        }
        let mut after = 0;
        if self.peek() == Some(b'.') {
            self.at += 1;
            let point = self.at;
            while let Some(digit @ b'0'..=b'9') = self.peek() {
                whole = whole.wrapping_mul(10).wrapping_add(u64::from(digit - b'0'));
                self.at += 1;
            }
            after = self.at - point;
            if after == 0 {
                return None;
            }
        }
        let power = matches!(self.peek(), Some(b'e' | b'E'));
        if power || before + after > 15 {
            return self.long_number(start);
        }
        // Both exact, so the quotient is the nearest float.
        #[allow(clippy::cast_precision_loss)]
        let size = whole as f64 / POWERS[after];
        Some(if negative { -size } else { size })
    }

    /// A number with many digits or an exponent, from `start`; the cursor is past its fraction.
    #[cold]
    fn long_number(&mut self, start: usize) -> Option<f64> {
        if matches!(self.peek(), Some(b'e' | b'E')) {
            self.at += 1;
            if matches!(self.peek(), Some(b'+' | b'-')) {
                self.at += 1;
            }
            let first = self.at;
            while let Some(b'0'..=b'9') = self.peek() {
                self.at += 1;
            }
            if self.at == first {
                return None;
            }
        }
        self.text
            .get(start..self.at)?
            .parse()
            .ok()
            .filter(|number: &f64| number.is_finite())
    }

    /// A flat list of numbers, nulls and empty texts.
    fn numbers(&mut self, into: &mut Numbers) -> Option<()> {
        self.take(b'[')?;
        self.space();
        if self.peek()? == b']' {
            self.at += 1;
            return Some(());
        }
        loop {
            let number = match self.peek()? {
                b'n' => {
                    self.bytes[self.at..].starts_with(b"null").then_some(())?;
                    self.at += 4;
                    None
                }
                b'"' => {
                    self.bytes[self.at..].starts_with(b"\"\"").then_some(())?;
                    self.at += 2;
                    None
                }
                _ => Some(self.number()?),
            };
            into.values.push(number);
            if into.values.len() > limits::NUMBERS {
                return None;
            }
            self.space();
            match self.next()? {
                b',' => self.space(),
                b']' => return Some(()),
                _ => return None,
            }
        }
    }

    /// A number, a text or a flat list of numbers that isn't wanted.
    fn skip(&mut self) -> Option<()> {
        match self.peek()? {
            b'"' => self.string().map(|_| ()),
            b'[' => {
                self.at += 1;
                self.space();
                if self.peek()? == b']' {
                    self.at += 1;
                    return Some(());
                }
                loop {
                    self.number()?;
                    self.space();
                    match self.next()? {
                        b',' => self.space(),
                        b']' => return Some(()),
                        _ => return None,
                    }
                }
            }
            _ => self.number().map(|_| ()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> Option<f64> {
        let mut cursor = Cursor {
            text,
            bytes: text.as_bytes(),
            at: 0,
        };
        cursor.number().filter(|_| cursor.at == text.len())
    }

    #[test]
    fn numbers_are_those_of_the_standard_library() {
        for text in [
            "0",
            "-0",
            "0.0",
            "7",
            "-7",
            "1234.5678",
            "0.1",
            "0.912",
            "-0.30000000000000004",
            "1e3",
            "1E-3",
            "1.5e+10",
            "123456789012345678901234567890",
            "0.000001",
            "9007199254740993",
            "1.7976931348623157e308",
        ] {
            assert_eq!(number(text), Some(text.parse::<f64>().unwrap()), "{text}");
        }
        for text in [
            "", "-", "01", "1.", ".5", "+1", "1e", "1e+", "NaN", "1e999", "0x1", "1_0", "--1",
        ] {
            assert_eq!(number(text), None, "{text}");
        }
    }
}
