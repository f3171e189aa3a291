//! The drills and ladders that ship, and a folder of the coach's own over them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use crate::error::Error;
use crate::file::{Sheet, Wanted, bytes_of, id_of, read_sheet};
use crate::names::nearest;
use crate::problem::{Findings, ProblemKind, Problems, shown};
use crate::shipped::{DRILLS, LADDERS};
use crate::spec::{Drill, Ladder};

/// How the id of a skill's drill on floor ends.
const ON_FLOOR: &str = "-floor";

/// Most spec files in a folder of the coach's own.
const MOST_FILES: usize = 1000;

/// Drills and ladders by id: those that ship, and over them the coach's own.
///
/// A file of the coach's own with the id of a shipped drill takes its place.
///
/// ```
/// use springline_drills::Catalogue;
///
/// let catalogue = Catalogue::shipped();
/// let drill = catalogue.drill("handspring-floor")?;
/// assert_eq!(drill.skill, "front handspring");
/// let error = catalogue.drill("handspring-flor").expect_err("misspelled");
/// assert!(error.to_string().ends_with("did you mean \"handspring-floor\"?"));
/// let error = catalogue.drill("Handspring").expect_err("not whole");
/// assert!(error.to_string().ends_with("did you mean \"handspring-floor\"?"));
/// let error = catalogue.drill("front-handspring").expect_err("a ladder");
/// assert!(error.to_string().ends_with("expected one of its drills, such as \"handspring-floor\""));
/// # Ok::<(), springline_drills::Error>(())
/// ```
#[derive(Debug, Default)]
pub struct Catalogue {
    drills: BTreeMap<String, Own<Drill>>,
    ladders: BTreeMap<String, Own<Ladder>>,
    bad: Vec<BadSpec>,
}

/// A spec file of the coach's own that can't be used.
#[derive(Clone, Debug)]
pub struct BadSpec {
    /// The file.
    pub path: PathBuf,
    /// The id in it, else the name of the file.
    pub id: String,
    /// What is wrong with it.
    pub problems: Problems,
}

/// Something of the coach's own, with the file that it came from.
#[derive(Debug)]
struct Own<T> {
    item: T,
    path: PathBuf,
}

/// A spec that ships: its text, and what it says once somebody has asked.
pub(crate) struct Shipped<T: 'static> {
    pub id: &'static str,
    pub text: &'static str,
    pub read: OnceLock<T>,
}

impl<T> Shipped<T> {
    pub(crate) const fn new(id: &'static str, text: &'static str) -> Self {
        Self {
            id,
            text,
            read: OnceLock::new(),
        }
    }
}

impl Catalogue {
    /// What ships, nothing over it.
    #[must_use]
    pub fn shipped() -> Self {
        Self::default()
    }

    /// What ships, and over it every `*.toml` file of a folder (not of the folders inside it).
    ///
    /// Cure drills and rungs are looked up among the shipped drills and those of the folder.
    ///
    /// # Errors
    /// [`Error::Unreadable`] if the folder or a file can't be read; [`Error::Spec`] with every problem
    /// of every file.
    pub fn with_folder(folder: &Path) -> Result<Self, Error> {
        let mut catalogue = Self::with_good_of_folder(folder)?;
        let mut problems = Problems::default();
        for bad in catalogue.bad.drain(..) {
            problems.append(bad.problems);
        }
        if problems.is_empty() {
            Ok(catalogue)
        } else {
            Err(Error::Spec { problems })
        }
    }

    /// As [`Catalogue::with_folder`], but a bad file costs itself only: it is among [`Catalogue::bad`], and asking for its
    /// id gives its problems, never the shipped drill of that id.
    ///
    /// # Errors
    /// [`Error::Unreadable`] if the folder or a file can't be read.
    pub fn with_good_of_folder(folder: &Path) -> Result<Self, Error> {
        let mut files = Vec::new();
        for path in spec_files(folder)? {
            let bytes = bytes_of(&path)?;
            files.push((path, bytes));
        }
        let ids: Vec<Option<(String, bool)>> = files.iter().map(|(_, bytes)| id_of(bytes)).collect();
        let own = ids.iter().flatten().filter(|(_, is_ladder)| !is_ladder);
        let known: Vec<&str> = DRILLS
            .iter()
            .map(|shipped| shipped.id)
            .chain(own.map(|(id, _)| id.as_str()))
            .collect();

        let mut catalogue = Self::default();
        for ((path, bytes), id) in files.iter().zip(&ids) {
            let file = path.display().to_string();
            let problems = match read_sheet(&file, bytes, Wanted::Either, Some(&known)) {
                Ok(sheet) => match catalogue.take_in(sheet, path) {
                    None => continue,
                    Some(taken) => second_of_its_id(&file, bytes, &taken),
                },
                Err(problems) => problems,
            };
            let name = path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
            catalogue.bad.push(BadSpec {
                path: path.clone(),
                id: id.as_ref().map_or(name.unwrap_or_default(), |(id, _)| id.clone()),
                problems,
            });
        }
        Ok(catalogue)
    }

