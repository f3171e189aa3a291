//! Points: places, scores, counts.

use super::Bad;

pub const BAD: &[Bad] = &[
    ("absurd-place.json", "FarOutside", "frame 2, left_knee: found x 2500000"),
    (
        "categories-of-no-person.json",
        "Shape",
        "categories: found point names such as \"bumper\"",
    ),
    (
        "entry-is-number.json",
        "Shape",
        "line 1, column 285: found integer `7`, expected an entry with image_id and keypoints",
    ),
    (
        "frames-mixed-sizes.json",
        "MixedPictures",
        "frame 2: picture of 1280 x 1080 px, expected 1920 x 1080",
    ),
    (
        "infinity.json",
        "NotANumber",
        "frame 2, nose: found \"inf\", expected a finite number",
    ),
    (
        "landmarks-is-number.json",
        "Shape",
        "frame entry 3: found 7, expected a list or an object",
    ),
    ("list-for-number.json", "NotANumber", "frame 1, left_eye: found a list"),
    (
        "mixed-sizes.json",
        "MixedPictures",
        "images[2]: picture of 1280 x 1080 px, expected 1920 x 1080",
    ),
    (
        "not-whole-points.json",
        "PointCount",
        "frame 2: found 50 numbers, which is no whole number of points, expected 17 (coco-17)",
    ),
    (
        "objects-and-numbers.json",
        "Shape",
        "frame entry 2, points: found numbers, lists and objects side by side",
    ),
    (
        "objects-no-x.json",
        "Shape",
        "frame entry 2, points: found a point with only one of x and y",
    ),
    (
        "objects-short-frame.json",
        "PointCount",
        "frame 2: found 32 points, expected 33 (points-33)",
    ),
    ("objects-string.json", "NotANumber", "frame 2, point 4: found \"left\""),
    (
        "percent-scores.json",
        "ScoreRange",
        "frame 0, nose: score 87, expected 0 to 1.25; these look like percentages",
    ),
    (
        "score-negative.json",
        "ScoreRange",
        "frame 2, left_knee: score -0.4, expected 0 to 1.25",
    ),
    (
        "score-too-high.json",
        "ScoreRange",
        "frame 2, left_knee: score 1.6, expected 0 to 1.25",
    ),
    ("shares-without-picture.json", "NoPicture", "give the picture size"),
    (
        "string-number.json",
        "NotANumber",
        "frame 3, left_shoulder: found \"far\", expected a finite number",
    ),
    (
        "unknown-count.json",
        "PointCount",
        "frame 0, keypoints: found 39 numbers for the points",
    ),
    (
        "visibility-3.json",
        "ScoreRange",
        "frame 1, left_eye: score 3, expected 0 to 2",
    ),
    (
        "wrong-count.json",
        "PointCount",
        "frame 2: found 16 points, expected 17 (coco-17)",
    ),
    (
        "zero-picture.json",
        "Shape",
        "images[0]: found a picture of 0 x 1080 px",
    ),
];
