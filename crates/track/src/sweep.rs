//! One way through the clip: from each click on, step by step.

use springline_kinematics::Landmark;

use crate::anchors::Anchors;
use crate::body::{Limb, Places, apart};
use crate::fit::{Guess, fit, has_limb};
use crate::flow::Flow;
use crate::reel::Reel;
use crate::{Error, Frames};

/// How much of the last step's difference from the path through the clicks goes on.
const GOES_ON: f64 = 0.85;
/// Sd of a guess, px: at rest; per px that it moves; where nothing was seen moving yet.
const GUESS_SD: (f64, f64, f64) = (1.5, 0.2, 3.0);

/// A step of a landmark between neighbouring frames.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Step {
    /// From the earlier to the later frame, px.
    pub by: [f64; 2],
    /// How alike both frames look there, −1 to 1.
    pub alike: f64,
    /// Unlikeness gathered since the click, this step included.
    pub lost: f64,
}

/// `steps[f]` leads from frame `f` to `f + 1`, whichever way it was taken.
pub(crate) type Steps = Vec<[Option<Step>; Landmark::COUNT]>;

/// What a sweep needs.
pub(crate) struct Setting<'a> {
    pub limbs: &'a [Limb],
    pub anchors: &'a Anchors,
    pub paths: &'a [Places],
    /// Where landmarks are by an earlier round: clicks start there, free of much of their error.
    pub starts: Option<&'a [Places]>,
    pub stature_px: f64,
}

/// Sweeps from frame `first` to `last`, backward if that is the earlier one. A landmark is followed from its first anchor
/// on the way; every further one puts it right.
pub(crate) fn sweep(
    setting: &Setting<'_>,
    reel: &mut Reel<'_>,
    flow: &mut Flow,
    (first, last): (usize, usize),
) -> Result<Steps, Error> {
    let backward = last < first;
    let way: Vec<usize> = if backward {
        (last..=first).rev().collect()
    } else {
        (first..=last).collect()
    };
    let mut steps: Steps = vec![[None; Landmark::COUNT]; setting.paths.len().saturating_sub(1)];
    let mut places: Places = [None; Landmark::COUNT];
    // What the last step had beside that of the path.
    let mut beside: Places = [None; Landmark::COUNT];
    let mut lost = [0.0; Landmark::COUNT];
    let mut from = None;
    for (turn, frame) in way.iter().copied().enumerate() {
        let to = reel.layers(frame, backward)?;
        if let Some(from) = from.replace(std::rc::Rc::clone(&to)) {
            let before = way[turn - 1];
            let path = |landmark: usize| -> [f64; 2] {
                match (setting.paths[frame][landmark], setting.paths[before][landmark]) {
                    (Some(now), Some(then)) => [now[0] - then[0], now[1] - then[1]],
                    _ => [0.0; 2],
                }
            };
            let guesses: Vec<Option<Guess>> = (0..Landmark::COUNT)
                .map(|landmark| {
                    let start = places[landmark]?;
                    let (own, path) = (beside[landmark], path(landmark));
                    let by: [f64; 2] =
                        std::array::from_fn(|axis| path[axis] + GOES_ON * own.map_or(0.0, |own| own[axis]));
                    let unseen = if own.is_some() { 0.0 } else { GUESS_SD.2 };
                    Some(Guess {
                        place: [start[0] + by[0], start[1] + by[1]],
                        sd: GUESS_SD.0 + GUESS_SD.1 * by[0].hypot(by[1]) + unseen,
                    })
                })
                .collect();
            let mut fitted = fit(setting.limbs, (&from, &places), &to, &guesses, setting.stature_px);
            let alone: Vec<usize> = (0..Landmark::COUNT)
                .filter(|landmark| places[*landmark].is_some() && !has_limb(setting.limbs, &places, *landmark))
                .collect();
            if !alone.is_empty() {
                let pair = [reel.part(before, backward)?, reel.part(frame, backward)?];
                let asked: Vec<([f64; 2], [f64; 2])> = alone
                    .iter()
                    .filter_map(|landmark| Some((places[*landmark]?, guesses[*landmark].as_ref()?.place)))
                    .collect();
                for (landmark, found) in alone.iter().zip(flow.follow(&pair, &asked)) {
                    let (place, alike) = found.unwrap_or((fitted.places[*landmark].unwrap_or_default(), 0.0));
                    fitted.places[*landmark] = Some(place);
                    fitted.alike[*landmark] = alike;
                }
            }
            for landmark in 0..Landmark::COUNT {
                let (Some(start), Some(end)) = (places[landmark], fitted.places[landmark]) else {
                    continue;
                };
                let by = [end[0] - start[0], end[1] - start[1]];
                lost[landmark] += 1.0 - fitted.alike[landmark].clamp(0.0, 1.0);
                let path = path(landmark);
                beside[landmark] = Some([by[0] - path[0], by[1] - path[1]]);
                steps[before.min(frame)][landmark] = Some(Step {
                    by: if backward { by.map(|by| -by) } else { by },
                    alike: fitted.alike[landmark],
                    lost: lost[landmark],
                });
            }
            places = fitted.places;
        }
        for landmark in 0..Landmark::COUNT {
            if let Some(anchor) = setting.anchors.at(landmark, frame) {
                // What moved until here goes on, unless the place jumped.
                if places[landmark].is_none_or(|place| apart(place, anchor.place) > 0.05 * setting.stature_px) {
                    beside[landmark] = None;
                }
                let start = setting.starts.and_then(|starts| starts[frame][landmark]);
                places[landmark] = Some(start.unwrap_or(anchor.place));
                lost[landmark] = 0.0;
            }
        }
    }
    Ok(steps)
}

/// The parts of frames that a sweep looks at.
pub(crate) fn reel<'a>(frames: &'a mut dyn Frames, paths: &'a [Places], stature_px: f64) -> Reel<'a> {
    Reel::new(frames, paths, stature_px)
}
