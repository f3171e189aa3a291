//! How a motion is filmed and what is wrong with the points that come out.

use crate::camera::Camera;
use springline_kinematics::{Joint, Landmark, TemporalError};

/// Camera, frame rate and corruption of the points.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    /// The camera.
    pub camera: Camera,
    /// Frames per second, 24 to 240.
    pub rate_hz: f64,
    /// Each frame is taken up to this share of an interval early or late (0 to 0.4): variable rate.
    /// The times handed out are the true ones.
    pub jitter: f64,
    /// Where the first frame falls between two ticks: 0 to 1; `None` draws it from the seed.
    pub offset: Option<f64>,
    /// Error of the points.
    pub noise: Noise,
    /// Points lost.
    pub dropouts: Dropouts,
    /// Left and right swapped.
    pub swaps: Vec<Swap>,
    /// The score of every seen point, if the file is to have scores.
    pub score: Option<f64>,
}

impl Recording {
    /// Exact points at 60 frames per second from a square camera.
    #[must_use]
    pub fn exact() -> Self {
        Self {
            camera: Camera::square(),
            rate_hz: 60.0,
            jitter: 0.0,
            offset: None,
            noise: Noise::default(),
            dropouts: Dropouts::default(),
            swaps: Vec::new(),
            score: None,
        }
    }

    /// The same with independent Gaussian noise of that standard deviation per axis, px.
    #[must_use]
    pub fn noisy(mut self, sd_px: f64) -> Self {
        self.noise = Noise {
            independent_px: sd_px,
            ..Noise::default()
        };
        self
    }

    /// The same at another frame rate, Hz.
    #[must_use]
    pub fn at_rate(mut self, rate_hz: f64) -> Self {
        self.rate_hz = rate_hz;
        self
    }
}

/// Gaussian error per axis: a sum of up to three parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Noise {
    /// New in every frame: standard deviation in px.
    pub independent_px: f64,
    /// First-order correlated from frame to frame: standard deviation in px.
    pub correlated_px: f64,
    /// Correlation of the correlated part between neighbouring frames, 0 to below 1.
    pub rho: f64,
    /// One offset per landmark for the whole clip: standard deviation in px.
    pub shared_px: f64,
}

impl Noise {
    /// Standard deviation of the sum, px.
    #[must_use]
    pub fn sd_px(&self) -> f64 {
        self.independent_px.hypot(self.correlated_px).hypot(self.shared_px)
    }

    /// How the error is best described: by its largest part.
    #[must_use]
    pub fn temporal_error(&self) -> TemporalError {
        if self.shared_px > self.independent_px.hypot(self.correlated_px) {
            TemporalError::Shared
        } else if self.correlated_px > 0.0 {
            // The mixture's correlation between neighbouring frames, the shared part counted as 1.
            let varying = self.independent_px.powi(2) + self.correlated_px.powi(2);
            let shared = self.shared_px.powi(2);
            let kept = self.rho * self.correlated_px.powi(2) + shared;
            TemporalError::Correlated(kept / (varying + shared))
        } else {
            TemporalError::Independent
        }
    }
}

/// Points lost, landmark by landmark.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Dropouts {
    /// Chance of a lone point being lost in a frame.
    pub single: f64,
    /// Chance that a gap begins at a point in a frame.
    pub burst: f64,
    /// Frames in a gap.
    pub burst_frames: usize,
}

/// Which points change sides in a swap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Hips, knees, ankles, heels, toes.
    Legs,
    /// Shoulders, elbows, wrists, fingertips.
    Arms,
    /// Everything that has a side.
    All,
}

impl Group {
    /// Whether a landmark belongs to it.
    #[must_use]
    pub fn holds(self, landmark: Landmark) -> bool {
        let Some(joint) = landmark.joint() else { return false };
        let leg = matches!(
            joint,
            Joint::Hip | Joint::Knee | Joint::Ankle | Joint::Heel | Joint::Toe
        );
        let arm = matches!(joint, Joint::Shoulder | Joint::Elbow | Joint::Wrist | Joint::Fingertip);
        match self {
            Group::Legs => leg,
            Group::Arms => arm,
            Group::All => true,
        }
    }
}

/// Left and right swapped in a run of frames.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Swap {
    /// Which points.
    pub group: Group,
    /// First frame.
    pub first: usize,
    /// Last frame, included.
    pub last: usize,
}
