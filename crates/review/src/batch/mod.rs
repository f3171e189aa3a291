//! Many attempts in, tables out.
//!
//! Finished work is kept in a journal beside the tables, so a run that was stopped, by Ctrl-C or by a power cut, goes on
//! where it stopped, and a later run reads only files that are new or changed. The tables are put together from the
//! journal in the order of the file names: they are the same whatever the number of threads.
//!
//! ```no_run
//! use std::path::Path;
//! use std::sync::atomic::AtomicBool;
//!
//! use springline_drills::Catalogue;
//! use springline_review::Settings;
//! use springline_review::batch::{Batch, find_attempts, run};
//!
//! let catalogue = Catalogue::shipped();
//! let drill = catalogue.drill("handspring-floor")?.clone();
//! let settings = Settings::default();
//! let (folder, out) = (Path::new("monday"), Path::new("monday-tables"));
//! let work = find_attempts(folder, Some(drill), &settings.import)?;
//! let batch = Batch {
//!     catalogue: &catalogue,
//!     settings,
//!     out: out.to_owned(),
//!     threads: 2,
//!     jsonl: false,
//!     fresh: false,
//!     force: false,
//! };
//! let summary = run(&batch, &work, &AtomicBool::new(false), |_| {})?;
//! assert_eq!(summary.reviewed + summary.kept + summary.unread, work.items.len());
//! # Ok::<(), springline_review::Error>(())
//! ```

mod folder;
mod journal;
mod left_out;
mod manifest;
mod origin;
mod run;
mod tables;

use std::path::PathBuf;

use springline_drills::Drill;
use springline_keypoints::CameraSetup;

pub use folder::find_attempts;
pub use journal::JOURNAL;
pub use left_out::is_result;
pub use manifest::{is_date, read_manifest};
pub use run::{Batch, Progress, Summary, run};
pub use tables::{ATTEMPTS, MEASURES, REVIEWS};

/// An attempt to be reviewed.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Name in the tables: relative to the folder or the manifest, with `/` between folders.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
    /// Its drill, as an index into [`Work::drills`]; `None`: the drill that the file names.
    pub drill: Option<usize>,
    /// Athlete code from the manifest.
    pub athlete: Option<String>,
    /// Date from the manifest.
    pub date: Option<String>,
    /// Frames per second from the manifest.
    pub rate_hz: Option<f64>,
    /// Its camera set-up from the manifest, as an index into [`Work::setups`]; `None`: that of all.
    pub setup: Option<usize>,
    /// Why it cannot be reviewed, as far as the manifest shows: a drill that does not exist, a wrong date or rate. It becomes the row's error.
    pub problem: Option<String>,
}

impl Item {
    /// What tells an attempt from the others of a batch: its name and its drill, or what is wrong with the latter.
    fn key<'a>(&'a self, drills: &'a [Drill]) -> (&'a str, &'a str) {
        let drill = self.drill.map(|drill| drills[drill].id.as_str());
        (&self.name, drill.or(self.problem.as_deref()).unwrap_or_default())
    }
}

/// The attempts of a batch, sorted by name, with their drills.
#[derive(Clone, Debug, Default)]
pub struct Work {
    /// The attempts.
    pub items: Vec<Item>,
    /// Every drill that is used.
    pub drills: Vec<Drill>,
    /// Every camera set-up that the manifest names.
    pub setups: Vec<CameraSetup>,
    /// The folder or manifest that they come from; empty: not known, then results are not kept from another batch.
    pub from: PathBuf,
    /// Id of the drill of all; `None`: each row or file names its own.
    pub drill: Option<String>,
    /// What is read besides: the manifest and the spec files that it names. No table is written over any of it.
    pub inputs: Vec<PathBuf>,
    /// What whoever started the batch should know, one line each: files that were left out, columns that are not used.
    pub notes: Vec<String>,
}
