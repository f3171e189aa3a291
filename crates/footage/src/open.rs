//! Opens a film: finds its table of contents and settles which frames are shown when.

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::Path;

use crate::contents::{self, Contents, Entry, Sample, TooMany, Track};
use crate::decoder::codec;
use crate::edits::shown;
use crate::error::Error;
use crate::fragment;
use crate::limits::{BOXES, CONTENTS_BYTES, FRAME_BYTES, FRAMES};
use crate::way_up::WayUp;

/// All that decoding needs to know of a film.
pub(crate) struct Plan {
    pub entry: Entry,
    pub samples: Vec<Sample>,
    /// Samples in the order they are shown.
    pub order: Vec<u32>,
    /// Their times, s.
    pub times: Vec<f64>,
    pub way: WayUp,
    pub notes: Vec<String>,
}

/// What the top level of a file holds.
struct Found {
    contents: Option<Contents>,
    length: u64,
    /// The last box goes on past the end of the file.
    cut_short: bool,
}

/// Reads the plan of an MP4 or MOV file.
pub(crate) fn plan(path: &Path, name: &str) -> Result<Plan, Error> {
    let read = |source| Error::Read {
        file: name.to_owned(),
        source,
    };
    let file = File::open(path).map_err(read)?;
    let found = top_level(file, name, read)?;
    let Some(contents) = found.contents else {
        return Err(Error::Unfinished { file: name.to_owned() });
    };
    let mut notes = Vec::new();
    if found.cut_short {
        notes.push("the file breaks off: it was not copied or recorded to its end".to_owned());
    }
    let film_ticks = contents.ticks;
    let track = choose(contents, name, &mut notes)?;
    settle(track, film_ticks, found.length, name, notes)
}

fn top_level(file: File, name: &str, read: impl Fn(std::io::Error) -> Error + Copy) -> Result<Found, Error> {
    let length = file.metadata().map_err(read)?.len();
    let mut file = BufReader::new(file);
    let mut found = Found {
        contents: None,
        length,
        cut_short: false,
    };
    let mut clocks = Vec::new();
    let mut at = 0u64;
    for _ in 0..BOXES {
        if at + 8 > length {
            break;
        }
        let mut head = [0u8; 16];
        file.read_exact(&mut head[..8]).map_err(read)?;
        let short = u32::from_be_bytes([head[0], head[1], head[2], head[3]]);
        let kind = [head[4], head[5], head[6], head[7]];
        let (head_size, size) = match short {
            0 => (8, length - at),
            1 if at + 16 <= length => {
                file.read_exact(&mut head[8..]).map_err(read)?;
                let long: [u8; 8] = std::array::from_fn(|k| head[8 + k]);
                (16, u64::from_be_bytes(long))
            }
            1 => break,
            size => (8, u64::from(size)),
        };
        if size < head_size {
            break;
        }
        let rest = (size - head_size).min(length - at - head_size);
        found.cut_short |= rest < size - head_size;
        let whole = rest == size - head_size;
        let wanted = whole && (&kind == b"moov" && found.contents.is_none() || &kind == b"moof");
        if wanted {
            if rest > CONTENTS_BYTES {
                return Err(Error::TooLarge {
                    file: name.to_owned(),
                    found: format!("a table of contents of {rest} bytes"),
                    most: format!("{CONTENTS_BYTES} bytes"),
                });
            }
            let mut inside = vec![0; rest as usize];
            file.read_exact(&mut inside).map_err(read)?;
            let too_many = |TooMany(count)| Error::TooLarge {
                file: name.to_owned(),
                found: format!("{count} frames"),
                most: format!("{FRAMES}"),
            };
            match &mut found.contents {
                None if &kind == b"moov" => found.contents = Some(contents::read(&inside).map_err(too_many)?),
                Some(contents) => fragment::add(&inside, at, contents, &mut clocks).map_err(too_many)?,
                None => {}
            }
        } else if i64::try_from(rest).is_ok() {
            file.seek_relative(rest as i64).map_err(read)?;
        }
        at += head_size + rest;
    }
    Ok(found)
}

/// The video track with the most frames.
fn choose(contents: Contents, name: &str, notes: &mut Vec<String>) -> Result<Track, Error> {
    let kinds: Vec<[u8; 4]> = contents.tracks.iter().map(|track| track.kind).collect();
    let films = kinds.iter().filter(|kind| *kind == b"vide").count();
    let best = contents
        .tracks
        .into_iter()
        .filter(|track| &track.kind == b"vide")
        .enumerate()
        .max_by_key(|(index, track)| (track.samples.len(), std::cmp::Reverse(*index)));
    if let Some((_, track)) = best {
        if films > 1 {
            notes.push(format!("the file holds {films} films; the longest is shown"));
        }
        return Ok(track);
    }
    let found = match () {
        () if kinds.contains(b"soun") => "sound alone",
        () if kinds.is_empty() => "no track",
        () => "tracks without pictures",
    };
    Err(Error::NoPictures {
        file: name.to_owned(),
        found: found.to_owned(),
    })
}

