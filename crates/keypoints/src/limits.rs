//! Bounds on what a file may hold, checked before memory is taken for it.

use std::fmt;
use std::marker::PhantomData;

use serde::de::{Deserialize, Deserializer, Error as _, SeqAccess, Visitor};

/// Largest file that is read, bytes (1 GiB): over six hours of 60 fps COCO results.
pub const FILE_BYTES: u64 = 1 << 30;
/// Most frames in a clip.
pub const FRAMES: usize = 2_000_000;
/// Most people in one frame.
pub const PEOPLE: usize = 64;
/// Most points kept of a clip, all people and frames together (a spot takes 24 bytes).
pub const POINTS: usize = 48_000_000;
/// Most numbers in the list of one person's points.
pub const NUMBERS: usize = 4_096;
/// Most points that a layout can have.
pub const LAYOUT_POINTS: usize = 1_024;
/// Largest layout file, bytes.
pub const LAYOUT_BYTES: u64 = 1 << 20;
/// Slowest and fastest camera, frames per second.
pub const RATE_HZ: (f64, f64) = (1.0, 2_000.0);
/// Latest time of a clock, either way, s: three hundred years, so that a clock since 1970 passes.
pub const FAR_S: f64 = 1e10;
/// Farthest coordinate where the picture's size isn't known, px.
pub const FAR_PX: f64 = 100_000.0;

/// A list of at most `most` entries; refuses the first one too many before it is stored.
pub(crate) fn bounded_list<'de, D, T>(from: D, most: usize) -> Result<Vec<T>, D::Error>
where
    D: Deserializer<'de>,
    T: Deserialize<'de>,
{
    struct Bounded<T>(usize, PhantomData<T>);
    impl<'de, T: Deserialize<'de>> Visitor<'de> for Bounded<T> {
        type Value = Vec<T>;
        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            write!(f, "a list of at most {} entries", self.0)
        }
        fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Vec<T>, A::Error> {
            let mut list = Vec::new();
            while let Some(entry) = seq.next_element()? {
                if list.len() == self.0 {
                    return Err(A::Error::custom(format_args!(
                        "a longer list, expected at most {} entries",
                        self.0
                    )));
                }
                list.push(entry);
            }
            Ok(list)
        }
    }
    from.deserialize_seq(Bounded(most, PhantomData))
}
