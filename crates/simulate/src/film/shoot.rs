//! A film: who is in it, the camera, and its frames.

use super::draw::{Backdrop, Staged, picture};
use super::figure::Figure;
use super::hall::Hall;
use super::lens::Optics;
use super::look::Look;
use super::people::{spotting, waiting, walking};
use super::sensor::Sensor;
use super::shadow::Shadow;
use super::skeleton::{Skeleton, Spot};
use super::space::{V3, v};
use super::station::Turn;
use crate::body::Body;
use crate::camera::{Camera, Facing, View};
use crate::corrupt::source;
use crate::error::{Error, within};
use crate::synthetic::Act;
use crate::truth::Truth;
use rand::RngExt;
use springline_kinematics::EventKind;

/// How a film is made.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmSettings {
    /// Width and height of the picture, px.
    pub size: (u32, u32),
    /// Frames per second, 10 to 240.
    pub rate_hz: f64,
    /// Share of a frame's time that the shutter is open, 0 to 1.
    pub shutter: f64,
    /// Instants drawn within one exposure, 1 to 5.
    pub sub_frames: usize,
    /// Enlarges the picture; 1 keeps the camera's own field across the width.
    pub zoom: f64,
    /// Seed of the hall, the looks, the noise.
    pub seed: u64,
    /// Noise of the sensor, standard deviation in levels of 255.
    pub noise: f32,
    /// How far an unsteady hand moves the picture, px.
    pub shake_px: f64,
    /// Somebody spots beside the athlete.
    pub spotter: bool,
    /// Other people further back.
    pub others: usize,
    /// Height of the mats under the athlete, m.
    pub platform_m: f64,
    /// Threads that draw.
    pub threads: usize,
}

impl Default for FilmSettings {
    fn default() -> Self {
        Self {
            size: (1920, 1080),
            rate_hz: 60.0,
            shutter: 0.35,
            sub_frames: 3,
            zoom: 1.0,
            seed: 1,
            noise: 2.2,
            shake_px: 0.0,
            spotter: false,
            others: 2,
            platform_m: 0.0,
            threads: 2,
        }
    }
}

/// Where somebody is at a time, s.
pub(crate) type Whereabouts = Box<dyn Fn(f64) -> Skeleton + Send + Sync>;

/// Somebody in the film.
pub(crate) struct Person {
    pub look: Look,
    /// Height of what they stand on, for their shadow, m.
    pub level: f32,
    pub place: Whereabouts,
}

/// A film of one attempt or of a whole station.
pub struct Film {
    pub(crate) settings: FilmSettings,
    pub(crate) optics: Optics,
    pub(crate) view: View,
    pub(crate) hall: Hall,
    pub(crate) backdrop: Backdrop,
    pub(crate) people: Vec<Person>,
    pub(crate) turns: Vec<Turn>,
    sensor: Sensor,
    length_s: f64,
}

impl Film {
    /// A film of one attempt by the gymnast of the settings' seed.
    ///
    /// # Errors
    /// [`Error::NoPerspective`] for a camera other than a pinhole; [`Error::Implausible`] for a setting out
    /// of range.
    pub fn of_act(act: &Act, camera: Camera, settings: FilmSettings) -> Result<Self, Error> {
        let view = act.view(camera);
        let truth = Truth::new(act.motion.clone(), act.story.clone(), view);
        let (start, end) = truth.span();
        let turn = Turn {
            gymnast: 0,
            start_s: 0.0,
            end_s: end - start,
            title: act.title,
            truth: truth.clone(),
            events: moved(&truth, -start),
        };
        let mut people = vec![Person {
            look: Look::gymnast(settings.seed),
            level: 0.0,
            place: Box::new(move |t| on_stage(&truth, t + start, view.aim_x_m)),
        }];
        let mut chance = source(settings.seed, 85);
        if settings.spotter {
            let near = chance.random_bool(0.4);
            people.push(spotter(&turn, view, settings.seed, near));
        }
        for i in 0..settings.others {
            let floor = -(settings.platform_m.max(0.035) as f32);
            people.push(bystander(settings.seed.wrapping_add(31 + i as u64), floor));
        }
        Self::assemble(settings, view, people, vec![turn], end - start)
    }

    pub(crate) fn assemble(
        settings: FilmSettings,
        view: View,
        people: Vec<Person>,
        turns: Vec<Turn>,
        length_s: f64,
    ) -> Result<Self, Error> {
        within("frames per second", settings.rate_hz, 10.0, 240.0)?;
        within("share of the shutter", settings.shutter, 0.0, 1.0)?;
        within("instants in one exposure", settings.sub_frames as f64, 1.0, 5.0)?;
        within("height of the mats, m", settings.platform_m, 0.0, 1.5)?;
        let optics = Optics::new(&view, settings.size, settings.zoom)?;
        let hall = Hall::new(settings.seed, settings.platform_m as f32);
        let (light, depth) = hall.draw(&optics, settings.threads);
        let sensor = Sensor::new(settings.seed, settings.noise, settings.rate_hz);
        Ok(Self {
            settings,
            optics,
            view,
            hall,
            backdrop: Backdrop { light, depth },
            people,
            turns,
            sensor,
            length_s,
        })
    }

    /// Number of frames.
    #[must_use]
    pub fn frames(&self) -> usize {
        (self.length_s * self.settings.rate_hz).floor() as usize + 1
    }

    /// Middle of the exposure of a frame, s from the start of the film.
    #[must_use]
    pub fn time(&self, frame: usize) -> f64 {
        frame as f64 / self.settings.rate_hz
    }

    /// How it is made.
    #[must_use]
    pub fn settings(&self) -> &FilmSettings {
        &self.settings
    }

