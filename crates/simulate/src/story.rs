//! What happened when, found from the motion itself by fine sampling.

use crate::body::direction;
use crate::motion::Motion;
use springline_kinematics::{EventKind, Joint, Side};

/// What a motion is meant to be, as far as its shape does not tell.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Story {
    /// The foot that pushes off, if one does.
    pub push_off: Option<Side>,
    /// When that foot comes down, s.
    pub lunge_s: Option<f64>,
    /// The foot that lands first after the hands.
    pub first_foot: Option<Side>,
    /// The landing is a step-out, or on two feet; `None` where there is none.
    pub step_out: Option<bool>,
    /// Start and end of a held shape, s.
    pub hold: Option<(f64, f64)>,
    /// When hips or shoulders reach the mat, s.
    pub back_touch_s: Option<f64>,
}

/// Leg gap in degrees: between the hip→ankle lines.
pub(crate) fn leg_gap(motion: &Motion, time: f64) -> f64 {
    let pose = motion.pose(time);
    let line = |side| direction(pose.of(Joint::Ankle, side) - pose.of(Joint::Hip, side));
    let gap = (line(Side::Left) - line(Side::Right)).rem_euclid(360.0);
    gap.min(360.0 - gap)
}

/// When a quantity that is negative at `a` and positive at `b` (or the other way round) is 0.
pub(crate) fn crossing(quantity: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    let start = quantity(a) > 0.0;
    for _ in 0..60 {
        let middle = 0.5 * (a + b);
        if (quantity(middle) > 0.0) == start {
            a = middle;
        } else {
            b = middle;
        }
    }
    0.5 * (a + b)
}

const STEP: f64 = 0.001;

/// Every event of the motion with its exact time, in order of kind.
pub(crate) fn events(motion: &Motion, story: &Story) -> Vec<(EventKind, f64)> {
    let inside = |t: &f64| (motion.start..=motion.end).contains(t);
    let first = |times: &mut dyn Iterator<Item = f64>| times.filter(inside).min_by(f64::total_cmp);
    // Hands that are down as the clip begins have no placement.
    let seen = motion
        .hands
        .iter()
        .filter(|hand| hand.off > motion.start && hand.on < motion.end);
    let begun = seen.map(|hand| hand.on).min_by(f64::total_cmp);
    let placed = begun.filter(inside);
    let down = begun.map(|on| on.max(motion.start));
    // The first spell of the hands: until the first hand-free instant.
    let up = down.map(|down| {
        let mut up = down;
        loop {
            let next = motion
                .hands
                .iter()
                .filter(|hand| hand.on <= up && hand.off > up)
                .map(|hand| hand.off);
            match next.max_by(f64::total_cmp) {
                Some(off) => up = off,
                None => break up,
            }
        }
    });
    let up = up.filter(|up| inside(up));
    let back = up.and_then(|up| first(&mut motion.hands.iter().filter(|hand| hand.on >= up).map(|hand| hand.on)));
    let touch = down.and_then(|down| first(&mut motion.feet.iter().filter(|foot| foot.on > down).map(|foot| foot.on)));
    let lunge = story.lunge_s.filter(inside);
    let leaves = story.push_off.and_then(|side| {
        let from = story.lunge_s.unwrap_or(f64::NEG_INFINITY);
        let mine = motion.feet.iter().filter(|foot| foot.side == side && foot.on >= from);
        first(&mut mine.map(|foot| foot.off))
    });
    let inverted = down.and_then(|down| inverted(motion, down, touch.unwrap_or(motion.end)));
    let together = down.and_then(|down| together(motion, down, up, touch));
    // Nobody has landed for good while the hands are still down.
    let settled = touch.and_then(|touch| settled(motion, story, up.map_or(touch, |up| up.max(touch))));
    let list = [
        (EventKind::PushOffFootDown, lunge),
        (EventKind::HandPlacement, placed),
        (EventKind::PushOffFootLeaves, leaves),
        (EventKind::LegsTogether, together),
        (EventKind::Inverted, inverted),
        (EventKind::HandDeparture, up),
        (EventKind::HandsReturn, back),
        (EventKind::FeetTouchdown, touch),
        (EventKind::BackTouchdown, story.back_touch_s.filter(inside)),
        (EventKind::HoldStart, story.hold.map(|hold| hold.0).filter(inside)),
        (EventKind::HoldEnd, story.hold.map(|hold| hold.1).filter(inside)),
        (EventKind::Settled, settled),
    ];
    list.into_iter()
        .filter_map(|(kind, time)| Some((kind, time?)))
        .collect()
}

