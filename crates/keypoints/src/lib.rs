//! Import of keypoint files: from whatever a pose tool writes to the tracks of one athlete.
//!
//! Two minutes:
//!
//! ```
//! use springline_keypoints::{ImportOptions, import_bytes};
//! use springline_kinematics::Landmark;
//!
//! // A COCO results list with one person in two frames (invented numbers; 17 points each).
//! let points = |x: u32| (0..17).map(|i| format!("{},{},0.9", x + 7 * i, 300 + 20 * i)).collect::<Vec<_>>().join(",");
//! let file = format!(
//!     r#"[{{"image_id":0,"keypoints":[{}]}},{{"image_id":1,"keypoints":[{}]}}]"#,
//!     points(700),
//!     points(705),
//! );
//! // The file has no times, so the frame rate is given.
//! let options = ImportOptions { rate_hz: Some(60.0), ..ImportOptions::default() };
//! let attempt = import_bytes("turn-07.json", file.as_bytes(), &options)?;
//! assert_eq!(attempt.recognised, "COCO results list, 17 points (coco-17), 1 person, 2 frames");
//! let nose = attempt.tracks.at(Landmark::Nose, 1).expect("seen");
//! assert_eq!((nose.x, nose.y), (705.0, 300.0));
//!
//! // What is wrong is said with its place.
//! let error = import_bytes("turn-07.json", file.replace("0.9", "90").as_bytes(), &options).unwrap_err();
//! assert!(error.to_string().starts_with("turn-07.json: frame 0, nose: score 90, expected 0 to 1.25"));
//! # Ok::<(), springline_keypoints::Error>(())
//! ```
//!
//! # What is read
//!
//! The format is recognised by content, never by name, and said in [`Attempt::recognised`].
//!
//! | format | form |
//! | --- | --- |
//! | attempt file | our own JSON, [`AttemptFile`]; schema by [`attempt_schema`] |
//! | COCO results list | `[{"image_id": …, "keypoints": [x, y, score, …]}, …]`; 17, 25, 33 or 133 points, or 17 with `foot_kpts`, `face_kpts`, `lefthand_kpts`, `righthand_kpts` beside them |
//! | COCO annotation file | `{"images": […], "annotations": […], "categories": […]}`; visibility 2 counts as score 1, 1 (hidden) as 0.5 (our choice), 0 as missing |
//! | folder | one JSON file a frame; the frame number stands in the name |
//! | other JSON | frames, people and points are looked for: flat numbers, lists or objects for each point, by position or by name; px or shares of the picture |
//! | table | CSV with commas, semicolons or tabs; a line for each point, or for each person and frame |
//! | anything else | described by a layout file, below |
//!
//! Frames are ordered by number. Times come from the file, else from the frame numbers and the
//! rate; numbers left out become frames in which nothing is seen. `null`, `NaN`, empty text and
//! (0, 0) with score 0 mean *missing*, as do scores under [`ImportOptions::min_score`]. Points up to
//! one picture size outside the picture are kept. Scores up to 1.25 are taken as 1: peaks of
//! heat maps overshoot a little.
//!
//! # What happens to the points
//!
//! With several people in view the athlete is followed (see [`AthleteChoice`]); left and right that
//! the tool exchanged are put back (see [`Swap`]; [`Attempt::originals`] keeps the points as they
//! came; clicked points are left alone); every point gets a standard uncertainty (see [`SdKind`] and
//! [`oks_sigma`]). The pose-model default is the COCO OKS sigma \[R\] times the root of the body's
//! area, over √2 for one axis; the area is 0.53 \[M\] of the box around the points, median over the
//! clip; 1.5 times as much while the trunk is past 90°. Nothing is smoothed or filled in here.
//!
//! # Layout files
//!
//! A tool that writes its points in a way of its own needs no code, only a short file that says where
//! things sit. Say each frame looks like this, times in ms, scores in percent, −1 for what isn't seen:
//!
//! ```text
//! {"film": {"w": 1920, "h": 1080},
//!  "frames": [{"no": 12, "ms": 200, "people": [{"id": 1, "pts": [[812, 300, 97], [-1, -1, 0], …]}, …]}, …]}
//! ```
//!
//! Then the layout file (TOML, or the same keys in JSON) is:
//!
//! ```
//! # let text = r#"
//! format = "springline-layout"
//! version = 1
//! name = "club-camera-4"                      # appears in every output
//! points = ["left_hip", "left_knee", "-", "left_ankle"]   # in the file's order; "-" is not used
//! unit = "px"                                 # or "shares" of the picture, 0 to 1
//! y = "down"                                  # or "up"; "down" if left out
//! score_range = [0, 100]
//! missing_value = -1
//!
//! [json]
//! frames = "frames[*]"                        # from the top to each frame
//! frame = "no"                                # the rest: from there inward
//! time = "ms"
//! time_unit = "ms"
//! people = "people[*]"
//! person = "id"
//! points = "pts"
//! numbers = ["x", "y", "score"]               # what the numbers of a point are
//! width = "film.w"
//! height = "film.h"
//! # "#;
//! # use springline_keypoints::{ImportOptions, Layout, import_bytes};
//! # use springline_kinematics::Landmark;
//! # let layout = Layout::from_toml("club-camera-4.toml", text)?;
//! # let file = r#"{"film": {"w": 1920, "h": 1080}, "frames": [
//! #   {"no": 12, "ms": 200, "people": [{"id": 1, "pts": [[812, 300, 97], [-1, -1, 0], [5, 5, 50], [800, 520, 88]]}]},
//! #   {"no": 13, "ms": 220, "people": [{"id": 1, "pts": [[814, 301, 97], [806, 410, 91], [5, 5, 50], [801, 520, 88]]}]}]}"#;
//! # let options = ImportOptions { layout: Some(layout), ..ImportOptions::default() };
//! # let attempt = import_bytes("film.json", file.as_bytes(), &options)?;
//! # assert_eq!(attempt.tracks.times, [0.2, 0.22]);
//! # assert!(attempt.tracks.at(Landmark::LeftKnee, 0).is_none());
//! # assert_eq!(attempt.tracks.at(Landmark::LeftKnee, 1).map(|p| p.x), Some(806.0));
//! # Ok::<(), springline_keypoints::Error>(())
//! ```
//!
//! - `points` lists landmark ids in the file's order, or names a built-in layout (`"coco-17"`). Points
//!   that have names in the file are given as `[names]`, the name in the file = the landmark id.
//! - Paths: `a.b` a member, `[*]` every entry of a list, `.*` every member of an object, `[0]` one
//!   entry; keys with dots stand in double quotes. `frame = "@name"` takes the number from a member's
//!   own name (`{"frame_12": …}`). Points may be a flat list, a list of lists, a list of objects or an
//!   object with a member for each point; for objects, `x`, `y`, `score` and `name` name the members.
//!   A list of scores apart from the points is `scores`.
//! - Without `people`, each entry that `frames` leads to is one person, and several may have the same
//!   frame number. Without `frame`, frames are counted. In a folder with a file for each frame,
//!   `frames` is empty.
//! - `[table]` describes CSV: `frame`, `time`, `person`, and either `point`, `x`, `y`, `score` as
//!   column names or, for a line per frame, patterns such as `x = "{point}_x"`.
//! - What is left out (`[json]` or `[table]` as a whole, too) is found from the content.
//!
//! [`LayoutFile`] documents every key; [`layout_schema`] gives the JSON Schema.
//!
//! # Limits
//!
//! Files to 1 GiB, 2,000,000 frames, 64 people in a frame, 48 million points, rates of 1 to 2000 per
//! second; beyond them an import is refused before memory is taken. An hour at 60 frames per second
//! with 17 points takes about twice the size of its file.

