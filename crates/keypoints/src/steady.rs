//! Whether the times of frames are those of a stated frame rate, but for their rounding.

/// Most decimals of a second that times are taken to be rounded to.
const MOST_DECIMALS: i32 = 9;
/// Most that a time may be off, as a share of the time from frame to frame: coarser times could be of another rate.
const MOST_SHARE: f64 = 0.25;

/// Whether each time lies at a tick of that rate, within the rounding of the times, most of them one tick after the other.
pub(crate) fn agrees(times: &[f64], rate_hz: f64) -> bool {
    let Some(first) = times.first() else { return false };
    let slack = rounding_s(times).min(MOST_SHARE / rate_hz);
    let mut last_tick = 0.0;
    let mut next_ticks = 0;
    for time in times {
        let tick = ((time - first) * rate_hz).round();
        // A millionth of the slack for the arithmetic.
        if (time - first - tick / rate_hz).abs() > slack * 1.000_001 {
            return false;
        }
        next_ticks += usize::from(tick - last_tick == 1.0);
        last_tick = tick;
    }
    times.len() > 1 && 2 * next_ticks > times.len() - 1
}

/// The step that all times are whole multiples of: 0.001 s where they have three decimals.
///
/// Two rounded times are off by half a step each at most, so their difference by a whole one.
fn rounding_s(times: &[f64]) -> f64 {
    let steps = (0..MOST_DECIMALS).map(|decimals| 10_f64.powi(decimals));
    let fits = |per_s: f64| {
        // As close as two neighbouring numbers of that size lie.
        let whole =
            |time: f64| (time * per_s - (time * per_s).round()).abs() <= 4.0 * f64::EPSILON * (time * per_s).abs();
        times.iter().all(|time| whole(*time))
    };
    1.0 / steps
        .into_iter()
        .find(|per_s| fits(*per_s))
        .unwrap_or(10_f64.powi(MOST_DECIMALS))
}

#[cfg(test)]
mod tests {
    use super::agrees;

    fn times(rate_hz: f64, per_s: f64, start: f64) -> Vec<f64> {
        (0..150)
            .map(|frame| ((start + f64::from(frame) / rate_hz) * per_s).round() / per_s)
            .collect()
    }

    #[test]
    fn rounded_times_agree_with_their_rate_and_with_no_other() {
        for per_s in [1e2, 1e3, 1e6, 1e9, 1e15] {
            for start in [0.0, 0.001_656, 734.25] {
                let times = times(60.0, per_s, start);
                assert!(agrees(&times, 60.0), "{per_s} {start}");
                for other in [50.0, 59.0, 59.8, 60.25, 30.0, 120.0] {
                    assert!(!agrees(&times, other), "{per_s} {start} {other}");
                }
            }
        }
        assert!(agrees(&times(59.94, 1e3, 0.0), 59.94));
        assert!(!agrees(&times(59.94, 1e3, 0.0), 60.0));
    }

    #[test]
    fn a_lost_frame_is_no_other_rate() {
        let mut some = times(60.0, 1e6, 0.0);
        some.remove(7);
        assert!(agrees(&some, 60.0));
        let halved: Vec<f64> = some.into_iter().step_by(2).collect();
        assert!(!agrees(&halved, 60.0));
        assert!(!agrees(&[], 60.0) && !agrees(&[0.0], 60.0));
    }

    #[test]
    fn uneven_times_agree_with_no_rate() {
        let mut uneven = times(60.0, 1e6, 0.0);
        uneven[40] += 0.000_012;
        assert!(!agrees(&uneven, 60.0));
    }
}
