//! Times without a unit that can't be seconds: frame numbers, or milliseconds.

use crate::error::Error;
use crate::sheet::TimesIn;

/// Rates at which films of gymnastics are taken, per second; only these are believed of milliseconds.
const FILM_HZ: (f64, f64) = (15.0, 300.0);

/// Times that turned out to be something else than seconds, as seconds.
pub(crate) struct Taken {
    pub times: Vec<f64>,
    /// What they were taken for.
    pub remark: String,
}

/// Seconds from times that are frame numbers or milliseconds; `None` where they may be seconds.
///
/// Whole numbers that mostly go up by 1 would be one frame per second, which shows no skill.
pub(crate) fn taken(
    file: &str,
    times: &[f64],
    times_in: TimesIn,
    rate_hz: Option<f64>,
) -> Result<Option<Taken>, Error> {
    if times_in == TimesIn::Stated || times.len() < 3 {
        return Ok(None);
    }
    let steps = || times.windows(2).map(|pair| pair[1] - pair[0]);
    if !steps().all(|step| step > 0.0) {
        return Ok(None);
    }
    let first = times[0];
    let next = steps().filter(|step| *step == 1.0).count();
    if times.iter().all(|time| time.fract() == 0.0) && 2 * next > times.len() - 1 {
        let Some(rate) = rate_hz else {
            return Err(Error::FrameNumbers {
                file: file.to_owned(),
                first: [times[0], times[1], times[2]],
            });
        };
        return Ok(Some(Taken {
            times: times.iter().map(|time| (time - first) / rate).collect(),
            remark: format!(
                "the times {first}, {}, {}, ... are frame numbers, not seconds; with {rate} frames per second they \
                 became times",
                times[1], times[2]
            ),
        }));
    }
    if times_in == TimesIn::Form {
        return Ok(None);
    }
    let middle = crate::frames::median(steps().collect()).unwrap_or(0.0);
    if !(FILM_HZ.0..=FILM_HZ.1).contains(&(1000.0 / middle)) {
        return Ok(None);
    }
    // Whole milliseconds are 16, 17, 17: their mean is nearer than their median, but for gaps.
    let usual: Vec<f64> = steps().filter(|step| *step < 1.5 * middle).collect();
    #[allow(clippy::cast_precision_loss)]
    let mean = usual.iter().sum::<f64>() / usual.len().max(1) as f64;
    Ok(Some(Taken {
        times: times.iter().map(|time| time / 1000.0).collect(),
        remark: format!(
            "the times look like milliseconds ({:.4} frames per second) and were taken as such",
            1000.0 / mean
        )
        .replace(".0000 ", " "),
    }))
}
