//! Files that are no film, or a damaged one: one clear error, or what can be read with a note. All made here.

#![allow(clippy::unwrap_used)]

mod making;

use std::path::{Path, PathBuf};

use making::{Box4, Film, H264_ENTRY, find, fixture, h264_set, hevc_set, patch, renamed};
use springline_footage::{Clip, Error, Picture};

struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn put(&self, bytes: &[u8]) -> PathBuf {
        let path = self.0.path().join("turn.mp4");
        std::fs::write(&path, bytes).unwrap();
        path
    }

    fn open(&self, bytes: &[u8]) -> Result<Clip, Error> {
        Clip::open_unaided(&self.put(bytes))
    }

    /// The message of a refusal, without the folder.
    #[track_caller]
    fn refusal(&self, bytes: &[u8]) -> String {
        let Err(error) = self.open(bytes) else {
            panic!("it was taken")
        };
        let folder = format!("{}{}", self.0.path().display(), std::path::MAIN_SEPARATOR);
        error.to_string().replace(&folder, "")
    }
}

fn pictures(path: &Path) -> Vec<Picture> {
    let mut clip = Clip::open_unaided(path).unwrap();
    (0..clip.len()).map(|frame| clip.picture(frame).unwrap()).collect()
}

#[test]
fn what_is_no_film() {
    let folder = Folder::new();
    let refusal = |bytes: &[u8]| folder.refusal(bytes);
    assert_eq!(refusal(b""), "turn.mp4: found nothing in it, expected a film");
    assert_eq!(refusal(b"frame,x,y\n0,1,2\n"), "turn.mp4: found text, expected a film");
    assert_eq!(
        refusal(&[0; 5_000]),
        "turn.mp4: found nothing but zeros, expected a film"
    );
    assert_eq!(
        refusal(b"\x89PNG\r\n\x1a\n"),
        "turn.mp4: found a single picture, expected a film"
    );
    assert_eq!(
        refusal(&[9, 250, 3, 200, 0, 1]),
        "turn.mp4: found a file of another kind, expected a film"
    );
    let webm = refusal(&fixture("vp9.webm"));
    assert!(
        webm.starts_with("turn.mp4: found a WebM or Matroska film, expected H.264 or HEVC in MP4 or MOV; "),
        "{webm}"
    );
    let missing = Clip::open(&folder.0.path().join("none.mp4")).err().unwrap();
    assert!(matches!(missing, Error::Read { .. }), "{missing}");
}

#[test]
fn films_without_what_it_takes() {
    let folder = Folder::new();
    let whole = fixture("h264.mp4");
    let moov = find(&whole, b"moov").unwrap() - 4;
    let unfinished =
        "turn.mp4: found no table of contents (moov), expected one; recording or copying it was not finished";
    assert_eq!(folder.refusal(&whole[..moov]), unfinished);
    assert_eq!(folder.refusal(&whole[..moov + 100]), unfinished);
    assert_eq!(folder.refusal(&whole[..24]), unfinished);
    assert_eq!(
        folder.refusal(&renamed(&whole, b"vide", b"soun")),
        "turn.mp4: found sound alone, expected a film with pictures"
    );
    assert_eq!(
        folder.refusal(&renamed(&whole, b"trak", b"skip")),
        "turn.mp4: found no track, expected a film with pictures"
    );
    assert_eq!(
        folder.refusal(&renamed(&whole, b"avc1", b"encv")),
        "turn.mp4: found an encrypted film, expected one that is not locked"
    );
    let strange = folder.refusal(&renamed(&whole, b"avc1", b"a\x1b[1"));
    assert!(
        strange.starts_with("turn.mp4: found a film in the codec a\\x1b[1, expected H.264 or HEVC"),
        "{strange}"
    );
    for table in [b"stsz", b"stco", b"stsc", b"stts"] {
        let refusal = folder.refusal(&renamed(&whole, table, b"skip"));
        assert!(
            refusal.contains("found a film of no frames") || refusal.contains("frame 0: "),
            "{refusal}"
        );
    }
    assert_eq!(
        folder.refusal(&renamed(&whole, b"stsd", b"skip")),
        "turn.mp4: table of contents: found frames coded by description 1, expected one of 0 descriptions"
    );
    // An edit list that shows nothing of it.
    let edit = find(&whole, b"elst").unwrap() + 4 + 8;
    assert_eq!(
        folder.refusal(&patch(&whole, edit + 4, &0x7000_0000u32.to_be_bytes())),
        "turn.mp4: found a film trimmed to nothing, expected a film with pictures"
    );
}

