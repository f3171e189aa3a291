//! The cautions that every report carries.

/// Cautions that every report, page and printed drill carries.
pub const CAUTIONS: &[&str] = &[
    "Measures inform a qualified coach; they do not clear anybody to try a skill.",
    "Spotting, mats and readiness are the coach's decision under the rules of the federation and the club.",
    "Neck pain, tingling, numbness or a landing on head or neck: don't move the gymnast, call emergency help.",
    "Any wrist, elbow or back pain: stop hand-support work that day and refer.",
    "A suspected head injury: out at once, no return the same day, medical clearance first.",
    "Filming minors: consent, stated purpose, secure storage, no streaming.",
];

/// What must be said wherever a published table's deduction is shown.
pub const NOT_A_SCORE: &str = "This is what a published table would deduct. It is not a judge's score.";
