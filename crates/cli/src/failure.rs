//! Errors as the command tells them.

use springline_keypoints as keypoints;
use springline_review::Error;

/// Why a command could not do what was asked: one line an error, and perhaps a hint.
#[derive(Debug)]
pub(crate) struct Failure {
    /// Lines as `file: place: found, expected`.
    pub errors: Vec<String>,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Failure {
    pub(crate) fn new(error: impl Into<String>) -> Self {
        Self {
            errors: vec![error.into()],
            hint: None,
        }
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    fn maybe_hint(mut self, hint: Option<&str>) -> Self {
        self.hint = hint.map(str::to_owned);
        self
    }
}

impl From<Error> for Failure {
    fn from(error: Error) -> Self {
        match error {
            Error::Drill(error) => error.into(),
            Error::Import(error) => error.into(),
            Error::Footage(error) | Error::Track(springline_review::TrackError::Footage(error)) => error.into(),
            Error::Track(springline_review::TrackError::NoStature { .. }) => {
                Failure::new(error.to_string()).hint("--stature-px HEIGHT")
            }
            Error::Track(springline_review::TrackError::NoClicks { .. }) => Failure::new(error.to_string())
                .hint("points that a person put there say so: \"from\": \"clicked\" (`springline schema attempt`)"),
            Error::NoDrill { .. } => {
                Failure::new(error.to_string()).hint("--drill ID; `springline drills list` shows the ids")
            }
            Error::OneAttempt { path } => {
                let hint = format!("`springline review {}` reviews it", path.display());
                Failure::new(Error::OneAttempt { path }.to_string()).hint(hint)
            }
            Error::NothingFound { found, .. } if found.starts_with("no ") => Failure::new(error.to_string())
                .hint("README says what files hold joint points; `springline review FILM` drafts them on a film"),
            Error::NothingFound {
                found: "only a list of attempts",
                ..
            } => Failure::new(error.to_string()).hint("name the list itself: `springline batch LIST.csv`"),
            Error::HeightWithoutScale { .. } => Failure::new(error.to_string())
                .hint("--known-length M=X1,Y1,X2,Y2 gives a scale; --hand-surface and --foot-surface take X,Y as well"),
            Error::Exists { found: "a folder", .. } | Error::NotAFolder { .. } => {
                Failure::new(error.to_string()).hint("another name with --out")
            }
            Error::OtherBatch { .. } => {
                Failure::new(error.to_string()).hint("another folder with --out, or --force to replace those results")
            }
            Error::OverInput { .. } => {
                Failure::new(error.to_string()).hint("another name or folder for what is written")
            }
            Error::Exists { .. } => Failure::new(error.to_string()).hint("another name, or --force to write over it"),
            Error::Manifest { problems } => {
                let hint = if problems[0].ends_with("found JSON, expected a table of attempts (CSV) with a header row")
                {
                    Some("one attempt is reviewed by `springline review`")
                } else if problems.iter().any(|problem| problem.contains(": line 1: ")) {
                    Some(
                        "columns: file, athlete, drill, date, rate, setup; only file is required. One attempt is reviewed by `springline review`",
                    )
                } else {
                    None
                };
                Failure {
                    errors: problems,
                    hint: hint.map(str::to_owned),
                }
            }
            other => Failure::new(other.to_string()),
        }
    }
}

impl From<keypoints::Error> for Failure {
    fn from(error: keypoints::Error) -> Self {
        let hint = match &error {
            keypoints::Error::NoRate { .. } | keypoints::Error::FrameNumbers { .. } => Some("--rate FRAMES_PER_SECOND"),
            keypoints::Error::NoPicture { .. } => Some("--size WIDTHxHEIGHT"),
            keypoints::Error::NotRecognised { file, found } => Some(hint_of_unknown(file, found)),
            keypoints::Error::NoPointColumns { file, columns } => Some(hint_of_table(file, columns)),
            keypoints::Error::LeadsNowhere { .. } => {
                Some("`springline schema layout` says what each place of a layout file means")
            }
            keypoints::Error::Shape { place, .. } if place == "file names" => Some(FOLDERS),
            keypoints::Error::Film { .. } | keypoints::Error::NotText { .. } => {
                Some("`springline review --help` and README say what is read")
            }
            keypoints::Error::NoStature { .. } => Some("--stature-px HEIGHT or --sd PX"),
            keypoints::Error::NoSuchPerson { .. } => Some("people are counted from 1 in order of appearance"),
            keypoints::Error::SetupShape { .. } => Some("mark a set-up of its own for clips of that shape"),
            keypoints::Error::SetupTooSmall { .. } => Some("--size WIDTHxHEIGHT"),
            keypoints::Error::CutShort { .. } => Some("export or copy the file again"),
            _ => None,
        };
        if let keypoints::Error::Layout { problems } = error {
            return Failure {
                errors: problems,
                hint: Some("`springline schema layout` says what a layout file holds".to_owned()),
            };
        }
        if let keypoints::Error::Setup { problems } = error {
            return Failure {
                errors: problems,
                hint: Some("`springline setup example` shows what a set-up file holds".to_owned()),
            };
        }
        Failure::new(error.to_string()).maybe_hint(hint)
    }
}

impl From<springline_footage::Error> for Failure {
    fn from(error: springline_footage::Error) -> Self {
        use springline_footage::Error as Footage;
        let hint = match &error {
            Footage::NoIndex { .. } => Some("--rate FRAMES_PER_SECOND"),
            Footage::Unfinished { .. } => Some("copy the film from the camera again"),
            _ => None,
        };
        Failure::new(error.to_string()).maybe_hint(hint)
    }
}

impl From<springline_drills::Error> for Failure {
    fn from(error: springline_drills::Error) -> Self {
        let hint = match &error {
            springline_drills::Error::UnknownDrill { .. } => {
                Some("`springline drills list` shows the ids; a spec file of your own works too")
            }
            _ => None,
        };
        Failure {
            errors: error.to_string().lines().map(str::to_owned).collect(),
            hint: hint.map(str::to_owned),
        }
    }
}

/// What a folder is taken for.
const FOLDERS: &str = "review takes a folder for one attempt with a JSON file for each frame; `springline batch` reviews a folder of attempts";

/// What to do with a file that is no keypoint file.
fn hint_of_unknown(file: &str, found: &str) -> &'static str {
    if found.starts_with("a folder") || found.contains("among other files") {
        FOLDERS
    } else if found.contains("springline-review") {
        RESULT
    } else if file.ends_with(".toml") {
        "a drill is given with --drill, a layout file with --layout"
    } else {
        "describe it in a layout file and give that with --layout; `springline schema layout` has its form"
    }
}

/// What to do with a table that has those columns, none of them of points.
fn hint_of_table(file: &str, columns: &str) -> &'static str {
    let columns: Vec<String> = columns.split(", ").map(str::to_lowercase).collect();
    let has = |names: &[&str]| columns.iter().any(|column| names.contains(&column.as_str()));
    if columns.starts_with(&["file", "athlete", "date", "drill"].map(str::to_owned)) && columns.len() > 5 {
        RESULT
    } else if has(&["file", "path"]) && (columns.len() == 1 || has(&["athlete", "drill", "date", "rate"])) {
        "that is a list of attempts; `springline batch` reviews those"
    } else {
        hint_of_unknown(file, "")
    }
}

/// What to do with a result given as an attempt.
pub(crate) const RESULT: &str = "that is a result of this program; give the attempt that it was made from";
