//! A picture in the making, and the finished one.

use tiny_skia::{FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform};

use crate::error::Error;
use crate::palette::Colour;
use crate::view::Area;

/// Longest edge of a picture, px.
const LONGEST_EDGE: u32 = 12_000;
/// Corners of a drawn circle.
const CORNERS: usize = 48;

/// A place on a canvas, px from the top left corner, y down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// To the right.
    pub x: f32,
    /// Down.
    pub y: f32,
}

/// A finished picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    pixels: Pixmap,
}

impl Picture {
    /// Width, px.
    #[must_use]
    pub fn width(&self) -> u32 {
        self.pixels.width()
    }

    /// Height, px.
    #[must_use]
    pub fn height(&self) -> u32 {
        self.pixels.height()
    }

    /// Red, green and blue at a place; `None` outside.
    #[must_use]
    pub fn at(&self, place: Place) -> Option<[u8; 3]> {
        if place.x < 0.0 || place.y < 0.0 {
            return None;
        }
        let pixel = self.pixels.pixel(place.x as u32, place.y as u32)?;
        Some([pixel.red(), pixel.green(), pixel.blue()])
    }

    /// Red, green and blue, row by row.
    #[must_use]
    pub fn rgb(&self) -> Vec<u8> {
        let pixels = self.pixels.pixels().iter();
        pixels
            .flat_map(|pixel| [pixel.red(), pixel.green(), pixel.blue()])
            .collect()
    }

    /// The picture as a PNG file.
    ///
    /// # Errors
    /// [`Error::Packing`].
    pub fn png(&self) -> Result<Vec<u8>, Error> {
        self.pixels
            .encode_png()
            .map_err(|error| Error::Packing(error.to_string()))
    }
}

/// A picture in the making, opaque everywhere.
pub(crate) struct Canvas {
    pixels: Pixmap,
}

impl Canvas {
    /// All of one colour.
    pub fn new(wide: u32, high: u32, ground: Colour) -> Result<Self, Error> {
        let too_large = || Error::TooLarge {
            wide,
            high,
            most: LONGEST_EDGE,
        };
        if wide > LONGEST_EDGE || high > LONGEST_EDGE {
            return Err(too_large());
        }
        let mut pixels = Pixmap::new(wide, high).ok_or_else(too_large)?;
        let [red, green, blue] = ground;
        pixels.fill(tiny_skia::Color::from_rgba8(red, green, blue, 255));
        Ok(Self { pixels })
    }

    pub fn finish(self) -> Picture {
        Picture { pixels: self.pixels }
    }

    pub fn pixels(&self) -> &Pixmap {
        &self.pixels
    }

    /// Fills a polygon.
    pub fn fill(&mut self, corners: &[Place], colour: Colour) {
        if let Some(path) = closed(corners) {
            let paint = paint(colour);
            self.pixels
                .fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
        }
    }

    /// Draws the edge of a polygon.
    pub fn edge(&mut self, corners: &[Place], width: f32, colour: Colour) {
        if let Some(path) = closed(corners) {
            self.stroke(&path, width, colour, None);
        }
    }

    /// Draws a line through places.
    pub fn line(&mut self, through: &[Place], width: f32, colour: Colour) {
        if let Some(path) = open(through) {
            self.stroke(&path, width, colour, None);
        }
    }

    /// Draws a dashed line through places.
    pub fn dashes(&mut self, through: &[Place], width: f32, colour: Colour) {
        if let Some(path) = open(through) {
            let dash = StrokeDash::new(vec![2.2 * width, 2.6 * width], 0.0);
            self.stroke(&path, width, colour, dash);
        }
    }

    pub fn disc(&mut self, middle: Place, radius: f32, colour: Colour) {
        self.fill(&circle(middle, radius), colour);
    }

    /// `radius` to the middle of the line.
    pub fn ring(&mut self, middle: Place, radius: f32, width: f32, colour: Colour) {
        self.edge(&circle(middle, radius), width, colour);
    }

    pub fn block(&mut self, area: Area, colour: Colour) {
        self.fill(&corners_of(area), colour);
    }

    /// A rectangle with round corners: filled, and with an edge.
    pub fn plate(&mut self, area: Area, round: f32, colour: Colour, edge: Colour, width: f32) {
        let corners = rounded(area, round);
        self.fill(&corners, colour);
        self.edge(&corners, width, edge);
    }

    fn stroke(&mut self, path: &Path, width: f32, colour: Colour, dash: Option<StrokeDash>) {
        let stroke = Stroke {
            width,
            line_cap: if dash.is_some() { LineCap::Butt } else { LineCap::Round },
            line_join: LineJoin::Round,
            dash,
            ..Stroke::default()
        };
        self.pixels
            .stroke_path(path, &paint(colour), &stroke, Transform::identity(), None);
    }

    /// Mixes `colour` into one pixel by `share`, 0 to 1; nothing outside.
    pub fn tint(&mut self, x: i64, y: i64, share: f32, colour: Colour) {
        let (wide, high) = (i64::from(self.pixels.width()), i64::from(self.pixels.height()));
        if x < 0 || y < 0 || x >= wide || y >= high {
            return;
        }
        let share = (share.clamp(0.0, 1.0) * 255.0 + 0.5) as u32;
        let at = (4 * (y * wide + x)) as usize;
        for (below, over) in self.pixels.data_mut()[at..at + 3].iter_mut().zip(colour) {
            let mixed = u32::from(*below) * (255 - share) + u32::from(over) * share;
            *below = ((mixed + 127) / 255) as u8;
        }
    }
}

fn paint(colour: Colour) -> Paint<'static> {
    let mut paint = Paint {
        anti_alias: true,
        ..Paint::default()
    };
    let [red, green, blue] = colour;
    paint.set_color_rgba8(red, green, blue, 255);
    paint
}

fn open(through: &[Place]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (k, place) in through.iter().enumerate() {
        if k == 0 {
            path.move_to(place.x, place.y);
        } else {
            path.line_to(place.x, place.y);
        }
    }
    path.finish()
}

fn closed(corners: &[Place]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (k, place) in corners.iter().enumerate() {
        if k == 0 {
            path.move_to(place.x, place.y);
        } else {
            path.line_to(place.x, place.y);
        }
    }
    path.close();
    path.finish()
}

pub(crate) fn circle(middle: Place, radius: f32) -> Vec<Place> {
    (0..CORNERS)
        .map(|k| {
            let turn = std::f32::consts::TAU * k as f32 / CORNERS as f32;
            Place {
                x: middle.x + radius * turn.cos(),
                y: middle.y + radius * turn.sin(),
            }
        })
        .collect()
}

fn corners_of(area: Area) -> [Place; 4] {
    [
        (area.left, area.top),
        (area.right, area.top),
        (area.right, area.bottom),
        (area.left, area.bottom),
    ]
    .map(|(x, y)| Place { x, y })
}

fn rounded(area: Area, round: f32) -> Vec<Place> {
    let inner = area.inset(round);
    let middles = [
        (inner.right, inner.bottom),
        (inner.left, inner.bottom),
        (inner.left, inner.top),
        (inner.right, inner.top),
    ];
    let mut corners = Vec::new();
    for (quarter, (x, y)) in middles.into_iter().enumerate() {
        for k in 0..=8 {
            let turn = std::f32::consts::FRAC_PI_2 * (quarter as f32 + k as f32 / 8.0);
            corners.push(Place {
                x: x + round * turn.cos(),
                y: y + round * turn.sin(),
            });
        }
    }
    corners
}
