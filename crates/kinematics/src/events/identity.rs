//! Whether what was found is the skill that was looked for, or another one.

use crate::events::turn::contact_point;
use crate::events::{Found, Motion, Scene, hands};
use crate::{EventKind, Joint, Landmark, Point, Side};

/// Upside down the trunk is turned past this, radians (137°).
const UPSIDE_DOWN: f64 = 2.4;
/// Upside down over the hands the hips are at least this high over them, leg lengths.
const HIPS_OVER_HANDS: f64 = 0.75;
/// From the hands' placement until the feet land the hips stay this high over the hands, leg lengths: a roll brings them
/// to the floor, a deep landing of a turn over the hands keeps them at 0.37 and more.
const HIPS_OFF_FLOOR: f64 = 0.25;
/// On the way to a landing on the back the shoulders stay this high over the hands while the trunk is upside down, leg
/// lengths.
const SHOULDERS_OFF_FLOOR: f64 = 0.25;
/// Between placement and landing the trunk turns by at least this, radians (45°), or comes down where it went up.
const TURNS_OVER: f64 = 0.785;
/// A trunk that has turned by this since the placement has gone over the hands, radians (150°).
const WENT_OVER: f64 = 2.618;
/// A trunk past this is upside down and in no front support, radians (130°).
const FRONT_SUPPORT_ENDS: f64 = 2.269;
/// Who faces the camera shows hips and shoulders this wide, leg lengths (about 40° out of the plane).
const FACING_HIPS: f64 = 0.13;
const FACING_SHOULDERS: f64 = 0.27;
/// Who is seen from the side shows them no wider than this, leg lengths.
const SIDE_HIPS: f64 = 0.08;
const SIDE_SHOULDERS: f64 = 0.30;

/// Whether the body comes upside down, with the hips high over the hands, while the hands support it.
pub(crate) fn upside_down(scene: &Scene<'_>, support: &hands::Support) -> bool {
    let Some(hands) = contact_point(scene, support) else {
        return false;
    };
    (support.first()..support.end()).any(|frame| {
        scene.trunk(frame).is_some_and(|trunk| trunk.abs() > UPSIDE_DOWN)
            && scene
                .middle(Joint::Hip, frame)
                .is_some_and(|hip| hip.y - hands.y > HIPS_OVER_HANDS * scene.leg)
    })
}

/// Why the motion with this support is another skill than the one looked for, in plain words; `None` if nothing says so.
pub(crate) fn another_skill(scene: &Scene<'_>, found: &Found, support: &hands::Support) -> Option<String> {
    let word = match scene.search.motion {
        Motion::TurnOver => rolled(scene, found, support)
            .or_else(|| comes_back(found))
            .or_else(|| faces_wrongly(scene, support)),
        Motion::Hop => goes_over(scene, found, support).or_else(|| stays_down(found)),
        Motion::FrontSupportBounce => turns_up(scene, support).or_else(|| stays_down(found)),
        Motion::Handstand | Motion::Fall | Motion::Hold => None,
    };
    word.map(str::to_owned)
}

fn rolled(scene: &Scene<'_>, found: &Found, support: &hands::Support) -> Option<&'static str> {
    let hands = contact_point(scene, support)?;
    if scene.search.lands_on_back {
        let low = |frame: usize| {
            scene.trunk(frame).is_some_and(|trunk| trunk.abs() > UPSIDE_DOWN)
                && scene
                    .middle(Joint::Shoulder, frame)
                    .is_some_and(|shoulder| shoulder.y - hands.y < SHOULDERS_OFF_FLOOR * scene.leg)
        };
        return (support.first()..scene.frames())
            .any(low)
            .then_some("the shoulders come down first, still upside down: a roll");
    }
    let end = found.event(EventKind::FeetTouchdown)?.frame;
    hips_low(scene, support, hands, end).then_some("the hips come down to the floor before the feet: a roll")
}

fn hips_low(scene: &Scene<'_>, support: &hands::Support, hands: Point, end: usize) -> bool {
    let lowest = (support.first()..=end)
        .filter_map(|frame| scene.middle(Joint::Hip, frame))
        .map(|hip| hip.y - hands.y)
        .fold(f64::INFINITY, f64::min);
    lowest < HIPS_OFF_FLOOR * scene.leg
}

/// The feet come down on the side where they left.
fn comes_back(found: &Found) -> Option<&'static str> {
    found.event(EventKind::FeetTouchdown)?;
    (found.rotation?.radians().abs() < TURNS_OVER)
        .then_some("the body comes down where it went up, and does not turn over the hands")
}

/// Which way the athlete faces while upside down: into the picture for a cartwheel, across it for a handspring.
fn faces_wrongly(scene: &Scene<'_>, support: &hands::Support) -> Option<&'static str> {
    let hips = width(scene, support, Joint::Hip)?;
    let shoulders = width(scene, support, Joint::Shoulder)?;
    if scene.search.frontal {
        (hips < SIDE_HIPS && shoulders < SIDE_SHOULDERS).then_some(
            "the body goes over seen from the side, chest along the line: no cartwheel or round-off filmed from the front",
        )
    } else {
        (hips > FACING_HIPS && shoulders > FACING_SHOULDERS).then_some(
            "the chest or back faces the camera upside down: a cartwheel or round-off, or filmed from the front",
        )
    }
}

/// Mean distance between left and right across the trunk while the hands are down and the trunk upside down, leg lengths;
/// signed before the mean is taken, so that noise cancels.
fn width(scene: &Scene<'_>, support: &hands::Support, joint: Joint) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0);
    for frame in support.first()..support.end() {
        let at = |joint, side| scene.series.smooth(Landmark::of(joint, side), frame);
        if scene.trunk(frame).is_none_or(|trunk| trunk.abs() < UPSIDE_DOWN) {
            continue;
        }
        let (Some(left), Some(right)) = (at(joint, Side::Left), at(joint, Side::Right)) else {
            continue;
        };
        let (Some(hip), Some(shoulder)) = (scene.middle(Joint::Hip, frame), scene.middle(Joint::Shoulder, frame))
        else {
            continue;
        };
        let Some(along) = (shoulder - hip).try_normalize(1e-9) else {
            continue;
        };
        sum += along.perp(&(right - left));
        count += 1;
    }
    (count > 0).then(|| sum.abs() / f64::from(count) / scene.leg)
}

/// A hop comes back to the hands.
fn goes_over(scene: &Scene<'_>, found: &Found, support: &hands::Support) -> Option<&'static str> {
    let back = found.event(EventKind::HandsReturn);
    let over = back.is_none() && found.rotation?.radians().abs() > WENT_OVER;
    let end = back.map_or(scene.frames() - 1, |event| event.frame);
    let rolls =
        found.rotation?.radians().abs() > WENT_OVER && hips_low(scene, support, contact_point(scene, support)?, end);
    (over || rolls).then_some("the body goes on over the hands and does not come back to them")
}

fn stays_down(found: &Found) -> Option<&'static str> {
    found
        .event(EventKind::HandsReturn)
        .is_none()
        .then_some("the hands do not leave the floor and come back, as far as the points can show")
}

fn turns_up(scene: &Scene<'_>, support: &hands::Support) -> Option<&'static str> {
    (support.first()..support.end())
        .any(|frame| scene.trunk(frame).is_some_and(|trunk| trunk.abs() > FRONT_SUPPORT_ENDS))
        .then_some("the body goes upside down: no front support")
}
