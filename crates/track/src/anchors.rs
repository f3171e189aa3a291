//! The clicks, each landmark with its own, on the frames of the clip.

use springline_keypoints::{Attempt, Origin};
use springline_kinematics::Landmark;

use crate::Error;
use crate::body::{Places, apart};

/// Leg length (hip, knee, ankle) as a share of stature [M].
const LEG_OF_STATURE: f64 = 0.49;
/// Times fit if they are no farther off than this share of the clip's frame interval.
const OFF: f64 = 0.3;
/// Points so far past the edges, as a share of the picture, belong to another one.
const OUTSIDE: f64 = 0.25;

/// A click, or a point that another tool's file had: it stays as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Anchor {
    pub frame: usize,
    pub place: [f64; 2],
    /// Sd per axis, px.
    pub sd: f64,
    /// Where the file says that it came from.
    pub origin: Origin,
}

/// What is known of each landmark, in order of frames.
#[derive(Clone, Debug)]
pub(crate) struct Anchors {
    pub of: Vec<Vec<Anchor>>,
}

impl Anchors {
    /// Clicks of an attempt. `times` and `size` are the clip's.
    pub(crate) fn new(clicked: &Attempt, times: &[f64], size: (u32, u32)) -> Result<Self, Error> {
        let mut of = vec![Vec::new(); Landmark::COUNT];
        take(clicked, times, size, &mut of)?;
        if of.iter().all(Vec::is_empty) {
            return Err(Error::NoClicks {
                file: clicked.source.clone(),
            });
        }
        Ok(Self { of })
    }

    pub(crate) fn at(&self, landmark: usize, frame: usize) -> Option<&Anchor> {
        let all = &self.of[landmark];
        all.binary_search_by_key(&frame, |anchor| anchor.frame)
            .ok()
            .map(|at| &all[at])
    }

    /// First and last frame with an anchor.
    pub(crate) fn span(&self) -> Option<(usize, usize)> {
        let frames = || self.of.iter().flatten().map(|anchor| anchor.frame);
        Some((frames().min()?, frames().max()?))
    }

    /// Stature in px: given, else from the longest legs that were clicked.
    pub(crate) fn stature_px(&self, clicked: &Attempt) -> Result<f64, Error> {
        let given = &clicked.given;
        let by_scale = || Some(given.stature_m? / given.metres_per_px?.0);
        if let Some(px) = given.stature_px.or_else(by_scale) {
            return Ok(px);
        }
        let mut legs: Vec<f64> = Vec::new();
        for [hip, knee, ankle] in [
            [Landmark::LeftHip, Landmark::LeftKnee, Landmark::LeftAnkle],
            [Landmark::RightHip, Landmark::RightKnee, Landmark::RightAnkle],
        ]
        .map(|leg| leg.map(Landmark::index))
        {
            legs.extend(self.of[hip].iter().filter_map(|anchor| {
                let (knee, ankle) = (self.at(knee, anchor.frame)?, self.at(ankle, anchor.frame)?);
                Some(apart(anchor.place, knee.place) + apart(knee.place, ankle.place))
            }));
        }
        legs.sort_by(f64::total_cmp);
        // Most legs look shorter than they are, turned out of the picture; the very longest is noise.
        let leg = legs
            .get(legs.len().saturating_sub(1) * 3 / 4)
            .filter(|leg| **leg >= 4.0);
        leg.map(|leg| leg / LEG_OF_STATURE).ok_or_else(|| Error::NoStature {
            file: clicked.source.clone(),
        })
    }
}

