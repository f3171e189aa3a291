//! Commands and options.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use springline_keypoints::SdChoice;

use crate::options::{AttemptOptions, ClipOptions, number, place_in_frame, point_sd, positive, seconds};

const EXIT_CODES: &str = "\
Exit codes:
  0    done
  1    standard not met: the attempt is not good (only under --check)
  2    could not: wrong option, unreadable input, output in the way
  3    done, but some attempts of a batch, drills of a folder or frames of a film could not be read
  130  batch stopped by Ctrl-C; the same command goes on where it stopped

Results go to stdout, everything else to stderr. NO_COLOR is obeyed.";

const REVIEW_EXAMPLES: &str = "\
Examples:
  springline review turn-07.json --drill handspring-floor
  springline review turn-07.json --drill my-drill.toml --floor 0,905,1920,898
  springline review turn-07.json --drill handspring-floor --pictures turn-07/
  springline review clicks.json --film turn-07.mp4 --drill handspring-floor
  springline review turn-07.json --known-length 1.2=300,880,720,880 --event hand_placement=0.45
  springline review turn-07.json --drill handspring-off-block --hand-surface 820,700 --format csv";

/// Measures gymnastics drills from the joint points of a clip: what to fix first, the cue, the drill to go back to.
///
/// Measures inform a qualified coach; they do not clear anybody to try a skill.
#[derive(Debug, Parser)]
#[command(name = "springline", version, after_help = EXIT_CODES, max_term_width = 100, propagate_version = false)]
pub(crate) struct Cli {
    /// Folder with your own drill specs (*.toml); they go over the shipped ones
    #[arg(long, global = true, value_name = "FOLDER")]
    pub drills: Option<PathBuf>,
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    Demo(Demo),
    Review(Review),
    Batch(Batch),
    Frames(Frames),
    Draft(Draft),
    Track(Track),
    #[command(subcommand)]
    Drills(Drills),
    #[command(subcommand)]
    Setup(Setup),
    Layouts(Layouts),
    Schema(Schema),
    /// Print how to cite, and the sources
    Cite,
    Completions(Completions),
    Man(Man),
}

/// Review the demo attempts of an invented club
///
/// Five handsprings made by a simulator. Prints each review and writes attempts, reviews and tables to a folder.
#[derive(Debug, Args)]
pub(crate) struct Demo {
    /// Folder to write to
    #[arg(long, value_name = "FOLDER", default_value = "springline-demo")]
    pub out: PathBuf,
    /// Write over what an earlier demo wrote there
    #[arg(long)]
    pub force: bool,
}

/// Review a folder of attempts, or those of a manifest
///
/// Writes two tables: a row for each attempt and measure, and a row for each attempt.
///
/// A folder: every .json, .csv and .tsv file in it and in the folders inside it is an attempt; a folder with a JSON file
/// for each frame is one attempt. A manifest: a CSV file with the columns file, athlete, drill, date, rate, setup (a
/// camera set-up file); only file is required.
///
/// Finished work is kept in the output folder: the same command goes on where an interrupted run stopped, and later
/// reads only files that are new or changed (by size and time).
#[derive(Debug, Args)]
pub(crate) struct Batch {
    /// Folder of files of joint points, or manifest (CSV)
    #[arg(value_name = "FOLDER|MANIFEST")]
    pub attempts: PathBuf,
    /// Drill: an id (`springline drills list`) or a spec file of your own [default: as the manifest or each file says]
    #[arg(long, value_name = "ID|FILE")]
    pub drill: Option<String>,
    /// Folder for measures.csv, attempts.csv and the finished work
    #[arg(long, value_name = "FOLDER")]
    pub out: PathBuf,
    /// Threads [default: one per core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Write the reviews as JSON lines too (reviews.jsonl)
    #[arg(long)]
    pub jsonl: bool,
    /// Forget finished work and start anew
    #[arg(long)]
    pub fresh: bool,
    /// Replace tables that another program, or a batch of other attempts, drill or options, left there
    #[arg(long)]
    pub force: bool,
    #[command(flatten)]
    pub clip: ClipOptions,
}

