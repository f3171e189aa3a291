//! Events found from keypoints alone, on raw positions in upright coordinates (Y up).

mod feet;
mod hands;
mod hold;
mod hop;
mod identity;
mod landing;
mod legs;
mod turn;

use crate::contact::Contact;
use crate::series::Series;
use crate::{Angle, EventKind, Joint, Landmark, Phase, Point, Side};

pub use feet::{Feet, LandingKind};
pub use hands::Support;

/// What kind of motion events are looked for in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Motion {
    /// Hands placed, body turns over the top, feet (or back) come down on the other side.
    TurnOver,
    /// Up into a handstand and held, or down again.
    Handstand,
    /// Handstand with the hands leaving and returning.
    Hop,
    /// Front support with the hands leaving and returning.
    FrontSupportBounce,
    /// Falls from standing.
    Fall,
    /// A held shape.
    Hold,
}

/// Where a surface lies that the hands or feet come down on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surface {
    /// This much higher than the floor of the entry, px.
    OverFloor(f64),
    /// A point on it was marked, px.
    Through(Point),
}

impl Surface {
    /// Its height in the upright plane, px; `floor`: that of the entry's floor.
    fn height(self, floor: Option<f64>) -> Option<f64> {
        match self {
            Surface::OverFloor(rise) => floor.map(|floor| floor + rise),
            Surface::Through(point) => Some(point.y),
        }
    }

    /// The same with a marked point moved to another plane.
    #[must_use]
    pub fn moved(self, to: impl Fn(Point) -> Point) -> Self {
        match self {
            Surface::OverFloor(_) => self,
            Surface::Through(point) => Surface::Through(to(point)),
        }
    }
}

/// What to look for.
#[derive(Clone, Debug)]
pub struct Search {
    /// Kind of motion.
    pub motion: Motion,
    /// Least trunk inclination (from upright, either way) for a hand contact.
    pub hands_need_trunk_past: Angle,
    /// Least trunk inclination (from upright, either way) for a held shape.
    pub hold_needs_trunk_past: Angle,
    /// Upside down the athlete faces the camera (or turns the back to it): cartwheel, round-off.
    pub frontal: bool,
    /// Largest leg gap that counts as together.
    pub legs_together_within: Angle,
    /// The hands' or the landing surface is at another height than the floor of the entry.
    pub surfaces_differ: bool,
    /// The surface under the hands, if it was marked or its height given; in the plane of the tracks that are searched.
    pub hand_surface: Option<Surface>,
    /// The surface that the feet land on, if it was marked or its height given.
    pub foot_surface: Option<Surface>,
    /// Whether the drill lands on the back.
    pub lands_on_back: bool,
    /// Events given by the coach: kind, time in seconds.
    pub given: Vec<(EventKind, f64)>,
}

impl Default for Search {
    fn default() -> Self {
        Self {
            motion: Motion::TurnOver,
            hands_need_trunk_past: Angle::rad(75f64.to_radians()),
            hold_needs_trunk_past: Angle::rad(0.0),
            frontal: false,
            legs_together_within: Angle::rad(15f64.to_radians()),
            surfaces_differ: false,
            hand_surface: None,
            foot_surface: None,
            lands_on_back: false,
            given: Vec::new(),
        }
    }
}

/// How an event came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Given by the coach.
    Given,
    /// Found in the points.
    Detected,
    /// Assumed (settled 0.30 s after touchdown).
    Assumed,
}

/// An instant with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// Which.
    pub kind: EventKind,
    /// First frame of the new state.
    pub frame: usize,
    /// Seconds.
    pub time: f64,
    /// Standard uncertainty, seconds.
    pub sd: f64,
    /// How it was found.
    pub how: How,
    /// The joint that stood in for the one that touches (wrist for fingertip, ankle for toe).
    pub stand_in: Option<Joint>,
}

/// All that was found.
#[derive(Clone, Debug)]
pub struct Found {
    events: Vec<Event>,
    /// The chosen hand support.
    pub support: Option<Support>,
    /// What the feet did.
    pub feet: Feet,
    /// Other hand supports of the same kind in the clip.
    pub further_supports: usize,
    /// Reasons why the skill is not there, in plain words; empty when it is.
    pub not_there: Vec<String>,
    /// Signed trunk rotation from hand placement to touchdown (or the clip's end); positive turns toward +X.
    pub rotation: Option<Angle>,
}

impl Found {
    /// The event of a kind.
    #[must_use]
    pub fn event(&self, kind: EventKind) -> Option<&Event> {
        self.events.iter().find(|event| event.kind == kind)
    }

    /// All events in order of time.
    #[must_use]
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// Start and end of a phase in seconds with the sds of both; `None` if an end is missing.
    #[must_use]
    pub fn phase(&self, phase: Phase, clip: (f64, f64)) -> Option<[(f64, f64); 2]> {
        let Some((start, ends)) = phase.bounds() else {
            return Some([(clip.0, 0.0), (clip.1, 0.0)]);
        };
        let start = self.event(start)?;
        let end = ends
            .iter()
            .find_map(|kind| self.event(*kind).filter(|event| event.time > start.time))?;
        Some([(start.time, start.sd), (end.time, end.sd)])
    }
}

