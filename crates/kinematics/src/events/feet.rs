//! Foot contacts: push-off, landing, and what kind of landing it is.

use crate::contact::{Contact, Instant, Path};
use crate::events::{Scene, SideContacts};
use crate::{Joint, Landmark, Side};

/// Landing and entry floors may differ by this many leg lengths (camera tilt, soft mats).
const SAME_FLOOR: f64 = 0.35;
/// The second foot lands within this of the first in a two-foot landing, seconds.
const TWO_FEET_S: f64 = 0.05;

/// The heel counts where its instant differs from the toe's by more than this many standard deviations.
const HEEL_SDS: f64 = 3.0;

/// How the feet land.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LandingKind {
    /// Both within 0.05 s.
    TwoFeet,
    /// One after the other.
    StepOut,
    /// Cannot be told.
    Undecided,
}

/// What the feet did.
#[derive(Clone, Debug, Default)]
pub struct Feet {
    /// Contacts of the left and of the right foot.
    pub contacts: [Vec<Contact>; 2],
    /// The joint that stood in for the toes, if it did.
    pub stand_in: Option<Joint>,
    /// The foot that left the floor last.
    pub push_off: Option<Side>,
    /// Its last contact before the body was inverted.
    pub push_off_contact: Option<Contact>,
    /// The foot that landed first, with the kind of landing.
    pub landing: Option<(Side, LandingKind)>,
}

/// Contacts of both feet; entry and landing have floors of their own, told apart at `split` (a frame).
pub(crate) fn foot_contacts(scene: &Scene<'_>, split: usize) -> Feet {
    let [left, right] = Side::BOTH.map(|side| one_foot(scene, side, split));
    Feet {
        stand_in: left.stand_in.or(right.stand_in),
        contacts: [left.contacts, right.contacts],
        ..Feet::default()
    }
}

fn one_foot(scene: &Scene<'_>, side: Side, split: usize) -> SideContacts {
    let tracks = scene.series.raw();
    let seen = |joint| {
        tracks
            .track(Landmark::of(joint, side))
            .positions
            .iter()
            .flatten()
            .count()
    };
    let toes = seen(Joint::Toe) * 2 > seen(Joint::Ankle);
    let joints: &[Joint] = if toes {
        &[Joint::Toe, Joint::Heel]
    } else {
        &[Joint::Ankle]
    };
    let mut by_joint = joints.iter().map(|joint| {
        let path = Path::new(tracks, Landmark::of(*joint, side), scene.leg);
        if path.is_empty() {
            return Vec::new();
        }
        let before = path.low_height(0.05, |frame| frame < split);
        let after = path.low_height(0.05, |frame| frame >= split);
        let (surface, reach) = match scene.search.foot_surface {
            Some(surface) => (surface.height(before), SAME_FLOOR),
            None if scene.search.surfaces_differ => (before, 4.0 * SAME_FLOOR),
            None => (before, SAME_FLOOR),
        };
        let after = match (surface, after) {
            (Some(surface), Some(after)) if (after - surface).abs() > reach * scene.leg => None,
            (_, after) => after,
        };
        path.contacts(
            tracks,
            scene.leg,
            |frame| if frame < split { before } else { after },
            |_| true,
        )
    });
    let main = by_joint.next().unwrap_or_default();
    let contacts = by_joint.fold(main, with_heel);
    SideContacts {
        contacts,
        stand_in: (!toes).then_some(Joint::Ankle),
    }
}

/// Contacts of the toe, widened by those of the heel where it clearly comes down first or leaves last.
fn with_heel(toe: Vec<Contact>, heel: Vec<Contact>) -> Vec<Contact> {
    let mut feet = toe;
    let clearly = |one: Option<Instant>, other: Option<Instant>| match (one, other) {
        (Some(one), Some(other)) => one.time - other.time > HEEL_SDS * one.sd.hypot(other.sd),
        _ => false,
    };
    for heel in heel {
        let overlapping = |foot: &Contact| heel.first < foot.end && foot.first < heel.end;
        match feet.iter_mut().find(|foot| overlapping(foot)) {
            Some(foot) => {
                if clearly(foot.start, heel.start) {
                    foot.first = heel.first;
                    foot.start = heel.start;
                }
                if clearly(heel.stop, foot.stop) {
                    foot.end = heel.end;
                    foot.stop = heel.stop;
                }
            }
            None => feet.push(heel),
        }
    }
    feet.sort_by_key(|contact| (contact.first, contact.end));
    // A heel can bridge two contacts of the toe.
    let mut merged: Vec<Contact> = Vec::new();
    for contact in feet {
        match merged.last_mut() {
            Some(last) if contact.first <= last.end => {
                if contact.end > last.end {
                    last.end = contact.end;
                    last.stop = contact.stop;
                }
            }
            _ => merged.push(contact),
        }
    }
    merged
}

impl Feet {
    /// Names the push-off foot: the last to leave the floor before `turned` (s).
    pub(crate) fn find_push_off(&mut self, times: &[f64], turned: f64) -> Option<(Option<Instant>, Instant)> {
        let mut best: Option<(Side, Contact, Instant)> = None;
        for (k, side) in Side::BOTH.into_iter().enumerate() {
            let last = self.contacts[k]
                .iter()
                .rfind(|c| c.stop.is_some_and(|stop| stop.time <= turned));
            if let Some((contact, stop)) = last.and_then(|c| c.stop.map(|stop| (*c, stop)))
                && best.as_ref().is_none_or(|(_, _, other)| stop.time > other.time)
            {
                best = Some((side, contact, stop));
            }
        }
        let (side, contact, stop) = best?;
        debug_assert!(contact.start_time(times) <= stop.time);
        self.push_off = Some(side);
        self.push_off_contact = Some(contact);
        Some((contact.start, stop))
    }

    /// First foot contact that starts after `after` (s), with its side and the other foot's first contact, if any.
    pub(crate) fn find_landing(&self, after: f64) -> Option<(Side, Instant, Option<Instant>)> {
        let first = |k: usize| {
            self.contacts[k]
                .iter()
                .filter_map(|c| c.start)
                .find(|start| start.time > after)
        };
        match (first(0), first(1)) {
            (Some(left), Some(right)) if left.time <= right.time => Some((Side::Left, left, Some(right))),
            (Some(left), Some(right)) => Some((Side::Right, right, Some(left))),
            (Some(left), None) => Some((Side::Left, left, None)),
            (None, Some(right)) => Some((Side::Right, right, None)),
            (None, None) => None,
        }
    }
}

/// Two-foot landing or step-out: by time, and within 2 sd of 0.05 s by the leg gap at touchdown (radians).
pub(crate) fn landing_kind(first: Instant, second: Option<Instant>, gap: Option<f64>) -> LandingKind {
    let step_gap = 30f64.to_radians();
    if let Some(second) = second {
        let apart = second.time - first.time;
        let sd = first.sd.hypot(second.sd);
        if (apart - TWO_FEET_S).abs() > 2.0 * sd {
            return if apart > TWO_FEET_S {
                LandingKind::StepOut
            } else {
                LandingKind::TwoFeet
            };
        }
    }
    match gap {
        Some(gap) if gap >= step_gap => LandingKind::StepOut,
        Some(_) if second.is_some_and(|second| second.time - first.time <= TWO_FEET_S) => LandingKind::TwoFeet,
        _ => LandingKind::Undecided,
    }
}
