//! Frames: numbers, times, rates, people in them.

use super::Bad;

pub const BAD: &[Bad] = &[
    (
        "frame-jump.json",
        "FrameJump",
        "frame 900000: found a jump from frame 2",
    ),
    ("frame-twice.json", "DuplicateFrame", "frame 1: found the frame twice"),
    (
        "frame-without-number.json",
        "Shape",
        "frame entry 2: found no frame number",
    ),
    (
        "image-id-twice.json",
        "DuplicateFrame",
        "frame 0: found the picture id twice",
    ),
    (
        "image-id-without-number.json",
        "Shape",
        "entry 1, image_id: found \"first.jpg\"",
    ),
    ("no-image-id.json", "Shape", "entry 1, image_id: found nothing"),
    ("no-rate.json", "NoRate", "give the frame rate"),
    (
        "rate-absurd.json",
        "BadRate",
        "found a frame rate of 60000 per second, expected 1 to 2000",
    ),
    ("rate-negative.json", "BadRate", "found a frame rate of -60 per second"),
    ("rate-zero.json", "BadRate", "found a frame rate of 0 per second"),
    (
        "same-entry-twice.json",
        "DuplicateFrame",
        "frame 2: found the same points twice",
    ),
    (
        "same-person-twice.json",
        "DuplicateFrame",
        "frame 2: found person 4 twice",
    ),
    (
        "time-backward.json",
        "TimeOrder",
        "frame 2: time 0.01 s, expected later than 0.02 s",
    ),
    (
        "time-in-ms.json",
        "BadRate",
        "found a frame rate of 0.06 per second, expected 1 to 2000; the times look like milliseconds",
    ),
    (
        "time-in-one-frame.json",
        "Shape",
        "frame 1: found no time, expected a time in every frame or in none",
    ),
    (
        "time-in-words.json",
        "NotANumber",
        "frame entry 2, time: found \"soon\"",
    ),
    (
        "time-past-reason.json",
        "Shape",
        "frame 2: found the time 1e308 s, expected at most 1e10 s",
    ),
    (
        "time-repeated.json",
        "TimeOrder",
        "frame 2: time 0.02 s, expected later than 0.02 s",
    ),
    (
        "unknown-image.json",
        "Shape",
        "entry 1, image_id: found 77, expected the id of a picture that images lists",
    ),
];
