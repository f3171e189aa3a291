//! What a decoder does for us, whichever it is, and a wall around it.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Once;

use crate::contents::Entry;
use crate::h264::H264;
use crate::h265::H265;
use crate::planes::Planes;

/// Decodes coded frames in the order of the file.
pub(crate) trait Decoder: Send {
    /// Decodes one coded frame. `None`: nothing is shown for it.
    fn decode(&mut self, sample: &[u8]) -> Result<Option<Planes>, Fault>;
}

/// Why a frame could not be decoded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// A form of coding that the decoder doesn't know.
    Unknown(String),
    /// The data make no sense.
    Damaged(String),
    /// Larger than is taken.
    TooLarge(u64, u64),
    /// The decoder itself broke; it is not to be used again.
    Broke,
}

impl Fault {
    pub fn words(&self) -> String {
        match self {
            Self::Unknown(what) => format!("coded in a way that isn't known here: {what}"),
            Self::Damaged(what) => format!("damaged data: {what}"),
            Self::TooLarge(width, height) => {
                format!("a picture of {width} x {height} px, which is larger than is taken")
            }
            Self::Broke => "damaged data that the decoder could not cope with".to_owned(),
        }
    }
}

/// Name of a codec that we decode.
pub(crate) fn codec(entry: &Entry) -> Option<&'static str> {
    match &entry.codec {
        b"avc1" | b"avc2" | b"avc3" | b"avc4" => Some("H.264"),
        b"hvc1" | b"hev1" | b"dvh1" | b"dvhe" => Some("HEVC"),
        _ => None,
    }
}

/// A decoder for the entry.
pub(crate) fn open(entry: &Entry) -> Result<Box<dyn Decoder>, Fault> {
    guarded(|| match codec(entry) {
        Some("H.264") => Ok(Box::new(H264::new(entry)?) as Box<dyn Decoder>),
        Some(_) => Ok(Box::new(H265::new(entry)?)),
        None => Err(Fault::Unknown(entry.codec.escape_ascii().to_string())),
    })
}

/// Whether decoding can begin at this coded frame, whatever the file claims.
pub(crate) fn begins(entry: &Entry, sample: &[u8]) -> bool {
    let length = length_bytes(entry);
    match codec(entry) {
        Some("H.264") => crate::h264::begins(sample, length),
        Some(_) => crate::h265::begins(sample, length),
        None => false,
    }
}

/// How many bytes the length of each unit takes.
pub(crate) fn length_bytes(entry: &Entry) -> usize {
    let at = match codec(entry) {
        Some("H.264") => 4,
        _ => 21,
    };
    entry.config.get(at).map_or(4, |byte| usize::from(byte & 3) + 1)
}

/// The units of a coded frame, each after its length; ends where a length makes no sense.
pub(crate) fn units(sample: &[u8], length: usize) -> impl Iterator<Item = &[u8]> {
    let mut rest = sample;
    std::iter::from_fn(move || {
        let (head, after) = rest.split_at_checked(length)?;
        let size = head.iter().fold(0usize, |size, byte| size << 8 | usize::from(*byte));
        let (unit, after) = after.split_at_checked(size)?;
        rest = after;
        Some(unit)
    })
}

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}

/// Runs a decoder; a panic in it becomes [`Fault::Broke`] and prints nothing.
pub(crate) fn guarded<T>(work: impl FnOnce() -> Result<T, Fault>) -> Result<T, Fault> {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let before = take_hook();
        set_hook(Box::new(move |told| {
            if !QUIET.get() {
                before(told);
            }
        }));
    });
    QUIET.set(true);
    let result = catch_unwind(AssertUnwindSafe(work));
    QUIET.set(false);
    result.unwrap_or(Err(Fault::Broke))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_fault() {
        assert_eq!(
            guarded(|| -> Result<(), Fault> { std::panic::panic_any(7) }),
            Err(Fault::Broke)
        );
        assert_eq!(guarded(|| Ok(7)), Ok(7));
    }

    #[test]
    fn units_end_where_a_length_makes_no_sense() {
        let list: Vec<&[u8]> = units(&[0, 2, b'a', b'b', 0, 0, 0, 1, b'c', 0, 9, b'd'], 2).collect();
        assert_eq!(list, [&b"ab"[..], b"", b"c"]);
        assert_eq!(units(&[255; 6], 4).count(), 0);
    }
}
