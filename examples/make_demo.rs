//! Makes the demo attempts: five handsprings of an invented club, from the simulator, labelled synthetic.
//!
//! `cargo run -p springline-cli --example make_demo -- fixtures/demo` writes the files anew; the same seeds give the same
//! bytes. The fault dialled into each is named beside it.

use std::path::PathBuf;
use std::process::ExitCode;

use springline_simulate::{Act, Facts, Fault, Layout, Params, Recording};

/// A demo attempt: file name, athlete code, seed, words, and the figure.
struct Demo {
    name: &'static str,
    athlete: &'static str,
    seed: u64,
    noise_px: f64,
    note: &'static str,
    figure: fn() -> Params,
}

const DEMOS: [Demo; 5] = [
    Demo {
        name: "a-clean",
        athlete: "K-03",
        seed: 11,
        noise_px: 1.0,
        note: "Dialled: nothing, a clean handspring.",
        figure: Params::clean,
    },
    Demo {
        name: "b-hands-near-feet",
        athlete: "K-07",
        seed: 12,
        noise_px: 1.0,
        note: "Dialled: hands near the feet, closed shoulders.",
        figure: || {
            Params::clean()
                .with_fault(Fault::HandsNearFeet, 0.55)
                .with_fault(Fault::ClosedShoulders, 138.0)
        },
    },
    Demo {
        name: "c-no-block",
        athlete: "K-12",
        seed: 13,
        noise_px: 1.0,
        note: "Dialled: no block: long on the hands, off them late, a short flight.",
        figure: || Params {
            support_s: 0.48,
            departure_lean: 30.0,
            flight_s: 0.22,
            touchdown_lean: -36.0,
            ..Params::clean()
        },
    },
    Demo {
        name: "d-lands-behind",
        athlete: "K-09",
        seed: 14,
        noise_px: 1.0,
        note: "Dialled: landing behind the feet.",
        figure: || Params::clean().with_fault(Fault::LandingBehind, -16.0),
    },
    Demo {
        name: "e-too-close",
        athlete: "K-05",
        seed: 15,
        noise_px: 4.0,
        note: "Dialled: shoulders at 164 when the hands land, a degree from the limit, and coarser points.",
        figure: || Params::clean().with_fault(Fault::ClosedShoulders, 164.0),
    },
];

/// File names and bytes of the demo attempts.
///
/// # Errors
/// What the figure cannot do.
#[allow(dead_code, reason = "a test takes this file in for `demo_figures`")]
pub fn demo_files() -> Result<Vec<(String, Vec<u8>)>, springline_simulate::Error> {
    DEMOS
        .iter()
        .map(|demo| {
            let recording = Recording::exact().noisy(demo.noise_px);
            let facts = Facts {
                athlete: Some(demo.athlete.to_owned()),
                date: Some("2026-03-14".to_owned()),
                drill: Some("handspring-floor".to_owned()),
                note: Some(demo.note.to_owned()),
                ..Facts::measured()
            };
            let attempt = Act::handspring(&(demo.figure)())?.film(&recording, demo.seed);
            let text = attempt.to_attempt_json(Layout::Named23, &facts);
            Ok((format!("{}.json", demo.name), text.into_bytes()))
        })
        .collect()
}

/// The demo attempts' names and figures.
#[allow(dead_code, reason = "for a test that takes this file in")]
pub fn demo_figures() -> impl Iterator<Item = (&'static str, Params)> {
    DEMOS.iter().map(|demo| (demo.name, (demo.figure)()))
}

#[allow(
    dead_code,
    clippy::print_stderr,
    reason = "a test takes this file in for `demo_files`; a program says what failed"
)]
fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::FAILURE
        }
    }
}

#[allow(dead_code, reason = "a test takes this file in for `demo_files`")]
fn run() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("give the folder to write to")?);
    std::fs::create_dir_all(&folder)?;
    for (name, bytes) in demo_files()? {
        std::fs::write(folder.join(name), bytes)?;
    }
    Ok(())
}
