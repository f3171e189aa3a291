//! Layout files.

use super::Bad;

pub const BAD: &[Bad] = &[
    (
        "layout-bad-path.layout.toml",
        "Shape",
        "json.frames: found `[all]`, expected `[*]` or a number",
    ),
    (
        "layout-builtin.layout.toml",
        "Shape",
        "points: found \"coco-18\", expected a list, or one of coco-17",
    ),
    (
        "layout-format.layout.toml",
        "Shape",
        "line 1, column 10: found \"layout\", expected \"springline-layout\"",
    ),
    ("layout-no-points.layout.toml", "Shape", "points: found no landmark"),
    (
        "layout-not-toml.layout.toml",
        "Shape",
        "line 10, column 6: found unclosed table",
    ),
    (
        "layout-numbers.layout.toml",
        "Shape",
        "json.numbers: found 2 entries, expected x and y once each",
    ),
    (
        "layout-pattern.layout.toml",
        "Shape",
        "table.x: found \"px\", expected a pattern with {point}",
    ),
    (
        "layout-point-twice.layout.toml",
        "Shape",
        "points[9]: found \"left_hip\" a second time",
    ),
    (
        "layout-score-range.layout.toml",
        "Shape",
        "score_range: found 100 and 0",
    ),
    (
        "layout-unknown-key.layout.toml",
        "Shape",
        "line 11, column 1: found the unknown key \"frmaes\", expected a key of [json]: ",
    ),
    (
        "layout-unknown-point.layout.toml",
        "Shape",
        ": found \"left_nee\", expected a landmark id (such as left_knee)",
    ),
    ("layout-version.layout.toml", "Shape", "version: found 3, expected 1"),
];
