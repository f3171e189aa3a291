//! Which frames are shown when: edit lists and the order of presentation.

use crate::contents::{Edit, Track};
use crate::limits::FRAMES;

/// Frames in the order they are shown: ticks of the track, and the index of the sample.
pub(crate) struct Shown {
    pub list: Vec<(i64, u32)>,
    /// Frames that the edit list leaves out.
    pub cut: usize,
    /// An edit asks for another speed.
    pub other_speed: bool,
    /// Frames dropped for carrying the time of another.
    pub twice: usize,
}

/// Applies the track's edit list. `film_ticks`: ticks per second of the film.
pub(crate) fn shown(track: &Track, film_ticks: u32) -> Shown {
    let samples = &track.samples;
    let indices = 0..samples.len() as u32;
    let mut list: Vec<(i64, u32)> = indices.map(|k| (samples[k as usize].shown, k)).collect();
    list.sort_unstable();
    let all = list.len();
    let said = track.edits.iter().any(|edit| edit.from.is_some());
    if said {
        list = edited(&list, &track.edits, track.ticks, film_ticks);
    }
    let cut = all.saturating_sub(list.len());
    let whole = list.len();
    // Ticks beyond what seconds hold to the last digit may be one time, too.
    list.dedup_by_key(|(time, _)| *time as f64 / f64::from(track.ticks));
    Shown {
        cut,
        other_speed: said
            && track
                .edits
                .iter()
                .any(|edit| edit.from.is_some() && edit.rate != 0x1_0000),
        twice: whole - list.len(),
        list,
    }
}

fn edited(all: &[(i64, u32)], edits: &[Edit], ticks: u32, film_ticks: u32) -> Vec<(i64, u32)> {
    let in_track = |film: u128| -> i64 {
        let scaled = (film * u128::from(ticks) + u128::from(film_ticks) / 2) / u128::from(film_ticks);
        i64::try_from(scaled).unwrap_or(i64::MAX)
    };
    let mut list = Vec::new();
    let mut start = 0u128;
    for edit in edits {
        let begin = in_track(start);
        start += u128::from(edit.lasts);
        let Some(from) = edit.from else { continue };
        let end = match edit.lasts {
            0 => i64::MAX,
            lasts => from.saturating_add(in_track(u128::from(lasts))),
        };
        let first = all.partition_point(|(time, _)| *time < from);
        for (time, sample) in &all[first..] {
            if *time >= end || list.len() >= FRAMES {
                break;
            }
            list.push((begin.saturating_add(time - from), *sample));
        }
    }
    list.sort_unstable();
    // A cut between frames: players put the first frame that is left where the cut is.
    let empty: u128 = edits
        .iter()
        .take_while(|edit| edit.from.is_none())
        .map(|edit| u128::from(edit.lasts))
        .sum();
    let early = list
        .first()
        .map_or(0, |(time, _)| time.saturating_sub(in_track(empty)).max(0));
    for (time, _) in &mut list {
        *time -= early;
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contents::Sample;

    /// Ten frames, 100 ticks apart, 1000 ticks a second; the film counts 600 a second.
    fn track(edits: &[(u64, Option<i64>)]) -> Track {
        let sample = |k: i64| Sample {
            offset: 0,
            size: 1,
            key: true,
            entry: 0,
            shown: 100 * k,
        };
        let edit = |(lasts, from): &(u64, Option<i64>)| Edit {
            lasts: *lasts,
            from: *from,
            rate: 0x1_0000,
        };
        Track {
            ticks: 1_000,
            samples: (0..10).map(sample).collect(),
            edits: edits.iter().map(edit).collect(),
            ..Track::default()
        }
    }

    #[test]
    fn edits_cut_shift_and_repeat() {
        let times = |edits: &[(u64, Option<i64>)]| shown(&track(edits), 600).list;
        assert_eq!(times(&[])[9], (900, 9));
        // From 0.3 s on, for 0.4 s.
        assert_eq!(times(&[(240, Some(300))]), [(0, 3), (100, 4), (200, 5), (300, 6)]);
        // Half a second of nothing first; up to the end.
        assert_eq!(times(&[(300, None), (0, Some(800))]), [(500, 8), (600, 9)]);
        // Two pieces, the later one first.
        assert_eq!(times(&[(60, Some(500)), (60, Some(0))]), [(0, 5), (100, 0)]);
        assert_eq!(shown(&track(&[(240, Some(300))]), 600).cut, 6);
        // A cut between frames.
        assert_eq!(times(&[(0, Some(750))]), [(0, 8), (100, 9)]);
        assert_eq!(times(&[(300, None), (0, Some(750))]), [(500, 8), (600, 9)]);
    }

    #[test]
    fn frames_of_one_time_are_told() {
        let mut track = track(&[]);
        track.samples[4].shown = 300;
        let shown = shown(&track, 600);
        assert_eq!((shown.list.len(), shown.twice), (9, 1));
    }

    #[test]
    fn a_clock_so_far_on_that_seconds_run_together_still_goes_forward() {
        let mut track = track(&[]);
        for (sample, by) in track.samples.iter_mut().zip(0..) {
            sample.shown = i64::MAX / 2 + by;
        }
        let shown = shown(&track, 600);
        assert_eq!((shown.list.len(), shown.twice), (1, 9));
    }
}
