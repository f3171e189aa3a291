//! Options about the clip and the measuring, and what they become.

use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use springline_keypoints::{
    CameraSetup, Facing, GIVEN_SCALE_SD, Given, ImportOptions, KNOWN_LENGTHS_M, KnownLength, Layout, METRES_PER_PX,
    STATURES_M, SURFACE_HEIGHTS_M, SdChoice, SurfaceAt,
};
use springline_kinematics::series::Smoothing;
use springline_kinematics::{EventKind, Side, TemporalError};
use springline_review::batch::is_date;
use springline_review::{FilmSettings, Settings, TABLES, TableChoice};

use crate::failure::Failure;

/// Options that can hold for many attempts.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "The clip")]
pub(crate) struct ClipOptions {
    /// Camera set-up: a file with what you marked once for all clips filmed from the same place, floor line and known length
    /// among it (`springline setup example`); options here and entries of the attempt's own file go before it
    #[arg(long, value_name = "FILE")]
    pub setup: Option<PathBuf>,
    /// Frames per second, where the file has no times
    #[arg(long, value_name = "HZ", value_parser = number::<1, 2000>, allow_negative_numbers = true)]
    pub rate: Option<f64>,
    /// Size of the picture in px, where the points are shares of it
    #[arg(long, value_name = "WxH", value_parser = size)]
    pub size: Option<(f64, f64)>,
    /// How the points are laid out: a name (`springline layouts`) or a layout file [default: recognised]
    #[arg(long, value_name = "NAME|FILE")]
    pub layout: Option<String>,
    /// Leave left and right as they are in the file, even where they look exchanged
    #[arg(long)]
    pub keep_sides: bool,
    /// Points with a lower score, 0 to 1, count as not seen [default: 0.05]
    #[arg(long, value_name = "SCORE", value_parser = number::<0, 1>, allow_negative_numbers = true)]
    pub min_score: Option<f64>,
    /// How far off a point may be, as a standard deviation along each axis: px, `clicked` (0.5 % of stature) or
    /// `pose-model` [default: as the file says, else pose-model]
    #[arg(long, value_name = "PX|KIND", value_parser = point_sd, allow_negative_numbers = true)]
    pub sd: Option<SdChoice>,
    /// Whether a point that is off stays off: `independent` (each frame on its own), `shared` (the same for many frames) or
    /// the correlation from one frame to the next, such as 0.6 [default: as the file says, else independent for clicked
    /// points and shared for others]
    #[arg(long, value_name = "KIND|0..1", value_parser = temporal_error, allow_negative_numbers = true)]
    pub error: Option<TemporalError>,
    /// Which way the athlete faces in the picture when upright [default: found from the body]
    #[arg(long, value_name = "SIDE", value_enum)]
    pub facing: Option<Sideways>,
    /// The athlete's side nearer to the camera [default: found from the points]
    #[arg(long, value_name = "SIDE", value_enum)]
    pub near: Option<Sideways>,
    /// Two points of the floor line, px [default: level, with 2 degrees of doubt]
    #[arg(long, value_name = "X1,Y1,X2,Y2", value_parser = floor_line, allow_hyphen_values = true)]
    pub floor: Option<[(f64, f64); 2]>,
    /// A spotter touched the athlete: nothing is concluded from gravity
    #[arg(long)]
    pub spotted: bool,
    /// A length that you know, in the plane of motion, such as the edge of a panel, a block or a mat: its metres and its two
    /// ends in px (1 % of doubt, and the clicks)
    #[arg(
        long,
        value_name = "M=X1,Y1,X2,Y2",
        value_parser = known_length,
        allow_hyphen_values = true,
        help_heading = SCALE_HEADING
    )]
    pub known_length: Option<KnownLength>,
    /// Standing height of the athlete, m; goes with --stature-px (2 % of doubt), or alone checks `--scale gravity`
    #[arg(long, value_name = "M", value_parser = stature, allow_negative_numbers = true, help_heading = SCALE_HEADING)]
    pub stature: Option<f64>,
    /// Standing height of the athlete in the picture, px
    #[arg(long, value_name = "PX", value_parser = positive, allow_negative_numbers = true, help_heading = SCALE_HEADING)]
    pub stature_px: Option<f64>,
    /// Metres per px in the plane of motion (1 % of doubt), or `gravity`: from the fall of the centre of mass in the flight,
    /// 5 to 10 % of doubt, refused beyond
    #[arg(
        long,
        value_name = "M_PER_PX|gravity",
        value_parser = scale,
        allow_negative_numbers = true,
        help_heading = SCALE_HEADING
    )]
    pub scale: Option<ScaleChoice>,
    /// What the hands land on, if not the floor: its height over the floor in m (needs a scale), or a point on its top edge
    /// in px [default: as the drill says, found from the hands]
    #[arg(
        long,
        value_name = "M|X,Y",
        value_parser = surface,
        allow_hyphen_values = true,
        help_heading = SCALE_HEADING
    )]
    pub hand_surface: Option<SurfaceAt>,
    /// What the feet land on, if not the floor: as --hand-surface
    #[arg(
        long,
        value_name = "M|X,Y",
        value_parser = surface,
        allow_hyphen_values = true,
        help_heading = SCALE_HEADING
    )]
    pub foot_surface: Option<SurfaceAt>,
    /// Smoothing of the points: cut-off in Hz, or `off`
    #[arg(
        long,
        value_name = "HZ|off",
        default_value = "10",
        value_parser = cutoff,
        allow_negative_numbers = true,
        help_heading = MEASURING_HEADING
    )]
    pub cutoff: Cutoff,
    /// Table of body segments for the centre of mass
    #[arg(long, value_name = "NAME", default_value = TABLES[0], value_parser = TABLES, help_heading = MEASURING_HEADING)]
    pub table: String,
    /// Age of the athlete in years, 4 to 20: the centre of mass is taken with a child's heavier head
    #[arg(
        long,
        value_name = "YEARS",
        value_parser = number::<4, 20>,
        allow_negative_numbers = true,
        help_heading = MEASURING_HEADING
    )]
    pub child_age: Option<f64>,
}

