//! Everything that can be wrong with a keypoint file, each with its place.

use std::io;

use crate::numbers::{in_short, points};

/// Why a keypoint file, a folder of them or a layout file was refused.
///
/// Every message names the file, the place (frame and point, line and column, or the path inside
/// the file), what was found and what was expected.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A file could not be opened or read.
    #[error("{file}: cannot be read: {source}")]
    Read {
        /// Path of the file.
        file: String,
        /// What the system said.
        source: io::Error,
    },
    /// A folder could not be listed.
    #[error("{folder}: folder cannot be read: {source}")]
    ReadFolder {
        /// Path of the folder.
        folder: String,
        /// What the system said.
        source: io::Error,
    },
    /// A file larger than is read whole; nothing was allocated for it.
    #[error("{file}: found {bytes} bytes, expected at most {most}; cut the clip into shorter files")]
    TooLarge {
        /// Path of the file.
        file: String,
        /// Its size.
        bytes: u64,
        /// The largest size that is read.
        most: u64,
    },
    /// Nothing in the file or folder.
    #[error("{file}: found nothing in it, expected keypoints")]
    Empty {
        /// Path of the file or folder.
        file: String,
    },
    /// A film.
    #[error("{file}: found a film, expected the joint points that a pose tool or a person made of it")]
    Film {
        /// Path of the file.
        file: String,
    },
    /// No text at all.
    #[error(
        "{file}: found a file that is no text, such as a film, a picture or a workbook, expected the joint points that a \
         pose tool or a person made of a film"
    )]
    NotText {
        /// Path of the file.
        file: String,
    },
    /// Not UTF-8 text.
    #[error("{file}: byte {byte}: found {found}, expected UTF-8 text; save the file as UTF-8")]
    NotUtf8 {
        /// Path of the file.
        file: String,
        /// Offset of the first byte that is not UTF-8.
        byte: usize,
        /// What it looks like.
        found: &'static str,
    },
    /// The file ends in the middle.
    #[error("{file}: line {line}, column {column}: found the end of the file, expected more; it was cut short")]
    CutShort {
        /// Path of the file.
        file: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
    },
    /// Not JSON or not a table where it should be one.
    #[error("{file}: line {line}, column {column}: found {found}, expected {expected}")]
    Syntax {
        /// Path of the file.
        file: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What stands there.
        found: String,
        /// What should stand there.
        expected: &'static str,
    },
    /// Lists within lists, deeper than any keypoint file goes.
    #[error("{file}: line {line}, column {column}: found more than 100 levels of nesting, expected a keypoint file")]
    TooDeep {
        /// Path of the file.
        file: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
    },
    /// Neither a known format nor described by a layout file.
    #[error("{file}: found {found}, expected keypoints in a known form, or in one that a layout file describes")]
    NotRecognised {
        /// Path of the file.
        file: String,
        /// What it looks like.
        found: String,
    },
    /// A table, but not one of points.
    #[error(
        "{file}: found a table with the columns {columns}, not those of body points, expected frame, point, x and y (a row \
         for each point), or frame and pairs such as left_hip_x and left_hip_y for four points or more (a row for each frame)"
    )]
    NoPointColumns {
        /// Path of the file.
        file: String,
        /// Its columns, the first of them where there are many.
        columns: String,
    },
    /// Places that a layout file names are not in the file.
    #[error("{file}: {}", problems.join("; "))]
    LeadsNowhere {
        /// Path of the file.
        file: String,
        /// Each place, and what stands there instead.
        problems: Vec<String>,
    },
    /// Several problems of a layout file.
    #[error("{}", problems.join("\n"))]
    Layout {
        /// Each with file, line and column, what was found and what was expected.
        problems: Vec<String>,
    },
    /// A part of the file has the wrong form.
    #[error("{file}: {place}: found {found}, expected {expected}")]
    Shape {
        /// Path of the file.
        file: String,
        /// Frame and point, line and column, or path inside the file.
        place: String,
        /// What stands there.
        found: String,
        /// What should stand there.
        expected: String,
    },
    /// More or fewer points than the layout has.
    #[error("{file}: {place}: found {found} {}, expected {expected}", points(.found))]
    PointCount {
        /// Path of the file.
        file: String,
        /// Frame, or line and column.
        place: String,
        /// How many there are (in words where a number of numbers is no whole number of points).
        found: String,
        /// How many there should be.
        expected: String,
    },
    /// Text, a list or an infinite number where a number belongs.
    #[error("{file}: {place}: found {found}, expected a finite number")]
    NotANumber {
        /// Path of the file.
        file: String,
        /// Frame and point.
        place: String,
        /// What stands there.
        found: String,
    },
    /// A score outside the range that the layout states.
    #[error("{file}: {place}: score {found}, expected {low} to {high}{hint}")]
    ScoreRange {
        /// Path of the file.
        file: String,
        /// Frame and point.
        place: String,
        /// The score.
        found: f64,
        /// Least score of the layout.
        low: f64,
        /// Greatest score of the layout.
        high: f64,
        /// `; these look like percentages…` or nothing.
        hint: &'static str,
    },
    /// A point farther outside the picture than one picture size.
    #[error("{file}: {place}: found x {}, y {}, expected {expected}", in_short(*.x), in_short(*.y))]
    FarOutside {
        /// Path of the file.
        file: String,
        /// Frame and point.
        place: String,
        /// Found x, px.
        x: f64,
        /// Found y, px.
        y: f64,
        /// The allowed range in words.
        expected: String,
    },
    /// A time that repeats or goes backward.
    #[error("{file}: frame {frame}: time {found} s, expected later than {before} s, the time of the frame before")]
    TimeOrder {
        /// Path of the file.
        file: String,
        /// Frame number as in the file.
        frame: i64,
        /// Its time, s.
        found: f64,
        /// The time before, s.
        before: f64,
    },
    /// Neither times nor a frame rate.
    #[error("{file}: found no times and no frame rate, expected one of them; give the frame rate")]
    NoRate {
        /// Path of the file.
        file: String,
    },
    /// Times that count the frames, and no frame rate.
    #[error(
        "{file}: found the times {}, {}, {}, ..., which are frame numbers, expected seconds or a frame rate; give the \
         frame rate", first[0], first[1], first[2]
    )]
    FrameNumbers {
        /// Path of the file.
        file: String,
        /// The first three of them.
        first: [f64; 3],
    },
    /// A frame rate that no camera has.
    #[error("{file}: found a frame rate of {} per second, expected 1 to 2000{hint}", (found * 1e4).round() / 1e4)]
    BadRate {
        /// Path of the file.
        file: String,
        /// The rate, per second.
        found: f64,
        /// `; the times look like milliseconds` or nothing.
        hint: &'static str,
    },
    /// Frame numbers that jump too far to be one clip.
    #[error("{file}: frame {frame}: found a jump from frame {before}, expected the frames of one clip")]
    FrameJump {
        /// Path of the file.
        file: String,
        /// The later frame.
        frame: i64,
        /// The earlier frame.
        before: i64,
    },
    /// The same frame of the same person twice.
    #[error("{file}: frame {frame}: found {person} twice, expected one entry for each person and frame")]
    DuplicateFrame {
        /// Path of the file.
        file: String,
        /// Frame number as in the file.
        frame: i64,
        /// Which person.
        person: String,
    },
    /// No person in any frame.
    #[error("{file}: found no person in any frame, expected one at least")]
    NoPerson {
        /// Path of the file.
        file: String,
    },
    /// The person asked for isn't in the file.
    #[error("{file}: person {asked} was asked for, but {}", in_view(*asked, *people))]
    NoSuchPerson {
        /// Path of the file.
        file: String,
        /// The number asked for.
        asked: usize,
        /// How many there are.
        people: usize,
    },
    /// A bound on counts was passed.
    #[error("{file}: {place}: found more than {most} {what}, expected at most {most}")]
    TooMany {
        /// Path of the file.
        file: String,
        /// Frame or place.
        place: String,
        /// What is counted.
        what: &'static str,
        /// The bound.
        most: usize,
    },
    /// Pictures of different sizes in one clip.
    #[error("{file}: {place}: picture of {found_width} x {found_height} px, expected {width} x {height} as before")]
    MixedPictures {
        /// Path of the file.
        file: String,
        /// Where the other size stands.
        place: String,
        /// Width found, px.
        found_width: f64,
        /// Height found, px.
        found_height: f64,
        /// Width before, px.
        width: f64,
        /// Height before, px.
        height: f64,
    },
    /// Points in shares of the picture, but the picture's size isn't known.
    #[error(
        "{file}: found points in shares of the picture (0 to 1), expected the picture's width and height with them; give the picture size"
    )]
    NoPicture {
        /// Path of the file.
        file: String,
    },
    /// The clicking default needs the athlete's height in px.
    #[error(
        "{file}: found no standing height and no leg to take it from, expected one for the clicking default; give the stature in px or the point sd"
    )]
    NoStature {
        /// Path of the file.
        file: String,
    },
    /// No frame lies in the stretch asked for.
    #[error(
        "{file}: found no frame from {} s to {} s, expected times within {} s to {} s",
        short(*from_s), short(*to_s), short(*first), short(*last)
    )]
    NoFrames {
        /// Path of the file.
        file: String,
        /// Start asked for, s.
        from_s: f64,
        /// End asked for, s.
        to_s: f64,
        /// First time in the file, s.
        first: f64,
        /// Last time in the file, s.
        last: f64,
    },
    /// An event that was given for an instant outside the clip.
    #[error(
        "{file}: event {event}: found {} s, expected a time of the clip, {} s to {} s",
        short(*time_s), short(*first), short(*last)
    )]
    EventOutside {
        /// Path of the file.
        file: String,
        /// Id of the event.
        event: &'static str,
        /// The time given, s.
        time_s: f64,
        /// First time of the clip, s.
        first: f64,
        /// Last time of the clip, s.
        last: f64,
    },
    /// A set-up file with problems; all of them are listed, one a line.
    #[error("{}", problems.join("\n"))]
    Setup {
        /// Every problem: file, line and column, what was found, what was expected.
        problems: Vec<String>,
    },
    /// A clip whose picture has another shape than that of the set-up.
    #[error(
        "{file}: found a picture of {} px, expected one of the same shape as that of the set-up {setup}, {} px",
        sides(*found), sides(*expected)
    )]
    SetupShape {
        /// Path of the clip's file.
        file: String,
        /// Width and height of its picture, px.
        found: (f64, f64),
        /// Path of the set-up file.
        setup: String,
        /// Width and height of the set-up's picture, px.
        expected: (f64, f64),
    },
    /// A clip without a picture size whose points do not fit into the set-up's picture.
    #[error(
        "{file}: found points as far as x {x:.0}, y {y:.0} and no picture size, expected points within the picture of the \
         set-up {setup}, {} px, or the picture's own size",
        sides(*expected)
    )]
    SetupTooSmall {
        /// Path of the clip's file.
        file: String,
        /// Farthest x, px.
        x: f64,
        /// Farthest y, px.
        y: f64,
        /// Path of the set-up file.
        setup: String,
        /// Width and height of the set-up's picture, px.
        expected: (f64, f64),
    },
    /// An option out of its range.
    #[error("{option}: found {found}, expected {expected}")]
    Option {
        /// Name of the option.
        option: &'static str,
        /// What was given.
        found: String,
        /// What is allowed.
        expected: &'static str,
    },
}

