//! Files that are nothing that could be read, and folders.

use super::Bad;

pub const BAD: &[Bad] = &[
    ("crowd.json", "TooMany", "frame 0: found more than 64 people"),
    ("empty-list.json", "NoPerson", "found no person in any frame"),
    ("empty.json", "Empty", "found nothing in it"),
    ("latin1.json", "NotUtf8", "byte 69: found a letter of another encoding"),
    ("nesting-in-points.json", "TooDeep", "more than 100 levels of nesting"),
    ("nesting.json", "TooDeep", "more than 100 levels of nesting"),
    ("no-keypoints.txt", "NotRecognised", "neither JSON nor a table"),
    ("nobody.json", "NoPerson", "found no person in any frame"),
    (
        "not-json.json",
        "Syntax",
        "line 1, column 33: found broken JSON (expected value), expected JSON",
    ),
    (
        "overflow.json",
        "NotANumber",
        "line 1, column 49: found a number too large to hold",
    ),
    (
        "trailing.json",
        "Syntax",
        "line 2, column 1: found broken JSON (trailing characters)",
    ),
    (
        "truncated.json",
        "CutShort",
        "line 1, column 400: found the end of the file",
    ),
    (
        "unknown-shape.json",
        "NotRecognised",
        "found JSON: an object with title, rows",
    ),
    ("utf16.json", "NotUtf8", "byte 0: found UTF-16 text"),
    ("folder-empty-file", "Empty", "f_1.json: found nothing in it"),
    ("folder-nobody", "NoPerson", "found no person in any frame"),
    (
        "folder-of-attempts",
        "NotRecognised",
        "turn_0.json: found an attempt file among other files",
    ),
    (
        "folder-without-json",
        "NotRecognised",
        "found a folder without .json files",
    ),
    (
        "folder-without-numbers",
        "Shape",
        "names such as \"a.json\" that don't number the frames",
    ),
    (
        "folder-wrong-count",
        "PointCount",
        "f_002.json: frame 2: found 24 points, expected 25 (points-25)",
    ),
];
