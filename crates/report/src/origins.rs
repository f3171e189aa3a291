//! Where the points came from, in words.

use crate::record::AttemptFacts;

/// So many stretches of frames that want a look are told; more are counted.
const TOLD: usize = 12;

/// `52 % clicked, 48 % tracked`; `None` where all came with the file or were clicked, and there is nothing to tell.
pub(crate) fn origins_in_words(attempt: &AttemptFacts) -> Option<String> {
    match attempt.origins.as_slice() {
        [] => None,
        [one] if matches!(one.from.as_str(), "imported" | "clicked") => None,
        [one] => Some(format!("all {}", one.from)),
        several => {
            let share = |share: f64| match (100.0 * share).round() {
                0.0 => "under 1".to_owned(),
                percent if percent >= 100.0 => "over 99".to_owned(),
                percent => format!("{percent:.0}"),
            };
            let parts: Vec<String> = several
                .iter()
                .map(|entry| format!("{} % {}", share(entry.share), entry.from))
                .collect();
            Some(parts.join(", "))
        }
    }
}

/// `frames 31-36, 80 (9 points)`; `None` where no point is doubtful.
pub(crate) fn doubtful_in_words(attempt: &AttemptFacts) -> Option<String> {
    let stretches = &attempt.want_a_look;
    let [first, ..] = stretches.as_slice() else { return None };
    let words = |[first, last]: &[usize; 2]| {
        if first == last {
            first.to_string()
        } else {
            format!("{first}-{last}")
        }
    };
    let told: Vec<String> = stretches.iter().take(TOLD).map(words).collect();
    let more = stretches.len().saturating_sub(TOLD);
    let more = if more > 0 {
        format!(" and {more} more {}", if more == 1 { "stretch" } else { "stretches" })
    } else {
        String::new()
    };
    let one_frame = stretches.len() == 1 && first[0] == first[1];
    let points: usize = attempt.origins.iter().map(|entry| entry.doubtful).sum();
    Some(format!(
        "{} {}{more} ({points} {})",
        if one_frame { "frame" } else { "frames" },
        told.join(", "),
        if points == 1 { "point" } else { "points" }
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::OriginEntry;

    fn facts(origins: &[(&str, usize, usize)], want_a_look: Vec<[usize; 2]>) -> AttemptFacts {
        let mut facts = crate::from_json(include_str!("../tests/one.review.json"))
            .unwrap()
            .attempt;
        let all: usize = origins.iter().map(|(_, points, _)| points).sum();
        facts.origins = origins
            .iter()
            .map(|(from, points, doubtful)| OriginEntry {
                from: (*from).to_owned(),
                points: *points,
                share: *points as f64 / all as f64,
                doubtful: *doubtful,
            })
            .collect();
        facts.want_a_look = want_a_look;
        facts
    }

    #[test]
    fn what_says_nothing_new_is_left_out() {
        for from in ["imported", "clicked"] {
            let facts = facts(&[(from, 10, 0)], Vec::new());
            assert_eq!((origins_in_words(&facts), doubtful_in_words(&facts)), (None, None));
        }
        let tracked = facts(&[("tracked", 10, 0)], Vec::new());
        assert_eq!(origins_in_words(&tracked).unwrap(), "all tracked");
    }

    #[test]
    fn shares_and_frames() {
        let mixed = facts(
            &[("clicked", 120, 0), ("tracked", 878, 8), ("bridged", 2, 1)],
            vec![[31, 36], [80, 80]],
        );
        assert_eq!(
            origins_in_words(&mixed).unwrap(),
            "12 % clicked, 88 % tracked, under 1 % bridged"
        );
        assert_eq!(doubtful_in_words(&mixed).unwrap(), "frames 31-36, 80 (9 points)");
        let one = facts(&[("clicked", 1, 0), ("tracked", 999, 1)], vec![[7, 7]]);
        assert_eq!(origins_in_words(&one).unwrap(), "under 1 % clicked, over 99 % tracked");
        assert_eq!(doubtful_in_words(&one).unwrap(), "frame 7 (1 point)");
        let many = facts(&[("tracked", 999, 20)], (0..20).map(|at| [3 * at, 3 * at]).collect());
        assert!(
            doubtful_in_words(&many)
                .unwrap()
                .ends_with("33 and 8 more stretches (20 points)")
        );
    }
}
