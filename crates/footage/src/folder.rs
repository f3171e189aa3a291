//! A folder of pictures as a clip: with an index of times, or numbered pictures at a steady rate.

use std::fs;
use std::path::{Path, PathBuf};

use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits};

use crate::error::Error;
use crate::limits::{FRAMES, INDEX_BYTES, SIDE_PX, size_is_taken};
use crate::picture::Picture;

/// Name of the index.
pub const INDEX: &str = "index.csv";
/// Columns of the index.
pub const INDEX_COLUMNS: [&str; 3] = ["frame", "time_s", "file"];

/// A folder of pictures.
pub(crate) struct Folder {
    files: Vec<PathBuf>,
    pub times: Vec<f64>,
    pub size: (u32, u32),
    pub notes: Vec<String>,
}

impl Folder {
    /// A folder with an index.
    pub fn open(folder: &Path) -> Result<Self, Error> {
        let index = folder.join(INDEX);
        if !index.is_file() {
            return Err(Error::NoIndex {
                folder: folder.display().to_string(),
            });
        }
        let (files, times) = read_index(folder, &index)?;
        Self::of(folder, files, times)
    }

    /// A folder of numbered pictures without an index.
    pub fn open_at_rate(folder: &Path, rate: f64) -> Result<Self, Error> {
        if folder.join(INDEX).is_file() {
            let mut opened = Self::open(folder)?;
            opened
                .notes
                .push(format!("{INDEX} gives the times; the rate is not used"));
            return Ok(opened);
        }
        let files = numbered(folder)?;
        let times = (0..files.len()).map(|frame| frame as f64 / rate).collect();
        Self::of(folder, files, times)
    }

    fn of(folder: &Path, files: Vec<PathBuf>, times: Vec<f64>) -> Result<Self, Error> {
        let Some(first) = files.first() else {
            return Err(Error::EmptyFolder {
                folder: folder.display().to_string(),
            });
        };
        let size = size_of(first)?;
        for file in &files[1..] {
            let (width, height) = size_of(file)?;
            same_size(file, (width, height), size)?;
        }
        Ok(Self {
            files,
            times,
            size,
            notes: Vec::new(),
        })
    }

    pub fn picture(&self, frame: usize) -> Result<Picture, Error> {
        let file = &self.files[frame];
        let mut decoder = decoder(file)?;
        let way = decoder.orientation().unwrap_or(Orientation::NoTransforms);
        let mut image = DynamicImage::from_decoder(decoder).map_err(|error| unreadable(file, &error))?;
        image.apply_orientation(way);
        let rgb = image.into_rgb8();
        let (width, height) = rgb.dimensions();
        same_size(file, (width, height), self.size)?;
        Picture::new(width, height, rgb.into_raw())
            .ok_or_else(|| Error::too_large(&file.display().to_string(), width.into(), height.into()))
    }
}

fn same_size(file: &Path, found: (u32, u32), expected: (u32, u32)) -> Result<(), Error> {
    if found == expected {
        return Ok(());
    }
    let words = |(width, height): (u32, u32)| format!("{width} x {height} px");
    Err(Error::PictureSize {
        file: file.display().to_string(),
        found: words(found),
        expected: words(expected),
    })
}

fn unreadable(file: &Path, error: &image::ImageError) -> Error {
    Error::Picture {
        file: file.display().to_string(),
        found: error.to_string(),
    }
}

fn decoder(file: &Path) -> Result<impl ImageDecoder, Error> {
    let read = |source| Error::Read {
        file: file.display().to_string(),
        source,
    };
    let mut reader = ImageReader::open(file)
        .and_then(ImageReader::with_guessed_format)
        .map_err(read)?;
    let mut limits = Limits::default();
    (limits.max_image_width, limits.max_image_height) = (Some(SIDE_PX), Some(SIDE_PX));
    reader.limits(limits);
    reader.into_decoder().map_err(|error| unreadable(file, &error))
}

/// Upright size, from the head of the picture.
fn size_of(file: &Path) -> Result<(u32, u32), Error> {
    let mut decoder = decoder(file)?;
    let (width, height) = decoder.dimensions();
    if !size_is_taken(width, height) {
        return Err(Error::too_large(
            &file.display().to_string(),
            width.into(),
            height.into(),
        ));
    }
    let turned = matches!(
        decoder.orientation(),
        Ok(Orientation::Rotate90 | Orientation::Rotate270 | Orientation::Rotate90FlipH | Orientation::Rotate270FlipH)
    );
    Ok(if turned { (height, width) } else { (width, height) })
}