/// Keeps the frames that can be shown and puts them in order.
fn settle(mut track: Track, film_ticks: u32, length: u64, name: &str, mut notes: Vec<String>) -> Result<Plan, Error> {
    let nothing = |found: &str| Error::NoPictures {
        file: name.to_owned(),
        found: found.to_owned(),
    };
    let first = track
        .samples
        .first()
        .ok_or_else(|| nothing("a film of no frames"))?
        .entry;
    let entry = track
        .entries
        .get(usize::from(first))
        .cloned()
        .ok_or_else(|| Error::Damaged {
            file: name.to_owned(),
            place: "table of contents".to_owned(),
            found: format!("frames coded by description {}", u32::from(first) + 1),
            expected: format!("one of {} descriptions", track.entries.len()),
        })?;
    if track.ticks == 0 {
        return Err(Error::Damaged {
            file: name.to_owned(),
            place: "table of contents".to_owned(),
            found: "a clock of 0 ticks a second".to_owned(),
            expected: "at least 1".to_owned(),
        });
    }
    if &entry.codec == b"encv" {
        return Err(Error::Encrypted { file: name.to_owned() });
    }
    if codec(&entry).is_none() {
        return Err(Error::Codec {
            file: name.to_owned(),
            found: format!("a film in the codec {}", entry.codec.escape_ascii()),
        });
    }
    let all = track.samples.len() + track.missing;
    let entries = &track.entries;
    let same = |sample: &Sample| entries.get(usize::from(sample.entry)) == Some(&entry);
    let inside = |sample: &Sample| {
        u64::from(sample.size) <= FRAME_BYTES
            && sample
                .offset
                .checked_add(sample.size.into())
                .is_some_and(|end| end <= length)
    };
    if let Some(at) = track.samples.iter().position(|sample| !same(sample)) {
        let cut = track.samples.len() - at;
        notes.push(format!(
            "the film changes its size or coding after {}; the {cut} frames from there on are left out",
            frames(at)
        ));
        track.samples.truncate(at);
    }
    let held = track.samples.iter().position(|sample| !inside(sample));
    if let Some(at) = held.or((track.missing > 0).then_some(track.samples.len())) {
        if at == 0 {
            return Err(Error::Damaged {
                file: name.to_owned(),
                place: "frame 0".to_owned(),
                found: "data outside the file".to_owned(),
                expected: format!("all of it within its {length} bytes"),
            });
        }
        notes.push(format!("the film breaks off: {} of {all} are there", frames(at)));
        track.samples.truncate(at);
    }
    let blind = track.samples.iter().take_while(|sample| !sample.key).count();
    if blind == track.samples.len() {
        notes.push("the film has no key frame; it is shown from its beginning, and may look wrong".to_owned());
    }
    let shown = shown(&track, film_ticks);
    let mut list = shown.list;
    if blind < track.samples.len() && blind > 0 {
        list.retain(|(_, sample)| *sample as usize >= blind);
        notes.push(format!(
            "the first {} build on earlier ones that are not in the file, and are left out",
            frames(blind)
        ));
    }
    if shown.cut > 0 {
        notes.push(format!(
            "the film was trimmed: {} at its ends are not shown",
            frames(shown.cut)
        ));
    }
    if shown.twice > 0 {
        notes.push(format!(
            "{} carry the time of the frame before and are left out",
            frames(shown.twice)
        ));
    }
    if shown.other_speed {
        notes.push("the file asks for another speed; frames keep the times of the recording".to_owned());
    }
    if list.is_empty() {
        return Err(nothing("a film trimmed to nothing"));
    }
    let way = WayUp::from_matrix(track.matrix).unwrap_or_else(|| {
        notes.push("the file asks for a turn that is no quarter; the picture is shown as recorded".to_owned());
        WayUp::AS_STORED
    });
    if let Some((wide, high)) = entry.pixel
        && wide != high
    {
        notes.push(format!(
            "the pixels are not square ({wide}:{high}); angles and lengths in the picture are off"
        ));
    }
    if entry.colour.is_some_and(|colour| matches!(colour.transfer, 16 | 18)) {
        notes.push("the film is in HDR; its colours look paler here".to_owned());
    }
    let ticks = f64::from(track.ticks);
    Ok(Plan {
        entry,
        samples: track.samples,
        order: list.iter().map(|(_, sample)| *sample).collect(),
        times: list.iter().map(|(time, _)| *time as f64 / ticks).collect(),
        way,
        notes,
    })
}

/// "1 frame", "2 frames".
pub(crate) fn frames(count: usize) -> String {
    format!("{count} frame{}", if count == 1 { "" } else { "s" })
}

/// Reads one coded frame.
pub(crate) fn coded(file: &mut File, sample: &Sample) -> std::io::Result<Vec<u8>> {
    file.seek(SeekFrom::Start(sample.offset))?;
    let mut bytes = vec![0; sample.size as usize];
    file.read_exact(&mut bytes)?;
    Ok(bytes)
}
