//! Tables.

use super::Bad;

pub const BAD: &[Bad] = &[
    ("blank.csv", "Empty", "found nothing in it"),
    ("table-frame-word.csv", "Shape", "line 22, frame: found \"one\""),
    ("table-header-only.csv", "NoPerson", "found no person in any frame"),
    (
        "table-infinity.csv",
        "NotANumber",
        "line 22, left_ear, score: found \"inf\"",
    ),
    (
        "table-no-frames.csv",
        "Shape",
        "line 1: found no column of frames or times",
    ),
    (
        "table-other-columns.csv",
        "NoPointColumns",
        "found a table with the columns date, name, marks, not those of body points, expected frame, point, x and y (a row \
         for each point), or frame and pairs such as left_hip_x and left_hip_y for four points or more (a row for each frame)",
    ),
    (
        "table-percent.csv",
        "ScoreRange",
        "frame 0, nose: score 90, expected 0 to 1.25; these look like percentages",
    ),
    (
        "table-point-twice.csv",
        "DuplicateFrame",
        "frame 1: found left_ear twice",
    ),
    (
        "table-ragged.csv",
        "Shape",
        "line 22: found 7 fields, expected 6 as in the header",
    ),
    (
        "table-two-columns.csv",
        "NoPointColumns",
        "found a table with the columns name, age, not those of body points, expected frame, point, x and y",
    ),
    (
        "table-two-times.csv",
        "Shape",
        "line 22, frame 1: found the time 0.03 s, expected 0.02 s as before",
    ),
    (
        "table-unknown-points.csv",
        "Shape",
        "point names: found p0, p1, p2, p3, p4",
    ),
    (
        "table-wide-frame-twice.csv",
        "DuplicateFrame",
        "frame 1: found the person twice",
    ),
    (
        "table-word.csv",
        "NotANumber",
        "line 22, left_ear, score: found \"high\"",
    ),
];
