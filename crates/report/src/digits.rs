//! How many digits a number deserves.

use springline_kinematics::Unit;

/// Rounded to a millionth, so that the same clip gives the same file on every machine.
///
/// ```
/// assert_eq!(springline_report::millionth(0.123_456_78), 0.123_457);
/// assert_eq!(springline_report::millionth(1e305), 1e305);
/// ```
#[must_use]
pub fn millionth(value: f64) -> f64 {
    // From here on doubles are whole numbers anyway.
    if value.abs() >= 1e16 {
        return value;
    }
    let rounded = (value * 1e6).round() / 1e6;
    // No "-0".
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Decimals that a coach reads in a unit.
fn usual_decimals(unit: Unit) -> usize {
    match unit {
        Unit::Degrees | Unit::Pixels | Unit::Percent => 1,
        Unit::LegLengths | Unit::Metres | Unit::Ratio => 2,
        Unit::Seconds => 3,
    }
}

/// Decimals for a value of that uncertainty: the usual ones of the unit, fewer when the last would say nothing, more
/// (three at most) when the uncertainty would read 0.
fn decimals(sd: f64, unit: Unit) -> usize {
    let mut count = usual_decimals(unit);
    while count > 0 && sd >= 100.0 * 10f64.powi(-i32::try_from(count).unwrap_or(0)) {
        count -= 1;
    }
    let most = usual_decimals(unit) + 3;
    while count < most && sd > 0.0 && sd < 0.5 * 10f64.powi(-i32::try_from(count).unwrap_or(0)) {
        count += 1;
    }
    count
}

/// A number of fixed decimals, never "-0".
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        _ => text,
    }
}

/// `171.3 ± 2.8`, digits by the uncertainty.
///
/// ```
/// use springline_kinematics::Unit;
/// use springline_report::with_sd;
/// assert_eq!(with_sd(171.28, 2.83, Unit::Degrees), "171.3 ± 2.8");
/// assert_eq!(with_sd(171.28, 11.2, Unit::Degrees), "171 ± 11");
/// assert_eq!(with_sd(180.0, 0.004, Unit::Degrees), "180.000 ± 0.004");
/// assert_eq!(with_sd(-0.0004, 0.012, Unit::Seconds), "0.000 ± 0.012");
/// ```
#[must_use]
pub fn with_sd(value: f64, sd: f64, unit: Unit) -> String {
    let count = decimals(sd, unit);
    format!("{} ± {}", fixed(value, count), fixed(sd, count))
}

/// A limit or a plain number as it was written, without trailing zeros.
#[must_use]
pub fn amount(value: f64) -> String {
    let rounded = millionth(value);
    format!("{rounded}")
}

/// The unit in words, for after a number; empty for a plain ratio.
#[must_use]
pub fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "degrees",
        Unit::LegLengths => "leg lengths",
        Unit::Seconds => "s",
        Unit::Metres => "m",
        Unit::Pixels => "px",
        Unit::Percent => "%",
        Unit::Ratio => "",
    }
}