/// Write the frames of a film as pictures, with the exact time of each
///
/// Reads H.264 and HEVC in MP4 or MOV, and other films where ffmpeg and ffprobe are installed; nothing leaves this
/// machine. Writes PNG or JPEG pictures, upright, and index.csv with the frame, its time in seconds and the file's name. Such a
/// folder can be given wherever a film can.
#[derive(Debug, Args)]
pub(crate) struct Frames {
    /// Film, folder written by this command, or folder of numbered pictures (with --rate)
    pub clip: PathBuf,
    /// Folder to write to
    #[arg(long, value_name = "FOLDER")]
    pub out: PathBuf,
    /// Only every Nth frame
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..))]
    pub every: u32,
    /// Only frames from this time on, s
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    pub from: Option<f64>,
    /// Only frames up to this time, s
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    pub to: Option<f64>,
    /// Frames per second of a folder of numbered pictures without index.csv
    #[arg(long, value_name = "HZ", value_parser = number::<1, 2000>, allow_negative_numbers = true)]
    pub rate: Option<f64>,
    /// Form of the pictures
    #[arg(long, value_enum, default_value_t = PictureFile::Png)]
    pub format: PictureFile,
    /// Write over pictures that are there
    #[arg(long)]
    pub force: bool,
}

/// Draft the athlete's joint points on a film
///
/// A point model finds the athlete and follows the body through the film, upside down too, and writes an attempt file for
/// `springline review`. Every point has its uncertainty; frames that want a look are marked. Drafted points are a
/// proposal: click the ones that matter.
#[derive(Debug, Args)]
pub(crate) struct Draft {
    /// Film (MP4 or MOV), or folder of numbered pictures
    pub film: PathBuf,
    /// Attempt file to write
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Where the athlete is: a frame, counted from 0, and a place in it in px [default: whoever moves most and turns upside
    /// down]
    #[arg(long, value_name = "FRAME,X,Y", value_parser = place_in_frame)]
    pub athlete_at: Option<(usize, (f64, f64))>,
    /// Start of the stretch to draft, s
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    pub from: Option<f64>,
    /// End of the stretch to draft, s
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    pub to: Option<f64>,
    /// Frames per second of a folder of pictures without an index
    #[arg(long, value_name = "HZ", value_parser = number::<1, 2000>, allow_negative_numbers = true)]
    pub rate: Option<f64>,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
}

/// Follow points that were clicked on a few frames through the film
///
/// Takes an attempt file, or another file of joint points, with points on some frames, follows each point forward from one
/// click and backward from the next, and writes an attempt file with points on every frame. A click is never moved. Every
/// point says where it came from and how far off it may be; where the two ways disagree, it is marked as doubtful.
#[derive(Debug, Args)]
pub(crate) struct Track {
    /// File with points on some frames
    pub attempt: PathBuf,
    /// Film (MP4 or MOV) that they were clicked on, or folder of pictures
    #[arg(long, value_name = "FILM")]
    pub film: PathBuf,
    /// Attempt file to write
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Frames per second, where the file of the points or the folder of pictures has no times
    #[arg(long, value_name = "HZ", value_parser = number::<1, 2000>, allow_negative_numbers = true)]
    pub rate: Option<f64>,
    /// How the points are laid out: a name (`springline layouts`) or a layout file [default: recognised]
    #[arg(long, value_name = "NAME|FILE")]
    pub layout: Option<String>,
    /// How far off a click may be, as a standard deviation along each axis, px [default: as the file says]
    #[arg(long, value_name = "PX|KIND", value_parser = point_sd, allow_negative_numbers = true)]
    pub sd: Option<SdChoice>,
    /// Standing height of the athlete in the picture, px [default: from the legs]
    #[arg(long, value_name = "PX", value_parser = positive, allow_negative_numbers = true)]
    pub stature_px: Option<f64>,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
}

/// Form of a picture file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PictureFile {
    /// Every pixel as it is
    Png,
    /// Smaller
    Jpeg,
}

