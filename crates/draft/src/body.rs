//! One answer of the point model: 33 points of a body, in the picture.

use crate::region::{Region, wrapped};

/// Points that the model gives, in its order (the layout `points-33`).
pub(crate) const POINTS: usize = 33;

pub(crate) const SHOULDERS: [usize; 2] = [11, 12];
pub(crate) const HIPS: [usize; 2] = [23, 24];
/// Shoulders, elbows, wrists, hips, knees, ankles: what a body is told by.
pub(crate) const MAIN: [usize; 12] = [11, 12, 13, 14, 15, 16, 23, 24, 25, 26, 27, 28];
/// Limbs whose length in the picture says whether the answer can be right.
const LIMBS: [(usize, usize); 10] = [
    (11, 13),
    (12, 14),
    (13, 15),
    (14, 16),
    (23, 25),
    (24, 26),
    (25, 27),
    (26, 28),
    (11, 23),
    (12, 24),
];

pub(crate) type Place = (f64, f64);

pub(crate) fn mid(a: Place, b: Place) -> Place {
    ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0)
}

pub(crate) fn apart(a: Place, b: Place) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// A body as the model sees it. Image plane: px, x right, y down.
#[derive(Clone, Debug)]
pub(crate) struct Body {
    pub at: [Place; POINTS],
    /// How sure the model is that each point can be seen, 0 to 1.
    pub seen: [f64; POINTS],
    /// How sure the model is that there is a body, 0 to 1.
    pub presence: f64,
    /// Where the model would look next: the middle, and a point on the circle around the body.
    pub middle: Place,
    pub rim: Place,
    /// What it was shown.
    pub shown: Region,
}

impl Body {
    pub fn mid_hip(&self) -> Place {
        mid(self.at[HIPS[0]], self.at[HIPS[1]])
    }

    pub fn mid_shoulder(&self) -> Place {
        mid(self.at[SHOULDERS[0]], self.at[SHOULDERS[1]])
    }

    /// Length of the trunk in the picture, px.
    pub fn trunk(&self) -> f64 {
        apart(self.mid_hip(), self.mid_shoulder())
    }

    /// The direction hips to shoulders, rad clockwise from up in the picture.
    pub fn turn(&self) -> f64 {
        let (hip, shoulder) = (self.mid_hip(), self.mid_shoulder());
        (shoulder.0 - hip.0).atan2(hip.1 - shoulder.1)
    }

    /// The region that shows this body upright.
    pub fn region(&self) -> Region {
        Region {
            x: self.middle.0,
            y: self.middle.1,
            size: 2.5 * apart(self.middle, self.rim),
            turn: self.turn(),
        }
    }

    /// How far the trunk lies from upright in what the model was shown, rad. Far off, the answer is a guess.
    pub fn slant(&self) -> f64 {
        wrapped(self.turn() - self.shown.turn).abs()
    }

    /// Longer of the two sides of each limb, and the trunk, px.
    pub fn lengths(&self) -> [f64; 5] {
        std::array::from_fn(|i| {
            let [(a, b), (c, d)] = [LIMBS[2 * i], LIMBS[2 * i + 1]];
            apart(self.at[a], self.at[b]).max(apart(self.at[c], self.at[d]))
        })
    }

    /// Standing height that belongs to this body, px: trunk and legs by the shares of their lengths.
    pub fn stature(&self) -> f64 {
        let [_, _, thigh, shank, trunk] = self.lengths();
        // Shoulder to hip, hip to knee, knee to ankle: 0.288 + 0.245 + 0.246 of stature (Winter, from memory).
        (trunk + thigh + shank) / 0.779
    }

    /// Typical distance of the main points from those of another body, in trunk lengths.
    pub fn apart(&self, other: &Body) -> f64 {
        let mut far: Vec<f64> = MAIN.iter().map(|&i| apart(self.at[i], other.at[i])).collect();
        far.sort_by(f64::total_cmp);
        far[MAIN.len() / 2] / self.trunk().max(other.trunk()).max(1.0)
    }

    /// The body at a share of the way from this one to another.
    pub fn toward(&self, other: &Body, share: f64) -> Body {
        let between = |a: Place, b: Place| (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
        Body {
            at: std::array::from_fn(|i| between(self.at[i], other.at[i])),
            seen: std::array::from_fn(|i| self.seen[i] + (other.seen[i] - self.seen[i]) * share),
            presence: self.presence.min(other.presence),
            middle: between(self.middle, other.middle),
            rim: between(self.rim, other.rim),
            shown: if share < 0.5 { self.shown } else { other.shown },
        }
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A body that stands (or hangs) at a place: trunk 60 px, thighs and shanks 50 px.
    pub fn standing(x: f64, y: f64, turn: f64) -> Body {
        let shown = Region {
            x,
            y,
            size: 250.0,
            turn,
        };
        let put = |u: f64, v: f64| shown.to_picture(0.5 + u / 250.0, 0.5 + v / 250.0);
        let mut at = [put(0.0, -80.0); POINTS];
        for side in 0..2 {
            let w = if side == 0 { 8.0 } else { -8.0 };
            for (point, v) in [(11, -60.0), (13, -25.0), (15, 5.0), (23, 0.0), (25, 50.0), (27, 100.0)] {
                at[point + side] = put(w, v);
            }
        }
        Body {
            at,
            seen: [1.0; POINTS],
            presence: 1.0,
            middle: put(0.0, 0.0),
            rim: put(0.0, -100.0),
            shown,
        }
    }

    #[test]
    fn the_turn_of_the_trunk_is_read_upside_down_too() {
        for turn in [0.0, 1.0, 3.0, -2.0] {
            let body = standing(200.0, 300.0, turn);
            assert!((wrapped(body.turn() - turn)).abs() < 1e-9);
            assert!(body.slant() < 1e-9);
            assert!((body.trunk() - 60.0).abs() < 1e-9);
            assert!((body.region().size - 250.0).abs() < 1e-9);
        }
        assert!((standing(0.0, 0.0, 0.0).stature() - 160.0 / 0.779).abs() < 1e-9);
    }

    #[test]
    fn bodies_apart_are_told_in_trunk_lengths() {
        let (here, there) = (standing(100.0, 100.0, 0.0), standing(130.0, 100.0, 0.0));
        assert!((here.apart(&there) - 0.5).abs() < 1e-9);
        assert!((here.toward(&there, 0.5).mid_hip().0 - 115.0).abs() < 1e-9);
    }
}
