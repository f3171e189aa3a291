//! A finished synthetic attempt and its file form.

use crate::camera::{PICTURE, View};
use crate::corrupt;
use crate::error::Error;
use crate::handspring;
use crate::motion::Motion;
use crate::params::Params;
use crate::recording::Recording;
use crate::story::Story;
use crate::truth::Truth;
use serde_json::{Map, Value, json};
use springline_kinematics::{Landmark, TemporalError, Tracks};

/// A motion of the figure and what it is meant to be.
#[derive(Clone, Debug)]
pub struct Act {
    pub(crate) motion: Motion,
    pub(crate) story: Story,
    /// What it is, in words.
    pub(crate) title: &'static str,
}

impl Act {
    /// A front handspring.
    ///
    /// # Errors
    /// [`Error`] when the dials ask for what the figure cannot do: a limb out of reach, a point under
    /// the floor, no flight that fits.
    pub fn handspring(params: &Params) -> Result<Self, Error> {
        let (motion, story) = handspring::build(params)?;
        Ok(Self {
            motion,
            story,
            title: "front handspring",
        })
    }

    /// Refuses what no body does: joints faster than 1500°/s, the trunk among them, hands that creep onto the floor or
    /// shoot off it. The dials of [`Act::handspring`] can ask for it; drawn handsprings never do.
    ///
    /// # Errors
    /// [`Error::Implausible`] saying what is too fast.
    pub fn human(&self) -> Result<(), Error> {
        self.motion.human()
    }

    /// The truth, seen by a square camera.
    #[must_use]
    pub fn truth(&self) -> Truth {
        let view = self.view(crate::camera::Camera::square());
        Truth::new(self.motion.clone(), self.story.clone(), view)
    }

    pub(crate) fn view(&self, camera: crate::camera::Camera) -> View {
        let across = |t: f64| self.motion.pose(t).mass_centre().x;
        let middle = 0.5 * (across(self.motion.start) + across(self.motion.end));
        View {
            camera,
            aim_x_m: middle + camera.pan_m,
        }
    }

    /// Films it. The same act, recording and seed give the same result.
    #[must_use]
    pub fn film(&self, recording: &Recording, seed: u64) -> Synthetic {
        let (start, end) = (self.motion.start, self.motion.end);
        let view = self.view(recording.camera);
        let times = corrupt::frame_times(recording, seed, start, end);
        let pictures: Vec<_> = times.iter().map(|&t| view.picture(&self.motion.pose(t))).collect();
        let tracks = corrupt::tracks(recording, seed, times, &pictures);
        let truth = Truth::new(self.motion.clone(), self.story.clone(), view);
        Synthetic {
            tracks,
            truth,
            recording: recording.clone(),
            seed,
            title: self.title,
        }
    }
}

/// Tracks of an invented athlete, with the truth behind them.
#[derive(Clone, Debug)]
pub struct Synthetic {
    /// What a pose tool would hand over: image plane, px, x right, y down; sd filled with the true
    /// standard deviation per axis.
    pub tracks: Tracks,
    /// The truth.
    pub truth: Truth,
    /// How it was filmed.
    pub recording: Recording,
    /// The seed of every corruption.
    pub seed: u64,
    /// What the motion is, in words.
    pub title: &'static str,
}

/// Which points a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// The 17 of the COCO layout.
    Coco17,
    /// All 23.
    Named23,
}

impl Layout {
    /// The name used in files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Layout::Coco17 => "coco-17",
            Layout::Named23 => "named-23",
        }
    }

    /// The points, in order.
    #[must_use]
    pub fn points(self) -> &'static [Landmark] {
        match self {
            Layout::Coco17 => &Landmark::ALL[..17],
            Layout::Named23 => &Landmark::ALL,
        }
    }
}

/// What the file says that a coach would have given.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// Athlete code of an invented athlete.
    pub athlete: Option<String>,
    /// Date, ISO 8601.
    pub date: Option<String>,
    /// Drill id.
    pub drill: Option<String>,
    /// Free text after the words that say it is synthetic.
    pub note: Option<String>,
    /// Mark the floor line.
    pub floor_line: bool,
    /// Say which way the athlete faces and which side is near.
    pub facing: bool,
    /// Give the scale (1 % sure).
    pub scale: bool,
    /// Give the standing height, m.
    pub stature: bool,
}

