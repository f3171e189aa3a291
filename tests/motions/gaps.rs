//! Points that are lost just where a contact changes: the event is anywhere in the gap, and says so.

use springline_kinematics::{EventKind, Joint, Landmark, Side};
use springline_simulate::{Act, Params};

use crate::scene::{self, Film};

const SEEDS: u64 = 25;

#[test]
fn an_event_in_a_gap_is_as_uncertain_as_the_gap_is_long() {
    let drill = scene::drill("handspring-floor");
    let hands: &[Joint] = &[Joint::Wrist, Joint::Fingertip];
    let feet: &[Joint] = &[Joint::Ankle, Joint::Heel, Joint::Toe];
    let (mut tried, mut found, mut far, mut sure) = (0, 0, Vec::new(), Vec::new());
    for seed in 0..SEEDS {
        let act = Act::handspring(&Params::random(seed)).expect("random parameters are possible");
        for (kind, joints) in [
            (EventKind::HandPlacement, hands),
            (EventKind::HandDeparture, hands),
            (EventKind::FeetTouchdown, feet),
        ] {
            for (frames, before) in [(6, 2), (8, 5), (12, 3), (12, 9)] {
                let mut clip = scene::film(
                    &act,
                    Film {
                        noise_px: 3.0,
                        seed,
                        ..Film::exact()
                    },
                );
                let Some(truth) = clip.truth.event(kind) else { continue };
                let at = clip.tracks.times.partition_point(|t| *t < truth);
                let lost = at.saturating_sub(before)..(at + frames - before).min(clip.tracks.len());
                let length = lost.len() as f64 / 60.0;
                for joint in joints {
                    for side in Side::BOTH {
                        for frame in lost.clone() {
                            clip.tracks.track_mut(Landmark::of(*joint, side)).positions[frame] = None;
                        }
                    }
                }
                let (trial, _) = scene::review(&clip, &drill);
                tried += 1;
                let Some(event) = trial.found().event(kind) else {
                    continue;
                };
                found += 1;
                if event.sd < 0.25 * length {
                    sure.push(format!(
                        "{} of seed {seed}: {:+.3} s, stated {:.3} s in a gap of {length:.3} s",
                        kind.id(),
                        event.time - truth,
                        event.sd
                    ));
                }
                if (event.time - truth).abs() > 3.0 * event.sd {
                    far.push(format!(
                        "{} of seed {seed}, {frames} frames: {:+.3} s, stated {:.3} s",
                        kind.id(),
                        event.time - truth,
                        event.sd
                    ));
                }
            }
        }
    }
    println!("{tried} gaps, {found} events, {} farther off than 3 sd", far.len());
    assert!(10 * found > 9 * tried, "{found} of {tried} found");
    // The other foot may land, and be seen, after the gap.
    assert!(
        20 * sure.len() <= found,
        "{} of {found} too sure:\n{}",
        sure.len(),
        sure.join("\n")
    );
    // Three sd of an event evenly anywhere in a gap reach beyond its ends.
    assert!(50 * far.len() <= found, "{} of {found}:\n{}", far.len(), far.join("\n"));
}
