//! Films that are written piece by piece: each piece tells its own frames.

use crate::boxes::{Boxes, Bytes, find};
use crate::contents::{Contents, Defaults, Sample, TooMany, Track};
use crate::limits::FRAMES;

/// Adds the frames of a moof box that begins at `start` of the file.
pub(crate) fn add(
    moof: &[u8],
    start: u64,
    contents: &mut Contents,
    clocks: &mut Vec<(u32, i64)>,
) -> Result<(), TooMany> {
    let mut follows = start;
    for (name, traf) in Boxes(moof) {
        if &name == b"traf" {
            follows = piece(traf, start, follows, contents, clocks)?.unwrap_or(follows);
        }
    }
    Ok(())
}

/// Adds one track's part; gives where its data ends. `None` if it can't be read.
fn piece(
    traf: &[u8],
    start: u64,
    follows: u64,
    contents: &mut Contents,
    clocks: &mut Vec<(u32, i64)>,
) -> Result<Option<u64>, TooMany> {
    let Some((defaults, base)) = find(traf, b"tfhd").and_then(|tfhd| head(tfhd, start, follows, contents)) else {
        return Ok(None);
    };
    let Some(track) = contents.tracks.iter_mut().find(|track| track.id == defaults.track) else {
        return Ok(None);
    };
    let place = clocks
        .iter()
        .position(|(id, _)| *id == defaults.track)
        .unwrap_or_else(|| {
            clocks.push((defaults.track, 0));
            clocks.len() - 1
        });
    let clock = &mut clocks[place].1;
    if let Some(time) = find(traf, b"tfdt").and_then(time) {
        *clock = time;
    }
    let mut at = base;
    for (name, trun) in Boxes(traf) {
        if &name == b"trun" && run(trun, &defaults, base, &mut at, clock, track)?.is_none() {
            return Ok(None);
        }
    }
    Ok(Some(at))
}

fn time(tfdt: &[u8]) -> Option<i64> {
    let mut bytes = Bytes(tfdt);
    match bytes.version()?.0 {
        1 => i64::try_from(bytes.u64()?).ok(),
        _ => bytes.u32().map(i64::from),
    }
}

/// What the part's frames fall back on, and where its offsets count from.
fn head(tfhd: &[u8], start: u64, follows: u64, contents: &Contents) -> Option<(Defaults, u64)> {
    let mut bytes = Bytes(tfhd);
    let (_, flags) = bytes.version()?;
    let track = bytes.u32()?;
    let known = contents.defaults.iter().find(|defaults| defaults.track == track);
    let mut defaults = known.copied().unwrap_or(Defaults {
        track,
        entry: 1,
        ..Defaults::default()
    });
    let mut base = if flags & 0x02_0000 != 0 { start } else { follows };
    if flags & 0x01 != 0 {
        base = bytes.u64()?;
    }
    for (flag, field) in [
        (0x02, &mut defaults.entry),
        (0x08, &mut defaults.lasts),
        (0x10, &mut defaults.size),
        (0x20, &mut defaults.flags),
    ] {
        if flags & flag != 0 {
            *field = bytes.u32()?;
        }
    }
    Some((defaults, base))
}

fn run(
    trun: &[u8],
    defaults: &Defaults,
    base: u64,
    at: &mut u64,
    clock: &mut i64,
    track: &mut Track,
) -> Result<Option<()>, TooMany> {
    let mut bytes = Bytes(trun);
    let Some((_, flags)) = bytes.version() else {
        return Ok(None);
    };
    let Some(count) = bytes.u32() else { return Ok(None) };
    if &track.kind == b"vide" && track.samples.len() as u64 + u64::from(count) > FRAMES as u64 {
        return Err(TooMany(track.samples.len() as u64 + u64::from(count)));
    }
    if flags & 0x01 != 0 {
        let Some(more) = bytes.i32() else { return Ok(None) };
        *at = base.saturating_add_signed(i64::from(more));
    }
    let first_flags = if flags & 0x04 != 0 { bytes.u32() } else { None };
    if &track.kind != b"vide" {
        return Ok(Some(()));
    }
    for index in 0..count {
        let mut read = |flag: u32, other: u32| if flags & flag != 0 { bytes.u32() } else { Some(other) };
        let fields = (
            read(0x100, defaults.lasts),
            read(0x200, defaults.size),
            read(
                0x400,
                if index == 0 {
                    first_flags.unwrap_or(defaults.flags)
                } else {
                    defaults.flags
                },
            ),
            read(0x800, 0),
        );
        let (Some(lasts), Some(size), Some(kind), Some(late)) = fields else {
            track.missing += (count - index) as usize;
            return Ok(None);
        };
        track.samples.push(Sample {
            offset: *at,
            size,
            key: kind & 0x01_0000 == 0,
            entry: u16::try_from(defaults.entry.saturating_sub(1)).unwrap_or(u16::MAX),
            shown: clock.saturating_add(i64::from(late as i32)),
        });
        *at = at.saturating_add(u64::from(size));
        *clock = clock.saturating_add(i64::from(lasts));
    }
    Ok(Some(()))
}
