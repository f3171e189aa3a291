//! A folder with one JSON file for each frame.

use std::fs;
use std::path::{Path, PathBuf};

use crate::ImportOptions;
use crate::discover::{discover, words};
use crate::error::Error;
use crate::importer::{Parsed, parse, read_whole};
use crate::limits;
use crate::numbers::digit_groups;
use crate::recognise::{Format, recognise_json};
use crate::sample::Sample;
use crate::text;
use crate::walk::Walker;

/// Reads every `.json` file of a folder as a frame, in the order of the numbers in their names.
pub(crate) fn read(folder: &Path, name: &str, buffer: &mut Vec<u8>, options: &ImportOptions) -> Result<Parsed, Error> {
    let files = numbered(name, list(folder, name)?)?;
    let mut walker: Option<(Walker, String)> = None;
    let mut bare = Vec::new();
    for (number, path) in &files {
        let file = path.display().to_string();
        read_whole(path, &file, buffer, limits::FILE_BYTES)?;
        if walker.is_none() {
            let found = with_text(&file, buffer, |text| start(&file, text, options))?;
            match found {
                Start::Points(new, words) => walker = Some((*new, words)),
                Start::Nobody => {
                    bare.push((*number, None));
                    continue;
                }
                Start::WholeFile(_) if files.len() == 1 => {
                    return parse(&file, std::borrow::Cow::Borrowed(buffer.as_slice()), options);
                }
                Start::WholeFile(found) => {
                    return Err(Error::NotRecognised {
                        file,
                        found: format!("{found} among other files; import each by itself, a folder of frames"),
                    });
                }
            }
        }
        if let Some((walker, _)) = &mut walker {
            with_text(&file, buffer, |text| walker.read(&file, text, Some(*number)))?;
        }
    }
    let Some((walker, words)) = walker else {
        return Err(Error::NoPerson { file: name.to_owned() });
    };
    let (layout, mut sheet) = walker.finish(name)?;
    sheet.bare.extend(bare);
    Ok(Parsed {
        words: format!(
            "one JSON file a frame, {words}, {} points ({})",
            layout.points().len(),
            layout.name()
        ),
        layout_name: layout.name().to_owned(),
        sheet,
        native: None,
    })
}

/// Runs a reader over the text, a second time when bare `NaN`s had to be mended.
fn with_text<T>(file: &str, bytes: &mut [u8], mut read: impl FnMut(&str) -> Result<T, Error>) -> Result<T, Error> {
    match read(text::decode(file, bytes)?) {
        Err(Error::Syntax { .. }) if text::mend_bare_words(bytes) => read(text::decode(file, bytes)?),
        result => result,
    }
}

/// What the first files turn out to be.
enum Start {
    /// Points were found here.
    Points(Box<Walker>, String),
    /// A frame without anybody.
    Nobody,
    /// A file that is more than a frame.
    WholeFile(&'static str),
}

fn start(file: &str, text: &str, options: &ImportOptions) -> Result<Start, Error> {
    match recognise_json(file, text)? {
        Format::Attempt => return Ok(Start::WholeFile("an attempt file")),
        Format::CocoResults => return Ok(Start::WholeFile("a COCO results list")),
        Format::CocoAnnotations => return Ok(Start::WholeFile("a COCO annotation file")),
        Format::Nothing => return Ok(Start::Nobody),
        Format::OtherJson(_) => {}
    }
    let stated = options.layout.as_ref().filter(|layout| layout.shape.json.is_some());
    let layout = match stated {
        Some(layout) => Some(layout.clone()),
        None => {
            let sample = Sample::read(text).map_err(|error| Error::json(file, &error))?;
            discover(&sample, options.layout.as_ref(), true)
        }
    };
    let Some(layout) = layout else { return Ok(Start::Nobody) };
    let Some(shape) = layout.shape.json.clone() else {
        return Ok(Start::Nobody);
    };
    if !shape.frames.0.is_empty() {
        return Ok(Start::WholeFile("a file with a list of frames"));
    }
    let words = words(&shape);
    Ok(Start::Points(
        Box::new(Walker::new(file, layout, shape, options.min_score)),
        words,
    ))
}

/// The `.json` files of a folder, sorted by name.
fn list(folder: &Path, name: &str) -> Result<Vec<PathBuf>, Error> {
    let failed = |source| Error::ReadFolder {
        folder: name.to_owned(),
        source,
    };
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let hidden = path
            .file_name()
            .is_none_or(|file| file.to_string_lossy().starts_with('.'));
        let json = path
            .extension()
            .is_some_and(|ending| ending.eq_ignore_ascii_case("json"));
        if !json || hidden || !path.is_file() {
            continue;
        }
        if files.len() == limits::FRAMES {
            return Err(Error::TooMany {
                file: name.to_owned(),
                place: "folder".to_owned(),
                what: "files",
                most: limits::FRAMES,
            });
        }
        files.push(path);
    }
    if files.is_empty() {
        return Err(Error::NotRecognised {
            file: name.to_owned(),
            found: "a folder without .json files".to_owned(),
        });
    }
    files.sort();
    Ok(files)
}

/// Gives each file the frame number in its name: of several groups of digits the last that
/// differs from file to file.
fn numbered(folder: &str, files: Vec<PathBuf>) -> Result<Vec<(i64, PathBuf)>, Error> {
    let groups: Vec<Vec<Option<i64>>> = files
        .iter()
        .map(|path| digit_groups(&path.file_stem().unwrap_or_default().to_string_lossy()))
        .collect();
    let fewest = groups.iter().map(Vec::len).min().unwrap_or(0);
    let distinct = |number: &dyn Fn(&Vec<Option<i64>>) -> Option<i64>| {
        let mut numbers: Vec<i64> = groups.iter().filter_map(number).collect();
        let all = numbers.len() == groups.len();
        numbers.sort_unstable();
        (all && numbers.windows(2).all(|pair| pair[0] != pair[1]))
            .then(|| groups.iter().filter_map(number).collect::<Vec<i64>>())
    };
    let from_end = (1..=fewest).find_map(|back| distinct(&|group| group[group.len() - back]));
    let numbers = match from_end {
        Some(numbers) => numbers,
        // A single file needs no number.
        None if files.len() == 1 => vec![0],
        None => {
            let sample = files[0].file_name().unwrap_or_default().to_string_lossy().into_owned();
            return Err(Error::Shape {
                file: folder.to_owned(),
                place: "file names".to_owned(),
                found: format!("names such as {sample:?} that don't number the frames"),
                expected: "a different number in each file's name".to_owned(),
            });
        }
    };
    let mut numbered: Vec<(i64, PathBuf)> = numbers.into_iter().zip(files).collect();
    numbered.sort_by_key(|file| file.0);
    Ok(numbered)
}
