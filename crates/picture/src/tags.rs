//! Where the numbers go: beside what they belong to, off the body and off each other.

use crate::canvas::{Canvas, Place};
use crate::view::Area;

/// What the body and the drawn angles cover, counted so that any rectangle is answered at once.
pub(crate) struct Covered {
    wide: usize,
    high: usize,
    /// Covered pixels above and left of each corner.
    sums: Vec<u32>,
}

impl Covered {
    /// Of a canvas: every pixel that is not of the colour `ground`.
    pub fn of(canvas: &Canvas, ground: [u8; 3]) -> Self {
        let pixels = canvas.pixels();
        let (wide, high) = (pixels.width() as usize, pixels.height() as usize);
        let mut sums = vec![0_u32; (wide + 1) * (high + 1)];
        for y in 0..high {
            let mut row = 0;
            for x in 0..wide {
                let pixel = pixels.pixels()[y * wide + x];
                row += u32::from([pixel.red(), pixel.green(), pixel.blue()] != ground);
                sums[(y + 1) * (wide + 1) + x + 1] = sums[y * (wide + 1) + x + 1] + row;
            }
        }
        Self { wide, high, sums }
    }

    /// Covered pixels in a rectangle.
    pub fn within(&self, area: Area) -> u32 {
        let x = |x: f32| (x.max(0.0) as usize).min(self.wide);
        let y = |y: f32| (y.max(0.0) as usize).min(self.high);
        let sum = |x: usize, y: usize| self.sums[y * (self.wide + 1) + x];
        let (left, right) = (x(area.left.floor()), x(area.right.ceil()));
        let (top, bottom) = (y(area.top.floor()), y(area.bottom.ceil()));
        if left >= right || top >= bottom {
            return 0;
        }
        sum(right, bottom) + sum(left, top) - sum(left, bottom) - sum(right, top)
    }
}

/// A number that wants a place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wanted {
    /// What it belongs to.
    pub anchor: Place,
    /// Where there should be room, as a direction on the canvas.
    pub out: Place,
    pub wide: f32,
    pub high: f32,
}

/// Distances that are tried, px.
const AWAY: [f32; 9] = [14.0, 30.0, 50.0, 75.0, 105.0, 140.0, 185.0, 240.0, 320.0];
/// Directions that are tried.
const DIRECTIONS: usize = 32;
/// Cost of a number for which nothing is free near by.
const NO_ROOM: f32 = 10_000.0;
/// Room between two numbers, px.
const APART: f32 = 8.0;

/// So many orders in which to place the numbers are tried.
const ORDERS: usize = 24;

/// Of more numbers than this only one order is tried.
const FEW: usize = 8;

/// A place for each number within `area`. None overlaps another as long as there is room for all.
pub(crate) fn places(wanted: &[Wanted], area: Area, covered: &Covered) -> Vec<Area> {
    let mut best: Option<(f32, Vec<Area>)> = None;
    let most = if wanted.len() > FEW { 1 } else { ORDERS };
    for order in orders(wanted.len()).into_iter().take(most) {
        let (cost, places) = in_order(wanted, &order, area, covered);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, places));
        }
    }
    best.map_or_else(Vec::new, |(_, places)| places)
}

/// Orders of so many things, each once, the given one first; not all of them where there are many.
fn orders(count: usize) -> Vec<Vec<usize>> {
    let mut orders = vec![Vec::new()];
    for next in 0..count {
        let longer = orders.iter().flat_map(|order: &Vec<usize>| {
            (0..=order.len()).rev().map(move |at| {
                let mut order = order.clone();
                order.insert(at, next);
                order
            })
        });
        orders = longer.take(ORDERS).collect();
    }
    orders
}

/// Places the numbers one after the other; with what it costs in all.
fn in_order(wanted: &[Wanted], order: &[usize], area: Area, covered: &Covered) -> (f32, Vec<Area>) {
    let mut whole = 0.0;
    let mut taken: Vec<(Area, [Place; 2])> = Vec::new();
    for &index in order {
        let tag = &wanted[index];
        let mut best: Option<(f32, Area)> = None;
        for place in candidates(tag) {
            if !area.holds(&place) || taken.iter().any(|(other, _)| other.inset(-APART).meets(&place)) {
                continue;
            }
            let cost = cost(tag, place, wanted, index, &taken, covered);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, place));
            }
        }
        let (cost, place) = best.unwrap_or_else(|| (NO_ROOM, free(tag, area, &taken)));
        whole += cost;
        taken.push((place, [tag.anchor, place.middle()]));
    }
    let mut places: Vec<(usize, Area)> = order
        .iter()
        .copied()
        .zip(taken.into_iter().map(|(place, _)| place))
        .collect();
    places.sort_by_key(|(index, _)| *index);
    (whole, places.into_iter().map(|(_, place)| place).collect())
}

