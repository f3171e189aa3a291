//! `springline drills`.

use std::path::{Path, PathBuf};

use springline_drills::{
    Catalogue, Error, YOUR_NAME, explain, explain_ladder, load_drill, own_copy, spec_files, template,
};
use springline_review::{find_drill, may_write, spares, write_whole};

use crate::Ended;
use crate::args::Drills;
use crate::failure::Failure;
use crate::output::print;

pub(crate) fn run(args: &Drills, catalogue: &Catalogue) -> Result<Ended, Failure> {
    match args {
        Drills::List => {
            print(&list(catalogue))?;
            if !catalogue.bad().is_empty() {
                return Ok(Ended::SomeUnread);
            }
        }
        Drills::Show { id } => print(&spec(catalogue, id)?)?,
        Drills::Copy { id, file, force } => copy(catalogue, id, file.as_deref(), *force)?,
        Drills::Check { files } => check(catalogue, files)?,
        Drills::Explain { drill } => match catalogue.ladder(drill) {
            Ok(ladder) => print(&explain_ladder(ladder, catalogue))?,
            Err(_) => print(&explain(&find_drill(catalogue, drill, Path::new(""))?))?,
        },
    }
    Ok(Ended::Done)
}

/// Drills by ladder, then those beside it.
fn list(catalogue: &Catalogue) -> String {
    let mut text = String::new();
    let mut told = Vec::new();
    let wide = catalogue.drill_ids().iter().map(|id| id.len()).max().unwrap_or(0);
    let line = |id: &str| -> String {
        let own = match catalogue.own_file(id) {
            Some(path) => format!("  (your own: {})", path.display()),
            None => String::new(),
        };
        let title = match catalogue.drill(id) {
            Ok(drill) => &drill.title,
            Err(_) => "cannot be used, see the note",
        };
        format!("  {id:<wide$}  {title}{own}\n")
    };
    let ladders = catalogue.ladder_ids();
    for ladder in ladders.into_iter().filter_map(|id| catalogue.ladder(id).ok()) {
        text.push_str(&format!("{} (ladder {})\n", ladder.title, ladder.id));
        for rung in &ladder.rungs {
            text.push_str(&line(&rung.drill));
            told.push(rung.drill.as_str());
        }
        text.push('\n');
    }
    text.push_str("Beside the ladder\n");
    for id in catalogue.drill_ids() {
        if !told.contains(&id) {
            text.push_str(&line(id));
        }
    }
    text
}

/// The text of a spec: the coach's own file, or the shipped one.
fn spec(catalogue: &Catalogue, id: &str) -> Result<String, Failure> {
    if let Some(path) = catalogue.own_file(id) {
        return std::fs::read_to_string(path)
            .map_err(|error| Failure::new(format!("{}: cannot be read: {error}", path.display())));
    }
    if let Some(text) = template(id) {
        return Ok(text.to_owned());
    }
    match catalogue.drill(id) {
        Err(error) => Err(error.into()),
        Ok(_) => Err(Failure::new(format!(
            "{id}: found no text of this drill, expected a shipped one"
        ))),
    }
}

fn copy(catalogue: &Catalogue, id: &str, file: Option<&Path>, force: bool) -> Result<(), Failure> {
    let path = file.map_or_else(|| PathBuf::from(format!("{id}.toml")), Path::to_owned);
    let text = spec(catalogue, id)?;
    spares(std::slice::from_ref(&path), catalogue.own_file(id))?;
    may_write(&path, force)?;
    let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    let new_id = stem.as_deref().and_then(id_of_name).filter(|new| new != id);
    let text = own_copy(&text, new_id.as_deref());
    write_whole(&path, text.as_bytes(), force)?;
    let path = path.display().to_string();
    let typed = typed(&path);
    let id_line = match &new_id {
        Some(new) => format!("wrote {path} (id {new})\n"),
        None => format!("wrote {path} (id {id}, as the shipped one: change it if both shall be used side by side)\n"),
    };
    print(&format!(
        "{id_line}next: put your name and your changes in it, then `springline drills check {typed}` and `--drill {typed}`\n"
    ))
}

/// The id that a file's name makes: small letters, digits and hyphens; `My Drill 2` becomes `my-drill-2`.
fn id_of_name(name: &str) -> Option<String> {
    const LONGEST: usize = 64;
    let words: Vec<String> = name
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_ascii_lowercase)
        .collect();
    let id = words.join("-");
    // Letters that an id can't hold would leave a stump.
    let whole = name.is_ascii();
    (whole && id.starts_with(|c: char| c.is_ascii_lowercase()) && id.len() <= LONGEST).then_some(id)
}

/// A path as it is typed: quoted where it holds anything that a shell reads otherwise.
fn typed(path: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "/\\._-:~+,@".contains(c);
    if path.chars().all(plain) {
        path.to_owned()
    } else if path.contains('"') || path.contains('$') || path.contains('`') {
        format!("'{}'", path.replace('\'', "'\\''"))
    } else {
        format!("\"{path}\"")
    }
}

/// Every problem of every file, and of every file of a folder; the good ones are told.
fn check(catalogue: &Catalogue, files: &[PathBuf]) -> Result<(), Failure> {
    let mut errors = Vec::new();
    let mut text = String::new();
    for path in files {
        let (among, files) = if path.is_dir() {
            // Drills of one folder know each other.
            (Some(Catalogue::with_good_of_folder(path)?), spec_files(path)?)
        } else {
            (None, vec![path.clone()])
        };
        if files.is_empty() {
            errors.push(format!("{}: found no spec file (*.toml) in it", path.display()));
        }
        for file in files {
            let doubled = among.iter().flat_map(Catalogue::bad).find(|bad| bad.path == file);
            let result = match doubled {
                Some(bad) => Err(Error::Spec {
                    problems: bad.problems.clone(),
                }),
                None => among.as_ref().unwrap_or(catalogue).check_file(&file),
            };
            match result {
                Ok(()) => {
                    let unnamed = load_drill(&file).is_ok_and(|drill| drill.author == YOUR_NAME);
                    let note = if unnamed {
                        "; the author is still \"your name\", put yours there"
                    } else {
                        ""
                    };
                    text.push_str(&format!("{}: no problems{note}\n", file.display()));
                }
                Err(error) => errors.extend(Failure::from(error).errors),
            }
        }
    }
    print(&text)?;
    if errors.is_empty() {
        return Ok(());
    }
    Err(Failure { errors, hint: None })
}
