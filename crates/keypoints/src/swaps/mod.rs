//! Left and right swapped by the tool: found by continuity, mended, reported.
//!
//! Pose models that learned from upright people often take left for right when a body is upside
//! down. Each group of landmarks (arms, legs, head) is followed through the clip twice at a time, as
//! it came and with its sides exchanged, and the cheapest course is kept (Viterbi over the two
//! states). Places are taken relative to the trunk. A point costs its squared distance from where it
//! would be if it went on as before or stopped, whichever is nearer, in units of what noise and
//! acceleration explain; every change of state costs extra. So two legs that cross stay as they are
//! (they go on), two that join as well (they stop), while a swap makes both jump, which is neither.
//! Which of the two states is the true one can't be seen from continuity: the state of fewer frames
//! (those with sides on each other don't count) is taken as the swapped one. Where left and right lie on each other, no swap is found, and none
//! matters.

mod course;
mod search;

use springline_kinematics::{Joint, Landmark, Side};

use self::course::{BRIDGE_S, NOISE, Now, Places, Step};
use self::search::Search;
use crate::body_frame::BodyFrames;
use crate::clip::Clip;
use crate::frames::median;
use crate::sheet::Spot;
use crate::{Original, Swap};

/// The groups that tools swap together.
const GROUPS: [(&str, &[Joint]); 3] = [
    ("arms", &[Joint::Shoulder, Joint::Elbow, Joint::Wrist, Joint::Fingertip]),
    (
        "legs",
        &[Joint::Hip, Joint::Knee, Joint::Ankle, Joint::Heel, Joint::Toe],
    ),
    ("head", &[Joint::Eye, Joint::Ear]),
];
/// Most joints in a group.
const JOINTS: usize = 5;

/// Points of one limb err together: all points of a group count as at most so many.
const INDEPENDENT: f64 = 4.0;
/// Pairs at least so far apart count toward [`INDEPENDENT`], trunk lengths.
const COUNTED: f64 = 0.15;
/// Sides that never are farther apart than this need no mending, trunk lengths.
const APART: f64 = 0.15;
/// Sides so much farther apart than noise alone puts them (three sds) tell fully which state a frame
/// is in, trunk lengths.
const TELLING: f64 = 0.25;

/// Finds swaps and takes them back; returns them with the points as they were.
pub(crate) fn mend(clip: &mut Clip) -> (Vec<Swap>, Vec<Original>) {
    let (mut swaps, mut originals) = (Vec::new(), Vec::new());
    let Some(body) = BodyFrames::of(clip) else {
        return (swaps, originals);
    };
    for (group, joints) in GROUPS {
        let pairs: Vec<[usize; 2]> = joints
            .iter()
            .filter_map(|joint| {
                let slot = |side| clip.slot(Landmark::of(*joint, side));
                Some([slot(Side::Left)?, slot(Side::Right)?])
            })
            .collect();
        if pairs.is_empty() || !ever_apart(clip, &pairs, body.trunk) {
            continue;
        }
        let swapped = states(clip, &pairs, &body);
        let mut frame = 0;
        while frame < swapped.len() {
            if !swapped[frame] {
                frame += 1;
                continue;
            }
            let first = frame;
            while frame < swapped.len() && swapped[frame] {
                exchange(clip, &pairs, frame, &mut originals);
                frame += 1;
            }
            swaps.push(Swap {
                group,
                first,
                last: frame - 1,
            });
        }
    }
    (swaps, originals)
}

/// A note on swaps that are left as they are, because the points were clicked.
pub(crate) fn remark(clip: &Clip) -> Option<String> {
    let (swaps, _) = mend(&mut clip.clone());
    let mut groups: Vec<&str> = swaps.iter().map(|swap| swap.group).collect();
    groups.dedup();
    let mut frames: Vec<usize> = swaps.iter().flat_map(|swap| swap.first..=swap.last).collect();
    frames.sort_unstable();
    frames.dedup();
    let (first, count) = (*frames.first()?, frames.len());
    let (frames, at) = if count == 1 {
        ("frame", "at")
    } else {
        ("frames", "first at")
    };
    Some(format!(
        "the two sides look exchanged in {count} {frames} ({}; {at} {:.2} s); clicked points stay as they are, so look \
         at them again",
        groups.join(", "),
        clip.times[first]
    ))
}

