//! HEVC, decoded by `rust_h265`.

use rust_h265::{DecodeError, DecodeLimits, Decoder as Inner, Frame, NalUnit, PixelData, parse_hvcc, parse_nal};

use crate::boxes::Bytes;
use crate::contents::Entry;
use crate::decoder::{Decoder, Fault, length_bytes, units};
use crate::h265_sets::read as read_set;
use crate::limits::{PIXELS, held_is_taken, size_is_taken};
use crate::planes::{Colour, Planes, Samples};

/// Unit that ends a picture, so that it is given at once and keeps its own time.
const DELIMITER: [u8; 3] = [0x46, 0x01, 0x50];

pub(crate) struct H265 {
    inner: Inner,
    length: usize,
    colour: Colour,
    said: Option<Colour>,
}

impl H265 {
    pub fn new(entry: &Entry) -> Result<Self, Fault> {
        let limits = DecodeLimits {
            max_picture_pixels: PIXELS,
            ..DecodeLimits::default()
        };
        let mut decoder = Self {
            inner: Inner::with_limits(limits),
            length: length_bytes(entry),
            colour: Colour::UNSAID,
            said: entry.colour,
        };
        for set in sets(&entry.config) {
            if let Some(unit) = parse_nal(set) {
                // Sets that pictures don't need may be of a kind that isn't known.
                match decoder.feed(&unit) {
                    Err(Fault::TooLarge(width, height)) => return Err(Fault::TooLarge(width, height)),
                    _ => continue,
                }
            }
        }
        Ok(decoder)
    }

    /// Gives the decoder one unit, after a look at the sizes that it asks for.
    fn feed(&mut self, unit: &NalUnit<'_>) -> Result<Option<Frame>, Fault> {
        if unit.nuh_layer_id != 0 {
            return Ok(None);
        }
        if unit.nal_unit_type == rust_h265::NalUnitType::Sps
            && let Some(told) = read_set(&unit.rbsp)
        {
            let taken = size_is_taken(told.width, told.height)
                && held_is_taken(told.width, told.height, told.bits, told.pictures);
            if !taken {
                return Err(Fault::TooLarge(told.width.into(), told.height.into()));
            }
            self.colour = told.colour;
        }
        self.inner.decode_nal(unit).map_err(fault)
    }
}

impl Decoder for H265 {
    fn decode(&mut self, sample: &[u8]) -> Result<Option<Planes>, Fault> {
        let mut found = None;
        let mut first_fault = None;
        let end = parse_nal(&DELIMITER);
        for unit in parse_hvcc(sample, self.length as u8).iter().chain(end.as_ref()) {
            match self.feed(unit) {
                Ok(frame) => found = frame.or(found),
                Err(fault) => first_fault = first_fault.or(Some(fault)),
            }
        }
        match found {
            Some(frame) => planes(frame, self.colour.or(self.said)).map(Some),
            None => first_fault.map_or(Ok(None), Err),
        }
    }
}

fn planes(frame: Frame, colour: Colour) -> Result<Planes, Fault> {
    let samples = |data: PixelData| match data {
        PixelData::U8(list) => Samples::Bytes(list),
        PixelData::U16(list) => Samples::Words(list),
    };
    let halved = match frame.chroma_format_idc {
        1 => (1, 1),
        2 => (1, 0),
        3 => (0, 0),
        _ => return Err(Fault::Unknown("pictures without colour".to_owned())),
    };
    let planes = Planes {
        width: frame.width,
        height: frame.height,
        halved,
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

/// The parameter sets of an hvcC box.
fn sets(config: &[u8]) -> Vec<&[u8]> {
    let mut bytes = Bytes(config);
    let mut list = Vec::new();
    let mut read = || {
        bytes.take(22)?;
        for _ in 0..bytes.u8()? {
            bytes.u8()?;
            for _ in 0..bytes.u16()? {
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

/// Whether its first slice is of a picture at which decoding may begin.
pub(crate) fn begins(sample: &[u8], length: usize) -> bool {
    let kinds = units(sample, length).filter_map(|unit| unit.first().map(|head| head >> 1 & 0x3f));
    kinds
        .into_iter()
        .find(|kind| *kind < 32)
        .is_some_and(|kind| (16..24).contains(&kind))
}
