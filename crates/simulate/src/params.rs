//! The dials of a front handspring.

use crate::body::Body;
use springline_kinematics::Side;

/// Everything that can be dialled in a front handspring. Angles in degrees, in the conventions of the
/// kinematics crate (straight = 180), lengths in leg lengths where not said otherwise.
///
/// [`Params::clean`] has none of the faults; [`Params::random`] draws over the whole range that the
/// figure can do; [`Params::with_fault`] dials one fault into any of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Params {
    /// Standing height, m.
    pub stature_m: f64,
    /// Half hip width as a share of stature, .05 to .095.
    pub half_hips: f64,
    /// The foot that comes down in the lunge and pushes off.
    pub push_off: Side,
    /// Standing before the step, s.
    pub stand_before_s: f64,
    /// Standing after the landing has settled, s (at least 0.3 is kept).
    pub stand_after_s: f64,
    /// Shoulder opening while standing before: about 10 arms down, 165 arms up.
    pub start_shoulder: f64,
    /// From lifting the push-off foot to putting it down, s.
    pub step_s: f64,
    /// Rear toe to front toe in the lunge.
    pub lunge_length: f64,
    /// Trunk inclination in the lunge.
    pub lunge_trunk: f64,
    /// Knee of the push-off leg in the lunge.
    pub lunge_knee: f64,
    /// Mean horizontal speed of mid-hip from the lunge to hand placement, m/s.
    pub travel_speed_m_s: f64,
    /// Downward speed of the hands when they strike the floor, m/s.
    pub hand_speed_m_s: f64,
    /// Push-off toe to the mean of the fingertips.
    pub hand_to_foot: f64,
    /// Shoulder opening at hand placement.
    pub placement_shoulder: f64,
    /// Smallest shoulder opening while the hands are down (halfway).
    pub least_shoulder: f64,
    /// Shoulder opening at hand departure.
    pub departure_shoulder: f64,
    /// Elbow angle while the hands are down; above 180 hyperextended.
    pub support_elbow: f64,
    /// How far the second hand is placed ahead of the first (negative: behind it).
    pub hand_stagger: f64,
    /// How much later the second hand is placed, s.
    pub hands_land_apart_s: f64,
    /// Knee of the push-off leg at hand placement.
    pub placement_knee: f64,
    /// From hand placement to the push-off foot leaving, s; negative: the foot leaves first. Positive
    /// values are cut short when the leg is stretched out before.
    pub push_off_leaves_after_s: f64,
    /// Hip of the swinging leg at hand placement.
    pub swing_hip: f64,
    /// Knees while kicking over.
    pub kick_knee: f64,
    /// From the legs joining (gap 15) to hand departure, s; negative: they join after it.
    pub legs_join_before_departure_s: f64,
    /// Leg gap that stays after the legs have joined (above 15: they never join).
    pub residual_gap: f64,
    /// Hand placement to hand departure, s.
    pub support_s: f64,
    /// Body-line lean at hand departure, positive past vertical.
    pub departure_lean: f64,
    /// Hip angle in the later half of the support; above 180 arched.
    pub support_hip: f64,
    /// Hand departure to feet touchdown, s; 0 or negative: the hands are still down when the feet land.
    pub flight_s: f64,
    /// Hip angle in the middle of the flight.
    pub flight_hip: f64,
    /// Knees in the middle of the flight.
    pub flight_knee: f64,
    /// Shoulder opening at feet touchdown.
    pub touchdown_shoulder: f64,
    /// Hip angle at feet touchdown.
    pub touchdown_hip: f64,
    /// Knees at feet touchdown.
    pub touchdown_knee: f64,
    /// Landing lean at feet touchdown.
    pub touchdown_lean: f64,
    /// Heel over the floor at feet touchdown.
    pub touchdown_heel: f64,
    /// From touchdown until the landing has come to rest, s.
    pub landing_s: f64,
    /// Shoulder opening when the landing has come to rest.
    pub settled_shoulder: f64,
    /// Hip angle when the landing has come to rest.
    pub settled_hip: f64,
    /// Knees when the landing has come to rest.
    pub settled_knee: f64,
    /// Landing lean when the landing has come to rest.
    pub settled_lean: f64,
    /// Heel over the floor when the landing has come to rest.
    pub settled_heel: f64,
    /// How far the second foot lands ahead of the first (two-foot landing).
    pub feet_apart: f64,
    /// How much later the second foot lands, s: at most 0.05 on two feet, at least 0.1 in a step-out.
    pub second_foot_after_s: f64,
    /// Land on one foot and step.
    pub step_out: bool,
    /// Leg gap at touchdown of a step-out.
    pub step_out_gap: f64,
    /// How far ahead of the first foot the second comes down in a step-out.
    pub step_out_stride: f64,
    /// Head tilt at hand placement: 90 neutral, smaller looks for the hands, larger chin tucked.
    pub placement_head: f64,
    /// Head tilt in the later support.
    pub support_head: f64,
    /// Head tilt at touchdown.
    pub landing_head: f64,
}

impl Params {
    /// A handspring without any of the faults.
    #[must_use]
    pub fn clean() -> Self {
        Self {
            stature_m: 1.45,
            half_hips: 0.06,
            push_off: Side::Left,
            stand_before_s: 0.25,
            stand_after_s: 0.6,
            start_shoulder: 165.0,
            step_s: 0.45,
            lunge_length: 1.05,
            lunge_trunk: 32.0,
            lunge_knee: 135.0,
            travel_speed_m_s: 1.3,
            hand_speed_m_s: 1.5,
            hand_to_foot: 1.15,
            placement_shoulder: 180.0,
            least_shoulder: 178.0,
            departure_shoulder: 181.0,
            support_elbow: 178.0,
            hand_stagger: 0.0,
            hands_land_apart_s: 0.0,
            placement_knee: 142.0,
            push_off_leaves_after_s: 0.04,
            swing_hip: 188.0,
            kick_knee: 178.0,
            legs_join_before_departure_s: 0.07,
            residual_gap: 3.0,
            support_s: 0.28,
            departure_lean: 6.0,
            support_hip: 184.0,
            flight_s: 0.28,
            flight_hip: 186.0,
            flight_knee: 178.0,
            touchdown_shoulder: 176.0,
            touchdown_hip: 188.0,
            touchdown_knee: 172.0,
            touchdown_lean: -12.0,
            touchdown_heel: 0.14,
            landing_s: 0.24,
            settled_shoulder: 174.0,
            settled_hip: 180.0,
            settled_knee: 162.0,
            settled_lean: 6.0,
            settled_heel: 0.1,
            feet_apart: 0.0,
            second_foot_after_s: 0.0,
            step_out: false,
            step_out_gap: 55.0,
            step_out_stride: 0.7,
            placement_head: 80.0,
            support_head: 82.0,
            landing_head: 90.0,
        }
    }

    /// The figure.
    #[must_use]
    pub fn body(&self) -> Body {
        Body::new(self.stature_m, self.half_hips)
    }
}

impl Default for Params {
    fn default() -> Self {
        Self::clean()
    }
}
