//! The same frames at the same times as an installed ffmpeg gives, for clips of every make; in any order.
//!
//! The clips are made by ffmpeg from its test patterns and kept in the build folder under the hash of what makes them.
//! The planes that ffmpeg decodes are made pictures here, by the formulas as they stand in the standards.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

mod clips;
mod reference;

use std::collections::BTreeMap;

use clips::{CLIPS, Make, OUTSIDE, made};
use reference::{Reference, pictures};
use springline_footage::{Clip, Picture};

/// Times and pictures of one clip against ffmpeg's; gives how many frames were compared.
fn compare(make: &Make) -> usize {
    let path = made(make);
    let reference = Reference::of(&path);
    let mut clip = Clip::open(&path).unwrap_or_else(|error| panic!("{}: {error}", make.name));
    assert_eq!(
        clip.len(),
        reference.times.len(),
        "{}: frames; {:?}",
        make.name,
        clip.notes()
    );
    for (frame, (found, expected)) in clip.times().iter().zip(&reference.times).enumerate() {
        let apart = (found - expected).abs();
        assert!(
            apart < 1e-6,
            "{}: frame {frame}: {found} s, ffprobe says {expected} s",
            make.name
        );
    }
    let mut frames = 0;
    pictures(&path, &reference, |frame, width, height, expected| {
        let picture = clip
            .picture(frame)
            .unwrap_or_else(|error| panic!("{}: {error}", make.name));
        assert_eq!((picture.width(), picture.height()), (width, height), "{}", make.name);
        let apart = picture.rgb().iter().zip(expected).map(|(a, b)| a.abs_diff(*b)).max();
        assert!(apart <= Some(1), "{}: frame {frame}: {apart:?} of 255 apart", make.name);
        frames += 1;
    });
    assert_eq!(frames, clip.len(), "{}: pictures", make.name);
    frames
}

#[test]
fn the_same_pictures_at_the_same_times() {
    let only = std::env::var("SPRINGLINE_FILM_CLIP").ok();
    let mut frames = 0;
    let mut count = 0;
    for make in CLIPS
        .iter()
        .filter(|make| only.as_ref().is_none_or(|only| make.name == only))
    {
        frames += compare(make);
        count += 1;
    }
    eprintln!("{count} clips, {frames} frames: the same");
    assert!(only.is_some() || count >= 25);
}

/// A number for the bytes of a picture.
fn mark(picture: &Picture) -> u64 {
    let start = u64::from(picture.width()) << 32 | u64::from(picture.height());
    picture.rgb().iter().fold(start, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

#[test]
fn any_order_gives_the_pictures_of_the_file_s_order() {
    let names = [
        "high, 3 B-frames",
        "HEVC, open groups",
        "H.264, open groups",
        "trimmed between key frames",
        "fragments",
        "10 bits HEVC",
    ];
    for make in CLIPS.iter().filter(|make| names.contains(&make.name)) {
        let path = made(make);
        let mut clip = Clip::open(&path).unwrap();
        let whole: BTreeMap<usize, u64> = (0..clip.len())
            .map(|frame| (frame, mark(&clip.picture(frame).unwrap())))
            .collect();
        let mut other = Clip::open(&path).unwrap();
        // Every frame once, by steps that share no factor with the length.
        let step = (17..)
            .find(|step| (2..*step).all(|k| step % k != 0) && !clip.len().is_multiple_of(*step))
            .unwrap();
        let mut at = clip.len() / 2;
        for _ in 0..clip.len() {
            at = (at + step) % clip.len();
            assert_eq!(
                mark(&other.picture(at).unwrap()),
                whole[&at],
                "{}: frame {at}",
                make.name
            );
        }
        for frame in (0..clip.len()).rev() {
            assert_eq!(
                mark(&clip.picture(frame).unwrap()),
                whole[&frame],
                "{}: frame {frame}",
                make.name
            );
        }
        assert!(other.picture(whole.len()).is_err());
    }
}

#[test]
fn reduced_pictures_are_the_means_of_full_ones() {
    for make in CLIPS
        .iter()
        .filter(|make| ["turned by 90", "cropped", "10 bits", "4:2:2"].contains(&make.name))
    {
        let mut clip = Clip::open(&made(make)).unwrap();
        for factor in [2, 4, 16] {
            let (quick, slow) = (
                clip.reduced(3, factor).unwrap(),
                clip.picture(3).unwrap().reduced(factor),
            );
            assert_eq!((quick.width(), quick.height()), (slow.width(), slow.height()));
            // Clipped colours make the mean of pictures another than the picture of means.
            let pairs = quick.rgb().iter().zip(slow.rgb());
            let sum: u64 = pairs.map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
            let mean = sum as f64 / quick.rgb().len() as f64;
            assert!(mean < 1.5, "{} by {factor}: {mean}", make.name);
        }
    }
}

/// Frames and times of other forms, in the file's order and in another; the pictures are those of ffmpeg's own way to red,
/// green and blue.
#[test]
fn other_forms_go_through_the_installed_ffmpeg() {
    for make in OUTSIDE {
        let path = made(make);
        let reference = Reference::of(&path);
        let mut clip = Clip::open(&path).unwrap_or_else(|error| panic!("{}: {error}", make.name));
        assert_eq!(clip.notes()[0], "decoded by the ffmpeg installed on this machine");
        assert_eq!(clip.len(), reference.times.len(), "{}", make.name);
        for (found, expected) in clip.times().iter().zip(&reference.times) {
            assert!(
                (found - expected).abs() < 1e-6,
                "{}: {found} s, ffprobe says {expected} s",
                make.name
            );
        }
        let expected = reference::plain(&path, reference.upright());
        assert!(expected.len() >= clip.len(), "{}", make.name);
        for frame in 0..clip.len() {
            assert!(
                clip.picture(frame).unwrap().rgb() == expected[frame],
                "{}: frame {frame}",
                make.name
            );
        }
        let mut other = Clip::open(&path).unwrap();
        for frame in [
            clip.len() - 1,
            7,
            8,
            6,
            5,
            20,
            3,
            0,
            clip.len() / 2,
            clip.len() / 2 - 1,
            1,
        ] {
            assert!(
                other.picture(frame).unwrap().rgb() == expected[frame],
                "{}: frame {frame} sought",
                make.name
            );
        }
        assert!(Clip::open_unaided(&path).is_err());
    }
}