    /// The attempts in it, in order.
    #[must_use]
    pub fn turns(&self) -> &[Turn] {
        &self.turns
    }

    /// How far an unsteady hand has moved the picture in that frame, px.
    pub(crate) fn shift(&self, frame: usize) -> (f32, f32) {
        let (t, size) = (self.time(frame), self.settings.shake_px);
        let phase = self.settings.seed as f64;
        let wave = |a: f64, b: f64| (a * t + phase).sin() * 0.6 + (b * t + 2.0 * phase).sin() * 0.4;
        ((size * wave(3.1, 11.3)) as f32, (size * wave(4.3, 13.7)) as f32)
    }

    /// Everybody at an instant, ready for the camera.
    pub(crate) fn staged(&self, t: f64) -> Vec<Staged> {
        let one = |person: &Person| {
            let (now, before) = ((person.place)(t), (person.place)(t - 0.05));
            Staged::new(Figure::new(&now, &before, &person.look), &self.optics)
        };
        self.people.iter().map(one).collect()
    }

    /// The picture of a frame: bytes red, green, blue, row by row.
    #[must_use]
    pub fn frame(&self, frame: usize) -> Vec<u8> {
        let t = self.time(frame);
        let (count, open) = (self.settings.sub_frames, self.settings.shutter / self.settings.rate_hz);
        let instants: Vec<Vec<Staged>> = (0..count)
            .map(|i| self.staged(t + open * ((i as f64 + 0.5) / count as f64 - 0.5)))
            .collect();
        let standing: Vec<_> = self.people.iter().map(|p| ((p.place)(t), p.level)).collect();
        let shadow = Shadow::new(&standing, &self.hall, &self.optics);
        let (optics, threads) = (&self.optics, self.settings.threads);
        let light = picture(
            optics,
            &self.hall,
            &self.backdrop,
            &instants,
            &shadow,
            self.shift(frame),
            threads,
        );
        self.sensor.expose(&light, optics.size, frame, threads)
    }

    /// The picture of the empty hall as that frame would show it.
    #[must_use]
    pub fn empty(&self, frame: usize) -> Vec<u8> {
        let shadow = Shadow::new(&[], &self.hall, &self.optics);
        let (optics, threads) = (&self.optics, self.settings.threads);
        let light = picture(
            optics,
            &self.hall,
            &self.backdrop,
            &[],
            &shadow,
            self.shift(frame),
            threads,
        );
        self.sensor.expose(&light, optics.size, frame, threads)
    }
}

/// The athlete of an attempt in the hall, at a time of its motion.
pub(crate) fn on_stage(truth: &Truth, t: f64, aim_x_m: f64) -> Skeleton {
    let (start, end) = truth.span();
    let mirror = if truth.view().camera.facing == Facing::Left {
        -1.0
    } else {
        1.0
    };
    let spot = Spot {
        origin: v((-mirror * aim_x_m) as f32, 0.0, 0.0),
        facing: if mirror < 0.0 { 180.0 } else { 0.0 },
    };
    let pose = truth.pose(t.clamp(start, end));
    Skeleton::new(&truth.body(), &pose, truth.is_frontal(), spot)
}

/// The events of an attempt, their times moved.
pub(crate) fn moved(truth: &Truth, by: f64) -> Vec<(EventKind, f64)> {
    truth.events().iter().map(|(kind, t)| (*kind, t + by)).collect()
}

/// Somebody who spots where the hands go, beyond the athlete or on the near side.
pub(crate) fn spotter(turn: &Turn, view: View, seed: u64, near: bool) -> Person {
    let mut chance = source(seed, 86);
    let body = Body::new(chance.random_range(1.62..1.82), 0.058);
    let placed = turn.truth.event(EventKind::HandPlacement).unwrap_or(0.0);
    let hands = on_stage(&turn.truth, placed, view.aim_x_m);
    let x = hands.middle(springline_kinematics::Joint::Wrist).x + chance.random_range(-0.1..0.45);
    let (z, facing) = if near { (0.85, -90.0) } else { (-0.85, 90.0) };
    let middle = placed - turn.truth.span().0 + turn.start_s + 0.15;
    let place = move |t: f64| {
        let help = (-((t - middle) / 0.35).powi(2)).exp();
        spotting(&body, t, help, v(x, 0.0, z), facing)
    };
    Person {
        look: Look::coach(seed),
        level: 0.0,
        place: Box::new(place),
    }
}

/// Somebody further back who waits or walks past.
pub(crate) fn bystander(seed: u64, floor: f32) -> Person {
    let mut chance = source(seed, 87);
    let body = Body::new(chance.random_range(1.1..1.6), 0.057);
    let (x, z) = (chance.random_range(-3.4_f32..3.4), chance.random_range(-3.9_f32..-1.9));
    let phase: f64 = chance.random_range(0.0..6.0);
    let facing: f32 = chance.random_range(20.0..160.0);
    let place: Whereabouts = if chance.random_bool(0.6) {
        Box::new(move |t| waiting(&body, t, phase, v(x, floor, z), facing))
    } else {
        // To and fro, 6 m each way.
        let speed = chance.random_range(0.7..1.2);
        Box::new(move |t| {
            let way = speed * t + 3.0 * phase;
            let lap = way.rem_euclid(12.0);
            let (x, facing) = if lap < 6.0 {
                (lap - 3.0, 0.0)
            } else {
                (9.0 - lap, 180.0)
            };
            walking(&body, way, v(x as f32, floor, z), facing)
        })
    };
    Person {
        look: Look::gymnast(seed),
        level: floor,
        place,
    }
}

/// A place on the hall's floor or the mats.
pub(crate) fn level_at(z: f32, floor: f32) -> V3 {
    v(0.0, if z > -0.9 { 0.0 } else { floor }, z)
}
