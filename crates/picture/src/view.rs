//! From the gym plane to places on the canvas.

use springline_kinematics::Point;

use crate::canvas::Place;

/// A rectangle on the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub left: f32,
    pub top: f32,
    pub right: f32,
    pub bottom: f32,
}

impl Area {
    pub fn new(left: f32, top: f32, wide: f32, high: f32) -> Self {
        Self {
            left,
            top,
            right: left + wide,
            bottom: top + high,
        }
    }

    pub fn wide(&self) -> f32 {
        self.right - self.left
    }

    pub fn high(&self) -> f32 {
        self.bottom - self.top
    }

    pub fn middle(&self) -> Place {
        Place {
            x: 0.5 * (self.left + self.right),
            y: 0.5 * (self.top + self.bottom),
        }
    }

    /// Smaller by so much on every side; larger if it is negative.
    pub fn inset(&self, by: f32) -> Self {
        Self {
            left: self.left + by,
            top: self.top + by,
            right: self.right - by,
            bottom: self.bottom - by,
        }
    }

    pub fn meets(&self, other: &Area) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    pub fn holds(&self, other: &Area) -> bool {
        self.left <= other.left && self.top <= other.top && self.right >= other.right && self.bottom >= other.bottom
    }
}

/// The box around points of the gym plane, as they are drawn (mirrored or not).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Extent {
    pub least: Point,
    pub most: Point,
}

impl Extent {
    /// Around discs; `None` if there are none.
    pub fn around(discs: impl IntoIterator<Item = (Point, f64)>) -> Option<Self> {
        discs.into_iter().fold(None, |extent: Option<Self>, (at, reach)| {
            let (low, high) = (
                Point::new(at.x - reach, at.y - reach),
                Point::new(at.x + reach, at.y + reach),
            );
            Some(match extent {
                None => Self { least: low, most: high },
                Some(so_far) => Self {
                    least: Point::new(so_far.least.x.min(low.x), so_far.least.y.min(low.y)),
                    most: Point::new(so_far.most.x.max(high.x), so_far.most.y.max(high.y)),
                },
            })
        })
    }

    pub fn size(&self) -> (f64, f64) {
        (self.most.x - self.least.x, self.most.y - self.least.y)
    }
}

/// How the gym plane lies on the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct View {
    /// px of the canvas per unit of the plane.
    pub scale: f64,
    mirrored: bool,
    /// The point of the plane in the middle, and the middle.
    around: Point,
    middle: Place,
}

impl View {
    /// Shows `extent` as large as it fits into `area`, but no leg longer than `longest_leg` px.
    pub fn fit(extent: Extent, area: Area, mirrored: bool, leg: f64, longest_leg: f64) -> Self {
        let (wide, high) = extent.size();
        let across = f64::from(area.wide()) / wide.max(1e-9);
        let up = f64::from(area.high()) / high.max(1e-9);
        Self {
            scale: across.min(up).min(longest_leg / leg),
            mirrored,
            around: half_way(extent.least, extent.most),
            middle: area.middle(),
        }
    }

    /// The same at another scale.
    pub fn at_scale(self, scale: f64) -> Self {
        Self { scale, ..self }
    }

    /// The same, with the plane's height `y` drawn at `bottom`.
    pub fn standing(self, y: f64, bottom: f32) -> Self {
        let around = Point::new(self.around.x, y);
        let middle = Place {
            x: self.middle.x,
            y: bottom,
        };
        Self { around, middle, ..self }
    }

    /// Where a point of the gym plane is drawn.
    pub fn place(&self, point: Point) -> Place {
        let ahead = (point.x - self.around.x) * self.scale;
        let ahead = if self.mirrored { -ahead } else { ahead };
        let up = (point.y - self.around.y) * self.scale;
        // Points far outside stay numbers that can be drawn.
        let bounded = |px: f64| px.clamp(-1e5, 1e5) as f32;
        Place {
            x: self.middle.x + bounded(ahead),
            y: self.middle.y - bounded(up),
        }
    }

    /// A length on the canvas.
    pub fn length(&self, units: f64) -> f32 {
        (units * self.scale).clamp(0.0, 1e5) as f32
    }
}

fn half_way(a: Point, b: Point) -> Point {
    Point::new(0.5 * (a.x + b.x), 0.5 * (a.y + b.y))
}