#[test]
fn counts_that_lie() {
    let folder = Folder::new();
    let whole = fixture("h264.mp4");
    let sizes = find(&whole, b"stsz").unwrap() + 4;
    let count = sizes + 8;
    // All of one size, 4 thousand million of them.
    let lying = patch(&patch(&whole, count, &[255; 4]), sizes + 4, &1u32.to_be_bytes());
    assert_eq!(
        folder.refusal(&lying),
        "turn.mp4: found 4294967295 frames, expected at most 2000000"
    );
    let clip = folder.open(&patch(&whole, count, &1_999_999u32.to_be_bytes())).unwrap();
    assert_eq!(clip.len(), 12);
    assert!(
        clip.notes()[0].starts_with("the film breaks off: 12 frames of 1999999 are there"),
        "{:?}",
        clip.notes()
    );
    // Frames outside the file, or larger than it.
    let offset = find(&whole, b"stco").unwrap() + 4 + 8;
    assert!(
        folder
            .refusal(&patch(&whole, offset, &[255; 4]))
            .contains("frame 0: found data outside the file, expected all of it")
    );
    let clip = folder.open(&patch(&whole, count + 4 + 20, &[255; 4])).unwrap();
    assert!(clip.notes()[0].contains("5 frames of 12"), "{:?}", clip.notes());
    // Boxes that claim more than the file holds.
    let moov = find(&whole, b"moov").unwrap() - 4;
    assert!(matches!(
        folder.open(&patch(&whole, moov, &[255; 4])),
        Err(Error::Unfinished { .. })
    ));
    // Fragments of too many frames.
    let pieces = fixture("fragments.mp4");
    let run = find(&pieces, b"trun").unwrap() + 4 + 4;
    assert_eq!(
        folder.refusal(&patch(&pieces, run, &[255; 4])),
        "turn.mp4: found 4294967295 frames, expected at most 2000000"
    );
    // A clock without ticks; frames that last no time.
    let ticks = find(&whole, b"mdhd").unwrap() + 4 + 12;
    assert_eq!(
        folder.refusal(&patch(&whole, ticks, &[0; 4])),
        "turn.mp4: table of contents: found a clock of 0 ticks a second, expected at least 1"
    );
    let lasts = find(&whole, b"stts").unwrap() + 4 + 12;
    let clip = folder.open(&patch(&whole, lasts, &[0; 4])).unwrap();
    assert!(
        clip.len() < 12
            && clip
                .notes()
                .iter()
                .any(|note| note.contains("carry the time of the frame before"))
    );
}

#[test]
fn pictures_larger_than_are_taken() {
    let folder = Folder::new();
    let film = |codec, set: &[u8]| {
        let frame = Film::sample(&[&[0x65, 0x88, 0x27, 1, 2, 3]]);
        Film::new(codec, set).frames(&[frame]).bytes()
    };
    for (width, height) in [(16_384, 64), (64, 16_384), (8_192, 8_192), (131_072, 131_072)] {
        let told = format!(
            "turn.mp4: found a picture of {width} x {height} px, expected at most 8192 px a side and 40 million px"
        );
        assert_eq!(folder.refusal(&film(Box4(*b"avc1"), &h264_set(width, height))), told);
        assert_eq!(folder.refusal(&film(Box4(*b"hvc1"), &hevc_set(width, height))), told);
    }
    // A size that fits, and a frame that asks for a set which isn't there.
    let refusal = folder.refusal(&film(Box4(*b"avc1"), &h264_set(64, 48)));
    assert!(refusal.starts_with("turn.mp4: no frame can be shown: "), "{refusal}");
}

#[test]
fn the_size_of_the_stream_counts_and_not_that_of_the_file() {
    let folder = Folder::new();
    let whole = fixture("h264.mp4");
    let entry = find(&whole, b"avc1").unwrap() + 4 + 24;
    let clip = folder.open(&patch(&whole, entry, &[0x7f, 0xff, 0x7f, 0xff])).unwrap();
    assert_eq!((clip.width(), clip.height()), (64, 48));
}

#[test]
fn a_film_that_changes_on_the_way() {
    let folder = Folder::new();
    let (small, wide) = (Film::read("h264.mp4"), Film::read("wide.mp4"));
    // The sets of the wide one stand in its first frame.
    let mut frames = small.samples.clone();
    let mut first = Film::sample(&wide.sets());
    first.extend(&wide.samples[0]);
    frames.push(first);
    frames.extend(wide.samples[1..].iter().cloned());
    let whole = Film::new(Box4(*H264_ENTRY), &small.config)
        .frames(&frames)
        .keys(&[1, 7, 13, 19])
        .bytes();
    let mut clip = folder.open(&whole).unwrap();
    assert_eq!(clip.len(), 24);
    assert!((0..12).all(|frame| clip.picture(frame).is_ok()));
    let told = clip.picture(13).unwrap_err().to_string();
    assert!(
        told.ends_with("found a picture of 96 x 64 px, expected 64 x 48 px like the first"),
        "{told}"
    );
    assert!(clip.picture(3).is_ok());

    // Another description from frame 12 on.
    let whole = Film::new(Box4(*H264_ENTRY), &small.config)
        .frames(&small.samples)
        .then(&wide)
        .bytes();
    let clip = folder.open(&whole).unwrap();
    assert_eq!(clip.len(), 12);
    assert_eq!(
        clip.notes(),
        ["the film changes its size or coding after 12 frames; the 12 frames from there on are left out"]
    );
}

