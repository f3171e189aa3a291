//! The body, the floor and the angles on a canvas.

use std::f64::consts::FRAC_PI_2;

use springline_kinematics::{Point, Vector};

use crate::body::{Body, Part, Tone, unit};
use crate::canvas::{Canvas, Place, circle};
use crate::palette::{ANGLE, Colour, EDGE, FAR, FIELD, FLOOR, INK, NEAR, TRUNK, WEDGE};
use crate::scene::{Floor, Scene};
use crate::sketch::Sketch;
use crate::view::{Area, View};

/// Half the length of a surface under one contact, leg lengths.
const HALF_PIECE: f64 = 0.45;
/// A contact is marked by a bar this long, leg lengths.
const BAR: f64 = 0.26;

/// The floor where it is known, from edge to edge of `area`.
pub(crate) fn floor(canvas: &mut Canvas, view: &View, scene: &Scene, area: Area) {
    for floor in &scene.floor {
        let (left, right, y) = match *floor {
            Floor::Level(y) => (area.left, area.right, view.place(Point::new(0.0, y)).y),
            Floor::Piece { x, y } => {
                let middle = view.place(Point::new(x, y));
                let half = view.length(HALF_PIECE * scene.known.leg);
                (
                    (middle.x - half).max(area.left),
                    (middle.x + half).min(area.right),
                    middle.y,
                )
            }
        };
        if y < area.top || y > area.bottom || left >= right {
            continue;
        }
        let level = |x| Place { x, y };
        canvas.line(&[level(left), level(right)], 4.0, FLOOR);
    }
}

/// Bars under the hands and feet that are down.
pub(crate) fn contacts(canvas: &mut Canvas, view: &View, scene: &Scene) {
    for point in scene.down.iter().filter_map(|landmark| scene.pose.at(*landmark)) {
        let heights = scene.floor.iter().map(|floor| match *floor {
            Floor::Level(y) | Floor::Piece { y, .. } => y,
        });
        let nearest = heights.min_by(|a, b| (a - point.y).abs().total_cmp(&(b - point.y).abs()));
        let under = view.place(Point::new(point.x, nearest.unwrap_or(point.y)));
        let half = 0.5 * view.length(BAR * scene.known.leg);
        let bar = Area::new(under.x - half, under.y, 2.0 * half, 11.0);
        canvas.block(bar, INK);
    }
}

/// The whole figure.
pub(crate) fn body(canvas: &mut Canvas, view: &View, body: &Body, scene: &Scene) {
    for part in &body.behind {
        limb(canvas, view, part);
    }
    if let Some(head) = body.head {
        let (middle, radius) = (view.place(head.middle), view.length(head.radius));
        canvas.disc(middle, radius + 2.5, EDGE);
        if let Some(out) = head.nose.and_then(|nose| unit(nose - head.middle)) {
            let tip = view.place(head.middle + out * 1.12 * head.radius);
            canvas.fill(&hull(vec![(middle, 0.6 * radius), (tip, 0.13 * radius)]), TRUNK);
        }
        if head.seen {
            canvas.disc(middle, radius, TRUNK);
        } else {
            canvas.disc(middle, radius, FIELD);
            let mut around = circle(middle, radius - 2.0);
            around.extend(around.first().copied());
            canvas.dashes(&around, 4.0, TRUNK);
        }
    }
    for part in &body.before {
        limb(canvas, view, part);
    }
    // Hollow ones last, so that none is hidden by its fellow of the other side.
    let mut joints: Vec<_> = body.joints.iter().collect();
    joints.sort_by_key(|(landmark, ..)| scene.hollow.contains(landmark));
    for (landmark, at, half) in joints {
        let near = landmark.side() == Some(scene.known.near);
        let (middle, half) = (view.place(*at), view.length(*half));
        if scene.hollow.contains(landmark) {
            canvas.disc(middle, half + 5.0, FIELD);
            canvas.ring(middle, half + 3.0, 5.0, if near { NEAR } else { FLOOR });
        } else {
            canvas.disc(middle, (0.34 * half).max(3.5), if near { FAR } else { FIELD });
        }
    }
}

fn limb(canvas: &mut Canvas, view: &View, part: &Part) {
    let discs = part.discs.iter();
    let outline = hull(
        discs
            .map(|(at, radius)| (view.place(*at), view.length(*radius)))
            .collect(),
    );
    canvas.edge(&outline, 5.0, EDGE);
    canvas.fill(&outline, shade(part.tone));
}

