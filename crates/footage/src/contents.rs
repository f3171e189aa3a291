//! The table of contents of a film: its tracks and where each coded frame lies.

use crate::boxes::{Boxes, Bytes, find, find_deep};
use crate::limits::FRAMES;
use crate::planes::Colour;

/// One coded frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Sample {
    pub offset: u64,
    pub size: u32,
    /// Said to be decodable without the ones before.
    pub key: bool,
    /// Which description, from 0.
    pub entry: u16,
    /// When it is shown, in ticks of the track.
    pub shown: i64,
}

/// What a track's frames are coded with.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Entry {
    pub codec: [u8; 4],
    /// Parameter sets, as in the avcC or hvcC box.
    pub config: Vec<u8>,
    pub colour: Option<Colour>,
    /// Width and height of one pixel.
    pub pixel: Option<(u32, u32)>,
}

/// One line of an edit list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Edit {
    /// In ticks of the film; 0 is up to the end.
    pub lasts: u64,
    /// In ticks of the track; `None` shows nothing.
    pub from: Option<i64>,
    /// Speed, in 1/65536.
    pub rate: i32,
}

/// A track of the film.
#[derive(Clone, Debug, Default)]
pub(crate) struct Track {
    pub id: u32,
    pub kind: [u8; 4],
    /// Ticks per second.
    pub ticks: u32,
    pub matrix: [f64; 4],
    pub entries: Vec<Entry>,
    pub samples: Vec<Sample>,
    pub edits: Vec<Edit>,
    /// What its tables claim but don't hold.
    pub missing: usize,
}

/// Sizes and times that fragments fall back on.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Defaults {
    pub track: u32,
    pub entry: u32,
    pub lasts: u32,
    pub size: u32,
    pub flags: u32,
}

/// A table of contents.
#[derive(Debug, Default)]
pub(crate) struct Contents {
    /// Ticks per second of the film.
    pub ticks: u32,
    pub tracks: Vec<Track>,
    pub defaults: Vec<Defaults>,
}

/// More frames than are taken.
pub(crate) struct TooMany(pub u64);

/// Reads the contents of a moov box.
pub(crate) fn read(moov: &[u8]) -> Result<Contents, TooMany> {
    let mut contents = Contents::default();
    let head = find(moov, b"mvhd").and_then(film_head);
    let (ticks, whole) = head.unwrap_or((1_000, [1.0, 0.0, 0.0, 1.0]));
    contents.ticks = ticks.max(1);
    for (name, inside) in Boxes(moov) {
        match &name {
            b"trak" => contents.tracks.extend(track(inside, whole)?),
            b"mvex" => {
                let lines = Boxes(inside).filter(|(name, _)| name == b"trex");
                contents.defaults.extend(lines.filter_map(|(_, line)| defaults(line)));
            }
            _ => {}
        }
    }
    Ok(contents)
}

/// Ticks and matrix.
fn film_head(mvhd: &[u8]) -> Option<(u32, [f64; 4])> {
    let mut bytes = Bytes(mvhd);
    let long = bytes.version()?.0 == 1;
    bytes.take(if long { 16 } else { 8 })?;
    let ticks = bytes.u32()?;
    bytes.take(if long { 8 } else { 4 })?;
    bytes.take(16)?;
    Some((ticks, matrix(bytes)?))
}

fn matrix(mut bytes: Bytes<'_>) -> Option<[f64; 4]> {
    let mut next = || bytes.i32().map(|value| f64::from(value) / 65_536.0);
    let (a, b, _, c, d) = (next()?, next()?, next()?, next()?, next()?);
    Some([a, b, c, d])
}

/// A track; `None` if it is no use at all.
fn track(trak: &[u8], whole: [f64; 4]) -> Result<Option<Track>, TooMany> {
    let head = || {
        let mut bytes = Bytes(find(trak, b"tkhd")?);
        let long = bytes.version()?.0 == 1;
        bytes.take(if long { 16 } else { 8 })?;
        let id = bytes.u32()?;
        bytes.take(if long { 12 } else { 8 } + 16)?;
        let [a, b, c, d] = matrix(bytes)?;
        // The track's matrix first, then the film's.
        let [e, f, g, h] = whole;
        Some((id, [a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h]))
    };
    let ticks = || {
        let mut bytes = Bytes(find_deep(trak, &[b"mdia", b"mdhd"])?);
        let long = bytes.version()?.0 == 1;
        bytes.take(if long { 16 } else { 8 })?;
        bytes.u32()
    };
    let kind = || {
        let mut bytes = Bytes(find_deep(trak, &[b"mdia", b"hdlr"])?);
        bytes.take(8)?;
        bytes.take(4)?.try_into().ok()
    };
    let (Some((id, matrix)), Some(ticks), Some(kind)) = (head(), ticks(), kind()) else {
        return Ok(None);
    };
    let mut track = Track {
        id,
        kind,
        ticks,
        matrix,
        ..Track::default()
    };
    if &track.kind != b"vide" {
        return Ok(Some(track));
    }
    track.edits = find_deep(trak, &[b"edts", b"elst"]).map(edits).unwrap_or_default();
    if let Some(table) = find_deep(trak, &[b"mdia", b"minf", b"stbl"]) {
        track.entries = find(table, b"stsd").map(entries).unwrap_or_default();
        samples(table, &mut track)?;
    }
    Ok(Some(track))
}

