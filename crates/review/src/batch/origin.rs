//! What a batch is a batch of, so that another one is not taken for it.

use std::path::{Component, Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::Work;
use crate::error::Error;
use crate::settings::Settings;

/// What the results in a folder are made from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Origin {
    /// The folder of attempts or the manifest, as it is reached from the output folder: both may be moved together.
    pub from: String,
    /// Id of the drill of all; `None`: each row or file names its own.
    pub drill: Option<String>,
    /// The settings, in words that are compared and never read.
    options: String,
}

impl Origin {
    /// The origin of a piece of work; `None` if it does not say where it is from.
    pub(super) fn new(work: &Work, settings: &Settings, out: &Path) -> Option<Self> {
        let (from, out) = (work.from.canonicalize().ok()?, out.canonicalize().ok()?);
        let mut settings = settings.clone();
        // A layout file that is mended is still the same option.
        let layout = settings.import.layout.take();
        let layout = layout.as_ref().map(|layout| layout.name());
        // So is a set-up that is marked anew.
        let setup = settings.import.setup.take();
        let setup = setup.as_ref().map_or("", |setup| setup.name.as_str());
        Some(Self {
            from: relative(&from, &out).to_string_lossy().into_owned(),
            drill: work.drill.clone(),
            options: format!("{settings:?} {layout:?} {setup:?}"),
        })
    }

    /// Why the results of this origin must not give way to those of another.
    pub(super) fn kept_from(&self, other: &Self, out: &Path) -> Error {
        let same = (&self.from, &self.drill) == (&other.from, &other.drill);
        let drill = match &self.drill {
            Some(id) => format!("drill {id}"),
            None => "each by its own drill".to_owned(),
        };
        Error::OtherBatch {
            path: out.to_owned(),
            what: if same {
                "this batch with other options"
            } else {
                "another batch"
            },
            held: format!("{}, {drill}", seen_from_here(&out.join(&self.from)).display()),
        }
    }
}

/// How one place is reached from another; both are whole paths without links.
fn relative(to: &Path, from: &Path) -> PathBuf {
    let shared = to
        .components()
        .zip(from.components())
        .take_while(|(one, other)| one == other)
        .count();
    if shared == 0 {
        return to.to_owned();
    }
    let up = from.components().skip(shared).map(|_| Component::ParentDir);
    let path: PathBuf = up.chain(to.components().skip(shared)).collect();
    if path.as_os_str().is_empty() {
        PathBuf::from(".")
    } else {
        path
    }
}

/// A path as somebody in the current folder would name it.
fn seen_from_here(path: &Path) -> PathBuf {
    let Ok(whole) = path.canonicalize() else {
        return path.to_owned();
    };
    let here = std::env::current_dir().and_then(|here| here.canonicalize());
    match here {
        Ok(here) if whole == here => PathBuf::from("."),
        Ok(here) => whole.strip_prefix(&here).map(Path::to_owned).unwrap_or(whole),
        Err(_) => whole,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn from_one_place_to_another() {
        for (to, from, wanted) in [
            ("/a/club", "/a/out", "../club"),
            ("/a/club", "/a/club", "."),
            ("/a/club", "/a/club/tables", ".."),
            ("/a/club/monday", "/a/club", "monday"),
            ("/list.csv", "/a/b", "../../list.csv"),
        ] {
            assert_eq!(
                relative(Path::new(to), Path::new(from)),
                Path::new(wanted),
                "{to} {from}"
            );
        }
    }
}
