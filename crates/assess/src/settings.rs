//! What a drill asks of the measuring.

use springline_drills::{Drill, View};
use springline_kinematics::events::Search;
use springline_kinematics::{Angle, EventKind};

/// The search for events that a drill describes. `given`: events named by the coach, seconds.
#[must_use]
pub fn search_of(drill: &Drill, given: &[(EventKind, f64)]) -> Search {
    let degrees = |value: f64, default: f64| Angle::from_degrees(value).or_else(|| Angle::from_degrees(default));
    let defaults = Search::default();
    Search {
        motion: drill.events.motion,
        hands_need_trunk_past: degrees(drill.events.hands_need_trunk_past_deg, 75.0)
            .unwrap_or(defaults.hands_need_trunk_past),
        hold_needs_trunk_past: degrees(drill.events.hold_needs_trunk_past_deg, 0.0)
            .unwrap_or(defaults.hold_needs_trunk_past),
        frontal: drill.view == View::Frontal,
        legs_together_within: degrees(drill.events.legs_together_within_deg, 15.0)
            .unwrap_or(defaults.legs_together_within),
        surfaces_differ: drill.setup.hand_surface_m.abs() > 0.03 || drill.setup.foot_surface_m.abs() > 0.03,
        lands_on_back: drill.events.expected.contains(&EventKind::BackTouchdown),
        given: given.to_vec(),
        ..defaults
    }
}
