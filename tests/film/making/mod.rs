//! Films made byte by byte, and fixtures taken apart.
#![allow(dead_code, clippy::unwrap_used)]

use std::path::Path;

/// Name of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Box4(pub [u8; 4]);

pub const H264_ENTRY: &[u8; 4] = b"avc1";

pub fn fixture(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../fixtures/film")
        .join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Where a name first stands.
pub fn find(bytes: &[u8], name: &[u8; 4]) -> Option<usize> {
    bytes.windows(4).position(|four| four == name)
}

pub fn patch(bytes: &[u8], at: usize, with: &[u8]) -> Vec<u8> {
    let mut changed = bytes.to_vec();
    changed[at..at + with.len()].copy_from_slice(with);
    changed
}

/// With another name where the name stands last: codecs are brands at the beginning, too.
pub fn renamed(bytes: &[u8], name: &[u8; 4], to: &[u8; 4]) -> Vec<u8> {
    patch(bytes, bytes.windows(4).rposition(|four| four == name).unwrap(), to)
}

fn number(bytes: &[u8], at: usize) -> u32 {
    u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap())
}

fn wrap(name: &[u8; 4], inside: &[u8]) -> Vec<u8> {
    [&(inside.len() as u32 + 8).to_be_bytes()[..], name, inside].concat()
}

/// A box that begins with version and flags.
fn full(name: &[u8; 4], inside: &[u8]) -> Vec<u8> {
    wrap(name, &[&[0; 4][..], inside].concat())
}

fn words(list: &[u32]) -> Vec<u8> {
    list.iter().flat_map(|word| word.to_be_bytes()).collect()
}

/// A film of one track, 30 frames a second.
pub struct Film {
    pub codec: Box4,
    pub config: Vec<u8>,
    pub samples: Vec<Vec<u8>>,
    /// From 1; `None` in the file means all.
    pub keys: Vec<u32>,
    said: bool,
    /// When each frame is shown, in frames.
    pub shown: Vec<u32>,
    second: Option<(Box4, Vec<u8>, usize)>,
}

impl Film {
    pub fn new(codec: Box4, config: &[u8]) -> Self {
        Self {
            codec,
            config: config.to_vec(),
            samples: Vec::new(),
            keys: Vec::new(),
            said: false,
            shown: Vec::new(),
            second: None,
        }
    }

    /// One coded frame of those units.
    pub fn sample(units: &[&[u8]]) -> Vec<u8> {
        units
            .iter()
            .flat_map(|unit| [&(unit.len() as u32).to_be_bytes()[..], unit].concat())
            .collect()
    }

    pub fn frames(mut self, samples: &[Vec<u8>]) -> Self {
        self.samples = samples.to_vec();
        self
    }

    pub fn keys(mut self, keys: &[u32]) -> Self {
        (self.keys, self.said) = (keys.to_vec(), true);
        self
    }

    pub fn shown(mut self, shown: &[u32]) -> Self {
        self.shown = shown.to_vec();
        self
    }

    /// Goes on with another film's frames, by a description of their own.
    pub fn then(mut self, other: &Film) -> Self {
        self.second = Some((other.codec, other.config.clone(), self.samples.len()));
        self.samples.extend(other.samples.iter().cloned());
        self
    }

