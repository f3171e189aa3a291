//! All events of an attempt in one picture, in order, at one scale and on one floor.

use springline_kinematics::Point;

use crate::canvas::{Canvas, Picture, Place};
use crate::card::{Drawing, capitalised};
use crate::error::Error;
use crate::lettering::{capital, cut, lines, write, write_to};
use crate::mark::Mark;
use crate::palette::{FAINT, FIELD, GROUND, INK, RULE};
use crate::scene::{Label, Scene};
use crate::view::{Area, Extent, View};

/// Events in a line.
const ABREAST: usize = 4;
const CELL: f32 = 560.0;
const MARGIN: f32 = 40.0;
const GAP: f32 = 24.0;
const HEAD: f32 = 150.0;
const FIELD_HIGH: f32 = 520.0;
const WORDS: f32 = 26.0;
const LINE: f32 = 35.0;
/// So many checks that ask for something are named in a cell.
const NAMED: usize = 4;
const SMALL: f32 = 24.0;

/// Draws all events of an attempt in order.
///
/// # Inputs
/// `outcome`: what the attempt counts as and what to fix first, in words.
/// # Errors
/// [`Error::TooLarge`].
pub fn draw_sheet(scenes: &[Scene], outcome: &[String]) -> Result<Picture, Error> {
    let abreast = scenes.len().clamp(2, ABREAST);
    // Each row as high as what is named in it.
    let rows: Vec<f32> = scenes
        .chunks(abreast)
        .map(|row| {
            let notes = row.iter().map(|scene| named(scene).len()).max().unwrap_or(0);
            96.0 + FIELD_HIGH + 38.0 + LINE + notes as f32 * LINE + GAP
        })
        .collect();
    let wide = 2.0 * MARGIN + abreast as f32 * (CELL + GAP) - GAP;
    let head = HEAD + outcome.len() as f32 * 42.0;
    let foot = scenes.first().map_or_else(Vec::new, |scene| {
        let sides = [&scene.sides, &scene.caution].map(String::as_str).join(". ");
        lines(sides.trim_start_matches(". "), SMALL, wide - 2.0 * MARGIN, 3)
    });
    let high = head + rows.iter().sum::<f32>() + foot.len() as f32 * 32.0 + 40.0;
    let mut canvas = Canvas::new(wide as u32, high.ceil() as u32, GROUND)?;
    head_lines(&mut canvas, scenes, outcome, wide);
    let drawings: Vec<Drawing> = scenes.iter().map(Drawing::of).collect();
    let scale = common_scale(scenes, &drawings);
    let mut top = head;
    for (k, (scene, drawing)) in scenes.iter().zip(&drawings).enumerate() {
        let (row, column) = (k / abreast, k % abreast);
        let left = MARGIN + column as f32 * (CELL + GAP);
        one(
            &mut canvas,
            scene,
            drawing,
            k + 1,
            Area::new(left, top, CELL, rows[row]),
            scale,
        );
        if column + 1 == abreast {
            top += rows[row];
        }
    }
    let mut base = high - 32.0 * foot.len() as f32;
    for line in foot {
        let at = Place { x: MARGIN, y: base };
        write(&mut canvas, &line, at, SMALL, FAINT);
        base += 32.0;
    }
    Ok(canvas.finish())
}

fn head_lines(canvas: &mut Canvas, scenes: &[Scene], outcome: &[String], wide: f32) {
    let Some(scene) = scenes.first() else { return };
    let mut right = wide - MARGIN;
    if scene.synthetic {
        right -= 20.0 + write_to(canvas, "synthetic", Place { x: right, y: 72.0 }, 36.0, INK);
    }
    let at = Place { x: MARGIN, y: 72.0 };
    write(canvas, &cut(&scene.title, 46.0, right - MARGIN), at, 46.0, INK);
    let at = Place { x: MARGIN, y: 118.0 };
    write(canvas, &cut(&scene.whose, 30.0, wide - 2.0 * MARGIN), at, 30.0, FAINT);
    for (k, line) in outcome.iter().enumerate() {
        let at = Place {
            x: MARGIN,
            y: 164.0 + 42.0 * k as f32,
        };
        write(canvas, &cut(line, 32.0, wide - 2.0 * MARGIN), at, 32.0, INK);
    }
}

