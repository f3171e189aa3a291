//! A body as a field of distances: tapered rods that melt into each other at the joints.

use super::space::V3;

/// Which chain of rods: rods of a chain melt into each other; chains melt only at their joint.
pub(crate) const TRUNK: usize = 0;
pub(crate) const HEAD: usize = 1;
pub(crate) const HAIR: usize = 2;
pub(crate) const ARM: [usize; 2] = [3, 4];
pub(crate) const LEG: [usize; 2] = [5, 6];
pub(crate) const CHAINS: usize = 7;

/// What a rod is a part of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Torso,
    Neck,
    Skull,
    Ear,
    Hair,
    UpperArm,
    Forearm,
    Hand,
    Thigh,
    Shank,
    Foot,
}

/// A tapered rod with round ends, wider across one direction than the other.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rod {
    pub from: V3,
    pub along: V3,
    pub radius: [f32; 2],
    wide: V3,
    squash: f32,
    length2: f32,
    inverse: f32,
    rr: f32,
    a2: f32,
    /// Middle and radius of a ball around it.
    middle: V3,
    round: f32,
    pub chain: usize,
    pub part: Part,
    /// Cloth of that thickness (m) between these shares of the length.
    pub cloth: Option<(f32, f32, f32)>,
    /// How far its rods melt into each other, m.
    pub melt: f32,
}

impl Rod {
    /// A round rod.
    pub fn new(chain: usize, part: Part, from: V3, to: V3, radius: [f32; 2]) -> Self {
        let mut along = to - from;
        if along.norm_squared() < 1e-8 {
            along = V3::new(0.0, 1e-4, 0.0);
        }
        let length2 = along.norm_squared();
        // A rod that one of its ends swallows: keep the taper below its length.
        let limit = 0.95 * length2.sqrt();
        let taper = (radius[0] - radius[1]).clamp(-limit, limit);
        let radius = if radius[0] > radius[1] {
            [radius[0], radius[0] - taper]
        } else {
            [radius[1] + taper, radius[1]]
        };
        Self {
            from,
            along,
            radius,
            wide: V3::zeros(),
            squash: 0.0,
            length2,
            inverse: 1.0 / length2,
            rr: taper,
            a2: length2 - taper * taper,
            middle: from + 0.5 * along,
            round: 0.5 * length2.sqrt() + radius[0].max(radius[1]),
            chain,
            part,
            cloth: None,
            melt: 0.0,
        }
    }

    /// The same, `times` as wide across `wide` (made square to the rod).
    pub fn wide(mut self, wide: V3, times: f32) -> Self {
        let flat = wide - wide.dot(&self.along) * self.inverse * self.along;
        let length = flat.norm();
        if length > 1e-5 {
            self.wide = flat / length;
            self.squash = 1.0 - 1.0 / times;
        }
        self
    }

    /// The same, melting into its chain over that distance, m.
    pub fn melting(mut self, melt: f32) -> Self {
        self.melt = melt;
        self
    }

    /// The same, covered by cloth.
    pub fn clothed(mut self, from: f32, to: f32, thickness: f32) -> Self {
        self.cloth = Some((from, to, thickness));
        self
    }

    /// Distance of a place from the surface (below the true one where the rod is flat), m, and its share
    /// of the length.
    #[inline]
    pub fn distance(&self, p: V3) -> (f32, f32) {
        let pa = p - self.from;
        let pa = pa - (self.squash * pa.dot(&self.wide)) * self.wide;
        let y = pa.dot(&self.along);
        let z = y - self.length2;
        let x2 = (self.length2 * pa - y * self.along).norm_squared();
        let y2 = y * y * self.length2;
        let z2 = z * z * self.length2;
        let k = self.rr.signum() * self.rr * self.rr * x2;
        let d = if z.signum() * self.a2 * z2 > k {
            (x2 + z2).sqrt() * self.inverse - self.radius[1]
        } else if y.signum() * self.a2 * y2 < k {
            (x2 + y2).sqrt() * self.inverse - self.radius[0]
        } else {
            ((x2 * self.a2 * self.inverse).sqrt() + y * self.rr) * self.inverse - self.radius[0]
        };
        let t = y * self.inverse;
        match self.cloth {
            Some((from, to, thickness)) => {
                let ramp = ((t - from) * 40.0).clamp(0.0, 1.0) * ((to - t) * 40.0).clamp(0.0, 1.0);
                (d - thickness * ramp, t)
            }
            None => (d, t),
        }
    }

