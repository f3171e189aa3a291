//! Where every landmark was, frame by frame.

use crate::{Landmark, Point, Side};

/// How the error of a point in one frame goes with its error in the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TemporalError {
    /// Every frame errs on its own (clicks).
    Independent,
    /// First-order correlation between neighbouring frames, 0 to below 1.
    Correlated(f64),
    /// The same error for many frames (drafted, tracked or imported points).
    Shared,
}

/// The path of one landmark.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Track {
    /// One entry a frame; `None` where the landmark was not seen.
    /// Empty when the layout has no such landmark.
    pub positions: Vec<Option<Point>>,
    /// Standard uncertainty per axis in px, one entry a frame, same length as `positions`.
    pub sd: Vec<f32>,
    /// Mean confidence over the seen frames, 0 to 1, if the file gave any.
    pub mean_confidence: Option<f64>,
}

impl Track {
    /// Whether the landmark is seen in any frame.
    #[must_use]
    pub fn is_seen(&self) -> bool {
        self.positions.iter().any(Option::is_some)
    }
}

/// All landmarks of one athlete through one clip, with exact times.
///
/// Before [`crate::gym_plane`] the points are in the image plane (px, x right, y down); after it in
/// the gym plane (px, X the way the athlete faces, Y up).
#[derive(Clone, Debug, PartialEq)]
pub struct Tracks {
    /// Time of each frame in seconds, strictly increasing.
    pub times: Vec<f64>,
    /// How errors go from frame to frame.
    pub temporal_error: TemporalError,
    tracks: Vec<Track>,
}

impl Tracks {
    /// Tracks without any landmark yet. `times`: seconds, strictly increasing.
    #[must_use]
    pub fn new(times: Vec<f64>, temporal_error: TemporalError) -> Self {
        Self {
            times,
            temporal_error,
            tracks: vec![Track::default(); Landmark::COUNT],
        }
    }

    /// Number of frames.
    #[must_use]
    pub fn len(&self) -> usize {
        self.times.len()
    }

    /// Whether there is no frame.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.times.is_empty()
    }

    /// The path of one landmark (empty if the layout lacks it).
    #[must_use]
    pub fn track(&self, landmark: Landmark) -> &Track {
        &self.tracks[landmark.index()]
    }

    /// The path of one landmark, to fill or change.
    pub fn track_mut(&mut self, landmark: Landmark) -> &mut Track {
        &mut self.tracks[landmark.index()]
    }

    /// Position in one frame.
    #[must_use]
    pub fn at(&self, landmark: Landmark, frame: usize) -> Option<Point> {
        self.tracks[landmark.index()].positions.get(frame).copied().flatten()
    }

    /// Standard uncertainty per axis in one frame, px; 0 where none was given.
    #[must_use]
    pub fn sd_at(&self, landmark: Landmark, frame: usize) -> f64 {
        self.tracks[landmark.index()]
            .sd
            .get(frame)
            .map_or(0.0, |sd| f64::from(*sd))
    }

    /// Whether the landmark is seen in any frame.
    #[must_use]
    pub fn has(&self, landmark: Landmark) -> bool {
        self.track(landmark).is_seen()
    }

    /// Median frame interval, seconds; `None` with fewer than two frames.
    #[must_use]
    pub fn median_interval(&self) -> Option<f64> {
        let mut steps: Vec<f64> = self.times.windows(2).map(|pair| pair[1] - pair[0]).collect();
        if steps.is_empty() {
            return None;
        }
        let middle = steps.len() / 2;
        Some(*steps.select_nth_unstable_by(middle, f64::total_cmp).1)
    }

    /// Mean of the left and right landmark of a joint where both are seen, else the one that is.
    #[must_use]
    pub fn middle(&self, joint: crate::Joint, frame: usize) -> Option<Point> {
        let left = self.at(Landmark::of(joint, Side::Left), frame);
        let right = self.at(Landmark::of(joint, Side::Right), frame);
        match (left, right) {
            (Some(a), Some(b)) => Some(nalgebra::center(&a, &b)),
            (one, other) => one.or(other),
        }
    }
}