/// Width and height of a picture.
fn sides((width, height): (f64, f64)) -> String {
    format!("{} x {}", in_short(width), in_short(height))
}

/// A time as a person reads it: to the millisecond.
fn short(seconds: f64) -> String {
    let rounded = (seconds * 1000.0).round() / 1000.0;
    in_short(if rounded.is_finite() { rounded } else { seconds })
}

/// How many people there are to ask for.
fn in_view(asked: usize, people: usize) -> String {
    if asked == 0 {
        "people are counted from 1".to_owned()
    } else if people == 1 {
        "only 1 person is in view".to_owned()
    } else {
        format!("only {people} people are in view")
    }
}

/// Letters of each part of a message at most.
const MOST_LETTERS: usize = 400;

impl Error {
    /// The same with every part that comes from the file cut to a length that a person reads, and
    /// without control characters.
    pub(crate) fn readable(mut self) -> Error {
        let cut = |text: &mut String| {
            if let Some((end, _)) = text.char_indices().nth(MOST_LETTERS) {
                text.truncate(end);
                text.push('…');
            }
            // A terminal shall not obey what a file says.
            if text.contains(char::is_control) {
                *text = text.replace(char::is_control, "\u{fffd}");
            }
        };
        match &mut self {
            Error::Shape {
                place, found, expected, ..
            }
            | Error::PointCount {
                place, found, expected, ..
            } => {
                cut(place);
                cut(found);
                cut(expected);
            }
            Error::NotANumber { place, found, .. } => {
                cut(place);
                cut(found);
            }
            Error::NotRecognised { found, .. } | Error::Syntax { found, .. } | Error::Option { found, .. } => {
                cut(found)
            }
            Error::ScoreRange { place, .. }
            | Error::FarOutside { place, .. }
            | Error::TooMany { place, .. }
            | Error::MixedPictures { place, .. } => cut(place),
            Error::DuplicateFrame { person, .. } => cut(person),
            Error::NoPointColumns { columns, .. } => cut(columns),
            Error::LeadsNowhere { problems, .. } => problems.iter_mut().for_each(cut),
            _ => {}
        }
        self
    }

