//! Where the clip contradicts the chosen drill or an event that the coach gave.

use springline_drills::{Drill, Motion};
use springline_keypoints::{Given, SurfaceAt};
use springline_kinematics::events::{Search, Surface, find_events};
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::Trial;
use springline_kinematics::{EventKind, Joint, Landmark, Point, Side};

/// A handstand that turns on by more than this with the hands off goes over, degrees (our choice: a handstand turns by about
/// 90 and comes back).
const GOES_OVER_DEG: f64 = 150.0;
/// The shoulders are at least this high over the hands as those leave, leg lengths: lower, it is a roll.
const SHOULDERS_HIGH: f64 = 0.34;
/// Hands this much higher than the landing, by the drill, stand on something that the points show, m.
const SHOWS_M: f64 = 0.15;
/// Hands lower than this over the push-off foot are on the foot's own level, leg lengths (our choice).
const LEVEL: f64 = 0.10;
/// A given event this far from the one that the search finds is told, seconds (our choice).
const FAR_S: f64 = 0.15;

/// The smoothing takes no higher cut-off than this share of the frame rate.
pub(crate) const MOST_OF_RATE: f64 = 0.4;

/// What in the clip contradicts the drill, in words; each keeps the attempt from being counted.
pub(crate) fn contradictions(drill: &Drill, trial: &Trial) -> Vec<String> {
    [goes_over(drill, trial), no_block(drill, trial)]
        .into_iter()
        .flatten()
        .collect()
}

fn goes_over(drill: &Drill, trial: &Trial) -> Option<String> {
    let found = trial.found();
    if drill.events.motion != Motion::Handstand || found.event(EventKind::HoldStart).is_some() {
        return None;
    }
    let turned = trial.forward_rotation()?.degrees().abs();
    let departure = found.event(EventKind::HandDeparture)?;
    let high = middle(trial, Joint::Shoulder, departure.frame)?.y - middle(trial, Joint::Wrist, departure.frame)?.y;
    (turned > GOES_OVER_DEG && high > SHOULDERS_HIGH * trial.leg().value).then(|| {
        format!(
            "this looks like a turn over the hands, not this drill: the hands leave at {:.2} s and the body goes on over \
             them by {turned:.0}° in all",
            departure.time
        )
    })
}

fn no_block(drill: &Drill, trial: &Trial) -> Option<String> {
    let setup = &drill.setup;
    if setup.hand_surface_m - setup.foot_surface_m.max(0.0) < SHOWS_M {
        return None;
    }
    let (hands, foot) = (hand_height(trial)?, foot_height(trial)?);
    let rise = (hands - foot) / trial.leg().value;
    (rise < LEVEL).then(|| {
        format!(
            "this looks like hands on the floor, not this drill: they come down level with the push-off foot, where the drill has {} \
             m under the hands",
            setup.hand_surface_m
        )
    })
}

fn middle(trial: &Trial, joint: Joint, frame: usize) -> Option<Point> {
    let at = |side| trial.series().smooth(Landmark::of(joint, side), frame);
    match (at(Side::Left), at(Side::Right)) {
        (Some(a), Some(b)) => Some(Point::from((a.coords + b.coords) / 2.0)),
        (one, other) => one.or(other),
    }
}

/// Height of the hands while they are down, px: the lowest hand.
fn hand_height(trial: &Trial) -> Option<f64> {
    let support = trial.found().support.as_ref()?;
    let joint = support.stand_in.unwrap_or(Joint::Fingertip);
    let down = Side::BOTH
        .into_iter()
        .zip(&support.hands)
        .filter_map(|(side, contact)| {
            let contact = contact.as_ref()?;
            trial
                .series()
                .median_while(Landmark::of(joint, side), contact.first, contact.end)
        });
    down.map(|point| point.y).min_by(f64::total_cmp)
}

/// Height of the push-off foot while it is down, px.
fn foot_height(trial: &Trial) -> Option<f64> {
    let feet = &trial.found().feet;
    let (side, contact) = feet.push_off.zip(feet.push_off_contact)?;
    let joint = feet.stand_in.unwrap_or(Joint::Toe);
    trial
        .series()
        .median_while(Landmark::of(joint, side), contact.first, contact.end)
        .map(|point| point.y)
}

