//! A value's place on its band, drawn in text.

use crate::record::BandEntry;

/// Cells of a ruler.
pub const RULER_CELLS: usize = 21;

/// A ruler of [`RULER_CELLS`] cells: `━` inside the band, `·` outside, `┃` at its limits, `mark` where the value lies.
/// A value off the ruler stands at its end behind `‹` or before `›`.
///
/// ```
/// use springline_report::{BandEntry, ruler};
/// let band = BandEntry {
///     at_least: Some(165.0),
///     at_most: None,
///     medium_beyond: 15.0,
///     large_beyond: 30.0,
///     basis: String::new(),
/// };
/// assert_eq!(ruler(&band, 150.0, '◆'), "······◆···┃━━━━━━━━━━");
/// assert_eq!(ruler(&band, 178.0, '●'), "··········┃━━●━━━━━━━");
/// assert_eq!(ruler(&band, 12.0, '◆'), "‹◆········┃━━━━━━━━━━");
/// ```
#[must_use]
pub fn ruler(band: &BandEntry, value: f64, mark: char) -> String {
    let Some((low, high)) = ends(band) else {
        return String::new();
    };
    let last = RULER_CELLS - 1;
    let step = (high - low) / last as f64;
    if step <= 0.0 || !step.is_finite() {
        return String::new();
    }
    let place = |x: f64| ((x - low) / step).round().clamp(-1.0, last as f64 + 1.0);
    let cell = |x: f64| place(x).clamp(0.0, last as f64) as usize;
    let inside = |k: usize| {
        band.at_least.is_none_or(|limit| k >= cell(limit)) && band.at_most.is_none_or(|limit| k <= cell(limit))
    };
    let mut cells: Vec<char> = (0..RULER_CELLS).map(|k| if inside(k) { '━' } else { '·' }).collect();
    for limit in [band.at_least, band.at_most].into_iter().flatten() {
        cells[cell(limit)] = '┃';
    }
    let at = place(value);
    if at < 0.0 {
        cells[0] = '‹';
        cells[1] = mark;
    } else if at > last as f64 {
        cells[last] = '›';
        cells[last - 1] = mark;
    } else {
        let mut at = at as usize;
        // A value outside the band is never drawn on or inside its limit, nor the other way round.
        if band.at_least.is_some_and(|limit| value < limit && at == cell(limit)) {
            at = at.saturating_sub(1);
        }
        if band.at_most.is_some_and(|limit| value > limit && at == cell(limit)) {
            at = (at + 1).min(last);
        }
        cells[at] = mark;
    }
    cells.into_iter().collect()
}

/// Values at both ends: a large miss and a quarter beyond fits outside each limit.
fn ends(band: &BandEntry) -> Option<(f64, f64)> {
    let span = 1.25 * band.large_beyond.abs().max(1e-9);
    match (band.at_least, band.at_most) {
        (Some(low), Some(high)) => {
            let wide = high - low;
            let span = if wide > 0.0 {
                span.clamp(0.25 * wide, wide)
            } else {
                span
            };
            Some((low - span, high + span))
        }
        (Some(limit), None) | (None, Some(limit)) => Some((limit - span, limit + span)),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_stands_on_the_side_of_the_limit_where_the_value_lies() {
        let limits = [
            (Some(165.0), None),
            (None, Some(15.0)),
            (Some(-5.0), Some(20.0)),
            (Some(0.0), Some(0.0)),
        ];
        for (at_least, at_most) in limits {
            for large_beyond in [0.0, 0.3, 30.0] {
                let band = BandEntry {
                    at_least,
                    at_most,
                    medium_beyond: large_beyond / 2.0,
                    large_beyond,
                    basis: String::new(),
                };
                for step in -400..=800 {
                    let value = f64::from(step) * 0.5 + 0.01;
                    let drawn: Vec<char> = ruler(&band, value, 'M').chars().collect();
                    assert_eq!(drawn.len(), RULER_CELLS);
                    let mark = drawn.iter().position(|cell| *cell == 'M').expect("a mark");
                    let bar = |from_left: bool| {
                        let bars = drawn
                            .iter()
                            .enumerate()
                            .filter(|(_, cell)| **cell == '┃')
                            .map(|(at, _)| at);
                        if from_left { bars.min() } else { bars.max() }
                    };
                    if at_least.is_some_and(|limit| value < limit) {
                        assert!(bar(true).is_none_or(|bar| mark < bar), "{value} {drawn:?}");
                    }
                    if at_most.is_some_and(|limit| value > limit) {
                        assert!(bar(false).is_none_or(|bar| mark > bar), "{value} {drawn:?}");
                    }
                }
            }
        }
    }
}