fn edits(elst: &[u8]) -> Vec<Edit> {
    let mut bytes = Bytes(elst);
    let mut list = Vec::new();
    let Some((version, _)) = bytes.version() else {
        return list;
    };
    let count = bytes.u32().unwrap_or(0);
    let mut line = || {
        let (lasts, from) = if version == 1 {
            (bytes.u64()?, bytes.i64()?)
        } else {
            (u64::from(bytes.u32()?), i64::from(bytes.i32()?))
        };
        let rate = bytes.i32()?;
        Some(Edit {
            lasts,
            from: (from >= 0).then_some(from),
            rate,
        })
    };
    for _ in 0..count.min(10_000) {
        let Some(edit) = line() else { break };
        list.push(edit);
    }
    list
}

fn entries(stsd: &[u8]) -> Vec<Entry> {
    let Some((_, list)) = stsd.split_at_checked(8) else {
        return Vec::new();
    };
    Boxes(list)
        .take(1_000)
        .map(|(codec, inside)| entry(codec, inside))
        .collect()
}

fn entry(codec: [u8; 4], inside: &[u8]) -> Entry {
    let mut entry = Entry {
        codec,
        ..Entry::default()
    };
    for (name, inside) in Boxes(inside.get(78..).unwrap_or_default()) {
        let mut bytes = Bytes(inside);
        match &name {
            b"avcC" | b"hvcC" => entry.config = inside.to_vec(),
            b"colr" => entry.colour = colour(bytes).or(entry.colour),
            b"pasp" => entry.pixel = bytes.u32().zip(bytes.u32()),
            _ => {}
        }
    }
    entry
}

fn colour(mut bytes: Bytes<'_>) -> Option<Colour> {
    let form = bytes.take(4)?;
    if form != b"nclx" && form != b"nclc" {
        return None;
    }
    let (_, transfer, matrix) = (bytes.u16()?, bytes.u16()?, bytes.u16()?);
    let full = form == b"nclx" && bytes.u8().is_some_and(|flag| flag & 0x80 != 0);
    Some(Colour {
        matrix: u8::try_from(matrix).unwrap_or(2),
        transfer: u8::try_from(transfer).unwrap_or(2),
        full,
    })
}

fn defaults(trex: &[u8]) -> Option<Defaults> {
    let mut bytes = Bytes(trex);
    bytes.version()?;
    Some(Defaults {
        track: bytes.u32()?,
        entry: bytes.u32()?,
        lasts: bytes.u32()?,
        size: bytes.u32()?,
        flags: bytes.u32()?,
    })
}

/// A table whose lines are a count and a value, read one frame at a time.
struct Runs<'a> {
    lines: Bytes<'a>,
    left: u32,
    value: i32,
}

impl<'a> Runs<'a> {
    fn new(table: Option<&'a [u8]>) -> Self {
        Self {
            lines: Bytes(table.and_then(|table| table.get(8..)).unwrap_or_default()),
            left: 0,
            value: 0,
        }
    }

    fn next(&mut self) -> Option<i32> {
        while self.left == 0 {
            self.left = self.lines.u32()?;
            self.value = self.lines.i32()?;
        }
        self.left -= 1;
        Some(self.value)
    }
}

/// Sizes of the frames, one after another.
enum Sizes<'a> {
    All(u32),
    Each(Bytes<'a>, u8),
}

