//! Attempts, of bodies that were seen on their way over.

use crate::colour::Colour;
use crate::error::Error;
use crate::scan::{Film, Seen, Sight, scan};

/// A body seen across so many times at least went over: once may be a mistake.
const LEAST_SIGHTS: usize = 2;
/// In one of them its long axis lies so far from upright, degrees: people who pass behind each other look like a body that
/// leans, hardly ever like one that lies.
const MOST_LEAN: f64 = 58.0;
/// Sights farther apart belong to two attempts, s.
const GAP_S: f64 = 1.6;
/// A body does not go so far between two sights, shares of the picture's width a second.
const FASTEST: f64 = 1.5;
/// And so much may be an error of its middle, shares of the picture's width.
const NEAR: f64 = 0.15;
/// Sights of two places so close in time are one body, which was lost in between, s: a station has one attempt at a time.
const SAME_S: f64 = 0.9;
/// What comes before the body is first across: the last steps, the lunge, s.
const BEFORE_S: f64 = 1.6;
/// What comes after it is last across: the landing, and standing still, s.
const AFTER_S: f64 = 1.5;

/// An attempt that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Attempt {
    /// Where it begins, s.
    pub from_s: f64,
    /// Where it ends, s.
    pub to_s: f64,
    /// What the athlete wears, within this recording.
    pub colour: Option<Colour>,
}

/// What a film holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The attempts, in order.
    pub attempts: Vec<Attempt>,
    /// Pictures that were looked at.
    pub looked: usize,
    /// Pictures that could not be had.
    pub lost: usize,
}

/// Looks for the attempts in a film from a camera that stands still: somebody's body goes over, as in a handspring, a cartwheel, a
/// roll or a handstand. Walking, waiting and standing ready is none.
///
/// # Inputs
/// `progress` is told the share that is done, 0 to 1.
/// # Limits
/// Two people who go over at the same time and place are one attempt. A camera that is carried sees everything move, and
/// finds nothing of use.
/// # Errors
/// [`Error::NoFrame`] if no frame can be had; single frames that can't are counted.
pub fn find_attempts(film: &mut dyn Film, progress: &mut dyn FnMut(f64)) -> Result<Found, Error> {
    let Seen { sights, looked, lost } = scan(film, progress)?;
    let times = film.times();
    let span = (times[0], times[times.len() - 1]);
    Ok(Found {
        attempts: attempts(&sights, span),
        looked,
        lost,
    })
}

/// Sights of one body that follow each other, as attempts within the film's time.
fn attempts(sights: &[Sight], (start, end): (f64, f64)) -> Vec<Attempt> {
    let mut groups: Vec<Vec<Sight>> = Vec::new();
    for sight in sights {
        let goes_on = |group: &&mut Vec<Sight>| {
            group.last().is_some_and(|last| {
                let (wait, far) = (
                    sight.time - last.time,
                    (sight.at.0 - last.at.0).hypot(sight.at.1 - last.at.1),
                );
                wait <= GAP_S && far <= NEAR + FASTEST * wait
            })
        };
        match groups.iter_mut().rev().take(4).find(goes_on) {
            Some(group) => group.push(*sight),
            None => groups.push(vec![*sight]),
        }
    }
    groups.retain(|group| group.len() >= LEAST_SIGHTS && group.iter().any(|sight| sight.lean >= MOST_LEAN));
    groups.sort_by(|a, b| a[0].time.total_cmp(&b[0].time));
    let mut bodies: Vec<Vec<Sight>> = Vec::new();
    for group in groups {
        let end = |body: &Vec<Sight>| body.iter().map(|sight| sight.time).fold(f64::NEG_INFINITY, f64::max);
        match bodies.last_mut().filter(|body| group[0].time - end(body) < SAME_S) {
            Some(body) => body.extend(group),
            None => bodies.push(group),
        }
    }
    let mut found: Vec<Attempt> = bodies.iter().map(|group| attempt(group, start, end)).collect();
    for next in 1..found.len() {
        // Between two that would overlap, half the way.
        if found[next].from_s < found[next - 1].to_s {
            let cut = f64::midpoint(found[next].from_s, found[next - 1].to_s);
            found[next - 1].to_s = cut;
            found[next].from_s = cut;
        }
    }
    found
}

fn attempt(group: &[Sight], start: f64, end: f64) -> Attempt {
    let colours: Vec<Colour> = group.iter().filter_map(|sight| sight.colour).collect();
    let last = group.iter().map(|sight| sight.time).fold(start, f64::max);
    Attempt {
        from_s: (group[0].time - BEFORE_S).max(start),
        to_s: (last + AFTER_S).min(end),
        colour: Colour::middle(&colours),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sight(time: f64, x: f64) -> Sight {
        Sight {
            time,
            at: (x, 0.3),
            lean: 70.0,
            colour: Some(Colour([10.0 * time, 0.0, 0.0])),
        }
    }

    #[test]
    fn sights_that_follow_each_other_are_one_attempt() {
        let sights = [
            sight(4.0, 0.3),
            sight(4.1, 0.35),
            sight(4.9, 0.7),
            // A mistake at the other end of the picture, at the same time.
            sight(5.0, 0.0),
            // Somebody else, later.
            sight(12.0, 0.3),
            sight(12.2, 0.35),
            // Seen once.
            sight(20.0, 0.3),
        ];
        let found = attempts(&sights, (0.0, 13.0));
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[0].from_s - 2.4).abs() < 1e-9 && (found[0].to_s - 6.4).abs() < 1e-9);
        assert!((found[1].from_s - 10.4).abs() < 1e-9 && (found[1].to_s - 13.0).abs() < 1e-9);
        assert_eq!(found[0].colour, Some(Colour([41.0, 0.0, 0.0])));
    }

    #[test]
    fn attempts_close_together_share_the_time_between_them() {
        let sights = [sight(4.0, 0.3), sight(4.2, 0.3), sight(6.2, 0.3), sight(6.4, 0.3)];
        let found = attempts(&sights, (0.0, 20.0));
        assert_eq!(found.len(), 2);
        assert!((found[0].to_s - found[1].from_s).abs() < 1e-12 && (found[0].to_s - 5.15).abs() < 1e-9);
        assert_eq!(attempts(&[], (0.0, 1.0)), []);
        // Lost in between, and found elsewhere at once: one body.
        let lost = [sight(4.0, 0.1), sight(4.1, 0.1), sight(4.2, 0.9), sight(4.3, 0.9)];
        assert_eq!(attempts(&lost, (0.0, 20.0)).len(), 1);
        // Two who pass behind each other lean at most.
        let leaning = |time| Sight {
            lean: 45.0,
            ..sight(time, 0.3)
        };
        assert_eq!(attempts(&[leaning(4.0), leaning(4.1)], (0.0, 20.0)), []);
    }
}
