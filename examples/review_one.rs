//! Reviews one attempt with the library and prints what to fix first.
//!
//! `cargo run -p springline-cli --example review_one -- fixtures/demo/b-hands-near-feet.json handspring-floor`

#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::path::PathBuf;
use std::process::ExitCode;

use springline_drills::Catalogue;
use springline_review::{Reviewer, Settings};

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let file = PathBuf::from(arguments.next().ok_or("give a keypoint file")?);
    let drill = arguments.next().ok_or("give the id of a drill")?;

    let catalogue = Catalogue::shipped();
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    let review = reviewer.review(&file, catalogue.drill(&drill)?)?.record;

    println!("{}: {}", review.attempt.file, review.outcome.word);
    if let Some(fault) = review.faults.first() {
        println!("fix first: {}. Say: \"{}\"", fault.name, fault.cue);
    }
    for check in &review.checks {
        if let Some(measured) = check.measured {
            println!(
                "{:>10.3} ± {:<8.3} {:<12} {}",
                measured.value, measured.sd, check.unit, check.looks_at
            );
        }
    }
    Ok(())
}
