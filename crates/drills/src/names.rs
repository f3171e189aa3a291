//! The words that stand for choices in spec files, and the nearest one to a misspelled word.

use springline_kinematics::{EventKind, Measure, Phase, Side, Unit};

use crate::spec::{Motion, SideChoice, Statistic, TooClose, View, Weight};

/// Words for [`View`].
pub(crate) const VIEWS: &[(&str, View)] = &[
    ("sagittal forward", View::SagittalForward),
    ("sagittal backward", View::SagittalBackward),
    ("sagittal still", View::SagittalStill),
    ("frontal", View::Frontal),
];

/// Words for [`Motion`].
pub(crate) const MOTIONS: &[(&str, Motion)] = &[
    ("turn over", Motion::TurnOver),
    ("handstand", Motion::Handstand),
    ("hop", Motion::Hop),
    ("front-support bounce", Motion::FrontSupportBounce),
    ("fall", Motion::Fall),
    ("hold", Motion::Hold),
];

/// Words for [`SideChoice`].
pub(crate) const SIDES: &[(&str, SideChoice)] = &[
    ("near", SideChoice::Near),
    ("far", SideChoice::Far),
    ("left", SideChoice::Own(Side::Left)),
    ("right", SideChoice::Own(Side::Right)),
    ("both", SideChoice::Both),
    ("worse", SideChoice::Worse),
];

/// Words for [`Statistic`].
pub(crate) const STATISTICS: &[(&str, Statistic)] = &[
    ("least", Statistic::Least),
    ("most", Statistic::Most),
    ("mean", Statistic::Mean),
    ("range", Statistic::Range),
    ("at worst", Statistic::AtWorst),
];

/// Words for [`Weight`].
pub(crate) const WEIGHTS: &[(&str, Weight)] = &[("must hold", Weight::MustHold), ("note", Weight::Note)];

/// Words for [`TooClose`].
pub(crate) const TOO_CLOSE: &[(&str, TooClose)] = &[
    ("neither", TooClose::Neither),
    ("good", TooClose::Good),
    ("fault", TooClose::Fault),
];

/// Words for the policies of stepping back.
pub(crate) const POLICIES: &[(&str, Policy)] = &[("set", Policy::Set), ("patient", Policy::Patient)];

/// The policy of a ladder's step back, without its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Policy {
    /// A test set without the run proposes the rung before.
    Set,
    /// Only after so many counted attempts without a run.
    Patient,
}

/// Names of every event.
pub(crate) fn events() -> Vec<(&'static str, EventKind)> {
    EventKind::ALL.into_iter().map(|event| (event.id(), event)).collect()
}

/// Names of every phase.
pub(crate) fn phases() -> Vec<(&'static str, Phase)> {
    Phase::ALL.into_iter().map(|phase| (phase.id(), phase)).collect()
}

/// Names of every measure.
pub(crate) fn measures() -> Vec<(&'static str, Measure)> {
    Measure::ALL.iter().map(|measure| (measure.id(), *measure)).collect()
}

/// Words for every unit.
pub(crate) fn units() -> Vec<(&'static str, Unit)> {
    Unit::ALL.into_iter().map(|unit| (unit.id(), unit)).collect()
}

/// The name in `names` that is most like `word`, if any is like it at all.
///
/// Capitals, spaces, hyphens and underscores make no difference.
pub(crate) fn nearest<'n>(word: &str, names: impl IntoIterator<Item = &'n str>) -> Option<String> {
    const LEAST: f64 = 0.80;
    const LONGEST: usize = 64;
    const SHORTEST: usize = 3; // of shorter words, everything is near to everything
    let plain = |text: &str| -> String {
        let fold = |c: char| {
            if c == ' ' || c == '-' {
                '_'
            } else {
                c.to_ascii_lowercase()
            }
        };
        text.chars().take(LONGEST).map(fold).collect()
    };
    let word = plain(word);
    if word.len() < SHORTEST {
        return None;
    }
    let mut best: Option<(f64, &str)> = None;
    for name in names.into_iter().filter(|name| name.len() >= SHORTEST) {
        let likeness = strsim::jaro_winkler(&word, &plain(name));
        if likeness >= LEAST && best.is_none_or(|(before, _)| likeness > before) {
            best = Some((likeness, name));
        }
    }
    best.map(|(_, name)| name.to_owned())
}

/// `"a", "b" or "c"`; long lists are cut short.
pub(crate) fn listed<'n>(names: impl IntoIterator<Item = &'n str>) -> String {
    const MOST: usize = 8;
    let quoted: Vec<String> = names.into_iter().map(|name| format!("{name:?}")).collect();
    match quoted.as_slice() {
        [] => "nothing".to_owned(),
        [one] => one.clone(),
        [first @ .., last] if quoted.len() <= MOST => format!("{} or {last}", first.join(", ")),
        many => format!("one of {}, ...", many[..MOST].join(", ")),
    }
}

/// The word that stands for a value.
pub(crate) fn word<T: Copy + PartialEq>(words: &[(&'static str, T)], value: T) -> &'static str {
    words
        .iter()
        .find(|(_, this)| *this == value)
        .map_or("", |(word, _)| *word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_found_and_a_far_one_is_not() {
        let measures = measures();
        let near = |word: &str| nearest(word, measures.iter().map(|(name, _)| *name));
        assert_eq!(near("sholder_opening").as_deref(), Some("shoulder_opening"));
        assert_eq!(near("Knee Angle").as_deref(), Some("knee_angle"));
        assert_eq!(near("zzz"), None);
        assert_eq!(near(""), None);
    }
}
