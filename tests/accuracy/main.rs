//! How well attempts are measured: simulated attempts of known truth, over the whole range of what the figure can do.
//!
//! The figures that come out are written to `tests/accuracy/figures.md`; README shows them. Every attempt is synthetic; every draw is seeded.

#![allow(clippy::print_stdout)]

mod angles;
#[path = "../draws.rs"]
mod draws;
mod events;
mod exact;
mod faults;
mod figures;
mod scene;
mod truths;
mod verdicts;

use figures::Figures;

#[test]
fn figures_are_reached() {
    let mut figures = Figures::default();
    exact::check(&mut figures);
    events::check(&mut figures);
    angles::check(&mut figures);
    verdicts::check(&mut figures);
    faults::check(&mut figures);
    figures.settle();
}
