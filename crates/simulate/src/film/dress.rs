//! Colour of a body at a place on its surface: skin, face, hair, clothes with seams, patterns and folds.

use super::figure::Figure;
use super::look::{Look, Outfit};
use super::shape::Part;
use super::space::{V3, cloud, clouds, colour, mix, smooth, v};

/// What light finds at a place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Surface {
    /// Share of light sent back, linear.
    pub tone: V3,
    /// How far the direction out of the surface is bent by folds and pores.
    pub bend: V3,
    /// Strength of the soft highlight.
    pub gloss: f32,
}

impl Figure {
    /// The surface at `p`, which belongs to that rod at that share of its length.
    pub fn surface(&self, p: V3, rod: usize, t: f32) -> Surface {
        let part = self.flesh.rods[rod].part;
        let look = &self.look;
        let h = self.stature;
        // Places on the limb itself, so that patterns go with it.
        let own = self.own(p, rod);
        match part {
            Part::Hair => hair(look, self.head.local(p, self.ear) / h),
            Part::Skull | Part::Ear => self.face(p, part, own),
            Part::Neck | Part::Hand => skin(look, own, 0.0),
            Part::Foot => match look.outfit {
                _ if look.socks => cloth(look, colour(226, 226, 224), own, 0.3),
                _ => skin(look, own, 0.12),
            },
            Part::Torso => self.torso(p, own),
            Part::UpperArm => {
                let t = self.share(p, rod, t);
                match look.outfit {
                    Outfit::LongSleeves => self.top(own, 0.35, t),
                    Outfit::Shorts if t < 0.49 => self.top(own, 1.0, t),
                    Outfit::Tracksuit if t < 0.69 => self.top(own, 1.0, t),
                    Outfit::Leotard | Outfit::Leggings => self.torso_or_skin(p, own, 0.0),
                    _ => skin(look, own, 0.1 * smooth(0.85, 1.0, t)),
                }
            }
            Part::Forearm => match look.outfit {
                Outfit::LongSleeves if t < 0.93 => self.top(own, 0.35, 0.5),
                _ => skin(look, own, 0.12 * smooth(0.12, 0.0, t)),
            },
            Part::Thigh => {
                let t = self.share(p, rod, t);
                match look.outfit {
                    Outfit::Shorts if t < 0.51 => self.bottom(own, 1.0, t),
                    Outfit::Tracksuit => self.bottom(own, 1.2, t),
                    Outfit::Leggings => self.bottom(own, 0.4, t),
                    // Near the hip the leotard comes over; a bent thigh is bare.
                    _ if t < 0.13 => self.torso_or_skin(p, own, 0.0),
                    _ => skin(look, own, 0.14 * smooth(0.85, 1.0, t)),
                }
            }
            Part::Shank => {
                let t = self.share(p, rod, t);
                match look.outfit {
                    Outfit::Tracksuit => self.bottom(own, 1.2, t),
                    Outfit::Leggings if t < 0.9 => self.bottom(own, 0.4, t),
                    _ => skin(look, own, 0.16 * smooth(0.15, 0.0, t)),
                }
            }
        }
    }

    /// The place along its limb's own directions, m.
    fn own(&self, p: V3, rod: usize) -> V3 {
        let rod = &self.flesh.rods[rod];
        let axis = rod.along.normalize();
        let d = p - rod.from;
        let right = self.across - self.across.dot(&axis) * axis;
        let right = super::space::unit_or(right, v(0.0, 0.0, 1.0));
        v(d.dot(&right), d.dot(&axis), d.dot(&axis.cross(&right)))
    }

    /// Share of the whole limb for a rod that covers only part of it.
    fn share(&self, p: V3, rod: usize, t: f32) -> f32 {
        let this = &self.flesh.rods[rod];
        // The limb's first rod spans it from joint to joint.
        let whole = self
            .flesh
            .rods
            .iter()
            .find(|other| other.chain == this.chain && other.part == this.part);
        whole.map_or(t, |whole| {
            (p - whole.from).dot(&whole.along) / whole.along.norm_squared()
        })
    }

