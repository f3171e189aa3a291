//! The attempts of a folder.

use std::path::{Path, PathBuf};

use springline_drills::Drill;
use springline_keypoints::{Error as ImportError, ImportOptions, Importer};

use super::journal::JOURNAL;
use super::{Item, Work};
use crate::error::Error;

/// Endings of files that are taken for attempts.
const ENDINGS: [&str; 3] = ["json", "csv", "tsv"];

/// Finds the attempts of a folder and of the folders inside it: every `.json`, `.csv` and `.tsv` file is one, and so is
/// a folder with one JSON file per frame (told by what is in the files). Hidden files and the output folder are passed
/// over.
///
/// # Inputs
/// `out`: the output folder; `drill`: the drill of all, or `None` for the drill that each file names.
/// # Errors
/// [`Error::Read`] if the folder cannot be listed; [`Error::NothingFound`]. A folder inside it that cannot be listed
/// becomes an attempt that cannot be read.
pub fn find_attempts(folder: &Path, out: &Path, drill: Option<Drill>, options: &ImportOptions) -> Result<Work, Error> {
    let mut search = Search {
        out: out.canonicalize().ok(),
        options: ImportOptions {
            // A lone frame has no rate; any will do to count frames.
            rate_hz: options.rate_hz.or(Some(60.0)),
            ..options.clone()
        },
        importer: Importer::new(),
        drill: drill.as_ref().map(|_| 0),
        items: Vec::new(),
    };
    search.folder(folder, "").map_err(|source| Error::Read {
        path: folder.to_owned(),
        source,
    })?;
    if search.items.is_empty() {
        return Err(Error::NothingFound {
            path: folder.to_owned(),
        });
    }
    search.items.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(Work {
        items: search.items,
        drills: drill.into_iter().collect(),
    })
}

struct Search {
    out: Option<PathBuf>,
    options: ImportOptions,
    importer: Importer,
    drill: Option<usize>,
    items: Vec<Item>,
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
            }
        }
        if !inside.is_empty() && self.is_one_attempt(&files) {
            self.add(inside.to_owned(), folder.to_owned());
        } else {
            for (name, path) in files {
                self.add(name, path);
            }
        }
        for (name, path) in folders {
            if self.is_output(&path) {
                continue;
            }
            if self.folder(&path, &name).is_err() {
                self.add(name, path);
            }
        }
        Ok(())
    }

    fn is_output(&self, path: &Path) -> bool {
        path.join(JOURNAL).exists() || (self.out.is_some() && path.canonicalize().ok() == self.out)
    }

    /// Whether the JSON files of a folder are the frames of one attempt: told from a file in the middle, or another if
    /// nobody is in view there.
    fn is_one_attempt(&mut self, files: &[(String, PathBuf)]) -> bool {
        let mut frames: Vec<&PathBuf> = files
            .iter()
            .map(|(_, path)| path)
            .filter(|path| ending(path) == "json")
            .collect();
        if frames.len() < 2 || frames.len() != files.len() {
            return false;
        }
        frames.sort();
        let count = frames.len();
        for place in [count / 2, count / 4, count * 3 / 4, 0] {
            match self.importer.import(frames[place], &self.options) {
                Ok(attempt) => return attempt.tracks.len() == 1,
                Err(ImportError::NoPerson { .. }) => {}
                Err(_) => return false,
            }
        }
        false
    }
}

fn ending(path: &Path) -> String {
    path.extension()
        .map(|ending| ending.to_string_lossy().to_lowercase())
        .unwrap_or_default()
}

fn is_attempt(path: &Path) -> bool {
    ENDINGS.contains(&ending(path).as_str())
}
