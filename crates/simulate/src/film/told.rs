//! The truth beside a film: every joint in every frame, and the attempts, as files.

use super::draw::{Staged, depth_at};
use super::shape::{ARM, HAIR, HEAD, LEG, TRUNK};
use super::shoot::Film;
use super::skeleton::Skeleton;
use super::station::Turn;
use crate::body::at;
use crate::synthetic::Layout;
use serde_json::{Value, json};
use springline_kinematics::{Joint, Landmark, Point, Side};

/// Whether a joint can be seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Nothing lies before it but its own skin and clothes.
    Plain,
    /// Another part of the body, another person or a thing is in front.
    Hidden,
    /// Outside the picture.
    Outside,
}

/// One joint in one frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JointTruth {
    /// Which.
    pub landmark: Landmark,
    /// Where in the picture, px, y down; also when hidden or outside.
    pub place: Point,
    /// Where in the hall, m: right, up, toward the camera, from under the middle of the motion.
    pub hall: [f64; 3],
    /// Whether it can be seen.
    pub seen: Seen,
}

impl Film {
    /// Every joint of the gymnast whose turn it is; empty between the attempts of a station.
    #[must_use]
    pub fn joints(&self, frame: usize) -> Vec<JointTruth> {
        let t = self.time(frame);
        let Some(turn) = self.turns.iter().find(|turn| turn.start_s <= t && t <= turn.end_s) else {
            return Vec::new();
        };
        let staged = self.staged(t);
        let skeleton = (self.people[turn.gymnast].place)(t);
        let shift = self.shift(frame);
        let one = |&landmark: &Landmark| {
            let p = skeleton.at(landmark);
            let (place, _) = self.optics.project(p);
            let place = Point::new(place.x + f64::from(shift.0), place.y + f64::from(shift.1));
            JointTruth {
                landmark,
                place,
                hall: [p.x, p.y, p.z].map(f64::from),
                seen: self.seen(&skeleton, landmark, place, turn.gymnast, &staged, shift),
            }
        };
        Landmark::ALL.iter().map(one).collect()
    }

    fn seen(
        &self,
        skeleton: &Skeleton,
        landmark: Landmark,
        place: Point,
        own: usize,
        staged: &[Staged],
        shift: (f32, f32),
    ) -> Seen {
        let (w, h) = self.settings.size;
        if place.x < 0.0 || place.y < 0.0 || place.x >= f64::from(w) || place.y >= f64::from(h) {
            return Seen::Outside;
        }
        let eye = self.optics.eye();
        let px = (place.x as f32 - shift.0, place.y as f32 - shift.1);
        let ray = self.optics.ray(px.0, px.1);
        let far = (skeleton.at(landmark) - eye).norm();
        if depth_at(&self.optics, &self.backdrop, px) < far - 0.05 {
            return Seen::Hidden;
        }
        let mut rods = Vec::new();
        let mut first: Option<(f32, usize, usize)> = None;
        for (who, body) in staged.iter().enumerate() {
            body.near(px.0, px.1, 1.0, &mut rods);
            let (near, far) = body.depths(eye, &rods);
            let limit = first.map_or(1e3, |(distance, ..)| distance);
            if let Some(touch) = body.touch(eye, ray, (near, far.min(limit)), &rods) {
                first = Some((touch.distance, who, body.rod(touch.rod).chain));
            }
        }
        let (chains, depth) = around(landmark);
        match first {
            Some((distance, who, chain)) => {
                let before = far - distance;
                let its_own = who == own && chains.contains(&chain) && before < depth * skeleton.stature;
                if its_own || before < 0.01 {
                    Seen::Plain
                } else {
                    Seen::Hidden
                }
            }
            None => Seen::Plain,
        }
    }