fn candidates(tag: &Wanted) -> impl Iterator<Item = Area> + '_ {
    AWAY.into_iter().flat_map(move |away| {
        (0..DIRECTIONS).map(move |k| {
            let turn = std::f32::consts::TAU * k as f32 / DIRECTIONS as f32;
            let (across, down) = (turn.cos(), turn.sin());
            // Until the tag is clear of its anchor by `away`.
            let clear_x = 0.5 * tag.wide / across.abs().max(1e-3);
            let clear_y = 0.5 * tag.high / down.abs().max(1e-3);
            let far = away + clear_x.min(clear_y);
            let (x, y) = (tag.anchor.x + far * across, tag.anchor.y + far * down);
            Area::new(x - 0.5 * tag.wide, y - 0.5 * tag.high, tag.wide, tag.high)
        })
    })
}

fn cost(
    tag: &Wanted,
    place: Area,
    wanted: &[Wanted],
    index: usize,
    taken: &[(Area, [Place; 2])],
    covered: &Covered,
) -> f32 {
    let middle = place.middle();
    let leader = [tag.anchor, middle];
    let (x, y) = (middle.x - tag.anchor.x, middle.y - tag.anchor.y);
    let length = x.hypot(y).max(1.0);
    let inward = 1.0 - (x * tag.out.x + y * tag.out.y) / length;
    let mut cost = nearest_edge(tag.anchor, place) + 22.0 * inward;
    cost += 2.0 * covered.within(place.inset(-6.0)) as f32;
    // A line over the body is hard to follow.
    let crossed = (1..24).filter(|k| {
        let along = *k as f32 / 24.0;
        let (x, y) = (tag.anchor.x + along * x, tag.anchor.y + along * y);
        covered.within(Area::new(x - 1.0, y - 1.0, 2.0, 2.0)) > 0
    });
    cost += 5.0 * crossed.count() as f32;
    for (other, line) in taken {
        if crosses(leader, *line) || cuts(leader, *other) || cuts(*line, place) {
            cost += 400.0;
        }
    }
    let over = |other: &Wanted| {
        place
            .inset(-10.0)
            .meets(&Area::new(other.anchor.x, other.anchor.y, 0.5, 0.5))
    };
    let others = wanted
        .iter()
        .enumerate()
        .filter(|(k, other)| *k != index && over(other));
    cost + 300.0 * others.count() as f32
}

/// Distance from a place to a rectangle.
pub(crate) fn nearest_edge(from: Place, area: Area) -> f32 {
    let x = (area.left - from.x).max(from.x - area.right).max(0.0);
    let y = (area.top - from.y).max(from.y - area.bottom).max(0.0);
    x.hypot(y)
}

/// Whether two lines cross.
fn crosses([a, b]: [Place; 2], [c, d]: [Place; 2]) -> bool {
    let side = |a: Place, b: Place, p: Place| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

/// Whether a line goes through a rectangle.
fn cuts(line: [Place; 2], area: Area) -> bool {
    let corner = |x, y| Place { x, y };
    crosses(line, [corner(area.left, area.top), corner(area.right, area.bottom)])
        || crosses(line, [corner(area.right, area.top), corner(area.left, area.bottom)])
}

/// The first free place row by row from the top left corner; the corner itself if nothing is free.
fn free(tag: &Wanted, area: Area, taken: &[(Area, [Place; 2])]) -> Area {
    let mut top = area.top;
    while top + tag.high <= area.bottom {
        let mut left = area.left;
        while left + tag.wide <= area.right {
            let place = Area::new(left, top, tag.wide, tag.high);
            if !taken.iter().any(|(other, _)| other.meets(&place)) {
                return place;
            }
            left += 16.0;
        }
        top += 16.0;
    }
    Area::new(area.left, area.top, tag.wide, tag.high)
}
