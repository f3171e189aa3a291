//! H.264, decoded by `rust_h264`.

use rust_h264::decoder::{ChromaFormat, Decoder as Inner, Frame};
use rust_h264::error::DecodeError;
use rust_h264::nal::{NalUnit, NalUnitType, parse_avcc, parse_sps_info};

use crate::bits::{Bits, unescaped};
use crate::boxes::Bytes;
use crate::contents::Entry;
use crate::decoder::{Decoder, Fault, length_bytes, units};
use crate::limits::{held_is_taken, size_is_taken};
use crate::planes::{Colour, Planes, Samples};

pub(crate) struct H264 {
    inner: Inner,
    length: usize,
    colour: Colour,
    said: Option<Colour>,
}

impl H264 {
    pub fn new(entry: &Entry) -> Result<Self, Fault> {
        let mut decoder = Self {
            inner: Inner::new(),
            length: length_bytes(entry),
            colour: Colour::UNSAID,
            said: entry.colour,
        };
        for set in sets(&entry.config) {
            let mut prefixed = (set.len() as u32).to_be_bytes().to_vec();
            prefixed.extend_from_slice(set);
            for unit in parse_avcc(&prefixed, 4) {
                decoder.feed(&unit)?;
            }
        }
        Ok(decoder)
    }

    /// Gives the decoder one unit, after a look at the sizes that it asks for.
    fn feed(&mut self, unit: &NalUnit<'_>) -> Result<Option<Frame>, Fault> {
        if unit.nal_unit_type == NalUnitType::Sps {
            let told = parse_sps_info(unit).map_err(fault)?;
            let (width, height) = (told.coded_width, told.coded_height);
            let taken = size_is_taken(width, height)
                && told.reference_frames <= 16
                && held_is_taken(width, height, told.bit_depth_luma, told.reference_frames + 1);
            if !taken {
                return Err(Fault::TooLarge(width.into(), height.into()));
            }
            self.colour = Colour {
                matrix: told.matrix,
                transfer: told.transfer,
                full: told.full_range,
            };
        }
        self.inner.decode_nal(unit).map_err(fault)
    }
}

impl Decoder for H264 {
    fn decode(&mut self, sample: &[u8]) -> Result<Option<Planes>, Fault> {
        if self.length == 3 {
            return Err(Fault::Unknown("lengths of three bytes".to_owned()));
        }
        let mut found = None;
        let mut first_fault = None;
        for unit in parse_avcc(sample, self.length) {
            match self.feed(&unit) {
                Ok(frame) => found = frame.or(found),
                Err(fault) => first_fault = first_fault.or(Some(fault)),
            }
        }
        // The decoder would give this frame with the next one: ask for it now, so that each frame keeps its own time.
        match self.inner.flush().or(found) {
            Some(frame) => planes(frame, self.colour.or(self.said)).map(Some),
            None => first_fault.map_or(Ok(None), Err),
        }
    }
}

fn planes(frame: Frame, colour: Colour) -> Result<Planes, Fault> {
    let samples = |bytes: Vec<u8>| match frame.bit_depth {
        8 => Samples::Bytes(bytes),
        _ => Samples::Words(
            bytes
                .as_chunks()
                .0
                .iter()
                .map(|pair| u16::from_le_bytes(*pair))
                .collect(),
        ),
    };
    let planes = Planes {
        width: frame.width,
        height: frame.height,
        halved: match frame.chroma_format {
            ChromaFormat::Yuv420 => (1, 1),
            ChromaFormat::Yuv422 => (1, 0),
        },
        bits: u32::from(frame.bit_depth),
        y: samples(frame.y),
        u: samples(frame.u),
        v: samples(frame.v),
        colour,
    };
    planes.checked().map_err(Fault::Damaged)
}

fn fault(error: DecodeError) -> Fault {
    match error {
        DecodeError::Unsupported(what) => Fault::Unknown(what.to_owned()),
        other => Fault::Damaged(other.to_string()),
    }
}

/// The parameter sets of an avcC box.
fn sets(config: &[u8]) -> Vec<&[u8]> {
    let mut bytes = Bytes(config);
    let mut list = Vec::new();
    let mut read = || {
        bytes.take(5)?;
        for mask in [0x1f, 0xff] {
            for _ in 0..bytes.u8()? & mask {
                let size = bytes.u16()?;
                list.push(bytes.take(size.into())?);
            }
        }
        Some(())
    };
    // What stands before a damaged place is used.
    let _ = read();
    list
}

/// Whether a slice of it is of an IDR picture, or the first slice is coded without others.
pub(crate) fn begins(sample: &[u8], length: usize) -> bool {
    for unit in units(sample, length) {
        match unit.first().map(|head| head & 0x1f) {
            Some(5) => return true,
            Some(1) => {
                let head = unescaped(&unit[1..unit.len().min(24)]);
                let mut bits = Bits::new(&head);
                let kind = bits.golomb().and_then(|_| bits.golomb());
                return kind.is_some_and(|kind| kind % 5 == 2);
            }
            _ => {}
        }
    }
    false
}
