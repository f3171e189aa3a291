//! The run: threads review, one hand writes.

use std::collections::{BTreeMap, HashMap};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::time::UNIX_EPOCH;

use sha2::{Digest as _, Sha256};
use springline_drills::{Catalogue, Drill};
use springline_keypoints::CameraSetup;
use springline_report::{ATTEMPT_COLUMNS, Unread, attempt_row, measure_rows, to_json_line, unread_row};

use super::journal::{JOURNAL, Journal, Place, Rows, UNREAD};
use super::manifest::in_one_line;
use super::origin::Origin;
use super::tables::{ATTEMPTS, MEASURES, REVIEWS, write_tables};
use super::{Item, Work};
use crate::error::Error;
use crate::outfile::spares;
use crate::reviewer::{PROGRAM, Reviewer};
use crate::settings::Settings;

/// Finished attempts that may wait to be written.
const WAITING: usize = 64;
/// Attempts that could not be read whose errors the summary tells.
const FIRST_ERRORS: usize = 3;

/// A batch to be run.
#[derive(Clone, Debug)]
pub struct Batch<'a> {
    /// Titles of drills to go back to, and the drills that files name.
    pub catalogue: &'a Catalogue,
    /// Settings of all; a manifest's entries go before them.
    pub settings: Settings,
    /// Folder for the tables; it is made if it is not there.
    pub out: PathBuf,
    /// Threads; at least one is used.
    pub threads: usize,
    /// Write the reviews as JSON lines too.
    pub jsonl: bool,
    /// Forget finished work.
    pub fresh: bool,
    /// Write over tables that are there without a journal, or that came of another batch.
    pub force: bool,
}

/// How far a run is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Attempts done, kept ones too.
    pub done: usize,
    /// Attempts of the batch.
    pub total: usize,
    /// Attempts taken from the journal, those that could not be read too.
    pub kept: usize,
}

/// How a run ended.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Attempts of the batch.
    pub total: usize,
    /// Reviewed in this run.
    pub reviewed: usize,
    /// Reviewed in an earlier run and taken from the journal.
    pub kept: usize,
    /// Could not be read, in this run or an earlier one.
    pub unread: usize,
    /// Why the first of those could not be read, in the order of the tables.
    pub first_errors: Vec<String>,
    /// Attempts that were read, by what they count as.
    pub outcomes: BTreeMap<String, usize>,
    /// Whether it was stopped; then no table was written.
    pub stopped: bool,
    /// Files written.
    pub written: Vec<PathBuf>,
}

impl Summary {
    /// Attempts done: reviewed, kept or found unreadable.
    #[must_use]
    pub fn done(&self) -> usize {
        self.reviewed + self.kept + self.unread
    }
}

/// What came of one attempt.
enum Done {
    Kept(Place),
    New(Box<Rows>),
}

/// Runs a batch.
///
/// # Inputs
/// `stop`: set it to stop after the attempts at hand; `progress` is called after each attempt.
/// # Errors
/// [`Error::OverInput`] if a table would be written over what is read; [`Error::Exists`] if tables are there that no journal goes with; [`Error::OtherBatch`]; [`Error::Busy`] if another run writes there;
/// [`Error::Write`]. An attempt that cannot be read is a row, not an error.
pub fn run(
    batch: &Batch<'_>,
    work: &Work,
    stop: &AtomicBool,
    mut progress: impl FnMut(Progress),
) -> Result<Summary, Error> {
    let jsonl = prepare(batch, work)?;
    let origin = Origin::new(work, &batch.settings, &batch.out);
    let (mut journal, mut known) = Journal::open_for(origin.as_ref(), &batch.out, batch.fresh, batch.force)?;
    let fingerprints = Fingerprints::new(batch, work, jsonl);
    let mut places: Vec<Option<Place>> = vec![None; work.items.len()];
    let mut summary = Summary {
        total: work.items.len(),
        ..Summary::default()
    };
    let next = AtomicUsize::new(0);
    let failed = AtomicBool::new(false);
    let (known_ref, next, failed) = (&known, &next, &failed);
    let mut result = Ok(());
    let mut from_journal = 0;
    std::thread::scope(|scope| {
        let (send, receive) = sync_channel::<(usize, Done)>(WAITING);
        for _ in 0..batch.threads.clamp(1, work.items.len().max(1)) {
            let (send, fingerprints) = (send.clone(), &fingerprints);
            scope.spawn(move || {
                Worker {
                    reviewer: Reviewer::new(batch.catalogue, batch.settings.clone()),
                    batch,
                    work,
                    fingerprints,
                    known: known_ref,
                    jsonl,
                }
                .work(next, &[stop, failed], &send);
            });
        }
        drop(send);
        for (index, done) in receive {
            let (place, is_new) = match done {
                Done::Kept(place) => {
                    from_journal += 1;
                    (place, false)
                }
                Done::New(rows) => match journal.add(&rows) {
                    Ok(place) => (place, true),
                    Err(error) => {
                        failed.store(true, Ordering::Relaxed);
                        result = Err(error);
                        break;
                    }
                },
            };
            if place.outcome == UNREAD {
                summary.unread += 1;
            } else {
                *summary.outcomes.entry(place.outcome.clone()).or_default() += 1;
                if is_new {
                    summary.reviewed += 1;
                } else {
                    summary.kept += 1;
                }
            }
            places[index] = Some(place);
            progress(Progress {
                done: summary.done(),
                total: summary.total,
                kept: from_journal,
            });
        }
    });
    result?;
    known.clear();
    let places: Vec<Place> = places.into_iter().flatten().collect();
    if places.len() < work.items.len() {
        summary.stopped = true;
        return Ok(summary);
    }
    summary.written = write_tables(&batch.out, &mut journal, &places, jsonl)?;
    for place in places.iter().filter(|place| place.outcome == UNREAD).take(FIRST_ERRORS) {
        summary.first_errors.extend(error_of(&mut journal, place)?);
    }
    journal.close(work.items.iter().map(|item| id_of(item, work)).zip(&places))?;
    Ok(summary)
}

