//! Skills with a hand support: over the top, up into a handstand, hops and bounces.

use crate::contact::Instant;
use crate::events::{Event, Found, Motion, Scene, Surface, feet, hands, hold, hop, identity, landing, legs};
use crate::segments::unwrap;
use crate::{Angle, EventKind, Joint, Landmark, Point, Side};

/// At inverted the shoulders are at least this high over the hands, leg lengths: else it is a roll.
const SHOULDERS_HIGH: f64 = 0.34;
/// At inverted the hips are at least this high over the hands, leg lengths.
const HIPS_HIGH: f64 = 0.55;
/// The body turns over within this long after the hands leave, seconds.
const TURNS_WITHIN_S: f64 = 0.6;

/// Standard uncertainty of the instant nearest to the vertical, seconds: the body hardly moves there.
const NEAREST_SD_S: f64 = 0.05;

struct Turned {
    time: f64,
    sd: f64,
}

enum Turn {
    Over(Turned),
    Never,
    Rolled,
}

/// Trunk inclination from which a clip's end or beginning is in the middle of something.
const IN_THE_MIDDLE_DEG: f64 = 45.0;

/// A clip that ends, or begins, with the trunk far from upright may lack what it is for.
fn cut_off(scene: &Scene<'_>) -> String {
    let leans = |trunk: Option<f64>| {
        trunk
            .map(|trunk| trunk.to_degrees().abs())
            .filter(|deg| *deg >= IN_THE_MIDDLE_DEG)
    };
    let frames = 0..scene.frames();
    if let Some(trunk) = leans(frames.clone().rev().find_map(|frame| scene.trunk(frame))) {
        return format!("; the clip ends with the trunk at {trunk:.0}°, perhaps before the hands are down");
    }
    match leans(frames.clone().find_map(|frame| scene.trunk(frame))) {
        Some(trunk) => format!("; the clip begins with the trunk at {trunk:.0}°, perhaps after the hands were down"),
        None => String::new(),
    }
}