mod attempt;
mod attempt_file;
mod body_frame;
mod check_given;
mod clip;
mod coco;
mod coco_head;
mod discover;
mod error;
mod exchanged;
mod folder;
mod frames;
mod importer;
mod layout;
mod layout_file;
mod layout_problems;
mod layout_read;
mod leads;
mod left_over;
mod limits;
mod marks;
mod names;
mod native;
mod numbers;
mod options;
mod origin;
mod packed_frames;
mod path;
mod people;
mod plain_times;
mod point_forms;
mod quick;
mod read_given;
mod recognise;
mod sample;
mod setup;
mod setup_file;
mod setup_read;
mod shape;
mod sheet;
mod steady;
mod swaps;
mod table;
mod table_head;
mod table_header;
mod table_layout;
mod text;
mod uncertainty;
mod walk;
mod way_up;

pub use attempt::{AthleteChoice, Attempt, Facing, Given, Original, SdKind, Swap};
pub use attempt_file::{
    AttemptFile, ErrorKind, FORMAT, FormatName, FrameEntry, Frames, GivenFile, KnownLengthEntry, LeftRight,
    PictureSize, PointSd, SdPx, attempt_schema,
};
pub use error::Error;
pub use importer::{Importer, import, import_bytes, recognise};
pub use layout::Layout;
pub use layout_file::{
    CoordinateUnit, JsonPlaces, LayoutFile, LayoutFormat, PointNumber, PointOrder, TableColumns, TimeUnit, YDirection,
    layout_schema,
};
pub use marks::{
    GIVEN_SCALE_SD, KNOWN_LENGTHS_M, KnownLength, MARKED_POINT_SD_PX, METRES_PER_PX, STATURES_M, SURFACE_HEIGHTS_M,
    SurfaceAt,
};
pub use options::{ImportOptions, SdChoice};
pub use origin::{Origin, Origins};
pub use setup::{CameraSetup, SetupEntry, SetupUse};
pub use setup_file::{SETUP_EXAMPLE, SETUP_FORMAT, SetupFile, SetupFormat, setup_schema};
pub use text::is_film;
pub use uncertainty::oks_sigma;
