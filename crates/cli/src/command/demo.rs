//! `springline demo`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use springline_drills::Catalogue;
use springline_report::{
    ATTEMPT_COLUMNS, MEASURE_COLUMNS, Style, attempt_row, cautions_in_words, in_one_line, in_short, measure_rows,
    text as in_words, to_json,
};
use springline_review::{Error, Reviewer, Settings, may_write, write_whole};

use crate::Ended;
use crate::args::Demo;
use crate::failure::Failure;
use crate::output::{print, style};

/// The drill of every demo attempt.
const DRILL: &str = "handspring-floor";

/// First line of the note that marks a folder as written by the demo.
const MARK: &str = "Springline demo: everybody in it is invented, every point synthetic.\n";

macro_rules! attempts {
    ($($name:literal),*) => {
        [$(($name, include_bytes!(concat!("../../../../fixtures/demo/", $name, ".json")).as_slice())),*]
    };
}

/// Demo attempts: name, and the attempt file.
static ATTEMPTS: [(&str, &[u8]); 5] = attempts![
    "a-clean",
    "b-hands-near-feet",
    "c-no-block",
    "d-lands-behind",
    "e-too-close"
];

pub(crate) fn run(args: &Demo, catalogue: &Catalogue) -> Result<Ended, Failure> {
    if args.out.exists() && !args.out.is_dir() {
        return Err(Error::NotAFolder { path: args.out.clone() }.into());
    }
    let drill = catalogue.drill(DRILL)?;
    let mut reviewer = Reviewer::new(catalogue, Settings::default());
    let mut files: Vec<(PathBuf, String)> = Vec::new();
    let mut measures = MEASURE_COLUMNS.join(",") + "\n";
    let mut attempts = ATTEMPT_COLUMNS.join(",") + "\n";
    let mut pages = String::new();
    let mut lines = String::new();
    let mut cautions = Vec::new();
    for (name, bytes) in ATTEMPTS {
        let review = reviewer.review_bytes(&format!("{name}.json"), bytes, drill)?.record;
        measure_rows(&review, &mut measures);
        attempt_row(&review, &mut attempts);
        files.push((
            Path::new("attempts").join(format!("{name}.json")),
            String::from_utf8_lossy(bytes).into_owned(),
        ));
        files.push((
            Path::new("reviews").join(format!("{name}.txt")),
            in_words(&review, Style::PLAIN),
        ));
        files.push((Path::new("reviews").join(format!("{name}.json")), to_json(&review)));
        lines.push_str(&format!("{name:<18}  {}\n", in_one_line(&review)));
        pages.push_str(&format!("\n{}\n\n", "═".repeat(80)));
        pages.push_str(&in_short(&review, style()));
        cautions = review.cautions;
    }
    files.push((PathBuf::from("measures.csv"), measures));
    files.push((PathBuf::from("attempts.csv"), attempts));
    files.push((PathBuf::from("ABOUT.txt"), about()));
    write(&args.out, &files, args.force)?;
    let page = format!(
        "Five handsprings of an invented club, made by a simulator\n\n{lines}{pages}\n{}\n\n{}\n",
        "═".repeat(80),
        cautions_in_words(&cautions, style())
    );
    print(&page)?;
    print(&format!(
        "wrote {out}: attempts, whole reviews as text and JSON, measures.csv, attempts.csv\n\
         next: springline review {one} --drill {DRILL}\n",
        out = args.out.display(),
        one = args.out.join("attempts").join("b-hands-near-feet.json").display()
    ))?;
    Ok(Ended::Done)
}

fn about() -> String {
    format!(
        "{MARK}\nattempts/     five front handsprings made by a simulator, with the seed in each file\n\
         reviews/      each reviewed by the drill {DRILL}, as text and as JSON\n\
         measures.csv  one row per attempt and measure\n\
         attempts.csv  one row per attempt\n"
    )
}

/// Writes every file; one that holds the same already is left alone, and before anything is written, nothing foreign
/// may be in the way.
fn write(folder: &Path, files: &[(PathBuf, String)], force: bool) -> Result<(), Failure> {
    let ours = std::fs::read_to_string(folder.join("ABOUT.txt")).is_ok_and(|about| about.starts_with(MARK));
    let changed: Vec<(PathBuf, &String)> = files
        .iter()
        .map(|(name, text)| (folder.join(name), text))
        .filter(|(path, text)| std::fs::read(path).ok().as_deref() != Some(text.as_bytes()))
        .collect();
    let folders: BTreeSet<&Path> = changed.iter().filter_map(|(path, _)| path.parent()).collect();
    if let Some(file) = folders.iter().find(|folder| folder.exists() && !folder.is_dir()) {
        return Err(Error::NotAFolder {
            path: file.to_path_buf(),
        }
        .into());
    }
    // Where there is no folder yet, nothing is in the way.
    let beside = |path: &Path| path.parent().is_some_and(Path::is_dir);
    for (path, _) in changed.iter().filter(|(path, _)| beside(path)) {
        may_write(path, force && ours).map_err(|error| match error {
            Error::Exists { .. } if force => {
                Failure::new(error.to_string()).hint("no demo wrote this folder; another one with --out FOLDER")
            }
            other => other.into(),
        })?;
    }
    for folder in folders {
        std::fs::create_dir_all(folder).map_err(|source| Error::Write {
            path: folder.to_owned(),
            source,
        })?;
    }
    for (path, text) in &changed {
        write_whole(path, text.as_bytes(), force && ours)?;
    }
    Ok(())
}
