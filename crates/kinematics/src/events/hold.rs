//! Held shapes and falls.

use crate::contact::slope;
use crate::events::{Event, Found, How, Scene, feet, hands};
use crate::{EventKind, Joint, Point};

/// A held handstand's hips move slower than this, leg lengths a second.
const STILL: f64 = 0.5;
/// Its trunk is turned past this, radians (150°).
const UPSIDE_DOWN: f64 = 2.618;
/// Shorter stillness is no hold, seconds.
const SHORTEST_HOLD_S: f64 = 0.10;
/// Shorter unrest does not end a hold, seconds.
const BRIEF_UNREST_S: f64 = 0.10;
/// A fall begins when the body line leans past this, radians (5°).
const FALL_BEGINS: f64 = 0.087;
/// And is one when it leans past this, radians (15°): a walker's line sways by less.
const FALL_REACHES: f64 = 0.262;

/// Longest still stretch of the clip.
pub(crate) fn held_shape(scene: &Scene<'_>) -> Found {
    let mut found = empty(scene);
    let least = scene.search.hold_needs_trunk_past;
    let turned =
        |frame: usize| least.radians() <= 0.0 || scene.trunk(frame).is_some_and(|trunk| trunk.abs() >= least.radians());
    match longest(scene, |frame| still(scene, frame) && turned(frame)) {
        Some(stretch) => found.events.extend(hold_events(scene, stretch)),
        None if least.radians() > 0.0 => found.not_there.push(format!(
            "no shape is held still with the trunk past {:.0}°",
            least.degrees()
        )),
        None => found.not_there.push("no shape is held still".to_owned()),
    }
    found
}

/// Hold in a handstand: hands down, trunk past 150°, hips still.
pub(crate) fn handstand_hold(scene: &Scene<'_>, support: &hands::Support, events: &mut Vec<Event>) {
    let inside = support.first()..support.end();
    let held = |frame: usize| {
        inside.contains(&frame)
            && scene.trunk(frame).is_some_and(|trunk| trunk.abs() > UPSIDE_DOWN)
            && still(scene, frame)
    };
    if let Some(stretch) = longest(scene, held) {
        events.extend(hold_events(scene, stretch));
    }
}

/// A fall from standing: starts when the body line (ankles to shoulders) leans past 5° for good, ends with the clip or
/// when the feet leave.
pub(crate) fn fall(scene: &Scene<'_>) -> Found {
    let mut found = empty(scene);
    let lean = |frame: usize| {
        let ankle = scene.middle(Joint::Ankle, frame)?;
        let shoulder = scene.middle(Joint::Shoulder, frame)?;
        crate::segments::inclination(ankle, shoulder).map(|angle| angle.radians().abs())
    };
    let last = (0..scene.frames()).rfind(|frame| lean(*frame).is_some_and(|lean| lean < FALL_BEGINS));
    let feet_end = found
        .feet
        .contacts
        .iter()
        .flatten()
        .map(|contact| contact.end)
        .max()
        .unwrap_or(scene.frames());
    let end = feet_end.min(scene.frames());
    let farthest = |from: usize| (from..end).filter_map(lean).fold(0.0, f64::max);
    match last {
        Some(last) if last + 2 < end && farthest(last + 1) >= FALL_REACHES => {
            found.events.extend(hold_events(scene, (last + 1, end)))
        }
        _ => found
            .not_there
            .push("no fall from standing: the body line never leans on past 15°".to_owned()),
    }
    found
}

fn empty(scene: &Scene<'_>) -> Found {
    Found {
        events: Vec::new(),
        support: None,
        feet: feet::foot_contacts(scene, scene.frames()),
        further_supports: 0,
        not_there: Vec::new(),
        rotation: None,
    }
}

fn still(scene: &Scene<'_>, frame: usize) -> bool {
    let speed = |joint| {
        let reach = ((0.05 / scene.series.interval()).round() as usize).max(1);
        let (low, high) = (frame.saturating_sub(reach), (frame + reach).min(scene.frames() - 1));
        let (times, points): (Vec<f64>, Vec<Point>) = (low..=high)
            .filter_map(|k| Some((scene.times()[k], scene.middle(joint, k)?)))
            .unzip();
        slope(&times, &points).map(|velocity| velocity.norm())
    };
    [Joint::Hip, Joint::Shoulder]
        .into_iter()
        .all(|joint| speed(joint).is_some_and(|v| v < STILL * scene.leg))
}

/// Longest stretch of frames that hold; unrest under 0.10 s does not end it.
fn longest(scene: &Scene<'_>, holds: impl Fn(usize) -> bool) -> Option<(usize, usize)> {
    let times = scene.times();
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    for frame in (0..scene.frames()).filter(|frame| holds(*frame)) {
        match stretches.last_mut() {
            Some(last) if times[frame] - times[last.1 - 1] <= BRIEF_UNREST_S => last.1 = frame + 1,
            _ => stretches.push((frame, frame + 1)),
        }
    }
    let length = |(first, end): &(usize, usize)| times[end - 1] - times[*first];
    stretches
        .into_iter()
        .filter(|stretch| length(stretch) >= SHORTEST_HOLD_S)
        .max_by(|a, b| length(a).total_cmp(&length(b)))
}

fn hold_events(scene: &Scene<'_>, (first, end): (usize, usize)) -> [Event; 2] {
    let event = |kind, frame: usize| Event {
        kind,
        frame,
        time: scene.times()[frame],
        // Where stillness begins is a matter of a threshold: known to about half the fit's width.
        sd: scene.frame_sd().hypot(0.025),
        how: How::Detected,
        stand_in: None,
    };
    [event(EventKind::HoldStart, first), event(EventKind::HoldEnd, end - 1)]
}