    fn torso(&self, p: V3, own: V3) -> Surface {
        self.torso_or_skin(p, own, 0.0)
    }

    /// Where the torso's clothes end, by the place in the trunk's axes.
    fn torso_or_skin(&self, p: V3, own: V3, flush: f32) -> Surface {
        let at = self.trunk.local(p, self.hips) / self.stature;
        let (ahead, up, out) = (at.x, at.y, at.z.abs());
        let look = &self.look;
        // Round necks: those of shirts close to the neck, those of leotards wider and deeper.
        let (wide, deep) = match look.outfit {
            Outfit::Shorts | Outfit::Tracksuit => (0.046, 0.05),
            _ => (0.058, 0.085),
        };
        let deep = if ahead > 0.0 { deep } else { 0.4 * deep };
        let neck = 0.305 - deep * (1.0 - (out / wide).powi(2)).max(0.0).sqrt() - if out < wide { 0.004 } else { 0.0 };
        match look.outfit {
            Outfit::Leotard | Outfit::LongSleeves => {
                // Cut up the leg, wide straps at the shoulder.
                let leg = if ahead > 0.0 {
                    -0.052 + 0.78 * out
                } else {
                    -0.075 + 0.62 * out
                };
                let strap = look.outfit == Outfit::LongSleeves || out < 0.083;
                if up > leg && up < neck && strap {
                    return self.top(at, 0.25, 0.5);
                }
                skin(look, own, flush)
            }
            Outfit::Leggings => {
                if up < 0.055 {
                    return self.bottom(at, 0.4, 0.0);
                }
                // A short top that shows the waist.
                if up > 0.135 && up < neck && out < 0.088 {
                    return self.top(at, 0.4, 0.5);
                }
                skin(look, own, flush)
            }
            Outfit::Shorts | Outfit::Tracksuit => {
                if up < 0.058 {
                    return self.bottom(at, 1.0, 0.0);
                }
                if up < neck {
                    return self.top(at, 1.0, 0.5);
                }
                skin(look, own, flush)
            }
        }
    }

    fn top(&self, at: V3, folds: f32, t: f32) -> Surface {
        let look = &self.look;
        let trunk = at.norm() < 0.5 && at.y > -0.1;
        let tone = match look.pattern {
            // A broad sash, stripes, a motif on the chest, plain.
            0 if trunk && (at.y - 0.14 + 0.6 * at.z).abs() < 0.026 => look.accent,
            1 if trunk && (at.y * 26.0).fract().abs() < 0.36 => mix(look.top, look.accent, 0.85),
            2 if trunk && (at.y - 0.2).hypot(at.z) < 0.034 => look.accent,
            _ => look.top,
        };
        let hem = smooth(0.02, 0.0, (t - 0.47).abs());
        cloth(look, tone * (1.0 - 0.25 * hem), at, folds)
    }

    fn bottom(&self, at: V3, folds: f32, t: f32) -> Surface {
        let look = &self.look;
        let side = look.outfit != Outfit::Leggings && at.x.abs() > 0.9 * at.x.hypot(at.z) && t > 0.0;
        let tone = if side {
            mix(look.bottom, look.accent, 0.9)
        } else {
            look.bottom
        };
        cloth(look, tone, at, folds)
    }