/// One scale for all, so that the figures can be compared.
fn common_scale(scenes: &[Scene], drawings: &[Drawing]) -> f64 {
    let area = Area::new(0.0, 0.0, CELL - 40.0, FIELD_HIGH - 50.0);
    let scales = scenes.iter().zip(drawings).filter_map(|(scene, drawing)| {
        let extent = drawing.extent(scene)?;
        Some(View::fit(extent, area, false, scene.known.leg, 230.0).scale)
    });
    scales.fold(f64::INFINITY, f64::min)
}

fn one(canvas: &mut Canvas, scene: &Scene, drawing: &Drawing, which: usize, cell: Area, scale: f64) {
    let words = format!("{which}  {}", capitalised(scene.event.words()));
    let at = Place {
        x: cell.left,
        y: cell.top + 38.0,
    };
    write(canvas, &cut(&words, 35.0, CELL), at, 35.0, INK);
    let at = Place {
        x: cell.left,
        y: cell.top + 78.0,
    };
    write(canvas, &scene.time, at, WORDS, FAINT);
    let field = Area::new(cell.left, cell.top + 96.0, CELL, FIELD_HIGH);
    canvas.plate(field, 12.0, FIELD, RULE, 2.0);
    if let Some(extent) = drawing.extent(scene) {
        let view = View::fit(extent, field, scene.known.mirrored, scene.known.leg, 230.0);
        let view = view.at_scale(scale);
        drawing.paint(canvas, &standing(view, extent, field), scene, field.inset(2.0));
    }
    let mut base = field.bottom + 38.0;
    tally(canvas, scene, cell.left, base);
    base += LINE + 4.0;
    for (mark, text) in named(scene) {
        let at = Place {
            x: cell.left + 34.0,
            y: base,
        };
        if let Some(mark) = mark {
            let middle = Place {
                x: cell.left + 13.0,
                y: base - 0.5 * capital(WORDS),
            };
            mark.ink(canvas, middle, 10.0);
        }
        write(canvas, &text, at, WORDS, INK);
        base += LINE;
    }
}

/// The lowest point of the figure near the lower edge of its field.
fn standing(view: View, extent: Extent, field: Area) -> View {
    let lowest = Point::new(extent.least.x, extent.least.y);
    view.standing(lowest.y, field.bottom - 26.0)
}

/// How many checks came out how: each mark with its word.
fn tally(canvas: &mut Canvas, scene: &Scene, left: f32, base: f32) {
    let mut along = left;
    for (mark, word) in Mark::ALL {
        let count = scene.labels.iter().filter(|label| label.mark == mark).count();
        if count == 0 {
            continue;
        }
        let middle = Place {
            x: along + 13.0,
            y: base - 0.5 * capital(WORDS),
        };
        mark.ink(canvas, middle, 10.0);
        let at = Place {
            x: along + 34.0,
            y: base,
        };
        along += 34.0 + write(canvas, &format!("{count} {word}"), at, WORDS, INK) + 22.0;
    }
}

/// The checks that ask for something in lines, faults first, the mark at the first line of each; of more than there is
/// room for it is said how many.
fn named(scene: &Scene) -> Vec<(Option<Mark>, String)> {
    let mut asking: Vec<&Label> = scene.labels.iter().filter(|label| label.mark != Mark::Disc).collect();
    asking.sort_by_key(|label| label.mark);
    let mut named = Vec::new();
    for label in asking.iter().take(NAMED) {
        let text = format!("{}: {}", label.title, label.word);
        for (k, line) in lines(&text, WORDS, CELL - 34.0, 2).into_iter().enumerate() {
            named.push(((k == 0).then_some(label.mark), line));
        }
    }
    if asking.len() > NAMED {
        named.push((None, format!("and {} more", asking.len() - NAMED)));
    }
    named
}