/// Of several scales the surest is used and the others are held against it.
const SCALE_HEADING: &str =
    "Scale and surfaces (of several scales the surest is used, the others are compared with it)";
const MEASURING_HEADING: &str = "Measuring";

/// Options of one attempt.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "This attempt")]
pub(crate) struct AttemptOptions {
    /// Which person is the athlete, from 1 in order of appearance [default: who turns upside down, else who moves most]
    #[arg(long, value_name = "N")]
    pub person: Option<usize>,
    /// On a film: where the athlete is, as a frame, counted from 0, and a place in it in px [default: whoever moves most and
    /// turns upside down]
    #[arg(long, value_name = "FRAME,X,Y", value_parser = place_in_frame)]
    pub athlete_at: Option<(usize, (f64, f64))>,
    /// Start of the stretch to measure, s
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    pub from: Option<f64>,
    /// End of the stretch to measure, s
    #[arg(long, value_name = "S", value_parser = seconds, allow_negative_numbers = true)]
    pub to: Option<f64>,
    /// An event as you see it, such as hand_placement=0.45; may be repeated
    #[arg(long, value_name = "EVENT=S", value_parser = event)]
    pub event: Vec<(EventKind, f64)>,
    /// Athlete code, never a full name
    #[arg(long, value_name = "CODE")]
    pub athlete: Option<String>,
    /// Date of the attempt, such as 2026-03-14
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub date: Option<String>,
}

/// Left or right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Sideways {
    Left,
    Right,
}

/// Scale as an option.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum ScaleChoice {
    MetresPerPx(f64),
    Gravity,
}

/// Cut-off as an option.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Cutoff(Smoothing);

