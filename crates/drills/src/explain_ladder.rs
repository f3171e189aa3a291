//! A ladder in plain words.

use crate::catalogue::Catalogue;
use crate::explain::basis_in_words;
use crate::page::Page;
use crate::spec::{Ladder, Rung, StepBack};

/// The ladder in plain words: its rungs in order, what each proves, which rungs come before it, when
/// to move on and when to step back. The catalogue gives the titles of the drills. Lines are at most
/// 88 characters long.
///
/// ```
/// use springline_drills::{Catalogue, explain_ladder};
///
/// let catalogue = Catalogue::shipped();
/// let words = explain_ladder(catalogue.ladder("front-handspring")?, &catalogue);
/// assert!(words.contains("8. Handstand hop (handstand-hop)\n     Proves: Block.\n"), "{words}");
/// assert!(words.contains("After 3 good attempts in a row"));
/// # Ok::<(), springline_drills::Error>(())
/// ```
#[must_use]
pub fn explain_ladder(ladder: &Ladder, catalogue: &Catalogue) -> String {
    let mut page = Page::default();
    page.line(0, &format!("{} ({})", ladder.title, ladder.id));
    page.line(
        0,
        &format!(
            "A ladder of {} drills to the skill: {}.",
            ladder.rungs.len(),
            ladder.skill
        ),
    );
    page.heading("Rungs, in order; those that do not wait for each other are worked side by side");
    for (index, rung) in ladder.rungs.iter().enumerate() {
        explain_rung(&mut page, index + 1, rung, catalogue);
    }
    page.heading("When to move on and when to step back");
    rule(&mut page, ladder);
    page.line(
        0,
        "The program keeps no count of attempts; the coach does, and decides. `springline drills explain ID` explains \
         one drill.",
    );
    page.finished()
}

fn explain_rung(page: &mut Page, number: usize, rung: &Rung, catalogue: &Catalogue) {
    let title = catalogue.drill(&rung.drill).map(|drill| drill.title.as_str());
    let name = match title {
        Ok(title) => format!("{title} ({})", rung.drill),
        Err(_) => rung.drill.clone(),
    };
    page.wrapped(2, 5, &format!("{number}. {name}"));
    page.line(5, &format!("Proves: {}", rung.proves));
    if rung.after.is_empty() {
        page.line(5, "Can be worked from the start.");
    } else {
        page.line(5, &format!("First pass: {}", rung.after.join(", ")));
    }
}

fn rule(page: &mut Page, ladder: &Ladder) {
    let good = match ladder.advance_after {
        1 => "After 1 good attempt".to_owned(),
        many => format!("After {many} good attempts in a row"),
    };
    page.item(&format!(
        "{good} at one rung, on the same surface and height with the same spotting, the next is tried."
    ));
    page.item(if ladder.run_survives_the_day {
        "A run goes on the next day."
    } else {
        "The next day starts counting anew."
    });
    page.item(&match ladder.step_back {
        StepBack::Set { attempts } => {
            format!("A test set of {attempts} attempts without such a run: go back a rung.")
        }
        StepBack::Patient { attempts } => {
            format!("Only after {attempts} counted attempts without such a run: go back a rung.")
        }
    });
    if let Some(days) = ladder.retest_after_days {
        page.item(&format!("After {days} days off a rung is tested again."));
    }
    page.item(&format!("This rule: {}.", basis_in_words(&ladder.basis)));
}