#[test]
fn frames_that_build_on_what_is_not_there() {
    let folder = Folder::new();
    let whole = fixture("h264.mp4");
    let good = pictures(&folder.put(&whole));
    // Cut off before its first key frame, as a camera does that keeps the last minutes.
    let film = Film::read("h264.mp4");
    let cut = Film::new(Box4(*H264_ENTRY), &film.config)
        .frames(&film.samples[2..])
        .keys(&[5])
        .bytes();
    let mut clip = folder.open(&cut).unwrap();
    assert_eq!(
        clip.notes(),
        ["the first 4 frames build on earlier ones that are not in the file, and are left out"]
    );
    assert_eq!(clip.len(), 6);
    assert_eq!(clip.picture(0).unwrap(), good[6]);
    // No key frame at all.
    let none = Film::new(Box4(*H264_ENTRY), &film.config)
        .frames(&film.samples[1..6])
        .keys(&[])
        .bytes();
    match folder.open(&none) {
        Ok(clip) => assert!(
            clip.notes()[0].starts_with("the film has no key frame"),
            "{:?}",
            clip.notes()
        ),
        Err(error) => assert!(matches!(error, Error::NothingShown { .. }), "{error}"),
    }
    // Every frame is said to be a key frame: each is still the picture that it is.
    let all = Film::new(Box4(*H264_ENTRY), &film.config)
        .frames(&film.samples)
        .shown(&film.shown)
        .bytes();
    let mut clip = folder.open(&all).unwrap();
    for frame in [11, 5, 8, 2, 10] {
        assert_eq!(clip.picture(frame).unwrap(), good[frame], "{frame}");
    }
}

#[test]
fn damage_in_one_group_leaves_the_others() {
    let folder = Folder::new();
    for name in ["h264.mp4", "hevc.mov", "ten-bits.mp4", "slices.mp4"] {
        let film = Film::read(name);
        let good = pictures(&folder.put(&fixture(name)));
        let first = film.shown.iter().min().unwrap();
        for sample in 0..film.samples.len() {
            // From the next key frame on nothing builds on it.
            let Some(key) = film.keys.iter().map(|key| *key as usize - 1).find(|key| *key > sample) else {
                break;
            };
            let sound = (film.shown[key] - first) as usize;
            let mut frames = film.samples.clone();
            for byte in &mut frames[sample][9..] {
                *byte ^= 0x5a;
            }
            let damaged = Film::new(film.codec, &film.config)
                .frames(&frames)
                .keys(&film.keys)
                .shown(&film.shown)
                .bytes();
            let mut clip = folder.open(&damaged).unwrap();
            let gone = good.len() - clip.len();
            assert!(gone <= sound, "{name}: {gone} left out");
            for later in sound..12 {
                let picture = clip
                    .picture(later - gone)
                    .unwrap_or_else(|error| panic!("{name}, {sample}: {error}"));
                assert!(picture == good[later], "{name}: frame {later} after {sample}");
            }
            for earlier in 0..sound - gone {
                if let Err(error) = clip.picture(earlier) {
                    assert!(matches!(error, Error::Frame { .. }), "{error}");
                }
            }
        }
        // Frames of no length, or whose units claim more than there is.
        for broken in [Vec::new(), vec![255; 40], vec![0; 40]] {
            let mut frames = film.samples.clone();
            frames[1] = broken;
            let damaged = Film::new(film.codec, &film.config)
                .frames(&frames)
                .keys(&film.keys)
                .shown(&film.shown)
                .bytes();
            let mut clip = folder.open(&damaged).unwrap();
            assert_eq!(clip.picture(11).unwrap(), good[11], "{name}");
            assert!((0..12).any(|frame| clip.picture(frame).is_err()), "{name}");
        }
    }
}

#[test]
fn cut_anywhere_there_is_an_answer() {
    let folder = Folder::new();
    for name in ["h264.mp4", "hevc.mov", "fragments.mp4", "turned.mp4", "open-groups.mov"] {
        let whole = fixture(name);
        for length in (0..whole.len()).step_by(37) {
            if let Ok(mut clip) = folder.open(&whole[..length]) {
                assert!(!clip.notes().is_empty(), "{name} cut at {length}: nothing is said");
                for frame in 0..clip.len() {
                    let _ = clip.picture(frame);
                }
            }
        }
    }
}

#[test]
fn odd_turns_and_pixels_are_told() {
    let folder = Folder::new();
    let whole = fixture("h264.mp4");
    let matrix = find(&whole, b"tkhd").unwrap() + 4 + 40;
    let turned = [0xb504u32, 0xb504, 0, 0xffff_4afc, 0xb504]
        .map(u32::to_be_bytes)
        .concat();
    let clip = folder.open(&patch(&whole, matrix, &turned)).unwrap();
    assert_eq!(
        clip.notes(),
        ["the file asks for a turn that is no quarter; the picture is shown as recorded"]
    );
    let pixels = find(&whole, b"pasp").unwrap() + 4;
    let clip = folder.open(&patch(&whole, pixels, &[0, 0, 0, 4, 0, 0, 0, 3])).unwrap();
    assert_eq!(
        clip.notes(),
        ["the pixels are not square (4:3); angles and lengths in the picture are off"]
    );
}
