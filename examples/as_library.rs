//! From a keypoint file to verdicts with their probabilities, as README shows it.
//!
//! `cargo run -p springline-cli --example as_library -- fixtures/demo/b-hands-near-feet.json`

#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::path::Path;
use std::process::ExitCode;

use springline_drills::Catalogue;
use springline_report::Review;
use springline_review::{Error, Reviewer, Settings};

/// One file reviewed by the front handspring on floor.
pub fn reviewed(file: &Path) -> Result<Review, Error> {
    let catalogue = Catalogue::shipped();
    let drill = catalogue.drill("handspring-floor")?;
    let mut settings = Settings::default();
    settings.import.rate_hz = Some(60.0); // used where the file has no times
    let mut reviewer = Reviewer::new(&catalogue, settings);
    Ok(reviewer.review(file, drill)?.record)
}

fn main() -> ExitCode {
    match shown() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

fn shown() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args().nth(1).ok_or("give a keypoint file")?;
    let review = reviewed(Path::new(&file))?;
    println!("{}", review.outcome.word);
    for fault in review.faults.iter().take(1) {
        println!("fix first: {} ({}), say: {}", fault.name, fault.severity, fault.cue);
    }
    for check in &review.checks {
        if let (Some(value), Some(p)) = (check.measured, check.verdict.outside) {
            let (word, what) = (check.verdict.word.as_str(), &check.looks_at);
            let (value, sd) = (value.value, value.sd);
            println!("{word}: {what} {value:.3} ± {sd:.3} {}, p = {p:.3}", check.unit);
        }
    }
    Ok(())
}
