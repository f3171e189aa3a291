//! Drawing handsprings over the whole range that the figure can do.

use crate::corrupt::source;
use crate::params::Params;
use crate::synthetic::Act;
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use springline_kinematics::Side;

impl Params {
    /// A handspring drawn over the whole range: bodies from 1.0 to 1.85 m, long and short entries, open
    /// and closed shoulders, with flight or through a bridge, on two feet or stepping out. The same
    /// seed draws the same; a draw that the figure can't do is drawn again.
    #[must_use]
    pub fn random(seed: u64) -> Self {
        Self::drawn(seed).0
    }

    /// The same, with the number of draws that it took.
    pub(crate) fn drawn(seed: u64) -> (Self, u32) {
        let mut chance = source(seed, 10);
        // What kind it is stays, however often the rest is drawn again.
        let kind = match chance.random_range(0.0..1.0) {
            x if x < 0.2 => Kind::StepOut,
            x if x < 0.3 => Kind::Bridge,
            _ => Kind::TwoFeet,
        };
        for tries in 1..200 {
            let params = draw(&mut chance, kind);
            if Act::handspring(&params).and_then(|act| act.human()).is_ok() {
                return (params, tries);
            }
        }
        (Self::clean(), 200)
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    TwoFeet,
    StepOut,
    Bridge,
}

fn between(chance: &mut ChaCha8Rng, low: f64, high: f64) -> f64 {
    chance.random_range(low..high)
}

fn draw(chance: &mut ChaCha8Rng, kind: Kind) -> Params {
    let mut p = Params::clean();
    let c = chance;
    p.stature_m = between(c, 1.0, 1.85);
    p.half_hips = between(c, 0.05, 0.095);
    p.push_off = if c.random_bool(0.5) { Side::Left } else { Side::Right };
    p.stand_before_s = between(c, 0.0, 1.0);
    p.stand_after_s = between(c, 0.35, 1.2);
    p.start_shoulder = if c.random_bool(0.6) {
        between(c, 145.0, 175.0)
    } else {
        between(c, 5.0, 100.0)
    };
    p.step_s = between(c, 0.36, 0.6);
    p.lunge_length = between(c, 0.45, 1.3);
    p.lunge_trunk = between(c, 12.0, 45.0);
    p.lunge_knee = between(c, 115.0, 160.0);
    p.travel_speed_m_s = between(c, 0.8, 1.8) * p.stature_m / 1.45;
    p.hand_speed_m_s = between(c, 0.8, 2.4);
    p.hand_to_foot = between(c, 0.6, 1.5);
    p.placement_shoulder = between(c, 120.0, 188.0);
    p.least_shoulder = (p.placement_shoulder + between(c, -30.0, 10.0)).min(188.0);
    p.departure_shoulder = (p.least_shoulder + between(c, -5.0, 35.0)).clamp(110.0, 192.0);
    p.support_elbow = if c.random_bool(0.6) {
        between(c, 165.0, 190.0)
    } else {
        between(c, 120.0, 165.0)
    };
    if c.random_bool(0.3) {
        p.hand_stagger = between(c, -0.3, 0.3);
    }
    if c.random_bool(0.3) {
        p.hands_land_apart_s = between(c, 0.01, 0.12);
    }
    p.placement_knee = between(c, 125.0, 162.0);
    p.push_off_leaves_after_s = between(c, -0.06, 0.08);
    p.swing_hip = between(c, 165.0, 215.0);
    p.kick_knee = if c.random_bool(0.7) {
        between(c, 165.0, 185.0)
    } else {
        between(c, 110.0, 165.0)
    };
    p.legs_join_before_departure_s = between(c, -0.2, 0.12);
    p.residual_gap = if c.random_bool(0.8) {
        between(c, 0.0, 9.0)
    } else {
        between(c, 9.0, 35.0)
    };
    // From brisk (0) to labouring (1): later off the hands, more arch, shorter flight.
    let late: f64 = between(c, 0.0, 1.0);
    p.support_s = 0.14 + 0.25 * late + between(c, 0.0, 0.12);
    p.departure_lean = -10.0 + 50.0 * late + between(c, -4.0, 8.0);
    p.support_hip = 178.0 + 30.0 * late + between(c, -12.0, 12.0);
    p.flight_hip = p.support_hip + between(c, -25.0, 12.0);
    if c.random_bool(0.15) {
        p.flight_hip = between(c, 120.0, 165.0);
    }
    p.flight_knee = if c.random_bool(0.75) {
        between(c, 168.0, 184.0)
    } else {
        between(c, 110.0, 168.0)
    };
    p.touchdown_hip = 182.0 + 38.0 * late + between(c, -20.0, 10.0);
    p.touchdown_knee = between(c, 125.0, 178.0);
    p.touchdown_lean = -10.0 - 25.0 * late + between(c, -10.0, 8.0);
    p.flight_s = p.turning_time() * between(c, 0.9, 1.25);
    // Hips and knees can only change so much in that time.
    let most = 250.0 * p.flight_s.max(0.0);
    let near = |x: f64, to: f64| x.clamp(to - most, to + most);
    p.flight_hip = near(p.flight_hip, p.support_hip);
    p.touchdown_hip = near(p.touchdown_hip, p.flight_hip);
    p.flight_knee = near(p.flight_knee, p.kick_knee);
    p.touchdown_knee = near(p.touchdown_knee, p.flight_knee);
    p.touchdown_shoulder = if c.random_bool(0.7) {
        between(c, 150.0, 185.0)
    } else {
        between(c, 60.0, 150.0)
    };
    p.touchdown_heel = between(c, 0.0, 0.22);
    p.landing_s = between(c, 0.2, 0.45);
    p.settled_shoulder = (p.touchdown_shoulder + between(c, -30.0, 5.0)).max(20.0);
    p.settled_hip = between(c, 140.0, 188.0);
    p.settled_knee = (p.touchdown_knee - between(c, 0.0, 35.0)).max(95.0);
    p.settled_lean = between(c, -14.0, 14.0);
    p.settled_heel = if c.random_bool(0.5) { 0.0 } else { between(c, 0.0, 0.15) };
    if c.random_bool(0.3) {
        p.feet_apart = between(c, -0.1, 0.45);
    }
    if c.random_bool(0.4) {
        p.second_foot_after_s = between(c, 0.002, 0.05);
    }
    if kind == Kind::StepOut {
        p.step_out = true;
        p.step_out_gap = between(c, 34.0, 85.0);
        p.step_out_stride = between(c, 0.45, 0.85);
        p.settled_knee = p.settled_knee.min(160.0);
        p.second_foot_after_s = between(c, 0.12, 0.3);
        p.residual_gap = between(c, 5.0, 60.0);
        p.settled_lean = between(c, 4.0, 20.0);
        p.landing_s = p.second_foot_after_s + between(c, 0.02, 0.15);
    } else if kind == Kind::Bridge {
        p.flight_s = -between(c, 0.01, 0.15);
        p.support_s = between(c, 0.38, 0.55) - p.flight_s;
        p.departure_shoulder = between(c, 182.0, 204.0);
        p.support_hip = between(c, 195.0, 212.0);
        p.touchdown_hip = between(c, 212.0, 228.0);
        p.touchdown_knee = between(c, 105.0, 140.0);
        p.touchdown_heel = between(c, 0.0, 0.06);
        p.landing_s = between(c, 0.5, 0.8);
        p.settled_heel = 0.0;
    }
    p.placement_head = between(c, 60.0, 140.0);
    p.support_head = between(c, 70.0, 120.0);
    p.landing_head = between(c, 75.0, 115.0);
    p
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_draw_is_always_found_soon() {
        let tries: Vec<u32> = (0..200).map(|seed| Params::drawn(seed).1).collect();
        assert!(tries.iter().all(|&tries| tries < 200));
        let mean = f64::from(tries.iter().sum::<u32>()) / 200.0;
        eprintln!("{mean} {:?}", tries.iter().max());
        assert!(mean < 10.0, "{mean} draws for one handspring");
    }
}