/// The files and times of an index.
fn read_index(folder: &Path, index: &Path) -> Result<(Vec<PathBuf>, Vec<f64>), Error> {
    let name = index.display().to_string();
    let read = |source| Error::Read {
        file: name.clone(),
        source,
    };
    let bytes = fs::metadata(index).map_err(read)?.len();
    if bytes > INDEX_BYTES {
        return Err(Error::TooLarge {
            file: name,
            found: format!("{bytes} bytes"),
            most: format!("{INDEX_BYTES} bytes"),
        });
    }
    let wrong = |line: u64, found: &str, expected| Error::Index {
        file: name.clone(),
        line,
        found: found.chars().take(60).collect(),
        expected,
    };
    let text = fs::read_to_string(index).map_err(read)?;
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads = reader
        .headers()
        .map_err(|_| wrong(1, "a line that is no CSV", "frame,time_s,file"))?;
    let column = |name| heads.iter().position(|head| head.trim() == name);
    let (Some(frame), Some(time), Some(file)) = (column("frame"), column("time_s"), column("file")) else {
        let found: Vec<&str> = heads.iter().collect();
        return Err(wrong(1, &found.join(","), "the columns frame,time_s,file"));
    };
    let (mut files, mut times) = (Vec::new(), Vec::<f64>::new());
    let mut last = None;
    for (count, row) in reader.records().enumerate() {
        let row = row.map_err(|_| wrong(count as u64 + 2, "a row of another length", "three entries"))?;
        let line = row.position().map_or(count as u64 + 2, csv::Position::line);
        let entry = |column: usize| row.get(column).unwrap_or_default().trim();
        let number = entry(frame).parse::<u64>().ok();
        match number.filter(|number| last.is_none_or(|last| *number > last)) {
            Some(number) => last = Some(number),
            None => return Err(wrong(line, entry(frame), "a frame number, higher than the one before")),
        }
        let seconds = entry(time).parse::<f64>().ok().filter(|seconds| seconds.is_finite());
        let later = |seconds: &f64| times.last().is_none_or(|before| seconds > before);
        match seconds.filter(later) {
            Some(seconds) => times.push(seconds),
            None => return Err(wrong(line, entry(time), "a time in seconds, later than the one before")),
        }
        let path = Path::new(entry(file));
        // A name alone: an index can't reach outside its folder.
        if path.file_name() != Some(path.as_os_str()) || entry(file).contains(['/', '\\']) {
            return Err(wrong(line, entry(file), "the name of a picture in the folder"));
        }
        files.push(folder.join(path));
        too_many(&name, files.len())?;
    }
    Ok((files, times))
}

fn too_many(name: &str, count: usize) -> Result<(), Error> {
    if count <= FRAMES {
        return Ok(());
    }
    Err(Error::TooLarge {
        file: name.to_owned(),
        found: format!("{count} pictures"),
        most: FRAMES.to_string(),
    })
}

/// The numbered pictures of a folder in order, without a hole.
fn numbered(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    let name = folder.display().to_string();
    let read = |source| Error::ReadFolder {
        folder: name.clone(),
        source,
    };
    let mut list: Vec<(u64, String)> = Vec::new();
    for entry in fs::read_dir(folder).map_err(read)? {
        let entry = entry.map_err(read)?;
        let file = entry.file_name().to_string_lossy().into_owned();
        if let Some(number) = number(&file) {
            list.push((number, file));
            too_many(&name, list.len())?;
        }
    }
    list.sort();
    for pair in list.windows(2) {
        let ((before, first), (after, second)) = (&pair[0], &pair[1]);
        if before == after {
            return Err(Error::Twice {
                folder: name,
                first: first.clone(),
                second: second.clone(),
            });
        }
        if *after != before + 1 {
            return Err(Error::Hole {
                folder: name,
                missing: before + 1,
                before: first.clone(),
                after: second.clone(),
            });
        }
    }
    Ok(list.into_iter().map(|(_, file)| folder.join(file)).collect())
}

/// The number at the end of a picture's name.
fn number(file: &str) -> Option<u64> {
    let (stem, ending) = file.rsplit_once('.')?;
    let ending = ending.to_ascii_lowercase();
    if file.starts_with('.') || !matches!(ending.as_str(), "png" | "jpg" | "jpeg") {
        return None;
    }
    let digits = stem.len() - stem.trim_end_matches(|c: char| c.is_ascii_digit()).len();
    stem[stem.len() - digits..].parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_pictures() {
        assert_eq!(number("turn-0012.PNG"), Some(12));
        assert_eq!(number("7.jpeg"), Some(7));
        assert_eq!(number("0012.txt"), None);
        assert_eq!(number("cover.png"), None);
        assert_eq!(number(".5.png"), None);
        assert_eq!(number("99999999999999999999999.png"), None);
    }
}
