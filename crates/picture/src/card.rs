//! The card of one event: head line, figure with its angles, checks, caution.

use crate::body::Body;
use crate::canvas::{Canvas, Picture, Place};
use crate::error::Error;
use crate::figure;
use crate::lettering::{capital, cut, lines, width, write, write_to};
use crate::palette::{FAINT, FIELD, GROUND, INK, RULE};
use crate::rows;
use crate::scene::{Floor, Scene};
use crate::sketch::Sketch;
use crate::tags::{self, Covered, Wanted};
use crate::view::{Area, Extent, View};

/// Width and height, px: the sheet sizes of the A series upright. Printed 8 cm wide, 30 px are 2.4 mm.
const WIDE: f32 = 1000.0;
const HIGH: f32 = 1414.0;
const MARGIN: f32 = 36.0;
/// Least height of the figure's field, px; with more checks the card grows.
const LEAST_FIELD: f32 = 560.0;
const HEAD: f32 = 208.0;
const SMALL: f32 = 23.0;
const TAG: f32 = 30.0;
const TAG_HIGH: f32 = 46.0;
/// Radius of the arcs, leg lengths.
pub(crate) const REACH: f64 = 0.22;
/// No leg is drawn longer, px.
const LONGEST_LEG: f64 = 300.0;

/// A card, and where things are on it.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// The card.
    pub picture: Picture,
    /// Boxes of the numbers at the figure: left, top, right, bottom; one for each check that is drawn.
    pub numbers: Vec<[f32; 4]>,
    view: View,
}

impl Drawn {
    /// Where a point of the gym plane is on the card.
    #[must_use]
    pub fn place(&self, point: springline_kinematics::Point) -> Place {
        self.view.place(point)
    }
}

/// Draws the card of one event.
///
/// # Errors
/// [`Error::TooLarge`].
pub fn draw(scene: &Scene) -> Result<Drawn, Error> {
    card(scene, height(scene), None)
}

/// Draws the cards of all events of an attempt, in order, all of one height and numbered.
///
/// # Errors
/// [`Error::TooLarge`].
pub fn draw_all(scenes: &[Scene]) -> Result<Vec<Drawn>, Error> {
    let high = scenes.iter().map(height).fold(HIGH, f32::max);
    let numbered = scenes.iter().enumerate();
    numbered
        .map(|(k, scene)| card(scene, high, Some((k + 1, scenes.len()))))
        .collect()
}

/// Height of everything but the figure, and of the whole card.
fn height(scene: &Scene) -> f32 {
    let rest = HEAD + rows::height(&scene.labels) + foot_height(scene) + 48.0;
    (rest + LEAST_FIELD).max(HIGH).ceil()
}

/// The figure of a scene: body and what is drawn for each label.
pub(crate) struct Drawing {
    pub body: Body,
    pub sketches: Vec<Option<Sketch>>,
}

impl Drawing {
    pub fn of(scene: &Scene) -> Self {
        let sketches = scene.labels.iter().enumerate().map(|(k, label)| {
            let measure = label.shown.filter(|_| label.value.is_some() && k < rows::MOST)?;
            Sketch::of(measure, label.side, label.value, &scene.pose, scene.known)
        });
        Self {
            body: Body::of(&scene.pose, scene.known),
            sketches: sketches.collect(),
        }
    }

    /// All that must be seen of it.
    pub fn extent(&self, scene: &Scene) -> Option<Extent> {
        let sketches = self.sketches.iter().flatten();
        let lines = sketches.flat_map(|sketch| sketch.extent(REACH * scene.known.leg));
        let leg = scene.known.leg;
        let floor = scene.floor.iter().filter_map(|floor| match floor {
            Floor::Level(y) => {
                let lowest = self.body.discs().min_by(|a, b| a.0.y.total_cmp(&b.0.y))?.0;
                // A body high over the floor keeps it in view, unless that takes all the room.
                (lowest.y - y < 1.2 * leg).then(|| (springline_kinematics::Point::new(lowest.x, *y), 0.06 * leg))
            }
            Floor::Piece { .. } => None,
        });
        Extent::around(self.body.discs().chain(lines).chain(floor))
    }

    /// Radius of the arc of each label: the second at one joint goes outside the first.
    pub fn reaches(&self, leg: f64) -> Vec<f64> {
        let mut reaches: Vec<f64> = Vec::new();
        for (k, sketch) in self.sketches.iter().enumerate() {
            let vertex = |sketch: &Option<Sketch>| match sketch {
                Some(Sketch::Angle { vertex, .. }) => Some(*vertex),
                _ => None,
            };
            let same = |other: &&Option<Sketch>| vertex(other).is_some() && vertex(other) == vertex(sketch);
            let before = self.sketches[..k].iter().filter(same).count();
            reaches.push((REACH + 0.07 * before as f64) * leg);
        }
        reaches
    }

