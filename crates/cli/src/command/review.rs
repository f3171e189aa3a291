//! `springline review`.

use std::path::{Path, PathBuf};

use springline_drills::Catalogue;
use springline_report::{MEASURE_COLUMNS, Review, Style, measure_rows, text, to_json};
use springline_review::batch::is_result;
use springline_review::{Error, Reviewer, may_write, pictures, spares};

use super::{beside_the_attempts, named_drill};
use crate::Ended;
use crate::args::{Form, Review as Args};
use crate::failure::{Failure, RESULT};
use crate::output::{deliver, style};

pub(crate) fn run(args: &Args, catalogue: &Catalogue) -> Result<Ended, Failure> {
    let mut settings = args.clip.settings()?;
    args.of_attempt.add_to(&mut settings);
    let named = named_drill(catalogue, args.drill.as_deref())?;
    let mut inputs = beside_the_attempts(catalogue, args.drill.as_deref(), &args.clip);
    inputs.push(args.attempt.clone());
    inputs.extend(args.film.clone());
    if let Some(out) = &args.out {
        spares(std::slice::from_ref(out), inputs.iter().map(PathBuf::as_path))?;
        may_write(out, args.force)?;
    }
    let mut reviewer = Reviewer::new(catalogue, settings);
    let imported = match &args.film {
        Some(film) => reviewer.import_on_film(&args.attempt, film),
        None => reviewer.import(&args.attempt),
    };
    let attempt = imported.map_err(|error| not_an_attempt(error.into(), &args.attempt))?;
    let drill = match (named, &attempt.given.drill) {
        (Some(drill), _) => drill,
        (None, Some(id)) => catalogue.drill(id)?.clone(),
        (None, None) => {
            return Err(Error::NoDrill {
                file: args.attempt.display().to_string(),
            }
            .into());
        }
    };
    let reviewed = reviewer.review_attempt(attempt, &drill)?;
    if let Some(folder) = &args.pictures {
        let pictures = pictures(&reviewed, &drill)?;
        let written = pictures.write(folder, args.force, inputs.iter().map(PathBuf::as_path));
        written.map_err(|error| match error {
            Error::NotAFolder { .. } => Failure::new(error.to_string()).hint("another name with --pictures"),
            other => other.into(),
        })?;
    }
    let review = reviewed.record;
    let style = if args.out.is_none() { style() } else { Style::PLAIN };
    deliver(&in_form(&review, args.format, style), args.out.as_deref(), args.force)?;
    if args.check && review.outcome.word != "good" {
        return Ok(Ended::StandardNotMet);
    }
    Ok(Ended::Done)
}

/// Reviews one a line are broken JSON to whoever expects an attempt: says what they are.
fn not_an_attempt(failure: Failure, path: &Path) -> Failure {
    if failure.hint.is_none() && is_result(path) {
        return Failure::new(format!(
            "{}: found a result of this program, expected an attempt",
            path.display()
        ))
        .hint(RESULT);
    }
    failure
}

fn in_form(review: &Review, form: Form, style: Style) -> String {
    match form {
        Form::Text => text(review, style),
        Form::Json => to_json(review),
        Form::Csv => {
            let mut table = MEASURE_COLUMNS.join(",");
            table.push('\n');
            measure_rows(review, &mut table);
            table
        }
    }
}
