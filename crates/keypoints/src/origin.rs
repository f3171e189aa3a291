//! Where points came from, and which of them want a second look.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use springline_kinematics::Landmark;

/// Where a point came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// A person put it there.
    Clicked,
    /// A pose model put it there and a person may correct it.
    Drafted,
    /// It was followed through the film from clicked points.
    Tracked,
    /// Another tool's file had it.
    Imported,
    /// It was put between the points before and after a gap.
    Bridged,
}

impl Origin {
    /// Every origin, the surest first.
    pub const ALL: [Origin; 5] = [
        Origin::Clicked,
        Origin::Drafted,
        Origin::Tracked,
        Origin::Imported,
        Origin::Bridged,
    ];

    /// The word for it, in files and outputs.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Origin::Clicked => "clicked",
            Origin::Drafted => "drafted",
            Origin::Tracked => "tracked",
            Origin::Imported => "imported",
            Origin::Bridged => "bridged",
        }
    }
}

/// One point's origin and doubt in a byte; 0: nothing was said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Mark(u8);

impl Mark {
    const DOUBTFUL: u8 = 8;

    pub(crate) fn new(origin: Option<Origin>, doubtful: bool) -> Self {
        let origin = origin.map_or(0, |origin| origin as u8 + 1);
        Self(origin | if doubtful { Self::DOUBTFUL } else { 0 })
    }

    fn origin(self) -> Option<Origin> {
        let place = usize::from(self.0 & !Self::DOUBTFUL);
        Origin::ALL.get(place.checked_sub(1)?).copied()
    }

    fn is_doubtful(self) -> bool {
        self.0 & Self::DOUBTFUL != 0
    }
}

/// Origin and doubt of every point of an attempt. Takes memory only where a file tells points apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Origins {
    usual: Origin,
    slots: Vec<Landmark>,
    /// `marks[frame * slots.len() + slot]`, or empty.
    marks: Vec<Mark>,
}

impl Origins {
    /// The same for every point, and none doubtful.
    #[must_use]
    pub fn all(origin: Origin) -> Self {
        Self {
            usual: origin,
            slots: Vec::new(),
            marks: Vec::new(),
        }
    }

    pub(crate) fn new(usual: Origin, slots: Vec<Landmark>, marks: Vec<Mark>) -> Self {
        Self { usual, slots, marks }
    }

    fn mark(&self, landmark: Landmark, frame: usize) -> Mark {
        let slot = self.slots.iter().position(|slot| *slot == landmark);
        slot.and_then(|slot| self.marks.get(frame * self.slots.len() + slot))
            .copied()
            .unwrap_or_default()
    }

    /// The origin of a point, whether it is seen or not.
    #[must_use]
    pub fn of(&self, landmark: Landmark, frame: usize) -> Origin {
        self.mark(landmark, frame).origin().unwrap_or(self.usual)
    }

    /// Whether a point wants a second look.
    #[must_use]
    pub fn is_doubtful(&self, landmark: Landmark, frame: usize) -> bool {
        self.mark(landmark, frame).is_doubtful()
    }

    /// The one origin of every point, and none doubtful, as far as the file tells none apart.
    #[must_use]
    pub fn one(&self) -> Option<Origin> {
        self.marks.is_empty().then_some(self.usual)
    }
}

/// Whether every seen point has one of these origins. `seen`: the slots of every frame, one after the other.
pub(crate) fn every(marks: &[Mark], usual: Origin, seen: impl Iterator<Item = bool>, of: &[Origin]) -> bool {
    if marks.is_empty() {
        return of.contains(&usual);
    }
    marks
        .iter()
        .zip(seen)
        .all(|(mark, seen)| !seen || of.contains(&mark.origin().unwrap_or(usual)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_byte_holds_origin_and_doubt() {
        for doubtful in [false, true] {
            for origin in [None].into_iter().chain(Origin::ALL.map(Some)) {
                let mark = Mark::new(origin, doubtful);
                assert_eq!((mark.origin(), mark.is_doubtful()), (origin, doubtful));
            }
        }
        assert_eq!(Mark::new(None, false), Mark::default());
        assert_eq!(std::mem::size_of::<Mark>(), 1);
    }

    #[test]
    fn words_are_those_of_files() {
        for origin in Origin::ALL {
            assert_eq!(serde_json::to_value(origin).unwrap(), origin.id());
        }
    }
}
