//! Attempt files of the own format.

use super::Bad;

pub const BAD: &[Bad] = &[
    (
        "attempt-far-outside.json",
        "FarOutside",
        "frame 2, left_ear: found x 6000, y 300, expected x -1920 to 3840",
    ),
    (
        "attempt-half-point.json",
        "Shape",
        "frames[2].points[3][1]: found null, expected a number",
    ),
    (
        "attempt-many-points.json",
        "Shape",
        "frames[2].points: found a longer list, expected at most 23",
    ),
    ("attempt-no-frames.json", "NoPerson", "found no person in any frame"),
    ("attempt-no-points.json", "Shape", "points: found an empty list"),
    (
        "attempt-one-number.json",
        "Shape",
        "frames[2].points[3]: found invalid length 1, expected an array of length 2",
    ),
    (
        "attempt-point-twice.json",
        "Shape",
        "points[16]: found \"nose\" a second time",
    ),
    (
        "attempt-score.json",
        "ScoreRange",
        "frame 1, right_ankle: score 55, expected 0 to 1; these look like percentages",
    ),
    (
        "attempt-sd-count.json",
        "PointCount",
        "frame 1, sd: found 3 points, expected 17",
    ),
    (
        "attempt-short-frame.json",
        "PointCount",
        "frame 2, points: found 16 points, expected 17",
    ),
    (
        "attempt-string.json",
        "Shape",
        "frames[2].points[3][0]: found string \"12\", expected a number",
    ),
    (
        "attempt-unknown-key.json",
        "Shape",
        "found unknown field `colour`, expected one of `format`",
    ),
    (
        "attempt-unknown-point.json",
        "Shape",
        "points[16]: found \"left_nkle\", expected a landmark id, such as left_ankle",
    ),
    ("attempt-version.json", "Shape", "version: found 2, expected 1"),
    (
        "clicked-without-legs.json",
        "NoStature",
        "found no standing height and no leg",
    ),
    (
        "given-facing.json",
        "Shape",
        "given.facing: found unknown variant `up`, expected `left` or `right`",
    ),
    (
        "given-floor-line.json",
        "Shape",
        "given.floor_line: found the same point twice",
    ),
    (
        "given-scale-sd-alone.json",
        "Shape",
        "given.metres_per_px_sd: found no metres_per_px",
    ),
    (
        "given-scale-px-per-metre.json",
        "Shape",
        "given.metres_per_px: found 350 metres per px, expected 0.0001 to 0.1 metres per px",
    ),
    (
        "given-stature-cm.json",
        "Shape",
        "given.stature_m: found 140 m, expected 0.5 to 2.5 m",
    ),
    (
        "given-known-length-cm.json",
        "Shape",
        "given.known_length.m: found 120 m, expected 0.05 to 30 m",
    ),
    (
        "given-known-length-ends.json",
        "Shape",
        "given.known_length.ends: found the same point twice, expected two points apart",
    ),
    (
        "given-known-length-key.json",
        "Shape",
        "given.known_length.metres: found unknown field `metres`",
    ),
    (
        "given-hand-surface-both.json",
        "Shape",
        "given.hand_surface_at: found hand_surface_m as well, expected the height or a marked point, not both",
    ),
    (
        "given-foot-surface-cm.json",
        "Shape",
        "given.foot_surface_m: found 45 m, expected -3 to 3 m",
    ),
    (
        "given-stature-zero.json",
        "Shape",
        "given.stature_m: found 0 m, expected 0.5 to 2.5 m",
    ),
    (
        "given-unknown-event.json",
        "Shape",
        "given.events.hands_down: found \"hands_down\", expected one of push_off_foot_down",
    ),
    ("rho-one.json", "Shape", "error.rho: found 1, expected 0 to below 1"),
    (
        "sd-for-absent-point.json",
        "Shape",
        "sd.px.left_toe: found \"left_toe\"",
    ),
    ("sd-kind.json", "Shape", "sd.kind: found unknown variant `guessed`"),
    ("sd-negative.json", "Shape", "sd.px: found an sd of -3 px"),
];
