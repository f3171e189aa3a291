//! Hand contacts and the support they make.

use crate::contact::{Contact, Instant, Path};
use crate::events::{Scene, SideContacts};
use crate::{Joint, Landmark, Side};

/// A contact point's height must lie within this many leg lengths of the surface (hanging hands are no contact).
const NEAR_SURFACE: f64 = 0.25;
/// With surfaces of unknown different heights: this many.
const NEAR_OTHER_SURFACE: f64 = 1.2;
/// Contacts of the two hands that are apart by no more than this make one support, seconds.
const ONE_SUPPORT_S: f64 = 0.12;

/// One stretch with at least one hand down.
#[derive(Clone, Debug)]
pub struct Support {
    /// Contact of each hand, left and right.
    pub hands: [Option<Contact>; 2],
    /// The joint that stood in for the fingertips, if it did.
    pub stand_in: Option<Joint>,
}

impl Support {
    /// First hand down; `None` if a hand was down when the clip began.
    pub(crate) fn placement(&self) -> Option<Instant> {
        let all: Option<Vec<Instant>> = self.each().map(|contact| contact.start).collect();
        all?.into_iter().reduce(Instant::earlier)
    }

    /// Last hand up; `None` if the clip ends first.
    pub(crate) fn departure(&self) -> Option<Instant> {
        let all: Option<Vec<Instant>> = self.each().map(|contact| contact.stop).collect();
        all?.into_iter().reduce(Instant::later)
    }

    pub(crate) fn each(&self) -> impl Iterator<Item = &Contact> {
        self.hands.iter().flatten()
    }

    pub(crate) fn first(&self) -> usize {
        self.each().map(|c| c.first).min().unwrap_or(0)
    }

    pub(crate) fn end(&self) -> usize {
        self.each().map(|c| c.end).max().unwrap_or(0)
    }

    /// The two hands' contacts, if both were seen.
    #[must_use]
    pub fn both(&self) -> Option<[&Contact; 2]> {
        match &self.hands {
            [Some(left), Some(right)] => Some([left, right]),
            _ => None,
        }
    }
}

/// Every support of the clip, in order of time. `floor`: height of the floor, px; `lifted`: the hands leave with the feet
/// already down.
pub(crate) fn supports(scene: &Scene<'_>, floor: Option<f64>, lifted: bool) -> Vec<Support> {
    let sides = Side::BOTH.map(|side| hand_contacts(scene, side, floor, lifted));
    let stand_in = sides[0].stand_in.or(sides[1].stand_in);
    let mut all: Vec<(usize, Contact)> = sides
        .iter()
        .enumerate()
        .flat_map(|(k, one)| one.contacts.iter().map(move |c| (k, *c)))
        .collect();
    all.sort_by_key(|(side, c)| (c.first, *side));
    let times = scene.times();
    let mut supports: Vec<Support> = Vec::new();
    for (side, contact) in all {
        let joins = supports.last().is_some_and(|last| {
            last.hands[side].is_none()
                && contact.start_time(times)
                    <= last.each().map(|c| c.stop_time(times)).fold(f64::MIN, f64::max) + ONE_SUPPORT_S
        });
        match supports.last_mut() {
            Some(last) if joins => last.hands[side] = Some(contact),
            _ => {
                let mut hands = [None, None];
                hands[side] = Some(contact);
                supports.push(Support { hands, stand_in });
            }
        }
    }
    supports
}

fn hand_contacts(scene: &Scene<'_>, side: Side, floor: Option<f64>, lifted: bool) -> SideContacts {
    let tracks = scene.series.raw();
    let seen = |joint| {
        tracks
            .track(Landmark::of(joint, side))
            .positions
            .iter()
            .flatten()
            .count()
    };
    let fingers = seen(Joint::Fingertip) * 2 > seen(Joint::Wrist);
    let joint = if fingers { Joint::Fingertip } else { Joint::Wrist };
    let mut path = Path::new(tracks, Landmark::of(joint, side), scene.leg);
    path.lifted = lifted;
    if path.is_empty() {
        return SideContacts::default();
    }
    let (surface, band) = match scene.search.hand_surface {
        Some(surface) => (surface.height(floor), NEAR_SURFACE),
        None if scene.search.surfaces_differ => (floor, NEAR_OTHER_SURFACE),
        None => (floor, NEAR_SURFACE),
    };
    let least_trunk = scene.search.hands_need_trunk_past.radians();
    let mut near = vec![None; scene.frames()];
    for (frame, height) in path.heights() {
        near[frame] = surface
            .is_none_or(|surface| (height - surface).abs() <= band * scene.leg)
            .then_some(height);
    }
    let turned = |frame: usize| scene.trunk(frame).is_some_and(|trunk| trunk.abs() >= least_trunk);
    let level = episode_levels(&near, scene, turned);
    let contacts = path.contacts(tracks, scene.leg, |frame| near[frame].and(level[frame]), turned);
    SideContacts {
        contacts,
        stand_in: (!fingers).then_some(Joint::Wrist),
    }
}

/// For each frame near the surface the low height (20th percentile) of its episode's turned frames; episodes are apart by
/// over 0.10 s, and one without a turned frame has none.
fn episode_levels(near: &[Option<f64>], scene: &Scene<'_>, turned: impl Fn(usize) -> bool) -> Vec<Option<f64>> {
    let mut level = vec![None; near.len()];
    let frames: Vec<usize> = (0..near.len()).filter(|k| near[*k].is_some()).collect();
    let mut start = 0;
    for k in 0..frames.len() {
        let last = k + 1 == frames.len() || scene.times()[frames[k + 1]] - scene.times()[frames[k]] > 0.10;
        if !last {
            continue;
        }
        let episode = &frames[start..=k];
        start = k + 1;
        let mut heights: Vec<f64> = episode
            .iter()
            .filter(|frame| turned(**frame))
            .filter_map(|frame| near[*frame])
            .collect();
        if heights.is_empty() {
            continue;
        }
        let rank = (heights.len() - 1) / 5;
        let low = *heights.select_nth_unstable_by(rank, f64::total_cmp).1;
        for frame in episode {
            level[*frame] = Some(low);
        }
    }
    level
}