/// The error in the row of an attempt that could not be read.
fn error_of(journal: &mut Journal, place: &Place) -> Result<Option<String>, Error> {
    let mut rows = Vec::new();
    journal.rows(place, &mut rows)?;
    let column = ATTEMPT_COLUMNS.iter().position(|column| column == "error");
    let record = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(rows.as_slice())
        .into_records()
        .next()
        .and_then(Result::ok);
    Ok(column
        .zip(record)
        .and_then(|(column, record)| record.get(column).map(str::to_owned)))
}

/// What the journal knows an attempt by.
fn id_of(item: &Item, work: &Work) -> String {
    let (name, drill) = item.key(&work.drills);
    format!("{name}\n{drill}")
}

/// Makes the folder and sees that nothing foreign is in the way; says whether JSON lines are written.
fn prepare(batch: &Batch<'_>, work: &Work) -> Result<bool, Error> {
    let out = &batch.out;
    if out.is_file() {
        return Err(Error::NotAFolder { path: out.clone() });
    }
    let read = work.items.iter().map(|item| item.path.as_path());
    let read = read.chain(work.inputs.iter().map(PathBuf::as_path));
    spares(&[MEASURES, ATTEMPTS, REVIEWS, JOURNAL].map(|name| out.join(name)), read)?;
    std::fs::create_dir_all(out).map_err(|source| Error::Write {
        path: out.clone(),
        source,
    })?;
    let ours = out.join(JOURNAL).exists();
    for name in [MEASURES, ATTEMPTS, REVIEWS] {
        let path = out.join(name);
        if path.is_dir() {
            return Err(Error::Exists {
                path,
                found: "a folder",
            });
        }
        if !ours && !batch.force && path.exists() {
            return Err(Error::Exists {
                path,
                found: "a file that is there already",
            });
        }
    }
    // JSON lines of an earlier run would say something else than the new tables.
    Ok(batch.jsonl || (ours && out.join(REVIEWS).exists()))
}

/// What the result of an attempt depends on besides the attempt itself.
struct Fingerprints {
    common: String,
    /// Ids and hashes of all drills, for files that name their own.
    any_drill: String,
}

impl Fingerprints {
    fn new(batch: &Batch<'_>, work: &Work, jsonl: bool) -> Self {
        let any_drill = if work.items.iter().any(|item| item.drill.is_none()) {
            let catalogue = batch.catalogue;
            let hashes = catalogue
                .drill_ids()
                .into_iter()
                .filter_map(|id| catalogue.drill(id).ok());
            hashes.map(|drill| drill.hash.as_str()).collect::<Vec<_>>().join(" ")
        } else {
            String::new()
        };
        Self {
            common: format!("{PROGRAM} {jsonl} {:?}", batch.settings),
            any_drill,
        }
    }

    fn key(&self, item: &Item, drill: Option<&Drill>, setup: Option<&CameraSetup>) -> String {
        let mut hash = Sha256::new();
        let mut add = |part: &str| {
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part.as_bytes());
        };
        add(&self.common);
        add(drill.map_or(self.any_drill.as_str(), |drill| &drill.hash));
        add(&format!("{:?} {:?} {:?}", item.athlete, item.date, item.rate_hz));
        add(&format!("{setup:?}"));
        add(item.problem.as_deref().unwrap_or_default());
        add(&state_of(&item.path));
        let digest: [u8; 32] = hash.finalize().into();
        digest[..16].iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// Size and time of the last change of a file; of a folder, those of all its files.
fn state_of(path: &Path) -> String {
    let one = |path: &Path| {
        let about = std::fs::metadata(path).ok()?;
        let changed = about.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
        Some((about.is_dir(), about.len(), changed.as_nanos()))
    };
    match one(path) {
        None => "not there".to_owned(),
        Some((false, length, changed)) => format!("{length} {changed}"),
        Some((true, ..)) => {
            let mut states: Vec<_> = std::fs::read_dir(path)
                .into_iter()
                .flatten()
                .flatten()
                .map(|entry| (entry.file_name(), one(&entry.path())))
                .collect();
            states.sort();
            format!("{states:?}")
        }
    }
}

struct Worker<'a> {
    reviewer: Reviewer<'a>,
    batch: &'a Batch<'a>,
    work: &'a Work,
    fingerprints: &'a Fingerprints,
    known: &'a HashMap<String, Place>,
    jsonl: bool,
}

