//! The nested boxes that MP4 and MOV files are made of.

/// Reads big-endian numbers one after another; `None` past the end.
#[derive(Clone, Copy)]
pub(crate) struct Bytes<'a>(pub &'a [u8]);

impl<'a> Bytes<'a> {
    pub fn take(&mut self, count: usize) -> Option<&'a [u8]> {
        let (head, rest) = self.0.split_at_checked(count)?;
        self.0 = rest;
        Some(head)
    }

    fn number<const N: usize>(&mut self) -> Option<[u8; N]> {
        self.take(N)?.try_into().ok()
    }

    pub fn u8(&mut self) -> Option<u8> {
        self.number().map(u8::from_be_bytes)
    }

    pub fn u16(&mut self) -> Option<u16> {
        self.number().map(u16::from_be_bytes)
    }

    pub fn u32(&mut self) -> Option<u32> {
        self.number().map(u32::from_be_bytes)
    }

    pub fn i32(&mut self) -> Option<i32> {
        self.number().map(i32::from_be_bytes)
    }

    pub fn u64(&mut self) -> Option<u64> {
        self.number().map(u64::from_be_bytes)
    }

    pub fn i64(&mut self) -> Option<i64> {
        self.number().map(i64::from_be_bytes)
    }

    /// Version and flags.
    pub fn version(&mut self) -> Option<(u8, u32)> {
        let word = self.u32()?;
        Some(((word >> 24) as u8, word & 0xff_ffff))
    }
}

/// The boxes of a stretch, one after another: name and contents. Ends where a size makes no sense.
pub(crate) struct Boxes<'a>(pub &'a [u8]);

impl<'a> Iterator for Boxes<'a> {
    type Item = ([u8; 4], &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let mut bytes = Bytes(self.0);
        let short = bytes.u32()?;
        let name: [u8; 4] = bytes.number()?;
        let (head, size) = match short {
            0 => (8, self.0.len()),
            1 => (16, usize::try_from(bytes.u64()?).ok()?),
            size => (8, size as usize),
        };
        let contents = self.0.get(head..size)?;
        self.0 = self.0.get(size..)?;
        Some((name, contents))
    }
}

/// The contents of the first box of that name.
pub(crate) fn find<'a>(inside: &'a [u8], name: &[u8; 4]) -> Option<&'a [u8]> {
    Boxes(inside)
        .find(|(found, _)| found == name)
        .map(|(_, contents)| contents)
}

/// The contents of the box at the end of a path of names.
pub(crate) fn find_deep<'a>(inside: &'a [u8], path: &[&[u8; 4]]) -> Option<&'a [u8]> {
    path.iter().try_fold(inside, |inside, name| find(inside, name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_with_short_long_and_open_sizes() {
        let mut file = Vec::new();
        file.extend([0, 0, 0, 9]);
        file.extend(b"onex");
        file.extend([0, 0, 0, 1]);
        file.extend(b"two ");
        file.extend(18u64.to_be_bytes());
        file.extend(b"yz");
        file.extend([0, 0, 0, 0]);
        file.extend(b"end rest");
        let list: Vec<_> = Boxes(&file).collect();
        let expected: Vec<([u8; 4], &[u8])> = vec![(*b"onex", b"\0"), (*b"two ", b"yz"), (*b"end ", b"rest")];
        // The first box holds one byte: the size's own last byte of the next header.
        assert_eq!(list.len(), 1, "a wrong size ends the list");
        assert_eq!(list[0].0, expected[0].0);
        file.insert(8, b'w');
        let list: Vec<_> = Boxes(&file).collect();
        assert_eq!(list[0], (*b"onex", &b"w"[..]));
        assert_eq!(list[1..], expected[1..]);
        assert_eq!(find(&file, b"end "), Some(&b"rest"[..]));
    }

    #[test]
    fn sizes_that_make_no_sense_end_the_list() {
        for size in [[0, 0, 0, 7], [0, 0, 1, 0], [255; 4]] {
            let mut file = size.to_vec();
            file.extend(b"name1234");
            assert_eq!(Boxes(&file).count(), 0);
        }
        assert_eq!(Boxes(&[0, 0, 0]).count(), 0);
    }
}