/// Mean of the hands' contact points (fingertips) along X, m.
pub(crate) fn hands_x(motion: &Motion) -> Option<f64> {
    let first = motion.hands.iter().map(|hand| hand.on).min_by(f64::total_cmp)?;
    let mut sum = 0.0;
    for side in Side::BOTH {
        let mine = motion.hands.iter().find(|hand| hand.side == side && hand.off > first)?;
        sum += mine.tip(&motion.body).x;
    }
    Some(0.5 * sum)
}

fn inverted(motion: &Motion, from: f64, to: f64) -> Option<f64> {
    let hands = hands_x(motion)?;
    let ahead = |t: f64| motion.pose(t).middle(Joint::Hip).x - hands;
    let start = ahead(from) > 0.0;
    let mut t = from;
    while t < to {
        let next = (t + STEP).min(to);
        if (ahead(next) > 0.0) != start {
            return Some(crossing(ahead, t, next));
        }
        t = next;
    }
    None
}

fn together(motion: &Motion, down: f64, up: Option<f64>, touch: Option<f64>) -> Option<f64> {
    let over = |t: f64| leg_gap(motion, t) - 15.0;
    let just = crate::motion::JUST;
    let ends = match (up, touch) {
        (Some(up), Some(touch)) => [Some(up.min(touch)), Some(touch)],
        (None, None) => [Some(motion.end), None],
        (one, other) => [one, other],
    };
    let end = ends.into_iter().flatten().map(|t| t - just).find(|&t| over(t) <= 0.0)?;
    let mut t = end;
    while t > down {
        let before = (t - STEP).max(down);
        if over(before) > 0.0 {
            return Some(crossing(over, before, t));
        }
        t = before;
    }
    None
}

/// The landing lean at a time: first foot of a step-out, else mid-ankle.
pub(crate) fn landing_lean(motion: &Motion, story: &Story, time: f64) -> f64 {
    let pose = motion.pose(time);
    direction(pose.mass_centre() - landing_ankle(&pose, story))
}

/// The ankle that the landing is judged over.
pub(crate) fn landing_ankle(pose: &crate::body::Pose, story: &Story) -> springline_kinematics::Point {
    match (story.step_out, story.first_foot) {
        (Some(true), Some(side)) => pose.of(Joint::Ankle, side),
        _ => pose.middle(Joint::Ankle),
    }
}

/// Start of the first 0.10 s from then on with the lean slower than 30°/s and the body within 40° of the vertical.
fn settled(motion: &Motion, story: &Story, from: f64) -> Option<f64> {
    let step = 2e-5;
    let over = |t: f64| {
        let rate = (landing_lean(motion, story, t + step) - landing_lean(motion, story, t - step)) / (2.0 * step);
        let hanging = landing_lean(motion, story, t).abs() - 40.0;
        (rate.abs() - 30.0).max(hanging)
    };
    let mut since: Option<f64> = None;
    let mut t = from + 2.0 * step;
    let mut before = t;
    while t <= motion.end {
        if over(t) <= 0.0 {
            let start = *since.get_or_insert_with(|| if t > before { crossing(over, before, t) } else { from });
            if t - start >= 0.10 {
                return Some(start);
            }
        } else {
            since = None;
        }
        before = t;
        t += STEP;
    }
    None
}
