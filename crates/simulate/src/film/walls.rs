//! The wall: plaster over a painted band, wall bars, windows, a door, posters.

use super::hall::Hall;
use super::space::{V3, clouds, colour, mix, smooth, speckle, v};

/// Light from a place on a wall.
pub(crate) fn look(hall: &Hall, p: V3, normal: V3) -> V3 {
    let y = p.y - hall.floor_m;
    // Along the wall.
    let x = if normal.z > 0.5 { p.x } else { p.z };
    let worn = 0.9 + 0.2 * clouds(v(1.3 * x, 1.3 * y, 0.0), hall.seed ^ 21);
    let pore = 1.0 + 0.12 * (clouds(v(35.0 * x, 35.0 * y, 1.0), hall.seed ^ 22) - 0.5);
    let open = smooth(-0.25, 0.6, y).max(0.4);
    let mut tone = if y < 1.25 { hall.dado } else { hall.wall } * worn * pore;
    if (y - 1.25).abs() < 0.02 {
        tone = mix(tone, colour(90, 84, 76), 0.7);
    }
    if y < 0.1 {
        tone = colour(82, 74, 66);
    }
    if normal.z < 0.5 {
        return hall.lit(tone, normal, 0.85 * open);
    }
    // Fields of 2.2 m, each with something of its own.
    let field = (x / 2.2).floor();
    let across = x - 2.2 * field;
    let kind = (speckle(field as i32, 0, 5, hall.seed) * 4.0) as i32;
    match kind {
        0 if (0.15..2.05).contains(&across) && y < 2.65 => bars(hall, across - 0.15, y, tone, normal, open),
        1 if y > 1.9 => window(hall, across, y, tone, normal),
        2 if (0.5..1.5).contains(&across) && y < 2.05 => {
            let frame = !(0.56..1.44).contains(&across) || y > 1.99;
            let leaf = if frame {
                colour(100, 104, 108)
            } else {
                colour(148, 152, 150)
            };
            let handle = (across - 0.66).hypot(y - 1.02) < 0.03;
            let tone = if handle { colour(40, 40, 42) } else { leaf * worn };
            hall.lit(tone, normal, open)
        }
        3 if (0.5..1.45).contains(&across) && (1.45..2.1).contains(&y) => {
            let rim = !(0.53..1.42).contains(&across) || !(1.48..2.07).contains(&y);
            let blob = clouds(v(3.0 * across, 4.0 * y, field), hall.seed ^ 23);
            let poster = mix(colour(214, 190, 96), colour(54, 84, 132), smooth(0.42, 0.58, blob));
            hall.lit(if rim { colour(240, 240, 236) } else { poster }, normal, open)
        }
        _ => hall.lit(tone, normal, open),
    }
}

/// Wall bars: rungs 14 cm apart between posts.
fn bars(hall: &Hall, x: f32, y: f32, behind: V3, normal: V3, open: f32) -> V3 {
    let timber = colour(190, 146, 96);
    let post = (x / 0.95 - (x / 0.95).round()).abs() * 0.95;
    if post < 0.035 && y < 2.6 {
        let grain = 0.8 + 0.4 * clouds(v(60.0 * x, 4.0 * y, 0.0), hall.seed ^ 24);
        return hall.lit(timber * grain, normal, open);
    }
    let step = y / 0.14 - (y / 0.14).floor();
    let d = (step - 0.5) * 0.14;
    if y > 0.2 && d.abs() < 0.018 {
        // Round rungs: lighter on top.
        let up = d / 0.018;
        let round = v(0.0, up, (1.0 - up * up).max(0.0).sqrt());
        return hall.lit(timber, round, open);
    }
    // The rung's shadow falls on the wall a little lower.
    let shadow = smooth(0.03, 0.012, (d + 0.035).abs());
    hall.lit(behind * (1.0 - 0.45 * shadow), normal, 0.85 * open)
}

/// A bright window with bars and a grey outside.
fn window(hall: &Hall, x: f32, y: f32, wall: V3, normal: V3) -> V3 {
    if !(0.2..2.0).contains(&x) || !(2.0..3.6).contains(&y) {
        return hall.lit(wall, normal, 1.0);
    }
    let (u, w) = (((x - 0.2) / 0.6).fract(), ((y - 2.0) / 0.8).fract());
    if u.min(1.0 - u) < 0.06 || w.min(1.0 - w) < 0.045 {
        return hall.lit(colour(180, 180, 178), normal, 1.0);
    }
    let outside = clouds(v(1.6 * x, 1.1 * y, 7.0), hall.seed ^ 25);
    mix(v(0.95, 1.0, 1.06), v(0.55, 0.68, 0.6), smooth(0.5, 0.7, outside))
}