    /// Turns an error of the JSON reader into one that names file and place.
    pub(crate) fn json(file: &str, error: &serde_json::Error) -> Error {
        let (line, column) = (error.line(), error.column());
        let text = error.to_string();
        let found = text.rsplit_once(" at line ").map_or(text.as_str(), |(start, _)| start);
        let file = file.to_owned();
        if found.starts_with("recursion limit") {
            return Error::TooDeep { file, line, column };
        }
        let place = format!("line {line}, column {column}");
        if found == "number out of range" {
            return Error::NotANumber {
                file,
                place,
                found: "a number too large to hold".to_owned(),
            };
        }
        match error.classify() {
            serde_json::error::Category::Eof => Error::CutShort { file, line, column },
            serde_json::error::Category::Data => {
                let (found, expected) = found
                    .split_once(", expected ")
                    .unwrap_or((found, "the form that the format describes"));
                let found = found
                    .trim_start_matches("invalid type: ")
                    .trim_start_matches("invalid value: ");
                Error::Shape {
                    file,
                    place,
                    found: plain(found),
                    expected: plain(expected),
                }
            }
            _ => Error::Syntax {
                file,
                line,
                column,
                found: format!("broken JSON ({found})"),
                expected: "JSON",
            },
        }
    }
}

/// The reader's words for types in plain ones.
fn plain(words: &str) -> String {
    match words {
        "f64" => "a number".to_owned(),
        "u32" | "u64" => "a whole number of 0 or more".to_owned(),
        "map" | "a map" => "an object".to_owned(),
        "sequence" | "a sequence" => "a list".to_owned(),
        "string" | "a string" => "a text".to_owned(),
        "unit" => "nothing".to_owned(),
        words if words.starts_with("struct ") => "an object".to_owned(),
        words => words.to_owned(),
    }
}