    fn face(&self, p: V3, part: Part, own: V3) -> Surface {
        let look = &self.look;
        let h = self.stature;
        let at = self.head.local(p, self.ear) / h;
        let (ahead, up, side) = (at.x, at.y, at.z.abs());
        let mut surface = skin(look, own, if part == Part::Ear { 0.15 } else { 0.0 });
        if part == Part::Ear {
            return surface;
        }
        if ahead < -0.004 && up > -0.045 {
            return hair(look, at);
        }
        if ahead > 0.02 {
            // Cheeks, sockets, brows, eyes, nostrils, lips.
            let flush = smooth(0.022, 0.004, (up + 0.012).hypot(side - 0.026));
            surface.tone = surface
                .tone
                .component_mul(&v(1.0 + 0.06 * flush, 1.0 - 0.1 * flush, 1.0 - 0.1 * flush));
            let socket = smooth(1.0, 0.35, ((up - 0.018) / 0.013).hypot((side - 0.018) / 0.017));
            surface.tone *= 1.0 - 0.18 * socket;
            let eye = ((up - 0.0165) / 0.0052).hypot((side - 0.0185) / 0.0098);
            if eye < 1.0 {
                let iris = (up - 0.0165).hypot(side - 0.0185);
                surface.tone = if iris < 0.0021 {
                    v(0.01, 0.01, 0.01)
                } else if iris < 0.0044 {
                    look.iris
                } else {
                    v(0.55, 0.53, 0.5)
                };
                surface.gloss = 0.5;
            } else if eye < 1.35 && up > 0.0165 {
                surface.tone *= 0.3;
            }
            let brow = (up - 0.031 + 2.0 * (side - 0.02) * (side - 0.02) * 14.0).abs();
            if brow < 0.0024 && (0.009..0.029).contains(&side) {
                surface.tone = mix(surface.tone, look.hair_tone, 0.6);
            }
            if (up + 0.0115).abs() < 0.0022 && (side - 0.0055).abs() < 0.0026 && ahead > 0.055 {
                surface.tone *= 0.25;
            }
            let lips = ((up + 0.034) / 0.0062).hypot(side / 0.0165);
            if lips < 1.0 {
                surface.tone = surface.tone.component_mul(&v(0.95, 0.66, 0.64));
                if (up + 0.0342).abs() < 0.0011 {
                    surface.tone *= 0.4;
                }
            }
            // Hair line over the brow.
            if up > 0.05 - 0.1 * side {
                return hair(look, at);
            }
        }
        surface
    }
}

fn skin(look: &Look, at: V3, flush: f32) -> Surface {
    let blotch = clouds(22.0 * at, look.seed) - 0.5;
    let fine = clouds(160.0 * at, look.seed ^ 7) - 0.5;
    let shade = 1.0 + 0.14 * blotch + 0.10 * fine;
    let red = v(
        1.0,
        1.0 - 1.1 * flush - 0.05 * blotch,
        1.0 - 1.3 * flush - 0.06 * blotch,
    );
    Surface {
        tone: (shade * look.skin).component_mul(&red),
        bend: 0.05 * v(fine, blotch, -fine),
        gloss: 0.07,
    }
}

fn hair(look: &Look, at: V3) -> Surface {
    // Strands from the brow to the back: fine across, long along.
    let strand = clouds(v(at.x * 60.0, at.y * 190.0, at.z * 420.0), look.seed ^ 3) - 0.5;
    let lock = clouds(v(at.x * 20.0, at.y * 45.0, at.z * 110.0), look.seed ^ 4) - 0.5;
    Surface {
        tone: look.hair_tone * (1.0 + 0.9 * strand + 0.6 * lock).max(0.2),
        bend: 0.35 * v(strand, lock, strand),
        gloss: 0.22,
    }
}

fn cloth(look: &Look, tone: V3, at: V3, folds: f32) -> Surface {
    let bump = |scale: V3, seed: u32| cloud(at.component_mul(&scale), look.seed ^ seed) - 0.5;
    // Drapes along, creases across, and the weave.
    let drape = bump(v(42.0, 10.0, 42.0), 11);
    let crease = bump(v(16.0, 46.0, 16.0), 12);
    let lean = bump(v(34.0, 22.0, 34.0), 13);
    let weave = bump(v(300.0, 300.0, 300.0), 14);
    Surface {
        tone: tone * (1.0 + folds * (0.22 * drape + 0.14 * crease) + 0.14 * weave).max(0.3),
        bend: folds * 0.6 * v(drape, crease, lean),
        gloss: 0.04 + 0.1 * (1.0 - folds.min(1.0)),
    }
}