impl ClipOptions {
    /// The settings that these options ask for.
    pub(crate) fn settings(&self) -> Result<Settings, Failure> {
        let layout = self.layout.as_deref().map(layout).transpose()?;
        let setup = self.setup.as_deref().map(CameraSetup::read).transpose()?;
        Ok(Settings {
            import: ImportOptions {
                layout,
                rate_hz: self.rate,
                picture: self.size,
                keep_sides: self.keep_sides,
                min_score: self.min_score.unwrap_or(ImportOptions::default().min_score),
                sd: self.sd,
                error: self.error,
                given: Given {
                    floor_line: self.floor,
                    facing: self.facing.map(|side| match side {
                        Sideways::Left => Facing::Left,
                        Sideways::Right => Facing::Right,
                    }),
                    near_side: self.near.map(|side| match side {
                        Sideways::Left => Side::Left,
                        Sideways::Right => Side::Right,
                    }),
                    metres_per_px: match self.scale {
                        Some(ScaleChoice::MetresPerPx(value)) => Some((value, GIVEN_SCALE_SD)),
                        _ => None,
                    },
                    scale_by_gravity: self.scale == Some(ScaleChoice::Gravity),
                    known_length: self.known_length,
                    stature_m: self.stature,
                    stature_px: self.stature_px,
                    hand_surface: self.hand_surface,
                    foot_surface: self.foot_surface,
                    spotted: self.spotted,
                    ..Given::default()
                },
                setup,
                ..ImportOptions::default()
            },
            film: FilmSettings::default(),
            smoothing: self.cutoff.0,
            table: TableChoice {
                name: self.table.clone(),
                child_age: self.child_age,
            },
        })
    }
}

impl AttemptOptions {
    /// Adds what is known of this attempt.
    pub(crate) fn add_to(&self, settings: &mut Settings) {
        settings.film.athlete_at = self.athlete_at;
        let import = &mut settings.import;
        import.person = self.person;
        import.from_s = self.from;
        import.to_s = self.to;
        import.given.events.clone_from(&self.event);
        import.given.athlete.clone_from(&self.athlete);
        import.given.date.clone_from(&self.date);
    }
}

/// A built-in layout, or one from a layout file.
pub(crate) fn layout(name: &str) -> Result<Layout, Failure> {
    if let Some(layout) = Layout::builtin(name) {
        return Ok(layout);
    }
    if !Path::new(name).exists() {
        let shipped: Vec<String> = Layout::builtins()
            .iter()
            .map(|layout| layout.name().to_owned())
            .collect();
        return Err(Failure::new(format!(
            "layout: found neither a file nor a shipped layout {name:?}, expected a layout file that is there, or one of {}",
            shipped.join(", ")
        ))
        .hint("`springline layouts` shows the names"));
    }
    Ok(Layout::read(Path::new(name))?)
}

fn parsed(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err("expected a number".to_owned()),
    }
}

pub(crate) fn number<const LOW: i32, const HIGH: i32>(text: &str) -> Result<f64, String> {
    let value = parsed(text)?;
    if (f64::from(LOW)..=f64::from(HIGH)).contains(&value) {
        Ok(value)
    } else {
        Err(format!("expected {LOW} to {HIGH}"))
    }
}

pub(crate) fn positive(text: &str) -> Result<f64, String> {
    let value = parsed(text)?;
    if value > 0.0 {
        Ok(value)
    } else {
        Err("expected a number above 0".to_owned())
    }
}

fn within(text: &str, range: &RangeInclusive<f64>, what: &str) -> Result<f64, String> {
    let expected = || format!("expected {what}, {} to {}", range.start(), range.end());
    parsed(text)
        .ok()
        .filter(|value| range.contains(value))
        .ok_or_else(expected)
}

fn scale(text: &str) -> Result<ScaleChoice, String> {
    if text == "gravity" {
        return Ok(ScaleChoice::Gravity);
    }
    within(text, &METRES_PER_PX, "`gravity` or metres per px").map(ScaleChoice::MetresPerPx)
}

fn stature(text: &str) -> Result<f64, String> {
    within(text, &STATURES_M, "metres")
}

fn known_length(text: &str) -> Result<KnownLength, String> {
    let expected = || {
        format!(
            "expected m=x1,y1,x2,y2: metres, {} to {}, and two different points in px, such as 1.2=300,880,700,880",
            KNOWN_LENGTHS_M.start(),
            KNOWN_LENGTHS_M.end()
        )
    };
    let (metres, ends) = text.split_once('=').ok_or_else(expected)?;
    match (within(metres, &KNOWN_LENGTHS_M, "metres"), two_points(ends)) {
        (Ok(metres), Some(ends)) => Ok(KnownLength {
            metres,
            ends,
            sd_px: None,
        }),
        _ => Err(expected()),
    }
}

