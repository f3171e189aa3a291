/// Why no attempt was looked for, or a list cannot be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// No frame of the film can be had.
    #[error("none of {looked} frames can be read")]
    NoFrame {
        /// Frames that were asked for.
        looked: usize,
    },
    /// A list with problems.
    #[error("{}", problems.join("\n"))]
    List {
        /// Each with its line: what was found, what was expected.
        problems: Vec<String>,
    },
    /// Names of gymnasts that cannot be dealt.
    #[error("turn order: found {found}, expected {expected}")]
    Order {
        /// What is wrong.
        found: String,
        /// What would do.
        expected: &'static str,
    },
    /// No turn of that number in the list.
    #[error("found no turn {turn}, expected one of the {turns} in the list")]
    NoTurn {
        /// The number asked for.
        turn: usize,
        /// Turns of the list.
        turns: usize,
    },
    /// No correction from which the list would have to be dealt anew.
    #[error("found no turn whose name departs from the order, expected one that was corrected")]
    NothingCorrected,
}
