//! A clip: a film or a folder of pictures.

use std::fs;
use std::path::Path;

use crate::error::Error;
use crate::film::Film;
use crate::folder::Folder;
use crate::outside::Outside;
use crate::picture::Picture;

/// Slowest and fastest rate of numbered pictures, frames per second.
const RATE: (f64, f64) = (1.0, 2_000.0);

/// An open clip, whose frames can be asked for in any order.
pub struct Clip {
    name: String,
    source: Source,
    notes: Vec<String>,
}

enum Source {
    Film(Box<Film>),
    Folder(Folder),
    Outside(Box<Outside>),
}

impl Clip {
    /// Opens a film file, or a folder of pictures with an index. Films that aren't H.264 or HEVC in MP4 or MOV go to an
    /// installed ffmpeg, if there is one; a note says so.
    ///
    /// # Errors
    /// For a file that is no film, is damaged, locked, or larger than [`limits`](crate::limits); for a folder without
    /// `index.csv`, with pictures missing or of different sizes.
    pub fn open(path: &Path) -> Result<Self, Error> {
        let refused = match Self::open_unaided(path) {
            Err(error @ (Error::Codec { .. } | Error::NothingShown { .. })) => error,
            other => return other,
        };
        match Outside::open(path) {
            Ok(Some(film)) => Ok(Self::of(path, Source::Outside(Box::new(film)))),
            Err(error) if matches!(refused, Error::Codec { .. }) => Err(error),
            Ok(None) | Err(_) => Err(refused),
        }
    }

    /// As [`Clip::open`], without any program that is installed.
    ///
    /// # Errors
    /// As [`Clip::open`].
    pub fn open_unaided(path: &Path) -> Result<Self, Error> {
        if path.is_dir() {
            return Ok(Self::of(path, Source::Folder(Folder::open(path)?)));
        }
        crate::kind::check(path)?;
        Ok(Self::of(path, Source::Film(Box::new(Film::open(path)?))))
    }

    /// Opens a folder of numbered pictures taken at a steady rate. A film, or a folder with an index, keeps its own times.
    ///
    /// # Errors
    /// As [`Clip::open`]; for a rate outside 1 to 2000, and for a number that is missing or there twice.
    pub fn open_at_rate(path: &Path, frames_per_second: f64) -> Result<Self, Error> {
        if !(RATE.0..=RATE.1).contains(&frames_per_second) {
            return Err(Error::Rate {
                found: frames_per_second,
            });
        }
        if fs::metadata(path).is_ok_and(|data| data.is_dir()) {
            let folder = Folder::open_at_rate(path, frames_per_second)?;
            return Ok(Self::of(path, Source::Folder(folder)));
        }
        let mut clip = Self::open(path)?;
        clip.notes
            .push("the film has its own times; the rate is not used".to_owned());
        Ok(clip)
    }

    fn of(path: &Path, source: Source) -> Self {
        let notes = match &source {
            Source::Film(film) => film.notes().to_vec(),
            Source::Folder(folder) => folder.notes.clone(),
            Source::Outside(film) => film.notes.clone(),
        };
        Self {
            name: path.display().to_string(),
            source,
            notes,
        }
    }

    fn size(&self) -> (u32, u32) {
        match &self.source {
            Source::Film(film) => film.size(),
            Source::Folder(folder) => folder.size,
            Source::Outside(film) => film.size,
        }
    }

    /// Width of every picture as it is to be looked at, px.
    pub fn width(&self) -> u32 {
        self.size().0
    }

    /// Height of every picture as it is to be looked at, px.
    pub fn height(&self) -> u32 {
        self.size().1
    }

    /// Time of each frame in the order they are shown, s, rising; as the file says, trimmed as it asks.
    pub fn times(&self) -> &[f64] {
        match &self.source {
            Source::Film(film) => film.times(),
            Source::Folder(folder) => &folder.times,
            Source::Outside(film) => &film.times,
        }
    }

    /// How many frames there are: at least one.
    #[expect(clippy::len_without_is_empty, reason = "a clip is never empty")]
    pub fn len(&self) -> usize {
        self.times().len()
    }

    /// Frames per second by the median distance of frames; 0 for a single frame.
    pub fn frames_per_second(&self) -> f64 {
        let mut steps: Vec<f64> = self.times().windows(2).map(|pair| pair[1] - pair[0]).collect();
        if steps.is_empty() {
            return 0.0;
        }
        let middle = steps.len() / 2;
        let (_, median, _) = steps.select_nth_unstable_by(middle, f64::total_cmp);
        1.0 / *median
    }

    /// How the frames are coded, in a word.
    pub fn codec(&self) -> &str {
        match &self.source {
            Source::Film(film) => film.codec(),
            Source::Folder(_) => "pictures",
            Source::Outside(film) => film.codec(),
        }
    }

    /// What was left out or looks odd, in a coach's words.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// A frame, counted from 0 in the order they are shown.
    ///
    /// The frames around the last one asked for are kept: stepping on is cheap, and back within the group of a key frame.
    ///
    /// # Errors
    /// For a frame past the end, and for one that cannot be decoded; the others can still be asked for.
    pub fn picture(&mut self, frame: usize) -> Result<Picture, Error> {
        self.reduced(frame, 1)
    }

    /// A frame with `factor` × `factor` pixels made one, as [`Picture::reduced`], at less cost.
    ///
    /// # Errors
    /// As [`Clip::picture`].
    pub fn reduced(&mut self, frame: usize, factor: u32) -> Result<Picture, Error> {
        if frame >= self.len() {
            return Err(Error::NoSuchFrame {
                file: self.name.clone(),
                frame,
                frames: self.len(),
            });
        }
        let picture = match &mut self.source {
            Source::Film(film) => return film.picture(frame, factor),
            Source::Folder(folder) => folder.picture(frame)?,
            Source::Outside(film) => film.picture(frame)?,
        };
        Ok(if factor < 2 { picture } else { picture.reduced(factor) })
    }
}

/// Clips can be handed from thread to thread.
const _: () = {
    const fn is_send<T: Send>() {}
    is_send::<Clip>();
};