    /// Spec files of the folder that can't be used, by name.
    #[must_use]
    pub fn bad(&self) -> &[BadSpec] {
        &self.bad
    }

    /// The problems of the bad file of that id, if there is one.
    fn bad_of(&self, id: &str) -> Result<(), Error> {
        match self.bad.iter().find(|bad| bad.id == id) {
            None => Ok(()),
            Some(bad) => Err(Error::Spec {
                problems: bad.problems.clone(),
            }),
        }
    }

    /// Puts a sheet in its place; the file that has its id already, if any.
    fn take_in(&mut self, sheet: Sheet, path: &Path) -> Option<PathBuf> {
        let path = path.to_owned();
        match sheet {
            Sheet::Drill(drill) => {
                let own = Own { item: *drill, path };
                self.drills.insert(own.item.id.clone(), own).map(|before| before.path)
            }
            Sheet::Ladder(ladder) => {
                let own = Own { item: ladder, path };
                self.ladders.insert(own.item.id.clone(), own).map(|before| before.path)
            }
        }
    }

    /// The drill of an id.
    ///
    /// # Errors
    /// [`Error::UnknownDrill`] with the nearest id; [`Error::LadderNotDrill`]; [`Error::Spec`] for a bad file's.
    pub fn drill(&self, id: &str) -> Result<&Drill, Error> {
        self.bad_of(id)?;
        if let Some(own) = self.drills.get(id) {
            return Ok(&own.item);
        }
        if let Some(shipped) = DRILLS.iter().find(|shipped| shipped.id == id) {
            return Ok(shipped_drill(shipped));
        }
        let id = id.to_owned();
        if let Ok(ladder) = self.ladder(&id) {
            // The skill itself, where a rung is told apart by it; else where everybody starts.
            let skill = ladder.rungs.iter().find(|rung| rung.drill.ends_with(ON_FLOOR));
            if let Some(rung) = skill.or(ladder.rungs.first()) {
                let drill = rung.drill.clone();
                return Err(Error::LadderNotDrill { id, drill });
            }
        }
        // "handspring" has nine drills whose ids begin with it: the skill on floor is meant.
        let on_floor = format!("{}{ON_FLOOR}", id.trim().to_lowercase().replace([' ', '_'], "-"));
        let nearest = match self.drill_ids().into_iter().find(|known| *known == on_floor) {
            Some(known) => Some(known.to_owned()),
            None => nearest(&id, self.drill_ids()),
        };
        Err(Error::UnknownDrill { id, nearest })
    }

    /// The ladder of an id.
    ///
    /// # Errors
    /// [`Error::UnknownLadder`] with the nearest id; [`Error::Spec`] for a bad file's.
    pub fn ladder(&self, id: &str) -> Result<&Ladder, Error> {
        self.bad_of(id)?;
        if let Some(own) = self.ladders.get(id) {
            return Ok(&own.item);
        }
        if let Some(shipped) = LADDERS.iter().find(|shipped| shipped.id == id) {
            return Ok(shipped_ladder(shipped));
        }
        let nearest = nearest(id, self.ladder_ids());
        Err(Error::UnknownLadder {
            id: id.to_owned(),
            nearest,
        })
    }

    /// Ids of all drills: the shipped ones in the order of the ladder, then the coach's own new ones.
    #[must_use]
    pub fn drill_ids(&self) -> Vec<&str> {
        ids(DRILLS.iter().map(|shipped| shipped.id), &self.drills)
    }

    /// Ids of all ladders: the shipped ones, then the coach's own new ones.
    #[must_use]
    pub fn ladder_ids(&self) -> Vec<&str> {
        ids(LADDERS.iter().map(|shipped| shipped.id), &self.ladders)
    }

    /// The file that a drill or ladder of the coach's own came from; `None` for what ships.
    #[must_use]
    pub fn own_file(&self, id: &str) -> Option<&Path> {
        let drill = self.drills.get(id).map(|own| own.path.as_path());
        drill.or_else(|| self.ladders.get(id).map(|own| own.path.as_path()))
    }

    /// Reads a drill spec and looks up its cure drills in this catalogue.
    ///
    /// # Errors
    /// Every problem of the file at once.
    pub fn read_drill(&self, file: &str, bytes: &[u8]) -> Result<Drill, Problems> {
        match read_sheet(file, bytes, Wanted::Drill, Some(&self.drill_ids()))? {
            Sheet::Drill(drill) => Ok(*drill),
            Sheet::Ladder(_) => unreachable!("a drill was asked for"),
        }
    }

