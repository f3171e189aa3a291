//! Gaps in the points, in words: what was bridged and what stayed missing.

use springline_keypoints::Layout;
use springline_kinematics::series::Series;
use springline_kinematics::{Joint, Landmark, Tracks};

/// Gives points that the layout has and no frame shows an entry in every frame: only points that the layout lacks have
/// none.
pub(crate) fn with_points_of(tracks: &mut Tracks, layout: Option<&Layout>) {
    let frames = tracks.len();
    for landmark in layout.map(Layout::landmarks).unwrap_or_default() {
        let track = tracks.track_mut(landmark);
        if track.positions.is_empty() {
            track.positions = vec![None; frames];
            track.sd = vec![0.0; frames];
        }
    }
}

/// Parts of the body that are told together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Head,
    Arms,
    Trunk,
    Legs,
}

impl Part {
    const ALL: [Part; 4] = [Part::Head, Part::Arms, Part::Trunk, Part::Legs];

    fn of(landmark: Landmark) -> Self {
        match landmark.joint() {
            None | Some(Joint::Eye | Joint::Ear) => Part::Head,
            Some(Joint::Elbow | Joint::Wrist | Joint::Fingertip) => Part::Arms,
            Some(Joint::Shoulder | Joint::Hip) => Part::Trunk,
            Some(Joint::Knee | Joint::Ankle | Joint::Heel | Joint::Toe) => Part::Legs,
        }
    }
}

/// How many frames, and the longest stretch of them: its frames and seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Stretches {
    frames: usize,
    longest: usize,
    longest_s: f64,
}

impl Stretches {
    /// Of the frames for which `holds`.
    fn of(series: &Series, holds: impl Fn(usize) -> bool) -> Self {
        let times = &series.raw().times;
        let mut all = Self::default();
        let mut first = 0;
        for frame in 0..times.len() {
            if !holds(frame) {
                first = frame + 1;
                continue;
            }
            all.frames += 1;
            all.longest = all.longest.max(frame + 1 - first);
            // As long as the frames that it lacks; a clip's ends have no frame beyond them.
            let seconds = times[frame] - times[first] + series.interval();
            all.longest_s = all.longest_s.max(seconds);
        }
        all
    }

    /// The most of either.
    fn most(self, other: Self) -> Self {
        Self {
            frames: self.frames.max(other.frames),
            longest: self.longest.max(other.longest),
            longest_s: self.longest_s.max(other.longest_s),
        }
    }
}

/// Gaps of one landmark.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Gaps {
    landmark: Landmark,
    bridged: Stretches,
    missing: Stretches,
}

/// One line for every part of the body that has gaps; none for points that the layout doesn't have. Frames without any
/// point are told once, not with every part.
pub(crate) fn gap_remarks(series: &Series) -> Vec<String> {
    let raw = series.raw();
    let known: Vec<Landmark> = Landmark::ALL
        .into_iter()
        .filter(|landmark| !raw.track(*landmark).positions.is_empty())
        .collect();
    let empty: Vec<bool> = (0..raw.len())
        .map(|frame| known.iter().all(|landmark| raw.at(*landmark, frame).is_none()))
        .collect();
    let gaps: Vec<Gaps> = known
        .iter()
        .map(|landmark| {
            let is_missing = |frame: usize| !empty[frame] && series.filled(*landmark, frame).is_none();
            let bridged = series.bridged(*landmark);
            let is_bridged = |frame: usize| !empty[frame] && bridged.binary_search(&frame).is_ok();
            Gaps {
                landmark: *landmark,
                bridged: Stretches::of(series, is_bridged),
                missing: Stretches::of(series, is_missing),
            }
        })
        .filter(|gaps| gaps.bridged.frames + gaps.missing.frames > 0)
        .collect();
    let mut remarks = Vec::new();
    let none = Stretches::of(series, |frame| empty[frame]);
    if none.frames > 0 {
        remarks.push(format!(
            "no point is seen in {} (longest gap {:.2} s); gaps up to 0.10 s were bridged",
            frames(none.frames, ""),
            none.longest_s
        ));
    }
    for part in Part::ALL {
        let here: Vec<Gaps> = gaps
            .iter()
            .filter(|gaps| Part::of(gaps.landmark) == part)
            .copied()
            .collect();
        remarks.extend(told(&here, raw));
    }
    remarks
}

/// The gaps of one part in one line, the worst of its points for all.
fn told(gaps: &[Gaps], raw: &Tracks) -> Option<String> {
    let never: Vec<Landmark> = gaps
        .iter()
        .filter(|gaps| !raw.has(gaps.landmark))
        .map(|gaps| gaps.landmark)
        .collect();
    let some: Vec<&Gaps> = gaps.iter().filter(|gaps| raw.has(gaps.landmark)).collect();
    let mut parts = Vec::new();
    if let Some(one) = some.first() {
        let alike = some
            .iter()
            .all(|other| other.bridged == one.bridged && other.missing == one.missing);
        let up_to = if alike { "" } else { "up to " };
        let bridged = some.iter().map(|gaps| gaps.bridged).fold(one.bridged, Stretches::most);
        let missing = some.iter().map(|gaps| gaps.missing).fold(one.missing, Stretches::most);
        let names: Vec<Landmark> = some.iter().map(|gaps| gaps.landmark).collect();
        let mut words = Landmark::in_words(&names);
        if bridged.frames > 0 {
            words.push_str(&format!(
                " bridged in {} (longest gap {})",
                frames(bridged.frames, up_to),
                bridged.longest
            ));
        }
        if missing.frames > 0 {
            let gap = if bridged.frames > 0 { ", missing" } else { " missing" };
            words.push_str(&format!(
                "{gap} in {} (longest {:.2} s)",
                frames(missing.frames, up_to),
                missing.longest_s
            ));
        }
        parts.push(words);
    }
    if !never.is_empty() {
        parts.push(format!("{} never seen", Landmark::in_words(&never)));
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}

fn frames(count: usize, up_to: &str) -> String {
    let up_to = if count == 1 { "" } else { up_to };
    format!("{up_to}{count} {}", if count == 1 { "frame" } else { "frames" })
}
