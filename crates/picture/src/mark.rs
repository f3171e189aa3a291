//! The shapes of the verdicts: each is told apart without colour, and always stands beside its word.

use springline_assess::Verdict;

use crate::canvas::{Canvas, Place};
use crate::palette::{Colour, INK};

/// The shape of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Fault: a full diamond.
    Diamond,
    /// Too close to call: a disc, half of it full.
    HalfDisc,
    /// Not seen: a ring.
    Ring,
    /// Good: a full disc.
    Disc,
}

impl Mark {
    /// Every mark with its word, those that ask for something first.
    pub(crate) const ALL: [(Mark, &'static str); 4] = [
        (Mark::Diamond, "fault"),
        (Mark::HalfDisc, "too close to call"),
        (Mark::Ring, "not seen"),
        (Mark::Disc, "good"),
    ];

    /// The mark of a verdict.
    #[must_use]
    pub fn of(verdict: &Verdict) -> Self {
        match verdict {
            Verdict::Fault { .. } => Mark::Diamond,
            Verdict::Good { .. } => Mark::Disc,
            Verdict::TooClose { .. } => Mark::HalfDisc,
            Verdict::NotSeen { .. } => Mark::Ring,
        }
    }

    /// Draws it around `middle`, in a square of about twice `size`.
    pub(crate) fn draw(self, canvas: &mut Canvas, middle: Place, size: f32, colour: Colour) {
        let Place { x, y } = middle;
        match self {
            Mark::Diamond => {
                let far = 1.25 * size;
                let corners = [(x, y - far), (x + far, y), (x, y + far), (x - far, y)];
                canvas.fill(&corners.map(|(x, y)| Place { x, y }), colour);
            }
            Mark::Disc => canvas.disc(middle, size, colour),
            Mark::Ring => canvas.ring(middle, size * 0.85, size * 0.3, colour),
            Mark::HalfDisc => {
                canvas.ring(middle, size * 0.85, size * 0.3, colour);
                let arc = (0..=24).map(|k| {
                    let turn = std::f32::consts::PI * (0.5 + k as f32 / 24.0);
                    Place {
                        x: x + size * turn.cos(),
                        y: y + size * turn.sin(),
                    }
                });
                canvas.fill(&arc.collect::<Vec<_>>(), colour);
            }
        }
    }

    /// Draws it in ink.
    pub(crate) fn ink(self, canvas: &mut Canvas, middle: Place, size: f32) {
        self.draw(canvas, middle, size, INK);
    }
}