/// Whether left and right of any pair are clearly apart in any frame.
fn ever_apart(clip: &Clip, pairs: &[[usize; 2]], trunk: f64) -> bool {
    let least = (APART * trunk).powi(2);
    clip.spots.chunks_exact(clip.slots.len()).any(|spots| {
        pairs.iter().any(|[left, right]| match (spots[*left], spots[*right]) {
            (Some(left), Some(right)) => (left.x - right.x).powi(2) + (left.y - right.y).powi(2) > least,
            _ => false,
        })
    })
}

fn exchange(clip: &mut Clip, pairs: &[[usize; 2]], frame: usize, originals: &mut Vec<Original>) {
    let start = frame * clip.slots.len();
    for pair in pairs {
        let [a, b] = pair.map(|slot| start + slot);
        if clip.spots[a].is_none() && clip.spots[b].is_none() {
            continue;
        }
        for slot in pair {
            let place = clip.spots[start + slot].map(|spot| (spot.x, spot.y));
            originals.push((clip.slots[*slot], frame, place));
        }
        clip.spots.swap(a, b);
        if !clip.sds.is_empty() {
            clip.sds.swap(a, b);
        }
        if !clip.marks.is_empty() {
            clip.marks.swap(a, b);
        }
    }
}

/// Noise of a group's points in trunk lengths, from how far places lie off the line through their
/// neighbours in time (the median; it takes the commonest accelerations in as well).
fn noise(clip: &Clip, pairs: &[[usize; 2]], body: &BodyFrames) -> f64 {
    let frames = clip.times.len();
    let stride = (frames / 200).max(1);
    let mut off = Vec::new();
    for frame in (1..frames.saturating_sub(1)).step_by(stride) {
        let at = |frame: usize, slot: usize| clip.frame(frame)[slot].map(|spot| body.place(frame, spot.x, spot.y));
        for slot in pairs.iter().flatten() {
            let triple = (at(frame - 1, *slot), at(frame, *slot), at(frame + 1, *slot));
            if let (Some(a), Some(b), Some(c)) = triple {
                off.push((a[0] - 2.0 * b[0] + c[0]).powi(2) + (a[1] - 2.0 * b[1] + c[1]).powi(2));
            }
        }
    }
    // Median length of a random vector: 1.177 sd; 1, -2, 1 add up to the root of 6.
    median(off).map_or(NOISE, |square| {
        (square.sqrt() / (1.177 * 6.0_f64.sqrt())).clamp(NOISE, 0.08)
    })
}

/// For each frame, whether the group is swapped in it.
fn states(clip: &Clip, pairs: &[[usize; 2]], body: &BodyFrames) -> Vec<bool> {
    let mut search = Search::new(pairs.len(), clip.times.len());
    let noise = noise(clip, pairs, body).powi(2);
    let mut before = clip.times.first().map_or(-1.0, |time| time - 1.0);
    for (frame, time) in clip.times.iter().copied().enumerate() {
        let spots = clip.frame(frame);
        let mut places: Places = Default::default();
        for (joint, pair) in pairs.iter().enumerate() {
            for (side, slot) in pair.iter().enumerate() {
                places[joint][side] = spots[*slot].map(|Spot { x, y, .. }| body.place(frame, x, y));
            }
        }
        let (telling, weight) = tells(&places, noise);
        let now = Now {
            time,
            usual: Step::new(before, time),
            noise,
            weight,
        };
        let step = if frame == 0 { 0.0 } else { (time - before).min(BRIDGE_S) };
        search.step(&places, &now, telling, step);
        before = time;
    }
    search.finish()
}

/// How much a frame tells of its state, 0 to 1, by the pair of places that lie farthest apart; and
/// the weight of each point's cost. `noise`: square of the noise.
fn tells(places: &Places, noise: f64) -> (f64, f64) {
    let (mut farthest, mut counted) = (0.0_f64, 0.0);
    for [left, right] in places {
        if let (Some(left), Some(right)) = (left, right) {
            let square = (left[0] - right[0]).powi(2) + (left[1] - right[1]).powi(2);
            farthest = farthest.max(square);
            counted += if square > COUNTED * COUNTED { 2.0 } else { 0.0 };
        }
    }
    // At low rates the noise has acceleration in it.
    let noise = noise.sqrt().min(0.05);
    let telling = ((farthest.sqrt() - 3.0 * noise) / TELLING).clamp(0.0, 1.0);
    (
        telling,
        if counted > INDEPENDENT {
            INDEPENDENT / counted
        } else {
            1.0
        },
    )
}