pub(crate) fn turn_over(scene: &Scene<'_>) -> Found {
    let mut found = Found {
        events: Vec::new(),
        support: None,
        feet: feet::Feet::default(),
        further_supports: 0,
        not_there: Vec::new(),
        rotation: None,
    };
    let mut supports = hands::supports(scene, floor_height(scene), false);
    if matches!(scene.search.motion, Motion::Hop | Motion::FrontSupportBounce) {
        supports = hop::split(scene, supports);
    }
    if supports.is_empty() {
        found.not_there.push(format!(
            "no hand on the floor with the trunk past {:.0}°{}",
            scene.search.hands_need_trunk_past.degrees(),
            cut_off(scene)
        ));
        found.feet = feet::foot_contacts(scene, scene.frames());
        return found;
    }
    let turns: Vec<Turn> = supports.iter().map(|support| passes_over(scene, support)).collect();
    let chosen = match scene.search.motion {
        Motion::FrontSupportBounce => Some(0),
        Motion::Handstand | Motion::Hop => supports
            .iter()
            .position(|support| identity::upside_down(scene, support)),
        _ => turns.iter().position(|turn| matches!(turn, Turn::Over(_))),
    };
    let Some(chosen) = chosen else {
        let rolled = turns.iter().any(|turn| matches!(turn, Turn::Rolled));
        found.not_there.push(match (scene.search.motion, rolled) {
            (Motion::Handstand | Motion::Hop, _) => "the body never comes upside down over the hands".to_owned(),
            (_, true) => "the shoulders come down to the floor: a roll, not a turn over the hands".to_owned(),
            (_, false) if supports.iter().any(|support| support.departure().is_none()) => {
                "the clip ends before the hips pass over the hands".to_owned()
            }
            (_, false) => "the hips never pass over the hands".to_owned(),
        });
        found.support = supports.into_iter().next();
        found.feet = feet::foot_contacts(scene, scene.frames());
        return found;
    };
    found.further_supports = turns
        .iter()
        .skip(chosen + 1)
        .filter(|turn| matches!(turn, Turn::Over(_)))
        .count();
    let support = supports[chosen].clone();
    let placement = support.placement();
    let departure = support.departure();
    let times = scene.times();
    if let Some(instant) = placement {
        found
            .events
            .push(scene.contact_event(EventKind::HandPlacement, instant, support.stand_in));
    }
    if let Some(instant) = departure {
        found
            .events
            .push(scene.contact_event(EventKind::HandDeparture, instant, support.stand_in));
    }
    let inverted = match &turns[chosen] {
        Turn::Over(turned) => {
            found
                .events
                .push(scene.crossing_event(EventKind::Inverted, turned.time, turned.sd));
            Some(turned.time)
        }
        _ if scene.search.motion == Motion::Handstand => {
            let nearest = nearest_to_vertical(scene, &support);
            found.events.extend(nearest);
            nearest.map(|event| event.time)
        }
        _ => None,
    };
    let start = placement.map_or(times[support.first()], |instant| instant.time);
    let stop = departure.map_or(times[support.end().min(times.len()) - 1], |instant| instant.time);
    let turned = inverted.unwrap_or(0.5 * (start + stop));
    let split = scene.frame_at(turned);
    found.feet = feet::foot_contacts(scene, split);
    if scene.search.motion != Motion::FrontSupportBounce {
        push_off(scene, &mut found, turned);
    }
    match scene.search.motion {
        Motion::Hop | Motion::FrontSupportBounce => {
            let next = supports.get(chosen + 1).and_then(hands::Support::placement);
            if let Some(back) = next.filter(|back| departure.is_some_and(|d| back.time - d.time < 1.0)) {
                found
                    .events
                    .push(scene.contact_event(EventKind::HandsReturn, back, support.stand_in));
            }
        }
        Motion::Handstand => hold::handstand_hold(scene, &support, &mut found.events),
        _ => {}
    }
    if scene.search.lands_on_back {
        found
            .events
            .extend(landing::back_touchdown(scene, departure.map_or(turned, |d| d.time)));
    } else if scene.search.motion == Motion::TurnOver {
        touch_down(
            scene,
            &mut found,
            turned,
            departure.map_or(f64::NEG_INFINITY, |d| d.time),
        );
    }
    let departure = lifted_departure(scene, &mut found, &support).or(departure);
    let touchdown = found
        .event(EventKind::FeetTouchdown)
        .or_else(|| found.event(EventKind::BackTouchdown))
        .map(|event| event.time);
    let ends: Vec<f64> = departure.map(|d| d.time).into_iter().chain(touchdown).collect();
    let from = found
        .event(EventKind::PushOffFootLeaves)
        .map_or(start, |event| event.time.min(start));
    let joined = legs::legs_together(
        scene,
        from,
        if ends.is_empty() {
            std::slice::from_ref(&stop)
        } else {
            &ends
        },
    );
    found.events.extend(joined);
    found.rotation = rotation(scene, start, touchdown.unwrap_or(f64::INFINITY));
    found.not_there.extend(identity::another_skill(scene, &found, &support));
    found.support = Some(support);
    found
}

/// With the feet down before the hands leave (a bridge), the hands are lifted rather than pushed off: looked at once more
/// in that light.
fn lifted_departure(scene: &Scene<'_>, found: &mut Found, support: &hands::Support) -> Option<Instant> {
    let touchdown = found.event(EventKind::FeetTouchdown)?.time;
    let event = found
        .events
        .iter_mut()
        .find(|event| event.kind == EventKind::HandDeparture)?;
    if touchdown >= event.time {
        return None;
    }
    let again = hands::supports(scene, floor_height(scene), true);
    let same = again
        .iter()
        .find(|other| other.first() < support.end() && support.first() < other.end())?;
    let departure = same.departure()?;
    *event = scene.contact_event(EventKind::HandDeparture, departure, support.stand_in);
    Some(departure)
}

fn push_off(scene: &Scene<'_>, found: &mut Found, turned: f64) {
    let Some((down, leaves)) = found.feet.find_push_off(scene.times(), turned) else {
        return;
    };
    let stand_in = found.feet.stand_in;
    if let Some(down) = down {
        found
            .events
            .push(scene.contact_event(EventKind::PushOffFootDown, down, stand_in));
    }
    found
        .events
        .push(scene.contact_event(EventKind::PushOffFootLeaves, leaves, stand_in));
}

fn touch_down(scene: &Scene<'_>, found: &mut Found, turned: f64, hands_off: f64) {
    let Some((side, first, second)) = found.feet.find_landing(turned) else {
        return;
    };
    let gap = legs::gap_at(scene, first.frame);
    let kind = feet::landing_kind(first, second, gap);
    found.feet.landing = Some((side, kind));
    let touch = second.map_or(first, |second| first.earlier(second));
    let event = scene.contact_event(EventKind::FeetTouchdown, touch, found.feet.stand_in);
    let foot = (kind == feet::LandingKind::StepOut).then_some(side);
    found.events.extend(landing::settled(scene, &event, foot, hands_off));
    found.events.push(event);
}