/// What of the drill's set-up the points can't show.
pub(crate) fn unseen_set_up(drill: &Drill, given: &Given) -> Option<String> {
    let setup = &drill.setup;
    let raised = setup.hand_surface_m > 0.0 || setup.foot_surface_m > 0.0 || !setup.blocks_m.is_empty();
    let given = given.hand_surface.is_some() || given.foot_surface.is_some();
    (raised && !given).then(|| {
        format!(
            "whether the set-up was there ({}) can't be seen from points; you chose this drill",
            setup.surface
        )
    })
}

/// A given height this far from the drill's contradicts it, m (our choice: blocks differ, and mats give).
const OTHER_SURFACE_M: f64 = 0.10;

/// Heights of surfaces that were given and that contradict the drill's.
pub(crate) fn other_surfaces(drill: &Drill, given: &Given) -> Vec<String> {
    let setup = &drill.setup;
    [
        ("hands", given.hand_surface, setup.hand_surface_m, true),
        ("feet", given.foot_surface, setup.foot_surface_m, false),
    ]
    .into_iter()
    .filter_map(|(what, given, own, block)| {
        let Some(SurfaceAt::OverFloorM(height)) = given else {
            return None;
        };
        // Where the hands stand on a block, the drill may know several of them.
        let blocks = setup.blocks_m.iter().filter(|_| block && own > 0.0);
        let near = blocks
            .chain([&own])
            .any(|drill| (height - drill).abs() <= OTHER_SURFACE_M);
        (!near).then(|| {
            format!(
                "the surface under the {what} was given as {height} m over the floor, the drill has {own} m: is it this drill?"
            )
        })
    })
    .collect()
}

/// A cut-off of the coach's own that the frame rate does not carry, in words.
pub(crate) fn slower_cutoff(trial: &Trial, smoothing: Smoothing) -> Option<String> {
    let Smoothing::CutoffHz(asked) = smoothing else {
        return None;
    };
    let rate = 1.0 / trial.series().interval();
    let most = MOST_OF_RATE * rate;
    (smoothing != Smoothing::default() && asked > most * (1.0 + 1e-6)).then(|| {
        format!("smoothed at {most:.1} Hz, not at {asked} Hz: {rate:.0} frames a second carry no higher cut-off")
    })
}

/// Given events that lie far from those that the search finds without them.
pub(crate) fn far_events(trial: &Trial, search: &Search) -> Vec<String> {
    let marked = |surface| matches!(surface, Some(Surface::Through(_)));
    if search.given.is_empty() || marked(search.hand_surface) || marked(search.foot_surface) {
        return Vec::new();
    }
    let mut own = search.clone();
    own.given.clear();
    let found = find_events(trial.series(), trial.leg().value, &own);
    let far = search.given.iter().filter_map(|(kind, time)| {
        let event = found.event(*kind)?;
        ((event.time - time).abs() > FAR_S.max(3.0 * event.sd)).then(|| {
            format!(
                "{} was given at {time:.3} s and is found at {:.3} s: every measure at it was taken where it was given",
                kind.words(),
                event.time
            )
        })
    });
    far.collect()
}

/// A handspring takes this long from hand placement to landing, seconds (common practice \[M\]).
const TURN_OVER_S: (f64, f64) = (0.4, 1.5);

/// A turn over the hands with flight that is too quick or too slow for a body: the frame rate is off.
pub(crate) fn odd_turn_over(drill: &Drill, trial: &Trial) -> Option<String> {
    let found = trial.found();
    if drill.events.motion != Motion::TurnOver || !drill.events.flight {
        return None;
    }
    let time = found.event(EventKind::FeetTouchdown)?.time - found.event(EventKind::HandPlacement)?.time;
    (!(TURN_OVER_S.0..=TURN_OVER_S.1).contains(&time)).then(|| {
        format!(
            "is the frame rate right? From hand placement to landing it is {time:.2} s, in common practice {} to {} s; a slow-motion \
             recording needs the rate that it was filmed at",
            TURN_OVER_S.0, TURN_OVER_S.1
        )
    })
}