/// List, show, copy, check and explain drills
#[derive(Debug, Subcommand)]
pub(crate) enum Drills {
    /// List the drills by ladder: id and title
    List,
    /// Print a drill's spec, comments and all
    Show {
        /// Id of a drill or ladder
        id: String,
    },
    /// Copy a drill's spec to a file of your own, to change it
    Copy {
        /// Id of a drill or ladder
        id: String,
        /// File to write [default: ID.toml]; the copy gets its name as id
        file: Option<PathBuf>,
        /// Write over a file that is there
        #[arg(long)]
        force: bool,
    },
    /// Check spec files: every problem at once, with line, column and the nearest valid name
    Check {
        /// Drill or ladder files
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
    /// Explain a drill or a ladder in words
    Explain {
        /// Id of a drill or ladder, or a spec file of a drill
        #[arg(value_name = "ID|FILE")]
        drill: String,
    },
}

/// Start and check a camera set-up: marks that hold for all clips from one place
///
/// A set-up file holds what you mark once: the floor line, a known length, surfaces, which way athletes face. `--setup FILE` of
/// `review` and `batch` uses it for every clip filmed from that place.
#[derive(Debug, Subcommand)]
pub(crate) enum Setup {
    /// Print a set-up file with comments, or write it to a file of your own, to put your marks in
    Example {
        /// File to write
        file: Option<PathBuf>,
        /// Write over a file that is there
        #[arg(long)]
        force: bool,
    },
    /// Check set-up files: every problem at once, with line and column; how sure the marks are, and whether the camera is square
    Check {
        /// Set-up files
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
}

/// List point layouts and the measures that each allows
#[derive(Debug, Args)]
pub(crate) struct Layouts {
    /// One layout: a name or a layout file; shows its points too
    #[arg(value_name = "NAME|FILE")]
    pub layout: Option<String>,
}

/// Print the JSON Schema of a file form
#[derive(Debug, Args)]
pub(crate) struct Schema {
    /// Which form
    #[arg(value_enum)]
    pub form: SchemaOf,
}

/// A file form with a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SchemaOf {
    /// Attempt file (input)
    Attempt,
    /// Layout file, describing another keypoint format
    Layout,
    /// Camera set-up file
    Setup,
    /// Drill spec
    Drill,
    /// Ladder
    Ladder,
    /// Review (output of review --format json)
    Review,
}

/// Print completions for a shell
#[derive(Debug, Args)]
pub(crate) struct Completions {
    /// Which shell
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// Print the manual page, or write one per command
#[derive(Debug, Args)]
pub(crate) struct Man {
    /// Folder to write the manual pages of all commands to
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// Write over pages that are there
    #[arg(long)]
    pub force: bool,
}

/// Review one attempt
///
/// Reads the joint points of a clip, measures them by a drill and says what to fix first, the cue, the drill to go back to,
/// and every measure with its uncertainty.
#[derive(Debug, Args)]
#[command(after_help = REVIEW_EXAMPLES)]
pub(crate) struct Review {
    /// File of joint points, or folder with a JSON file for each frame
    pub attempt: PathBuf,
    /// Drill: an id (`springline drills list`) or a spec file of your own [default: as the file says]
    #[arg(long, value_name = "ID|FILE")]
    pub drill: Option<String>,
    /// The film that the points were clicked on: frames without points are followed first, as `springline track` does
    #[arg(long, value_name = "FILM")]
    pub film: Option<PathBuf>,
    /// Form of the result
    #[arg(long, value_enum, default_value_t = Form::Text)]
    pub format: Form,
    /// Write the result to this file instead of stdout
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Draw the events into this folder: for each the body as a figure with the angles that the checks look at, and one
    /// picture of all (PNG, 8 cm wide in print). Nothing of the film is in them
    #[arg(long, value_name = "FOLDER")]
    pub pictures: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub force: bool,
    /// Exit with 1 unless the attempt is good
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    pub clip: ClipOptions,
    #[command(flatten)]
    pub of_attempt: AttemptOptions,
}

/// Form of a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Form {
    /// Words for a coach, 80 columns
    Text,
    /// One JSON object (`springline schema review`)
    Json,
    /// One row per measure
    Csv,
}
