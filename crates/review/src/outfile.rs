//! Files that appear whole or not at all.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::batch::is_result;
use crate::error::Error;

/// Whether a file may be written there, to be asked before long work.
///
/// # Errors
/// [`Error::Exists`] if something is there and `force` is not set, or if it is a folder; [`Error::Write`] if its
/// folder is not there.
pub fn may_write(path: &Path, force: bool) -> Result<(), Error> {
    if path.is_dir() {
        return Err(Error::Exists {
            path: path.to_owned(),
            found: "a folder",
        });
    }
    if !force && path.symlink_metadata().is_ok() {
        return Err(Error::Exists {
            path: path.to_owned(),
            found: "a file that is there already",
        });
    }
    let folder = folder_of(path);
    if folder.is_dir() {
        Ok(())
    } else {
        Err(Error::Write {
            path: path.to_owned(),
            source: std::io::Error::new(
                std::io::ErrorKind::NotFound,
                format!("there is no folder {}", folder.display()),
            ),
        })
    }
}

/// Sees that none of the files to be written is one that is read, whatever it is called: links and dots in the paths are
/// followed. Of a folder with a file for each frame, every frame is read.
///
/// # Errors
/// [`Error::OverInput`].
pub fn spares<'a>(paths: &[PathBuf], inputs: impl IntoIterator<Item = &'a Path>) -> Result<(), Error> {
    // What is not there yet is read by nobody.
    let written: Vec<(&PathBuf, PathBuf)> = paths
        .iter()
        .filter_map(|path| Some((path, path.canonicalize().ok()?)))
        .collect();
    if written.is_empty() {
        return Ok(());
    }
    for input in inputs {
        let Ok(read) = input.canonicalize() else { continue };
        let is_frame = |path: &Path| {
            path.parent() == Some(&read) && path.extension().is_some_and(|ending| ending == "json") && !is_result(path)
        };
        if let Some((path, _)) = written.iter().find(|(_, path)| *path == read || is_frame(path)) {
            return Err(Error::OverInput {
                path: (*path).clone(),
                input: input.display().to_string(),
            });
        }
    }
    Ok(())
}

/// Writes a file under a temporary name in the same folder, then renames it.
///
/// # Errors
/// As [`may_write`]; [`Error::Write`] when the disk is full and the like: nothing stays behind then.
pub fn write_whole(path: &Path, bytes: &[u8], force: bool) -> Result<(), Error> {
    may_write(path, force)?;
    let mut part = Part::new(path)?;
    part.write(bytes)?;
    part.finish(force)
}

/// A file in the making, under a temporary name beside its own; dropped unfinished, it leaves nothing.
pub(crate) struct Part {
    path: PathBuf,
    file: tempfile::NamedTempFile,
}

impl Part {
    pub(crate) fn new(path: &Path) -> Result<Self, Error> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(".springline-").suffix(".part");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            // The umask takes its share of this.
            builder.permissions(std::fs::Permissions::from_mode(0o666));
        }
        // By kind alone: the message would name the temporary file.
        let file = builder
            .tempfile_in(folder_of(path))
            .map_err(|source| failed(path, source.kind().into()))?;
        Ok(Self {
            path: path.to_owned(),
            file,
        })
    }

    pub(crate) fn write(&mut self, bytes: &[u8]) -> Result<(), Error> {
        let mut file = self.file.as_file();
        file.write_all(bytes).map_err(|source| failed(&self.path, source))
    }

    /// Gives the file its name.
    pub(crate) fn finish(self, force: bool) -> Result<(), Error> {
        let Self { path, file } = self;
        file.as_file().sync_data().map_err(|source| failed(&path, source))?;
        let done = if force {
            file.persist(&path)
        } else {
            file.persist_noclobber(&path)
        };
        done.map(|_| ()).map_err(|error| failed(&path, error.error))
    }
}

fn failed(path: &Path, source: std::io::Error) -> Error {
    Error::Write {
        path: path.to_owned(),
        source,
    }
}

fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}