    /// A fixture whose frames lie one after another.
    pub fn read(name: &str) -> Self {
        let whole = fixture(name);
        let sizes = find(&whole, b"stsz").unwrap() + 4;
        let mut at = number(&whole, find(&whole, b"stco").unwrap() + 12) as usize;
        let mut samples = Vec::new();
        for index in 0..number(&whole, sizes + 8) as usize {
            let size = number(&whole, sizes + 12 + 4 * index) as usize;
            samples.push(whole[at..at + size].to_vec());
            at += size;
        }
        let list = |name: &[u8; 4], each: usize| -> Vec<Vec<u32>> {
            let Some(at) = find(&whole, name) else {
                return Vec::new();
            };
            let count = number(&whole, at + 8) as usize;
            (0..count)
                .map(|line| {
                    (0..each)
                        .map(|word| number(&whole, at + 12 + 4 * (each * line + word)))
                        .collect()
                })
                .collect()
        };
        let lasts = list(b"stts", 2)[0][1];
        let late: Vec<u32> = list(b"ctts", 2)
            .iter()
            .flat_map(|line| vec![line[1]; line[0] as usize])
            .collect();
        let shown = late.iter().enumerate().map(|(index, late)| index as u32 + late / lasts);
        let codec = [*b"avc1", *b"hvc1"]
            .into_iter()
            .find(|codec| find(&whole, codec).is_some())
            .unwrap();
        let config = find(&whole, if codec == *b"avc1" { b"avcC" } else { b"hvcC" }).unwrap();
        Self {
            codec: Box4(codec),
            config: whole[config + 4..config - 4 + number(&whole, config - 4) as usize].to_vec(),
            samples,
            keys: list(b"stss", 1).concat(),
            said: true,
            shown: shown.collect(),
            second: None,
        }
    }

    /// The parameter sets of an H.264 film.
    pub fn sets(&self) -> Vec<&[u8]> {
        let config = &self.config;
        let size = |at: usize| usize::from(config[at]) << 8 | usize::from(config[at + 1]);
        let first = 8..8 + size(6);
        let second = first.end + 3..first.end + 3 + size(first.end + 1);
        vec![&config[first], &config[second]]
    }

    pub fn bytes(&self) -> Vec<u8> {
        let kind = wrap(b"ftyp", b"isom\0\0\0\0isom");
        let data = wrap(b"mdat", &self.samples.concat());
        let start = kind.len() as u32 + 8;
        let count = self.samples.len() as u32;
        let entry = |codec: Box4, config: &[u8]| {
            let name = if codec.0 == *b"avc1" { b"avcC" } else { b"hvcC" };
            wrap(&codec.0, &[&[0; 78][..], &wrap(name, config)].concat())
        };
        let mut entries = entry(self.codec, &self.config);
        let mut chunks = words(&[1, 1, count, 1]);
        let mut offsets = vec![1, start];
        if let Some((codec, config, from)) = &self.second {
            entries.extend(entry(*codec, config));
            chunks = words(&[2, 1, *from as u32, 1, 2, count - *from as u32, 2]);
            offsets = vec![2, start, start + self.samples[..*from].concat().len() as u32];
        }
        let described = full(
            b"stsd",
            &[words(&[1 + u32::from(self.second.is_some())]), entries].concat(),
        );
        let sizes: Vec<u32> = self.samples.iter().map(|sample| sample.len() as u32).collect();
        let mut tables = [
            described,
            full(b"stts", &words(&[1, count, 100])),
            full(b"stsc", &chunks),
            full(b"stsz", &[words(&[0, count]), words(&sizes)].concat()),
            full(b"stco", &words(&offsets)),
        ]
        .concat();
        if self.said {
            tables.extend(full(
                b"stss",
                &[words(&[self.keys.len() as u32]), words(&self.keys)].concat(),
            ));
        }
        if !self.shown.is_empty() {
            let late = self
                .shown
                .iter()
                .zip(0..)
                .flat_map(|(shown, index)| [1, (100 * shown).wrapping_sub(100 * index)]);
            tables.extend(full(
                b"ctts",
                &[words(&[count]), words(&late.collect::<Vec<u32>>())].concat(),
            ));
        }
        let matrix = words(&[0x1_0000, 0, 0, 0, 0x1_0000, 0, 0, 0, 0x4000_0000]);
        let head = full(
            b"tkhd",
            &[words(&[0, 0, 1, 0, 0, 0, 0, 0, 0]), matrix.clone(), words(&[0, 0])].concat(),
        );
        let media = [
            full(b"mdhd", &words(&[0, 0, 3_000, 100 * count, 0])),
            full(b"hdlr", &[&[0; 4][..], b"vide", &[0; 13]].concat()),
            wrap(b"minf", &wrap(b"stbl", &tables)),
        ]
        .concat();
        let track = wrap(b"trak", &[head, wrap(b"mdia", &media)].concat());
        let film = full(
            b"mvhd",
            &[words(&[0, 0, 600, 0, 0x1_0000, 0, 0, 0]), matrix, words(&[0; 7])].concat(),
        );
        [kind, data, wrap(b"moov", &[film, track].concat())].concat()
    }
}

