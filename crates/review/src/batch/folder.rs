//! The attempts of a folder.

use std::path::{Path, PathBuf};

use springline_drills::Drill;
use springline_keypoints::{ImportOptions, Importer};

use super::left_out::{LeftOut, notes};
use super::{Item, Work};
use crate::error::Error;

/// Endings of files that are taken for attempts.
const ENDINGS: [&str; 3] = ["json", "csv", "tsv"];
/// Ending of reviews one a line, which are never attempts.
const LINES: &str = "jsonl";

/// Finds the attempts of a folder and of the folders inside it: every `.json`, `.csv` and `.tsv` file is one, and so is
/// a folder with one JSON file per frame (told by what is in the files). Hidden files are passed over; results of this
/// program and manifests that lie among the attempts are left out, and a note says so.
///
/// # Inputs
/// `drill`: the drill of all, or `None` for the drill that each file names.
/// # Errors
/// [`Error::Read`] if the folder cannot be listed; [`Error::NothingFound`]; [`Error::OneAttempt`] if the folder itself
/// holds the frames of one attempt. A folder inside it that cannot be listed becomes an attempt that cannot be read.
pub fn find_attempts(folder: &Path, drill: Option<Drill>, options: &ImportOptions) -> Result<Work, Error> {
    let mut search = Search {
        options: ImportOptions {
            // A lone frame has no rate and perhaps no size; any will do to count frames.
            rate_hz: options.rate_hz.or(Some(60.0)),
            picture: options.picture.or(Some((1920.0, 1080.0))),
            ..options.clone()
        },
        importer: Importer::new(),
        drill: drill.as_ref().map(|_| 0),
        items: Vec::new(),
        left_out: Vec::new(),
        top_is_one_attempt: false,
    };
    search.folder(folder, "").map_err(|source| Error::Read {
        path: folder.to_owned(),
        source,
    })?;
    if search.top_is_one_attempt {
        return Err(Error::OneAttempt {
            path: folder.to_owned(),
        });
    }
    if search.items.is_empty() {
        return Err(Error::NothingFound {
            path: folder.to_owned(),
            found: match search.left_out.first() {
                None => "no .json, .csv or .tsv file",
                Some((LeftOut::Result, _)) => "only results of this program",
                Some((LeftOut::Manifest, _)) => "only a list of attempts",
            },
        });
    }
    search.items.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(Work {
        setups: Vec::new(),
        items: search.items,
        from: folder.to_owned(),
        drill: drill.as_ref().map(|drill| drill.id.clone()),
        drills: drill.into_iter().collect(),
        inputs: Vec::new(),
        notes: notes(&search.left_out),
    })
}

struct Search {
    options: ImportOptions,
    importer: Importer,
    drill: Option<usize>,
    items: Vec<Item>,
    left_out: Vec<(LeftOut, String)>,
    top_is_one_attempt: bool,
}

impl Search {
    fn add(&mut self, name: String, path: PathBuf) {
        self.items.push(Item {
            name,
            path,
            drill: self.drill,
            athlete: None,
            date: None,
            rate_hz: None,
            setup: None,
            problem: None,
        });
    }

    /// `inside`: the folder's name in the tables, empty for the top.
    fn folder(&mut self, folder: &Path, inside: &str) -> std::io::Result<()> {
        let mut files: Vec<(String, PathBuf)> = Vec::new();
        let mut folders: Vec<(String, PathBuf)> = Vec::new();
        for entry in std::fs::read_dir(folder)? {
            let entry = entry?;
            let file_name = entry.file_name();
            let short = file_name.to_string_lossy();
            if short.starts_with('.') {
                continue;
            }
            let name = if inside.is_empty() {
                short.into_owned()
            } else {
                format!("{inside}/{short}")
            };
            let path = entry.path();
            // Links to folders are not followed: they may lead in circles.
            if entry.file_type()?.is_dir() {
                folders.push((name, path));
            } else if is_attempt(&path) {
                files.push((name, path));
            } else if ending(&path) == LINES && LeftOut::of(&path) == Some(LeftOut::Result) {
                self.left_out.push((LeftOut::Result, name));
            }
        }
        let (frames, mut others): (Vec<_>, Vec<_>) = files.into_iter().partition(|(_, path)| ending(path) == "json");
        if self.is_one_attempt(&frames) {
            if inside.is_empty() {
                self.top_is_one_attempt = true;
                return Ok(());
            }
            self.add(inside.to_owned(), folder.to_owned());
        } else {
            others.extend(frames);
        }
        for (name, path) in others {
            match LeftOut::of(&path) {
                Some(sort) => self.left_out.push((sort, name)),
                None => self.add(name, path),
            }
        }
        for (name, path) in folders {
            if self.folder(&path, &name).is_err() {
                self.add(name, path);
            }
        }
        Ok(())
    }

    /// Whether the JSON files of a folder are the frames of one attempt: numbered, and a single frame in each. That is told
    /// from a file in the middle, or another if that cannot be read or nobody is in view there.
    fn is_one_attempt(&mut self, files: &[(String, PathBuf)]) -> bool {
        if files.len() < 2 || !are_numbered(files) {
            return false;
        }
        let mut frames: Vec<&PathBuf> = files.iter().map(|(_, path)| path).collect();
        frames.sort();
        let count = frames.len();
        [count / 2, count / 4, count * 3 / 4, 0]
            .into_iter()
            .find_map(|place| self.importer.import(frames[place], &self.options).ok())
            .is_some_and(|attempt| attempt.tracks.len() == 1)
    }
}

/// Whether the names of files differ in nothing but a number.
fn are_numbered(files: &[(String, PathBuf)]) -> bool {
    let digits = |letter: char| letter.is_ascii_digit();
    let apart = |name: &str| {
        name.split(digits)
            .filter(|part| !part.is_empty())
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let first = apart(&files[0].0);
    files
        .iter()
        .all(|(name, _)| name.contains(digits) && apart(name) == first)
}

fn ending(path: &Path) -> String {
    path.extension()
        .map(|ending| ending.to_string_lossy().to_lowercase())
        .unwrap_or_default()
}

fn is_attempt(path: &Path) -> bool {
    ENDINGS.contains(&ending(path).as_str())
}