/// Height of the entry's floor: the lowest of the feet's 5th-percentile heights, px, that of a lower landing raised.
fn floor_height(scene: &Scene<'_>) -> Option<f64> {
    let tracks = scene.series.raw();
    let lower_by = match scene.search.foot_surface {
        Some(Surface::OverFloor(rise)) => rise.min(0.0),
        _ => 0.0,
    };
    Side::BOTH
        .into_iter()
        .flat_map(|side| [Joint::Toe, Joint::Heel, Joint::Ankle].map(|joint| Landmark::of(joint, side)))
        .filter_map(|landmark| {
            let mut heights: Vec<f64> = tracks.track(landmark).positions.iter().flatten().map(|p| p.y).collect();
            let rank = heights.len().checked_sub(1)? / 20;
            Some(*heights.select_nth_unstable_by(rank, f64::total_cmp).1)
        })
        .min_by(f64::total_cmp)
        .map(|lowest| lowest - lower_by)
}

/// Whether and when the line from the hands' contact to mid-hip passes the vertical.
fn passes_over(scene: &Scene<'_>, support: &hands::Support) -> Turn {
    let Some(hands) = contact_point(scene, support) else {
        return Turn::Never;
    };
    let last = scene.frame_at(scene.times()[support.end().min(scene.frames()) - 1] + TURNS_WITHIN_S);
    let first = support.first();
    let ahead = |frame: usize| scene.middle(Joint::Hip, frame).map(|hip| hip.x - hands.x);
    let crossing = scene
        .crossing(ahead, first, last, true)
        .into_iter()
        .chain(scene.crossing(ahead, first, last, false))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((time, rate)) = crossing else {
        return Turn::Never;
    };
    let frame = scene.frame_at(time);
    let over = |joint| scene.middle(joint, frame).map(|point| point.y - hands.y);
    let (Some(shoulder), Some(hip)) = (over(Joint::Shoulder), over(Joint::Hip)) else {
        return Turn::Never;
    };
    if shoulder < SHOULDERS_HIGH * scene.leg || hip < HIPS_HIGH * scene.leg {
        return Turn::Rolled;
    }
    let sd = scene
        .middle_sd(Joint::Hip, frame)
        .hypot(scene.middle_sd(Joint::Wrist, frame) / 2.0);
    Turn::Over(Turned {
        time,
        sd: sd / rate.abs().max(0.1 * scene.leg),
    })
}

/// A handstand that never passes the vertical is inverted where the hips come nearest to it over the hands.
fn nearest_to_vertical(scene: &Scene<'_>, support: &hands::Support) -> Option<Event> {
    let hands = contact_point(scene, support)?;
    let lean = |frame: usize| {
        let hip = scene.middle(Joint::Hip, frame)?;
        crate::segments::inclination(hands, hip).map(|angle| angle.radians().abs())
    };
    let frame = (support.first()..support.end())
        .filter_map(|frame| Some((frame, lean(frame)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?
        .0;
    Some(scene.crossing_event(EventKind::Inverted, scene.times()[frame], NEAREST_SD_S))
}

/// Mean over the hands of the median position while down.
pub(crate) fn contact_point(scene: &Scene<'_>, support: &hands::Support) -> Option<Point> {
    let joint = support.stand_in.unwrap_or(Joint::Fingertip);
    let points: Vec<Point> = Side::BOTH
        .into_iter()
        .zip(&support.hands)
        .filter_map(|(side, contact)| {
            contact
                .as_ref()
                .and_then(|c| scene.series.median_while(Landmark::of(joint, side), c.first, c.end))
        })
        .collect();
    let sum = points
        .iter()
        .fold(crate::Vector::zeros(), |sum, point| sum + point.coords);
    (!points.is_empty()).then(|| Point::from(sum / points.len() as f64))
}

fn rotation(scene: &Scene<'_>, from: f64, to: f64) -> Option<Angle> {
    let first = scene.frame_at(from);
    let last = scene.frame_at(to);
    let open = unwrap(&(first..=last).map(|frame| scene.trunk(frame)).collect::<Vec<_>>());
    let seen: Vec<f64> = open.into_iter().flatten().collect();
    Angle::from_radians(seen.last()? - seen.first()?)
}