/// Uncertainty added in quadrature when a wrist or ankle stands in for fingers or toes, seconds \[M\].
pub const STAND_IN_SD_S: f64 = 0.02;

/// Finds the events of an attempt.
///
/// # Inputs
/// `series`: upright tracks (Y up), facing either way; `leg`: leg length in px.
/// # Returns
/// Events in order of time, contacts, and why the skill is not there if it isn't. Contact instants lie midway between
/// the last frame of the old state and the first of the new; crossings (inverted, legs together, settled) are
/// interpolated.
#[must_use]
pub fn find_events(series: &Series, leg: f64, search: &Search) -> Found {
    let scene = Scene { series, leg, search };
    let mut found = match search.motion {
        Motion::Hold => hold::held_shape(&scene),
        Motion::Fall => hold::fall(&scene),
        _ => turn::turn_over(&scene),
    };
    found
        .events
        .retain(|event| !search.given.iter().any(|(kind, _)| *kind == event.kind));
    for (kind, time) in &search.given {
        let frame = series
            .raw()
            .times
            .partition_point(|t| t < time)
            .min(series.raw().len().saturating_sub(1));
        found.events.push(Event {
            kind: *kind,
            frame,
            time: *time,
            sd: scene.frame_sd(),
            how: How::Given,
            stand_in: None,
        });
    }
    found
        .events
        .sort_by(|a, b| a.time.total_cmp(&b.time).then(a.kind.cmp(&b.kind)));
    found
}

/// What every finder needs.
struct Scene<'a> {
    series: &'a Series,
    leg: f64,
    search: &'a Search,
}

impl Scene<'_> {
    fn times(&self) -> &[f64] {
        &self.series.raw().times
    }

    fn frames(&self) -> usize {
        self.series.raw().len()
    }

    fn frame_sd(&self) -> f64 {
        crate::uncertainty::event_sd(self.series.interval())
    }

    /// First frame at or after a time.
    fn frame_at(&self, time: f64) -> usize {
        self.times()
            .partition_point(|t| *t < time)
            .min(self.frames().saturating_sub(1))
    }

    fn middle(&self, joint: Joint, frame: usize) -> Option<Point> {
        let at = |side| self.series.smooth(Landmark::of(joint, side), frame);
        match (at(Side::Left), at(Side::Right)) {
            (Some(a), Some(b)) => Some(nalgebra::center(&a, &b)),
            (one, other) => one.or(other),
        }
    }

    /// Trunk inclination from upright, radians, −π to π.
    fn trunk(&self, frame: usize) -> Option<f64> {
        let hip = self.middle(Joint::Hip, frame)?;
        let shoulder = self.middle(Joint::Shoulder, frame)?;
        crate::segments::inclination(hip, shoulder).map(Angle::radians)
    }

    /// Effective sd of a mean of both sides of a joint, px.
    fn middle_sd(&self, joint: Joint, frame: usize) -> f64 {
        let pose = self.series.pose_at_frame(frame);
        let sds: Vec<f64> = Side::BOTH
            .into_iter()
            .map(|side| Landmark::of(joint, side))
            .filter(|landmark| pose.at(*landmark).is_some())
            .map(|landmark| pose.sd(landmark))
            .collect();
        if sds.is_empty() {
            return 0.0;
        }
        (sds.iter().map(|s| s * s).sum::<f64>()).sqrt() / sds.len() as f64
    }

    /// Time at which a value crosses zero between `from` and `to` (frames), for the first time upward if `upward`;
    /// interpolated from a line through the values around it. Returns time and local rate (per second).
    fn crossing(
        &self,
        value: impl Fn(usize) -> Option<f64>,
        from: usize,
        to: usize,
        upward: bool,
    ) -> Option<(f64, f64)> {
        let sign = if upward { 1.0 } else { -1.0 };
        let mut last: Option<(usize, f64)> = None;
        for frame in from..=to.min(self.frames() - 1) {
            let Some(here) = value(frame).map(|v| v * sign) else {
                continue;
            };
            if let Some((before, then)) = last
                && then < 0.0
                && here >= 0.0
            {
                let (t0, t1) = (self.times()[before], self.times()[frame]);
                let rate = (here - then) / (t1 - t0);
                return Some((t0 - then / rate, rate));
            }
            last = Some((frame, here));
        }
        None
    }

    fn contact_event(&self, kind: EventKind, instant: crate::contact::Instant, stand_in: Option<Joint>) -> Event {
        let sd = if stand_in.is_some() {
            instant.sd.hypot(STAND_IN_SD_S)
        } else {
            instant.sd
        };
        Event {
            kind,
            frame: instant.frame,
            time: instant.time,
            sd,
            how: How::Detected,
            stand_in,
        }
    }

    fn crossing_event(&self, kind: EventKind, time: f64, sd: f64) -> Event {
        Event {
            kind,
            frame: self.frame_at(time),
            time,
            sd,
            how: How::Detected,
            stand_in: None,
        }
    }
}

/// Contacts of the point that touches on one side, with the joint that stood in for it if it did.
#[derive(Clone, Debug, Default)]
pub(crate) struct SideContacts {
    pub contacts: Vec<Contact>,
    pub stand_in: Option<Joint>,
}