/// Fills in the samples; stops where a table ends early.
fn samples(table: &[u8], track: &mut Track) -> Result<(), TooMany> {
    let Some((count, mut sizes)) = sizes(table) else {
        return Ok(());
    };
    if count as usize > FRAMES {
        return Err(TooMany(u64::from(count)));
    }
    let keys = |name| find(table, name).and_then(|keys| keys.get(8..)).map(Bytes);
    let (mut keys, mut partial) = (keys(b"stss"), keys(b"stps"));
    let mut next_key = keys.as_mut().map(|keys| keys.u32().unwrap_or(u32::MAX));
    let mut next_partial = partial.as_mut().and_then(Bytes::u32);
    let mut lasts = Runs::new(find(table, b"stts"));
    let mut late = find(table, b"ctts").map(|table| Runs::new(Some(table)));
    let mut decoded = 0i64;
    let mut chunks = Chunks::new(table);
    for number in 1..=count {
        let (Some(size), Some(lasts)) = (next_size(&mut sizes, number), lasts.next()) else {
            break;
        };
        let Some((offset, entry)) = chunks.next(size) else {
            break;
        };
        // A late entry that is missing is 0, as everywhere after the end of that table.
        let late = late.as_mut().and_then(Runs::next).unwrap_or(0);
        let mut key = next_key.is_none();
        while let (Some(next), Some(list)) = (next_key, keys.as_mut())
            && next <= number
        {
            key |= next == number;
            next_key = Some(list.u32().unwrap_or(u32::MAX));
        }
        while let (Some(next), Some(list)) = (next_partial, partial.as_mut())
            && next <= number
        {
            key |= next == number;
            next_partial = list.u32();
        }
        track.samples.push(Sample {
            offset,
            size,
            key,
            entry,
            shown: decoded + i64::from(late),
        });
        decoded += i64::from(lasts as u32);
    }
    track.missing = count as usize - track.samples.len();
    Ok(())
}

fn sizes(table: &[u8]) -> Option<(u32, Sizes<'_>)> {
    if let Some(stsz) = find(table, b"stsz") {
        let mut bytes = Bytes(stsz);
        bytes.version()?;
        let (all, count) = (bytes.u32()?, bytes.u32()?);
        let sizes = if all > 0 {
            Sizes::All(all)
        } else {
            Sizes::Each(bytes, 32)
        };
        return Some((count, sizes));
    }
    let mut bytes = Bytes(find(table, b"stz2")?);
    bytes.version()?;
    let (bits, count) = (bytes.u32()? as u8, bytes.u32()?);
    matches!(bits, 4 | 8 | 16).then_some((count, Sizes::Each(bytes, bits)))
}

fn next_size(sizes: &mut Sizes<'_>, number: u32) -> Option<u32> {
    match sizes {
        Sizes::All(size) => Some(*size),
        Sizes::Each(bytes, 32) => bytes.u32(),
        Sizes::Each(bytes, 16) => bytes.u16().map(u32::from),
        Sizes::Each(bytes, 8) => bytes.u8().map(u32::from),
        // Two to a byte, the higher half first.
        Sizes::Each(bytes, _) if number % 2 == 1 => bytes.0.first().map(|pair| u32::from(pair >> 4)),
        Sizes::Each(bytes, _) => bytes.u8().map(|pair| u32::from(pair & 15)),
    }
}

/// Walks the chunks that frames lie in.
struct Chunks<'a> {
    offsets: Bytes<'a>,
    long: bool,
    runs: Bytes<'a>,
    /// First chunk of the next run, with its frames per chunk and description.
    coming: Option<(u32, u32, u32)>,
    chunk: u32,
    each: u32,
    entry: u32,
    left: u32,
    at: u64,
}

impl<'a> Chunks<'a> {
    fn new(table: &'a [u8]) -> Self {
        let list = |name| find(table, name).and_then(|list| list.get(8..));
        let long = list(b"stco").is_none();
        let offsets = list(b"stco").or_else(|| list(b"co64")).unwrap_or_default();
        let mut chunks = Self {
            offsets: Bytes(offsets),
            long,
            runs: Bytes(list(b"stsc").unwrap_or_default()),
            coming: None,
            chunk: 0,
            each: 0,
            entry: 1,
            left: 0,
            at: 0,
        };
        chunks.coming = chunks.run();
        chunks
    }

    fn run(&mut self) -> Option<(u32, u32, u32)> {
        Some((self.runs.u32()?, self.runs.u32()?, self.runs.u32()?))
    }

    /// Offset and description of the next frame.
    fn next(&mut self, size: u32) -> Option<(u64, u16)> {
        while self.left == 0 {
            self.chunk = self.chunk.checked_add(1)?;
            self.at = if self.long {
                self.offsets.u64()?
            } else {
                u64::from(self.offsets.u32()?)
            };
            while let Some((first, each, entry)) = self.coming
                && first <= self.chunk
            {
                (self.each, self.entry) = (each, entry);
                self.coming = self.run();
            }
            self.left = self.each;
        }
        self.left -= 1;
        let offset = self.at;
        self.at = self.at.checked_add(u64::from(size))?;
        Some((offset, u16::try_from(self.entry.saturating_sub(1)).unwrap_or(u16::MAX)))
    }
}