    /// An attempt of the film as a native attempt file (JSON), labelled synthetic: exact joints in px in
    /// every frame of the attempt, times from the start of the film, the true times of its events.
    #[must_use]
    pub fn attempt_json(&self, turn: usize, drill: Option<&str>) -> Option<String> {
        let turn = self.turns.get(turn)?;
        let points = Layout::Named23.points();
        let thousandths = |x: f64| (x * 1000.0).round() / 1000.0;
        let frames: Vec<Value> = self
            .span(turn)
            .map(|frame| {
                let joints = self.joints(frame);
                let places: Vec<Value> = joints
                    .iter()
                    .map(|joint| json!([thousandths(joint.place.x), thousandths(joint.place.y)]))
                    .collect();
                json!({"t": (self.time(frame) * 1e6).round() / 1e6, "points": places})
            })
            .collect();
        let camera = self.view.camera;
        let scale = self.optics.px_per_m(self.distance_m());
        let mut given = json!({
            "athlete": format!("S-{:02}", turn.gymnast + 1),
            "metres_per_px": 1.0 / scale,
            "metres_per_px_sd": 0.002 / scale,
            "stature_m": turn.truth.body().stature_m,
            "spotted": self.settings.spotter,
            "events": turn.events.iter().map(|(kind, t)| (kind.id().to_owned(), json!(t)))
                .collect::<serde_json::Map<_, _>>(),
        });
        if let Some(given) = given.as_object_mut() {
            if let Some(drill) = drill {
                given.insert("drill".into(), json!(drill));
            }
            if !turn.truth.is_frontal() {
                given.insert("facing".into(), json!(camera.facing.id()));
                given.insert("near_side".into(), json!(camera.near_side().id()));
            }
            let floor = [-2.0_f32, 2.0].map(|x| {
                let (p, _) = self.optics.project(super::space::v(x, 0.0, 0.0));
                [thousandths(p.x), thousandths(p.y)]
            });
            given.insert("floor_line".into(), json!(floor));
            given.insert("floor_line_sd_px".into(), json!(0.5));
        }
        let file = json!({
            "format": "springline-attempt",
            "version": 1,
            "synthetic": true,
            "seed": self.settings.seed,
            "note": format!("Synthetic: {} of a made-up figure, not a person. Truth of a rendered film.", turn.title),
            "picture": {"width": self.settings.size.0, "height": self.settings.size.1},
            "layout": Layout::Named23.id(),
            "points": points.iter().map(|point| point.id()).collect::<Vec<_>>(),
            "rate_hz": self.settings.rate_hz,
            "given": given,
            "frames": frames,
        });
        Some(file.to_string())
    }

    /// What else is true of the film (JSON): each attempt's gymnast, start and end, and for every frame of
    /// it which joints are plain (`p`), hidden (`h`) or outside the picture (`o`), in the attempt file's order.
    #[must_use]
    pub fn story_json(&self) -> String {
        let letter = |seen: Seen| match seen {
            Seen::Plain => 'p',
            Seen::Hidden => 'h',
            Seen::Outside => 'o',
        };
        let attempts: Vec<Value> = self
            .turns
            .iter()
            .map(|turn| {
                let seen: Vec<String> = self
                    .span(turn)
                    .map(|frame| self.joints(frame).iter().map(|joint| letter(joint.seen)).collect())
                    .collect();
                json!({
                    "gymnast": format!("S-{:02}", turn.gymnast + 1),
                    "what": turn.title,
                    "start_s": turn.start_s,
                    "end_s": turn.end_s,
                    "first_frame": self.span(turn).start,
                    "seen": seen,
                })
            })
            .collect();
        json!({
            "synthetic": true,
            "note": "Made by a renderer; nobody in it is a real person.",
            "seed": self.settings.seed,
            "rate_hz": self.settings.rate_hz,
            "frames": self.frames(),
            "attempts": attempts,
        })
        .to_string()
    }

    fn span(&self, turn: &Turn) -> std::ops::Range<usize> {
        let first = (turn.start_s * self.settings.rate_hz - 1e-9).ceil() as usize;
        let last = (turn.end_s * self.settings.rate_hz + 1e-9).floor() as usize;
        first..(last + 1).min(self.frames())
    }

    fn distance_m(&self) -> f64 {
        match self.view.camera.lens {
            crate::camera::Lens::Pinhole { distance_m, .. } => distance_m,
            crate::camera::Lens::Square { .. } => 1.0,
        }
    }
}

/// The parts that may cover a joint and leave it in sight, and how deep under them it may lie, as a share
/// of stature.
fn around(landmark: Landmark) -> (Vec<usize>, f32) {
    let side = landmark.side().unwrap_or(Side::Left);
    match landmark.joint() {
        None | Some(Joint::Eye) => (vec![HEAD], 0.022),
        Some(Joint::Ear) => (vec![HEAD, HAIR], 0.022),
        Some(Joint::Shoulder) => (vec![ARM[at(side)], TRUNK], 0.065),
        Some(Joint::Elbow | Joint::Wrist | Joint::Fingertip) => (vec![ARM[at(side)]], 0.05),
        Some(Joint::Hip) => (vec![LEG[at(side)], TRUNK], 0.085),
        _ => (vec![LEG[at(side)]], 0.06),
    }
}