fn take(attempt: &Attempt, times: &[f64], size: (u32, u32), of: &mut [Vec<Anchor>]) -> Result<(), Error> {
    let (width, height) = (f64::from(size.0), f64::from(size.1));
    if let Some(found) = attempt.picture.filter(|found| *found != (width, height)) {
        return Err(Error::OtherSize {
            file: attempt.source.clone(),
            found,
            expected: size,
        });
    }
    let tracks = &attempt.tracks;
    if tracks.len() > times.len() {
        return Err(Error::MoreFrames {
            file: attempt.source.clone(),
            found: tracks.len(),
            expected: times.len(),
        });
    }
    let interval = match (times.first(), times.last()) {
        (Some(first), Some(last)) if times.len() > 1 => (last - first) / (times.len() - 1) as f64,
        _ => 1.0,
    };
    for (frame, time) in tracks.times.iter().enumerate() {
        // What was drafted or followed before is no click: joined with clicks, drafts make points worse.
        let seen = Landmark::ALL.into_iter().filter(|landmark| {
            matches!(
                attempt.origin(*landmark, frame),
                Some(Origin::Clicked | Origin::Imported)
            )
        });
        let mut place = None;
        for landmark in seen {
            let at = match place {
                Some(at) => at,
                None => in_clip(attempt, frame, *time, times, interval)?,
            };
            place = Some(at);
            let Some(point) = tracks.at(landmark, frame) else {
                continue;
            };
            let (past_x, past_y) = (OUTSIDE * width, OUTSIDE * height);
            let inside =
                (-past_x..=width + past_x).contains(&point.x) && (-past_y..=height + past_y).contains(&point.y);
            if !inside {
                return Err(Error::Outside {
                    file: attempt.source.clone(),
                    frame,
                    landmark: landmark.id(),
                    found: [point.x, point.y],
                    expected: size,
                });
            }
            of[landmark.index()].push(Anchor {
                frame: at,
                place: [point.x, point.y],
                sd: tracks.sd_at(landmark, frame).max(0.05),
                origin: attempt.origins.of(landmark, frame),
            });
        }
    }
    for of in of {
        of.dedup_by_key(|anchor| anchor.frame);
    }
    Ok(())
}

/// The clip's frame at a time of the file; frame for frame where there are as many.
fn in_clip(attempt: &Attempt, frame: usize, time: f64, times: &[f64], interval: f64) -> Result<usize, Error> {
    if attempt.tracks.len() == times.len() {
        return Ok(frame);
    }
    let after = times.partition_point(|other| *other < time);
    let near = [after.checked_sub(1), Some(after)]
        .into_iter()
        .flatten()
        .filter(|at| *at < times.len())
        .min_by(|a, b| (times[*a] - time).abs().total_cmp(&(times[*b] - time).abs()));
    match near {
        Some(at) if (times[at] - time).abs() <= OFF * interval => Ok(at),
        near => Err(Error::OtherFrames {
            file: attempt.source.clone(),
            frame,
            time_s: time,
            nearest_s: near.map_or(0.0, |at| times[at]),
        }),
    }
}

/// Each landmark's path through its anchors, smooth between them and still before the first and after the last.
pub(crate) fn paths(anchors: &Anchors, frames: usize) -> Vec<Places> {
    let mut paths = vec![[None; Landmark::COUNT]; frames];
    for (landmark, all) in anchors.of.iter().enumerate() {
        let through: Vec<&Anchor> = all.iter().collect();
        let slopes = slopes(&through);
        let (Some(first), Some(last)) = (through.first(), through.last()) else {
            continue;
        };
        let mut next = 1;
        for (frame, places) in paths.iter_mut().enumerate() {
            while next + 1 < through.len() && through[next].frame <= frame {
                next += 1;
            }
            places[landmark] = Some(if frame <= first.frame {
                first.place
            } else if frame >= last.frame {
                last.place
            } else {
                between(through[next - 1], through[next], slopes[next - 1], slopes[next], frame)
            });
        }
    }
    paths
}

fn slopes(through: &[&Anchor]) -> Vec<[f64; 2]> {
    let rise = |a: &Anchor, b: &Anchor| -> ([f64; 2], f64) {
        let frames = (b.frame - a.frame) as f64;
        (
            std::array::from_fn(|axis| (b.place[axis] - a.place[axis]) / frames),
            frames,
        )
    };
    (0..through.len())
        .map(|at| {
            let before = at.checked_sub(1).map(|before| rise(through[before], through[at]));
            let after = through.get(at + 1).map(|after| rise(through[at], after));
            match (before, after) {
                (Some((a, before)), Some((b, after))) => {
                    std::array::from_fn(|axis| (a[axis] * after + b[axis] * before) / (before + after))
                }
                (Some((one, _)), None) | (None, Some((one, _))) => one,
                (None, None) => [0.0; 2],
            }
        })
        .collect()
}

/// Cubic with the slopes at both ends.
fn between(a: &Anchor, b: &Anchor, from: [f64; 2], to: [f64; 2], frame: usize) -> [f64; 2] {
    let length = (b.frame - a.frame) as f64;
    let t = (frame - a.frame) as f64 / length;
    let (t2, t3) = (t * t, t * t * t);
    std::array::from_fn(|axis| {
        (2.0 * t3 - 3.0 * t2 + 1.0) * a.place[axis]
            + (t3 - 2.0 * t2 + t) * length * from[axis]
            + (3.0 * t2 - 2.0 * t3) * b.place[axis]
            + (t3 - t2) * length * to[axis]
    })
}