impl Worker<'_> {
    fn work(&mut self, next: &AtomicUsize, stop: &[&AtomicBool; 2], send: &SyncSender<(usize, Done)>) {
        while !stop.iter().any(|flag| flag.load(Ordering::Relaxed)) {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = self.work.items.get(index) else { return };
            if send.send((index, self.one(item))).is_err() {
                return;
            }
        }
    }

    /// The camera set-up of a row.
    fn setup(&self, item: &Item) -> Option<&CameraSetup> {
        item.setup.and_then(|setup| self.work.setups.get(setup))
    }

    fn one(&mut self, item: &Item) -> Done {
        let drill = item.drill.map(|drill| &self.work.drills[drill]);
        let id = id_of(item, self.work);
        let key = self.fingerprints.key(item, drill, self.setup(item));
        if let Some(place) = self.known.get(&id).filter(|place| place.key == key) {
            return Done::Kept(place.clone());
        }
        let mut rows = Rows {
            id,
            key,
            ..Rows::default()
        };
        let outcome = match &item.problem {
            Some(problem) => Ok(Err(format!("{}: {problem}", item.name))),
            None => catch_unwind(AssertUnwindSafe(|| {
                let done = self.review(item, drill, &mut rows);
                done.map_err(|error| without_path(&error.to_string(), item))
            })),
        };
        let error = match outcome {
            Ok(Ok(())) => return Done::New(Box::new(rows)),
            Ok(Err(error)) => error,
            Err(_) => {
                // A promise of ours broke on this file; the others shall not pay for it.
                self.reviewer = Reviewer::new(self.batch.catalogue, self.batch.settings.clone());
                format!("{}: the program failed on this file; please report it", item.name)
            }
        };
        rows.outcome = UNREAD.to_owned();
        rows.measures.clear();
        rows.attempt.clear();
        rows.json.clear();
        unread_row(
            &Unread {
                file: &item.name,
                athlete: item.athlete.as_deref(),
                date: item.date.as_deref(),
                drill: drill.map_or("", |drill| &drill.id),
                drill_version: drill.map_or("", |drill| &drill.version),
                drill_sha256: drill.map_or("", |drill| &drill.hash),
                program: PROGRAM,
                error: &error,
            },
            &mut rows.attempt,
        );
        if self.jsonl {
            // What the line is comes first, as in a review: it is told by that.
            let [file, error] = [&item.name, &error].map(|text| serde_json::Value::from(text.as_str()));
            rows.json = format!("{{\"springline-review\":1,\"file\":{file},\"error\":{error}}}\n");
        }
        Done::New(Box::new(rows))
    }

    fn review(&mut self, item: &Item, drill: Option<&Drill>, rows: &mut Rows) -> Result<(), Error> {
        let setup = self.setup(item).cloned();
        let import = &mut self.reviewer.settings_mut().import;
        let common = &self.batch.settings.import;
        import.rate_hz = item.rate_hz.or(common.rate_hz);
        import.given.athlete = item.athlete.clone().or_else(|| common.given.athlete.clone());
        import.given.date = item.date.clone().or_else(|| common.given.date.clone());
        import.setup = setup.or_else(|| common.setup.clone());
        let mut attempt = self.reviewer.import(&item.path)?;
        let drill = match (drill, &attempt.given.drill) {
            (Some(drill), _) => drill,
            (None, Some(id)) => self.batch.catalogue.drill(id)?,
            (None, None) => {
                return Err(Error::NoDrill {
                    file: item.name.clone(),
                });
            }
        };
        attempt.source.clone_from(&item.name);
        let review = self.reviewer.review_attempt(attempt, drill)?.record;
        rows.outcome.clone_from(&review.outcome.word);
        measure_rows(&review, &mut rows.measures);
        attempt_row(&review, &mut rows.attempt);
        if self.jsonl {
            rows.json = to_json_line(&review);
        }
        Ok(())
    }
}

/// An error with the attempt's name in place of its path, the same on every machine, and in one line.
fn without_path(error: &str, item: &Item) -> String {
    let path = item.path.display().to_string();
    in_one_line(&match error.strip_prefix(&path) {
        Some(rest) => format!("{}{rest}", item.name),
        None => error.to_owned(),
    })
}