    /// Reads a ladder and looks up the drills of its rungs in this catalogue.
    ///
    /// # Errors
    /// Every problem of the file at once.
    pub fn read_ladder(&self, file: &str, bytes: &[u8]) -> Result<Ladder, Problems> {
        match read_sheet(file, bytes, Wanted::Ladder, Some(&self.drill_ids()))? {
            Sheet::Ladder(ladder) => Ok(ladder),
            Sheet::Drill(_) => unreachable!("a ladder was asked for"),
        }
    }

    /// Loads a drill spec and looks up its cure drills in this catalogue.
    ///
    /// # Errors
    /// [`Error::Unreadable`] or [`Error::Spec`] with every problem of the file.
    pub fn load_drill(&self, path: &Path) -> Result<Drill, Error> {
        let bytes = bytes_of(path)?;
        self.read_drill(&path.display().to_string(), &bytes)
            .map_err(|problems| Error::Spec { problems })
    }

    /// Loads a file that may be a drill or a ladder, and checks it against this catalogue.
    ///
    /// # Errors
    /// [`Error::Unreadable`] or [`Error::Spec`] with every problem of the file.
    pub fn check_file(&self, path: &Path) -> Result<(), Error> {
        let bytes = bytes_of(path)?;
        let file = path.display().to_string();
        read_sheet(&file, &bytes, Wanted::Either, Some(&self.drill_ids()))
            .map(|_| ())
            .map_err(|problems| Error::Spec { problems })
    }
}

/// The text of a shipped drill or ladder with its comments, for a coach to copy and change.
#[must_use]
pub fn template(id: &str) -> Option<&'static str> {
    let drill = DRILLS
        .iter()
        .find(|shipped| shipped.id == id)
        .map(|shipped| shipped.text);
    drill.or_else(|| {
        LADDERS
            .iter()
            .find(|shipped| shipped.id == id)
            .map(|shipped| shipped.text)
    })
}

fn shipped_drill(shipped: &'static Shipped<Drill>) -> &'static Drill {
    shipped.read.get_or_init(|| {
        let file = format!("{}.toml", shipped.id);
        match read_sheet(&file, shipped.text.as_bytes(), Wanted::Drill, None) {
            Ok(Sheet::Drill(drill)) => *drill,
            other => unreachable!("shipped specs are tested to be readable: {other:?}"),
        }
    })
}

fn shipped_ladder(shipped: &'static Shipped<Ladder>) -> &'static Ladder {
    shipped.read.get_or_init(|| {
        let file = format!("{}.toml", shipped.id);
        match read_sheet(&file, shipped.text.as_bytes(), Wanted::Ladder, None) {
            Ok(Sheet::Ladder(ladder)) => ladder,
            other => unreachable!("shipped ladders are tested to be readable: {other:?}"),
        }
    })
}

fn ids<T>(shipped: impl Iterator<Item = &'static str>, own: &BTreeMap<String, Own<T>>) -> Vec<&str> {
    let mut all: Vec<&str> = shipped.collect();
    let count = all.len();
    all.extend(own.keys().map(String::as_str));
    let (first, new) = all.split_at(count);
    let new: Vec<&str> = new.iter().copied().filter(|id| !first.contains(id)).collect();
    all.truncate(count);
    all.extend(new);
    all
}

/// The `*.toml` files of a folder, sorted by name.
///
/// # Errors
/// [`Error::Unreadable`] if the folder can't be listed.
pub fn spec_files(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    let unreadable = |source| Error::Unreadable {
        path: folder.to_owned(),
        expected: "folder of spec files",
        source,
    };
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        if path.extension().is_some_and(|extension| extension == "toml") && path.is_file() {
            files.push(path);
        }
        if files.len() > MOST_FILES {
            let text = format!("more than {MOST_FILES} spec files");
            return Err(unreadable(std::io::Error::other(text)));
        }
    }
    files.sort();
    Ok(files)
}

/// The problem of a file whose id another file of the folder has already.
fn second_of_its_id(file: &str, bytes: &[u8], taken: &Path) -> Problems {
    let text = std::str::from_utf8(bytes).unwrap_or_default();
    let id = id_of(bytes).map(|(id, _)| id).unwrap_or_default();
    let mut findings = Findings::new(file, text);
    let at = crate::file::place_of_id(text);
    let found = format!("id {} a second time", shown(&id));
    let expected = format!("another id: {} has it already", taken.display());
    findings.add(at, ProblemKind::Duplicate, found, expected);
    findings.into_problems().unwrap_or_default()
}
