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
            let span = span.min(high - low).max(0.25 * (high - low));
            Some((low - span, high + span))
        }
        (Some(limit), None) | (None, Some(limit)) => Some((limit - span, limit + span)),
        (None, None) => None,
    }
}
