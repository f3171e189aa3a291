//! Names that other tools give to points, and the nearest of our own.

use springline_kinematics::{Joint, Landmark, Side};

/// The landmark whose id is nearest to a misspelt one.
pub(crate) fn nearest(word: &str) -> &'static str {
    nearest_of(word, Landmark::ALL.into_iter().map(Landmark::id)).unwrap_or("left_hip")
}

/// The nearest of those names.
pub(crate) fn nearest_of<'n>(word: &str, names: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    names.min_by_key(|name| strsim::damerau_levenshtein(name, word))
}

/// The landmark that a misspelt name is meant for; `None` where it is like none of them.
pub(crate) fn meant(word: &str) -> Option<&'static str> {
    const MOST_SLIPS: usize = 2;
    let plain: String = words(word).join("_");
    let near = nearest(&plain);
    (strsim::damerau_levenshtein(near, &plain) <= MOST_SLIPS).then_some(near)
}

/// The landmark that a point name means, however it is written: `left_hip`, `LeftHip`, `L Hip`,
/// `hip_l`, `l-hip`, `leftHip`. `None` for points that we have no landmark for.
pub(crate) fn landmark(name: &str) -> Option<Landmark> {
    let words = words(name);
    if words.len() > 6 {
        return None;
    }
    let mut side = None;
    let mut rest = Vec::with_capacity(words.len());
    for word in &words {
        match word.as_str() {
            "left" | "l" | "lft" => side = side.or(Some(Side::Left)),
            "right" | "r" | "rgt" => side = side.or(Some(Side::Right)),
            _ => rest.push(word.as_str()),
        }
    }
    let mut rest = rest.concat();
    if side.is_none() {
        for (start, found) in [("left", Side::Left), ("right", Side::Right)] {
            if let Some(tail) = rest.strip_prefix(start) {
                side = Some(found);
                rest = tail.to_owned();
                break;
            }
        }
    }
    if rest == "nose" && side.is_none() {
        return Some(Landmark::Nose);
    }
    let joint = match rest.as_str() {
        "eye" => Joint::Eye,
        "ear" => Joint::Ear,
        "shoulder" => Joint::Shoulder,
        "elbow" => Joint::Elbow,
        "wrist" => Joint::Wrist,
        "fingertip" | "middlefingertip" | "middletip" | "fingermiddletip" | "index" | "indexfingertip" | "indextip" => {
            Joint::Fingertip
        }
        "hip" => Joint::Hip,
        "knee" => Joint::Knee,
        "ankle" => Joint::Ankle,
        "heel" => Joint::Heel,
        "toe" | "bigtoe" | "toetip" | "footindex" => Joint::Toe,
        _ => return None,
    };
    Some(Landmark::of(joint, side?))
}

/// Lower-case words of a name, split at signs, spaces and inner capitals.
fn words(name: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut open = false;
    let mut lower_before = false;
    // An abbreviated side before a capital: `LHip`, `RBigToe`.
    let mut rest = name;
    let mut start = name.chars();
    if let (Some(side @ ('L' | 'R')), Some(second), Some(third)) = (start.next(), start.next(), start.next())
        && second.is_uppercase()
        && third.is_lowercase()
    {
        words.push(side.to_lowercase().collect());
        rest = &name[1..];
    }
    for letter in rest.chars().take(64) {
        if !letter.is_alphanumeric() {
            open = false;
            lower_before = false;
            continue;
        }
        if letter.is_uppercase() && lower_before {
            open = false;
        }
        lower_before = letter.is_lowercase();
        let lower = letter.to_lowercase();
        match words.last_mut() {
            Some(word) if open => word.extend(lower),
            _ => words.push(lower.collect()),
        }
        open = true;
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn own_ids_and_other_spellings() {
        for id in Landmark::ALL {
            assert_eq!(landmark(id.id()), Some(id), "{}", id.id());
        }
        for name in [
            "leftHip", "LeftHip", "LHip", "L_Hip", "l-hip", "hip_l", "left hip", "LEFT_HIP", "lefthip",
        ] {
            assert_eq!(landmark(name), Some(Landmark::LeftHip), "{name}");
        }
        assert_eq!(landmark("right_foot_index"), Some(Landmark::RightToe));
        assert_eq!(landmark("RBigToe"), Some(Landmark::RightToe));
        assert_eq!(landmark("left_middle_finger_tip"), Some(Landmark::LeftFingertip));
        assert_eq!(landmark("nose"), Some(Landmark::Nose));
        for name in [
            "",
            "hip",
            "neck",
            "left",
            "mid_hip",
            "LSmallToe",
            "left_eye_inner",
            "left_eye_outer",
            "ÄÖ",
        ] {
            assert_eq!(landmark(name), None, "{name}");
        }
        assert_eq!(nearest("left_hipp"), "left_hip");
        assert_eq!(meant("LeftSholder"), Some("left_shoulder"));
        for other in ["neck", "mid_hip", "left_eye_inner", "left_hand", "chest", ""] {
            assert_eq!(meant(other), None, "{other}");
        }
    }
}