    /// The widest that it reaches out from its middle line, m.
    pub fn reach(&self) -> f32 {
        let cloth = self.cloth.map_or(0.0, |(_, _, thickness)| thickness);
        let wide = if self.squash > 0.0 {
            1.0 / (1.0 - self.squash)
        } else {
            1.0
        };
        (self.radius[0].max(self.radius[1]) + cloth) * wide.max(1.0)
    }
}

/// The lesser of two distances, rounded off over `k`.
fn melt(a: f32, b: f32, k: f32) -> f32 {
    if k <= 1e-6 {
        return a.min(b);
    }
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.min(b) - 0.25 * h * h * k
}

/// Where a chain grows out of the trunk and how far it melts into it there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Root {
    pub chain: usize,
    pub place: V3,
    pub melt: f32,
    pub within: f32,
}

/// The rods of one body.
#[derive(Clone, Debug)]
pub(crate) struct Flesh {
    /// Sorted by chain.
    pub rods: Vec<Rod>,
    pub roots: Vec<Root>,
    /// The farthest that anything melts, m.
    pub melts: f32,
}

impl Flesh {
    /// A body of those rods.
    pub fn new(mut rods: Vec<Rod>, roots: Vec<Root>) -> Self {
        let melts = roots
            .iter()
            .map(|root| root.melt)
            .chain(rods.iter().map(|rod| rod.melt));
        let melts = melts.fold(0.0, f32::max);
        for rod in &mut rods {
            rod.round = 0.5 * rod.length2.sqrt() + rod.reach();
        }
        Self { rods, roots, melts }
    }
}

impl Flesh {
    /// Where the balls around the rods begin and end, as seen from `eye`, m.
    pub fn depths(&self, eye: V3, active: &[u8]) -> (f32, f32) {
        active.iter().fold((f32::MAX, 0.0), |(near, far), &i| {
            let rod = &self.rods[usize::from(i)];
            let away = (rod.middle - eye).norm();
            (near.min(away - rod.round), far.max(away + rod.round))
        })
    }

    /// Distance of a place from the skin, m, seen by the rods listed (indices, ascending).
    pub fn distance(&self, p: V3, active: &[u8]) -> f32 {
        let mut chains = [1e3_f32; CHAINS];
        let mut best = 1e3_f32;
        for &i in active {
            let rod = &self.rods[usize::from(i)];
            // Too far to matter: farther than the nearest by more than anything melts.
            let bound = best + self.melts + rod.round;
            if (p - rod.middle).norm_squared() > bound * bound {
                continue;
            }
            let (d, _) = rod.distance(p);
            best = best.min(d);
            chains[rod.chain] = melt(chains[rod.chain], d, rod.melt);
        }
        let mut all = chains[TRUNK];
        for root in &self.roots {
            let d = chains[root.chain];
            if d < 1e2 {
                let near = 1.0 - (p - root.place).norm() / root.within;
                all = melt(all, d, root.melt * near.clamp(0.0, 1.0));
            }
        }
        all.min(chains[HAIR])
    }

    /// The rod that a place on the skin belongs to, and the share of its length.
    pub fn owner(&self, p: V3, active: &[u8]) -> (usize, f32) {
        let mut best = (0, 0.0, f32::MAX);
        for &i in active {
            let (d, t) = self.rods[usize::from(i)].distance(p);
            if d < best.2 {
                best = (usize::from(i), t, d);
            }
        }
        (best.0, best.1)
    }

    /// Direction out of the skin.
    pub fn normal(&self, p: V3, active: &[u8], step: f32) -> V3 {
        let here = self.distance(p, active);
        let along = |way: V3| self.distance(p + step * way, active) - here;
        let sum = V3::new(along(V3::x()), along(V3::y()), along(V3::z()));
        super::space::unit_or(sum, V3::new(0.0, 1.0, 0.0))
    }
}
