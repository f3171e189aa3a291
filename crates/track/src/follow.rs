//! From clicks to points on every frame.

use springline_keypoints::{Attempt, Origin};
use springline_kinematics::Landmark;

use crate::anchors::{Anchors, paths};
use crate::blend::{Blended, Trust, blend};
use crate::body::{Places, limbs};
use crate::flow::Flow;
use crate::sweep::{Setting, Steps, reel, sweep};
use crate::{Error, Frames};

/// Points less sure than this want a look, as a share of stature (our choice).
const DOUBTFUL_OF_STATURE: f64 = 0.01;
/// Points less sure than this are left out, as a share of stature (our choice).
const LEFT_OUT_OF_STATURE: f64 = 0.04;
/// Longest stretch before the first click and after the last in which anything is followed, s (our choice).
const PAST_CLICKS_S: f64 = 1.0;
/// Beyond the last click a landmark is followed until it has been doubtful for so long, s.
const DOUBTFUL_S: f64 = 0.25;

/// One point of a frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Place in the picture, px, y down.
    pub place: [f64; 2],
    /// Sd per axis, px.
    pub sd: f64,
    /// A person or another tool's file put it there, and it is as it was.
    pub clicked: bool,
    /// Where it came from.
    pub origin: Origin,
    /// It wants a look.
    pub doubtful: bool,
}

/// Points on every frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Tracked {
    /// Width and height of the picture, px.
    pub size: (u32, u32),
    /// Time of each frame, s.
    pub times: Vec<f64>,
    /// A point for each frame and landmark, `None` where it could not be followed.
    pub points: Vec<[Option<Point>; Landmark::COUNT]>,
    /// Stature that widths and limits went by, px.
    pub stature_px: f64,
}

/// What can be chosen.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Settings {
    /// What a step is trusted with.
    pub trust: Trust,
    /// How often the clip is gone through; from the second time on, steps start from where the points were found.
    pub rounds: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            trust: Trust::default(),
            rounds: 1,
        }
    }
}

/// Follows clicked points through a clip.
///
/// `clicked`: an attempt with clicks on some frames; each landmark has its own.
///
/// # Errors
/// Points that are none of this clip's; no clicks; a frame that can't be had.
pub fn track(frames: &mut dyn Frames, clicked: &Attempt, settings: &Settings) -> Result<Tracked, Error> {
    let times = frames.times().to_vec();
    let size = frames.size();
    let anchors = Anchors::new(clicked, &times, size)?;
    let stature_px = anchors.stature_px(clicked)?;
    let paths = paths(&anchors, times.len());
    let limbs = limbs();
    let (first, last) = span(&anchors, &times);
    let mut reel = reel(frames, &paths, stature_px);
    let mut flow = Flow::new();
    let mut both = |paths: &[Places], starts: Option<&[Places]>| -> Result<[Steps; 2], Error> {
        let setting = Setting {
            limbs: &limbs,
            anchors: &anchors,
            paths,
            starts,
            stature_px,
        };
        let there = sweep(&setting, &mut reel, &mut flow, (first, last))?;
        let back = sweep(&setting, &mut reel, &mut flow, (last, first))?;
        Ok([there, back])
    };
    let blended = |[there, back]: &[Steps; 2]| -> Vec<Vec<Blended>> {
        (0..Landmark::COUNT)
            .map(|landmark| {
                let own = &anchors.of[landmark];
                if own.is_empty() {
                    return Vec::new();
                }
                blend(
                    own,
                    &place_of(&paths, landmark),
                    &|frame| there[frame][landmark],
                    &|frame| back[frame][landmark],
                    (first, last),
                    &settings.trust,
                )
            })
            .collect()
    };
    let mut found = blended(&both(&paths, None)?);
    for _ in 1..settings.rounds {
        let places = placed(&found, times.len(), first);
        found = blended(&both(&places, Some(&places))?);
    }
    let mut points = vec![[None; Landmark::COUNT]; times.len()];
    for landmark in 0..Landmark::COUNT {
        let own = &anchors.of[landmark];
        if own.is_empty() {
            continue;
        }
        for (at, one) in found[landmark].iter().enumerate() {
            let frame = first + at;
            let sd = one.sd;
            points[frame][landmark] = match anchors.at(landmark, frame) {
                Some(anchor) => Some(Point {
                    place: anchor.place,
                    sd: anchor.sd,
                    clicked: true,
                    origin: anchor.origin,
                    doubtful: false,
                }),
                None if !(sd <= LEFT_OUT_OF_STATURE * stature_px && one.place.iter().all(|at| at.is_finite())) => None,
                None => Some(Point {
                    place: one.place,
                    sd,
                    clicked: false,
                    origin: Origin::Tracked,
                    doubtful: one.at_odds || sd > DOUBTFUL_OF_STATURE * stature_px,
                }),
            };
        }
        end_doubtful(
            &mut points,
            landmark,
            &times,
            own.first().map(|a| a.frame),
            own.last().map(|a| a.frame),
        );
    }
    Ok(Tracked {
        size,
        times,
        points,
        stature_px,
    })
}

/// First and last frame to look at: the clicks', and as far past them as a landmark may be followed.
fn span(anchors: &Anchors, times: &[f64]) -> (usize, usize) {
    let end = times.len().saturating_sub(1);
    let Some((first, last)) = anchors.span() else {
        return (0, end);
    };
    let (from, to) = (times[first] - PAST_CLICKS_S, times[last] + PAST_CLICKS_S);
    let last = times.partition_point(|time| *time <= to).saturating_sub(1);
    (times.partition_point(|time| *time < from), last.min(end))
}

/// Blended places, frame by frame.
fn placed(found: &[Vec<Blended>], frames: usize, first: usize) -> Vec<Places> {
    let mut places = vec![[None; Landmark::COUNT]; frames];
    for (landmark, found) in found.iter().enumerate() {
        for (at, one) in found.iter().enumerate() {
            places[first + at][landmark] = Some(one.place);
        }
    }
    places
}

fn place_of(paths: &[Places], landmark: usize) -> Vec<[f64; 2]> {
    paths
        .iter()
        .map(|places| places[landmark].unwrap_or_default())
        .collect()
}

/// Past its first and last click a landmark ends once it has been doubtful for long.
fn end_doubtful(
    points: &mut [[Option<Point>; Landmark::COUNT]],
    landmark: usize,
    times: &[f64],
    first: Option<usize>,
    last: Option<usize>,
) {
    let mut end = |way: &mut dyn Iterator<Item = usize>| {
        let mut since: Option<f64> = None;
        let mut ended = false;
        for frame in way {
            let sure = points[frame][landmark].is_some_and(|point| !point.doubtful);
            if sure && !ended {
                since = None;
                continue;
            }
            let start = *since.get_or_insert(times[frame]);
            ended |= (times[frame] - start).abs() > DOUBTFUL_S;
            if ended {
                points[frame][landmark] = None;
            }
        }
    };
    if let Some(last) = last {
        end(&mut (last..times.len()));
    }
    if let Some(first) = first {
        end(&mut (0..=first).rev());
    }
}