    pub fn paint(&self, canvas: &mut Canvas, view: &View, scene: &Scene, area: Area) {
        let reaches = self.reaches(scene.known.leg);
        figure::floor(canvas, view, scene, area);
        for (sketch, reach) in self.sketches.iter().zip(&reaches) {
            if let Some(sketch) = sketch {
                figure::wedge(canvas, view, sketch, *reach);
            }
        }
        figure::body(canvas, view, &self.body, scene);
        figure::contacts(canvas, view, scene);
        for (sketch, reach) in self.sketches.iter().zip(&reaches) {
            if let Some(sketch) = sketch {
                figure::measure(canvas, view, sketch, *reach, scene.known.leg);
            }
        }
    }
}

fn card(scene: &Scene, high: f32, number: Option<(usize, usize)>) -> Result<Drawn, Error> {
    let mut canvas = Canvas::new(WIDE as u32, high as u32, GROUND)?;
    head_line(&mut canvas, scene, number);
    let below = rows::height(&scene.labels) + foot_height(scene) + 48.0;
    let field = Area::new(0.0, HEAD, WIDE, high - HEAD - below);
    canvas.block(field, FIELD);
    let (view, numbers) = field_of(&mut canvas, scene, field);
    let edge = |y| [Place { x: 0.0, y }, Place { x: WIDE, y }];
    canvas.line(&edge(field.top), 2.0, RULE);
    canvas.line(&edge(field.bottom), 2.0, RULE);
    let under = Area {
        left: MARGIN,
        top: field.bottom + 24.0,
        right: WIDE - MARGIN,
        bottom: high,
    };
    rows::write_rows(&mut canvas, under, &scene.labels, &letters(scene));
    foot(&mut canvas, scene, high);
    Ok(Drawn {
        picture: canvas.finish(),
        numbers,
        view,
    })
}

/// A letter for each label that is drawn at the figure.
fn letters(scene: &Scene) -> Vec<Option<char>> {
    let drawing = Drawing::of(scene);
    let mut next = 'A'..='Z';
    let drawn = drawing.sketches.iter();
    drawn.map(|sketch| sketch.and_then(|_| next.next())).collect()
}

fn head_line(canvas: &mut Canvas, scene: &Scene, number: Option<(usize, usize)>) {
    let mut right = WIDE - MARGIN;
    let top = 66.0;
    if scene.synthetic {
        let wide = width("synthetic", 28.0) + 36.0;
        let plate = Area::new(right - wide, top - 37.0, wide, 50.0);
        canvas.plate(plate, 10.0, GROUND, INK, 3.0);
        let at = Place {
            x: plate.left + 18.0,
            y: plate.middle().y + 0.5 * capital(28.0),
        };
        write(canvas, "synthetic", at, 28.0, INK);
        right = plate.left - 20.0;
    }
    let words = capitalised(scene.event.words());
    let at = Place { x: MARGIN, y: top };
    write(canvas, &cut(&words, 50.0, right - MARGIN), at, 50.0, INK);
    let at = Place {
        x: MARGIN,
        y: top + 46.0,
    };
    write(canvas, &scene.time, at, 29.0, INK);
    if let Some((which, of)) = number {
        let end = Place {
            x: WIDE - MARGIN,
            y: top + 46.0,
        };
        write_to(canvas, &format!("{which} of {of}"), end, 29.0, FAINT);
    }
    for (words, below) in [(&scene.title, 86.0), (&scene.whose, 122.0)] {
        let at = Place {
            x: MARGIN,
            y: top + below,
        };
        write(canvas, &cut(words, 26.0, WIDE - 2.0 * MARGIN), at, 26.0, FAINT);
    }
}

pub(crate) fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

/// The figure with its numbers.
fn field_of(canvas: &mut Canvas, scene: &Scene, field: Area) -> (View, Vec<[f32; 4]>) {
    let drawing = Drawing::of(scene);
    let tagged: Vec<usize> = (0..scene.labels.len())
        .filter(|k| drawing.sketches[*k].is_some())
        .collect();
    // Distances along the floor have their numbers under it.
    let sketches = drawing.sketches.iter();
    let under_floor = sketches.flatten().any(|sketch| matches!(sketch, Sketch::Span { .. }));
    let room = Area {
        left: field.left + if tagged.is_empty() { 60.0 } else { 150.0 },
        top: field.top + 56.0,
        right: field.right - if tagged.is_empty() { 60.0 } else { 150.0 },
        bottom: field.bottom - if under_floor { 120.0 } else { 62.0 },
    };
    let Some(extent) = drawing.extent(scene) else {
        let at = Place {
            x: field.left + MARGIN,
            y: field.middle().y,
        };
        write(canvas, "The body is not seen at this instant.", at, 30.0, FAINT);
        let nothing = Extent::around([(springline_kinematics::Point::origin(), scene.known.leg)]);
        let nothing = nothing.unwrap_or(Extent {
            least: springline_kinematics::Point::origin(),
            most: springline_kinematics::Point::origin(),
        });
        let view = View::fit(nothing, room, scene.known.mirrored, scene.known.leg, LONGEST_LEG);
        return (view, Vec::new());
    };
    let view = View::fit(extent, room, scene.known.mirrored, scene.known.leg, LONGEST_LEG);
    drawing.paint(canvas, &view, scene, field);
    let wanted: Vec<Wanted> = tagged.iter().map(|k| wanted(scene, &drawing, *k, &view)).collect();
    let covered = covered(canvas, scene, &drawing, &view);
    let places = tags::places(&wanted, field.inset(14.0), &covered);
    let letters = letters(scene);
    for ((k, tag), place) in tagged.iter().zip(&wanted).zip(&places) {
        leader(canvas, tag.anchor, *place);
        number(canvas, scene, *k, letters[*k], *place);
    }
    let numbers = places
        .iter()
        .map(|place| [place.left, place.top, place.right, place.bottom]);
    (view, numbers.collect())
}

