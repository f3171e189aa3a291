//! The checks of an event under the figure, a row each.

use crate::canvas::{Canvas, Place};
use crate::lettering::{cut, width, write, write_to};
use crate::palette::{FAINT, FIELD, INK};
use crate::scene::Label;
use crate::view::Area;

/// So many checks are written; of more it is said how many.
pub(crate) const MOST: usize = 24;
/// Height of a row, px.
const ROW: f32 = 78.0;
const TITLE: f32 = 30.0;
const DETAILS: f32 = 27.0;
/// Left edge of the words.
const INDENT: f32 = 84.0;

/// How high the rows are.
pub(crate) fn height(labels: &[Label]) -> f32 {
    let rows = labels.len().clamp(1, MOST + 1);
    rows as f32 * ROW
}

/// Writes the rows into the top of `area`; `letters` are those of the numbers at the figure.
pub(crate) fn write_rows(canvas: &mut Canvas, area: Area, labels: &[Label], letters: &[Option<char>]) {
    let mut top = area.top;
    if labels.is_empty() {
        let at = Place {
            x: area.left,
            y: top + 36.0,
        };
        write(
            canvas,
            "No check of this drill looks at this instant.",
            at,
            DETAILS,
            FAINT,
        );
    }
    for (label, letter) in labels.iter().zip(letters).take(MOST) {
        row(canvas, area, top, label, *letter);
        top += ROW;
    }
    if labels.len() > MOST {
        let more = format!("and {} more; the review has them all", labels.len() - MOST);
        let at = Place {
            x: area.left + INDENT,
            y: top + 32.0,
        };
        write(canvas, &more, at, DETAILS, FAINT);
    }
}

fn row(canvas: &mut Canvas, area: Area, top: f32, label: &Label, letter: Option<char>) {
    let (first, second) = (top + 29.0, top + 63.0);
    let words = area.left + INDENT;
    label.mark.ink(
        canvas,
        Place {
            x: area.left + 14.0,
            y: first - 11.0,
        },
        12.0,
    );
    if let Some(letter) = letter {
        let plate = Area::new(area.left + 37.0, top, 36.0, 38.0);
        canvas.plate(plate, 8.0, FIELD, INK, 2.0);
        let letter = letter.to_string();
        let at = Place {
            x: plate.middle().x - 0.5 * width(&letter, 27.0),
            y: first - 0.5,
        };
        write(canvas, &letter, at, 27.0, INK);
    }
    let at = Place { x: words, y: first };
    write(canvas, &cut(&label.title, TITLE, area.right - words), at, TITLE, INK);
    let right = Place {
        x: area.right,
        y: second,
    };
    let taken = write_to(canvas, &label.word, right, DETAILS, INK);
    let room = area.right - words - taken - 24.0;
    let at = Place { x: words, y: second };
    write(canvas, &cut(&label.details, DETAILS, room), at, DETAILS, FAINT);
}