fn surface(text: &str) -> Result<SurfaceAt, String> {
    let found = match text.split_once(',') {
        Some((x, y)) => parsed(x).ok().zip(parsed(y).ok()).map(SurfaceAt::Marked),
        None => within(text, &SURFACE_HEIGHTS_M, "metres")
            .ok()
            .map(SurfaceAt::OverFloorM),
    };
    found.ok_or_else(|| {
        format!(
            "expected a height in m, {} to {}, such as 0.45, or a point as x,y in px, such as 820,700",
            SURFACE_HEIGHTS_M.start(),
            SURFACE_HEIGHTS_M.end()
        )
    })
}

fn temporal_error(text: &str) -> Result<TemporalError, String> {
    match text {
        "independent" => Ok(TemporalError::Independent),
        "shared" => Ok(TemporalError::Shared),
        number => match parsed(number) {
            Ok(rho) if (0.0..1.0).contains(&rho) => Ok(TemporalError::Correlated(rho)),
            _ => Err("expected `independent`, `shared`, or a correlation from 0 to below 1, such as 0.6".to_owned()),
        },
    }
}

/// A frame, counted from 0, and a place in it.
pub(crate) fn place_in_frame(text: &str) -> Result<(usize, (f64, f64)), String> {
    let numbers: Result<Vec<f64>, String> = text.split(',').map(parsed).collect();
    match numbers.as_deref() {
        Ok([frame, x, y]) if *frame >= 0.0 && frame.fract() == 0.0 && *frame < 2e6 => Ok((*frame as usize, (*x, *y))),
        _ => Err("expected a frame and a place as frame,x,y, such as 12,640,400".to_owned()),
    }
}

pub(crate) fn seconds(text: &str) -> Result<f64, String> {
    parsed(text).map_err(|_| "expected seconds, such as 0.45".to_owned())
}

fn size(text: &str) -> Result<(f64, f64), String> {
    let expected = || "expected width x height in px, such as 1920x1080".to_owned();
    let (wide, high) = text.split_once(['x', 'X', '×']).ok_or_else(expected)?;
    match (positive(wide), positive(high)) {
        (Ok(wide), Ok(high)) => Ok((wide, high)),
        _ => Err(expected()),
    }
}

fn floor_line(text: &str) -> Result<[(f64, f64); 2], String> {
    two_points(text)
        .ok_or_else(|| "expected two different points as x1,y1,x2,y2 in px, such as 0,900,1920,905".to_owned())
}

/// Two points apart from each other.
fn two_points(text: &str) -> Option<[(f64, f64); 2]> {
    let numbers: Result<Vec<f64>, String> = text.split(',').map(parsed).collect();
    match numbers.as_deref() {
        Ok([a, b, c, d]) if (a, b) != (c, d) => Some([(*a, *b), (*c, *d)]),
        _ => None,
    }
}

pub(crate) fn point_sd(text: &str) -> Result<SdChoice, String> {
    match text {
        "clicked" => Ok(SdChoice::Clicked),
        "pose-model" => Ok(SdChoice::PoseModel),
        px => match parsed(px) {
            Ok(value) if (0.01..=1000.0).contains(&value) => Ok(SdChoice::Px(value)),
            _ => Err("expected px, 0.01 to 1000, or `clicked` or `pose-model`".to_owned()),
        },
    }
}

fn cutoff(text: &str) -> Result<Cutoff, String> {
    if text == "off" {
        return Ok(Cutoff(Smoothing::Off));
    }
    // Below the slower end nothing of a movement is left; above the other no camera goes.
    match parsed(text) {
        Ok(hz) if (0.5..=1000.0).contains(&hz) => Ok(Cutoff(Smoothing::CutoffHz(hz))),
        _ => Err("expected Hz, 0.5 to 1000, or `off`".to_owned()),
    }
}

fn event(text: &str) -> Result<(EventKind, f64), String> {
    let (kind, time) = text
        .split_once('=')
        .ok_or_else(|| "expected an event and its time in s, such as hand_placement=0.45".to_owned())?;
    let id = kind.trim().replace(['-', ' '], "_");
    let kind = EventKind::from_id(&id).ok_or_else(|| {
        let ids: Vec<&str> = EventKind::ALL.iter().map(|kind| kind.id()).collect();
        format!("unknown event; expected one of {}", ids.join(", "))
    })?;
    Ok((kind, seconds(time)?))
}

fn date(text: &str) -> Result<String, String> {
    if is_date(text) {
        Ok(text.to_owned())
    } else {
        Err("expected year-month-day, such as 2026-03-14".to_owned())
    }
}