fn shade(tone: Tone) -> Colour {
    match tone {
        Tone::Near => NEAR,
        Tone::Trunk => TRUNK,
        Tone::Far => FAR,
    }
}

/// Everything that the body covers, in one colour: where nothing else may be written.
pub(crate) fn shadow(canvas: &mut Canvas, view: &View, body: &Body, colour: Colour) {
    for part in body.behind.iter().chain(&body.before) {
        let discs = part.discs.iter();
        let outline = hull(
            discs
                .map(|(at, radius)| (view.place(*at), view.length(*radius)))
                .collect(),
        );
        canvas.fill(&outline, colour);
    }
    if let Some(head) = body.head {
        canvas.disc(view.place(head.middle), view.length(head.radius), colour);
    }
}

/// The wedge of an angle; it lies under the body.
pub(crate) fn wedge(canvas: &mut Canvas, view: &View, sketch: &Sketch, reach: f64) {
    let (vertex, from, sweep, reach) = match *sketch {
        Sketch::Angle { vertex, from, sweep } => (vertex, from, sweep, reach),
        Sketch::Lean { foot, sweep, length } => (foot, FRAC_PI_2, sweep, 0.8 * length),
        _ => return,
    };
    let mut corners = vec![view.place(vertex)];
    corners.extend(arc(view, vertex, from, sweep, reach));
    canvas.fill(&corners, WEDGE);
}

/// The lines of a measure; they lie over the body.
pub(crate) fn lines(canvas: &mut Canvas, view: &View, sketch: &Sketch, reach: f64, leg: f64, colour: Colour) {
    match *sketch {
        Sketch::Angle { vertex, from, sweep } => {
            for turn in [from, from + sweep] {
                let out = vertex + toward(turn) * 1.25 * reach;
                canvas.line(&[view.place(vertex), view.place(out)], 4.0, colour);
            }
            canvas.line(&arc(view, vertex, from, sweep, reach), 6.0, colour);
        }
        Sketch::Lean { foot, sweep, length } => {
            let end = |turn: f64| view.place(foot + toward(FRAC_PI_2 + turn) * length);
            canvas.dashes(&[view.place(foot), end(0.0)], 4.0, colour);
            canvas.line(&[view.place(foot), end(sweep)], 4.0, colour);
            canvas.line(&arc(view, foot, FRAC_PI_2, sweep, 0.8 * length), 6.0, colour);
        }
        Sketch::Span { from, to, y } => {
            let tick = 0.06 * leg;
            for end in [from, to] {
                let from_body = [view.place(end), view.place(Point::new(end.x, y))];
                canvas.dashes(&from_body, 3.0, colour);
                let ends = [y - tick, y + tick].map(|y| view.place(Point::new(end.x, y)));
                canvas.line(&ends, 5.0, colour);
            }
            canvas.line(&[from, to].map(|end| view.place(Point::new(end.x, y))), 5.0, colour);
        }
        Sketch::Chord { from, to } => canvas.line(&[view.place(from), view.place(to)], 5.0, colour),
        Sketch::Spot { at } => canvas.ring(view.place(at), view.length(0.07 * leg), 5.0, colour),
    }
}

/// In the colour of angles.
pub(crate) fn measure(canvas: &mut Canvas, view: &View, sketch: &Sketch, reach: f64, leg: f64) {
    lines(canvas, view, sketch, reach, leg, ANGLE);
}

fn arc(view: &View, vertex: Point, from: f64, sweep: f64, reach: f64) -> Vec<Place> {
    (0..=40)
        .map(|k| view.place(vertex + toward(from + sweep * f64::from(k) / 40.0) * reach))
        .collect()
}

fn toward(direction: f64) -> Vector {
    Vector::new(direction.cos(), direction.sin())
}

/// The convex outline of discs.
pub(crate) fn hull(discs: Vec<(Place, f32)>) -> Vec<Place> {
    let mut points: Vec<Place> = discs.into_iter().flat_map(|(at, radius)| circle(at, radius)).collect();
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let mut outline = half_hull(points.iter().copied());
    outline.extend(half_hull(points.iter().rev().copied()));
    outline
}

/// One side of the convex outline of points in order, without its last point.
fn half_hull(points: impl Iterator<Item = Place>) -> Vec<Place> {
    let mut chain: Vec<Place> = Vec::new();
    for point in points {
        while let [.., a, b] = chain[..] {
            let turn = (b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x);
            if turn > 0.0 {
                break;
            }
            chain.pop();
        }
        chain.push(point);
    }
    chain.pop();
    chain
}