/// Writes single bits.
struct Bits(Vec<bool>);

impl Bits {
    fn number(&mut self, value: u64, count: u32) {
        self.0.extend((0..count).rev().map(|bit| value >> bit & 1 == 1));
    }

    fn golomb(&mut self, value: u64) {
        let wide = 64 - (value + 1).leading_zeros();
        self.number(0, wide - 1);
        self.number(value + 1, wide);
    }

    /// Ends with a one and zeros; keeps start codes away.
    fn bytes(mut self) -> Vec<u8> {
        self.0.push(true);
        let plain = self
            .0
            .chunks(8)
            .map(|eight| eight.iter().enumerate().map(|(k, bit)| u8::from(*bit) << (7 - k)).sum());
        let mut bytes: Vec<u8> = Vec::new();
        for byte in plain {
            if byte <= 3 && bytes.ends_with(&[0, 0]) {
                bytes.push(3);
            }
            bytes.push(byte);
        }
        bytes
    }
}

/// An avcC box whose sequence parameter set asks for a size in px, multiples of 16.
pub fn h264_set(width: u64, height: u64) -> Vec<u8> {
    let mut bits = Bits(Vec::new());
    for byte in [66, 0xc0, 51] {
        bits.number(byte, 8);
    }
    for value in [0, 0, 2, 1] {
        bits.golomb(value);
    }
    bits.number(0, 1);
    bits.golomb(width / 16 - 1);
    bits.golomb(height / 16 - 1);
    // Frames only, direct inference, no cropping, nothing on use.
    bits.number(0b1100, 4);
    let set = [vec![0x67], bits.bytes()].concat();
    let mut picture = Bits(Vec::new());
    for value in [0, 0] {
        picture.golomb(value);
    }
    picture.number(0, 2);
    for value in [0, 0, 0] {
        picture.golomb(value);
    }
    picture.number(0, 3);
    for _ in 0..3 {
        picture.golomb(0);
    }
    picture.number(0, 3);
    let other = [vec![0x68], picture.bytes()].concat();
    let sized = |set: &[u8]| [&(set.len() as u16).to_be_bytes()[..], set].concat();
    [&[1, 66, 0xc0, 51, 0xff, 0xe1][..], &sized(&set), &[1], &sized(&other)].concat()
}

/// An hvcC box whose sequence parameter set asks for a size in px.
pub fn hevc_set(width: u64, height: u64) -> Vec<u8> {
    let mut bits = Bits(Vec::new());
    bits.number(0b0000_0001, 8);
    // Main profile, level 6.2.
    bits.number(0x01, 8);
    bits.number(0x6000_0000, 32);
    bits.number(0, 48);
    bits.number(186, 8);
    bits.golomb(0);
    bits.golomb(1);
    bits.golomb(width);
    bits.golomb(height);
    bits.number(0, 1);
    for value in [0, 0, 4] {
        bits.golomb(value);
    }
    bits.number(1, 1);
    for value in [4, 0, 0, 0, 3, 0, 3, 0, 0] {
        bits.golomb(value);
    }
    bits.number(0, 4);
    bits.golomb(0);
    bits.number(0, 5);
    let set = [vec![0x42, 0x01], bits.bytes()].concat();
    let mut config = vec![0; 22];
    (config[0], config[21]) = (1, 3);
    config.extend([1, 0xa1, 0, 1]);
    config.extend((set.len() as u16).to_be_bytes());
    config.extend(set);
    config
}