impl Facts {
    /// Floor line, facing, scale and stature, nothing about the athlete.
    #[must_use]
    pub fn measured() -> Self {
        Self {
            floor_line: true,
            facing: true,
            scale: true,
            stature: true,
            ..Self::default()
        }
    }
}

impl Synthetic {
    /// The attempt as a native attempt file (JSON), labelled synthetic, with its seed. Coordinates to
    /// a thousandth of a pixel, times to a microsecond.
    #[must_use]
    pub fn to_attempt_json(&self, layout: Layout, facts: &Facts) -> String {
        let sd = self.recording.noise.sd_px();
        let error = match self.tracks.temporal_error {
            TemporalError::Independent => json!({"kind": "independent"}),
            TemporalError::Correlated(rho) => json!({"kind": "correlated", "rho": rho}),
            TemporalError::Shared => json!({"kind": "shared"}),
        };
        let points = layout.points();
        let frames: Vec<Value> = (0..self.tracks.len()).map(|i| self.frame(i, points)).collect();
        let mut note = format!("Synthetic: {} of a made-up figure, not a person.", self.title);
        if let Some(more) = &facts.note {
            note.push(' ');
            note.push_str(more);
        }
        let mut file = json!({
            "format": "springline-attempt",
            "version": 1,
            "synthetic": true,
            "seed": self.seed,
            "note": note,
            "picture": {"width": PICTURE.0 as u32, "height": PICTURE.1 as u32},
            "layout": layout.id(),
            "points": points.iter().map(|point| point.id()).collect::<Vec<_>>(),
            "rate_hz": self.recording.rate_hz,
        });
        if let Some(file) = file.as_object_mut() {
            if sd > 0.0 {
                file.insert("sd".into(), json!({"kind": "given", "px": sd}));
                file.insert("error".into(), error);
            }
            file.insert("given".into(), Value::Object(self.given(facts)));
            file.insert("frames".into(), Value::Array(frames));
        }
        file.to_string()
    }

    fn frame(&self, index: usize, points: &[Landmark]) -> Value {
        let thousandths = |x: f64| (x * 1000.0).round() / 1000.0;
        let place = |&landmark: &Landmark| match self.tracks.at(landmark, index) {
            Some(point) => json!([thousandths(point.x), thousandths(point.y)]),
            None => Value::Null,
        };
        let mut frame = Map::new();
        frame.insert("t".into(), json!((self.tracks.times[index] * 1e6).round() / 1e6));
        frame.insert("points".into(), points.iter().map(place).collect());
        if let Some(score) = self.recording.score {
            let scores = points.iter().map(|&p| self.tracks.at(p, index).map(|_| score));
            frame.insert("score".into(), scores.map(|score| json!(score)).collect());
        }
        Value::Object(frame)
    }

    fn given(&self, facts: &Facts) -> Map<String, Value> {
        let camera = self.recording.camera;
        let mut given = Map::new();
        for (key, value) in [
            ("athlete", &facts.athlete),
            ("date", &facts.date),
            ("drill", &facts.drill),
        ] {
            if let Some(value) = value {
                given.insert(key.into(), json!(value));
            }
        }
        if facts.floor_line {
            let line = self.truth.view().floor_line().map(|p| [p.x.round(), p.y.round()]);
            given.insert("floor_line".into(), json!(line));
            given.insert("floor_line_sd_px".into(), json!(0.5));
        }
        if facts.facing && !self.truth.is_frontal() {
            given.insert("facing".into(), json!(camera.facing.id()));
            given.insert("near_side".into(), json!(camera.near_side().id()));
        }
        if facts.scale {
            given.insert("metres_per_px".into(), json!(1.0 / camera.px_per_m()));
            given.insert("metres_per_px_sd".into(), json!(0.01 / camera.px_per_m()));
        }
        if facts.stature {
            given.insert("stature_m".into(), json!(self.truth.body().stature_m));
        }
        given
    }
}