/// What numbers keep off.
fn covered(canvas: &Canvas, scene: &Scene, drawing: &Drawing, view: &View) -> Covered {
    let size = canvas.pixels();
    let ground = [255; 3];
    let Ok(mut shadow) = Canvas::new(size.width(), size.height(), ground) else {
        return Covered::of(canvas, FIELD);
    };
    figure::shadow(&mut shadow, view, &drawing.body, [0; 3]);
    figure::contacts(&mut shadow, view, scene);
    for (sketch, reach) in drawing.sketches.iter().zip(drawing.reaches(scene.known.leg)) {
        if let Some(sketch) = sketch {
            figure::lines(&mut shadow, view, sketch, reach, scene.known.leg, [0; 3]);
        }
    }
    Covered::of(&shadow, ground)
}

fn wanted(scene: &Scene, drawing: &Drawing, k: usize, view: &View) -> Wanted {
    let reach = drawing.reaches(scene.known.leg)[k];
    let (anchor, out) = match &drawing.sketches[k] {
        Some(sketch) => sketch.anchor(reach),
        None => (
            springline_kinematics::Point::origin(),
            springline_kinematics::Vector::zeros(),
        ),
    };
    let (from, to) = (view.place(anchor), view.place(anchor + out * scene.known.leg));
    let length = (to.x - from.x).hypot(to.y - from.y).max(1e-3);
    Wanted {
        anchor: from,
        out: Place {
            x: (to.x - from.x) / length,
            y: (to.y - from.y) / length,
        },
        wide: 84.0 + width(&scene.labels[k].number, TAG) + 16.0,
        high: TAG_HIGH,
    }
}

fn leader(canvas: &mut Canvas, anchor: Place, place: Area) {
    if tags::nearest_edge(anchor, place) < 6.0 {
        return;
    }
    let end = Place {
        x: anchor.x.clamp(place.left + 10.0, place.right - 10.0),
        y: anchor.y.clamp(place.top, place.bottom),
    };
    canvas.line(&[anchor, end], 5.0, FIELD);
    canvas.line(&[anchor, end], 2.5, INK);
    canvas.disc(anchor, 6.0, INK);
}

/// A number in its box: mark of the verdict, letter, number.
fn number(canvas: &mut Canvas, scene: &Scene, k: usize, letter: Option<char>, place: Area) {
    let label = &scene.labels[k];
    let attention = label.mark == crate::mark::Mark::Diamond;
    let (ground, ink) = if attention { (INK, FIELD) } else { (FIELD, INK) };
    canvas.plate(place, 10.0, ground, INK, 2.5);
    let middle = place.middle().y;
    label.mark.draw(
        canvas,
        Place {
            x: place.left + 25.0,
            y: middle,
        },
        11.0,
        ink,
    );
    let base = middle + 0.5 * capital(TAG);
    if let Some(letter) = letter {
        let letter = letter.to_string();
        let at = Place {
            x: place.left + 46.0,
            y: base,
        };
        write(canvas, &letter, at, TAG, ink);
    }
    let at = Place {
        x: place.left + 84.0,
        y: base,
    };
    write(canvas, &label.number, at, TAG, ink);
}

/// What the drawing means, what is missing, and the caution.
fn foot_lines(scene: &Scene) -> Vec<String> {
    let mut meaning = scene.sides.clone();
    if !scene.hollow.is_empty() {
        let gap = if meaning.is_empty() { "" } else { "; " };
        meaning.push_str(gap);
        meaning.push_str("hollow joint: bridged or doubtful");
    }
    let missing = if scene.missing.is_empty() {
        String::new()
    } else {
        format!("not seen: {}", scene.missing)
    };
    let room = WIDE - 2.0 * MARGIN;
    let texts = [(meaning, 2), (missing, 2), (scene.caution.clone(), 3)];
    texts
        .iter()
        .flat_map(|(text, most)| lines(text, SMALL, room, *most))
        .collect()
}

fn foot_height(scene: &Scene) -> f32 {
    foot_lines(scene).len() as f32 * 31.0 + 16.0
}

fn foot(canvas: &mut Canvas, scene: &Scene, high: f32) {
    let lines = foot_lines(scene);
    let mut base = high - 24.0 - 31.0 * (lines.len().max(1) - 1) as f32;
    for line in lines {
        let at = Place { x: MARGIN, y: base };
        write(canvas, &line, at, SMALL, FAINT);
        base += 31.0;
    }
}
