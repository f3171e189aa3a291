//! The review as a record: what JSON, CSV and text are made from.

use schemars::{JsonSchema, Schema, schema_for};
use serde::{Deserialize, Serialize};

use crate::part::Part;

/// Version of the JSON form.
pub const FORM: u32 = 1;

/// One attempt measured against one drill.
///
/// Image and gym plane, signs and units are those of the measures; angles in degrees, times in seconds from the clip's
/// own clock. What was not seen is absent, never a number.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "Springline review")]
pub struct Review {
    /// Version of this form: 1.
    #[serde(rename = "springline-review")]
    #[schemars(range(min = 1, max = 1))]
    pub form: u32,
    /// The drill that the attempt was measured against.
    pub drill: DrillFacts,
    /// What was read.
    pub attempt: AttemptFacts,
    /// What was found of the body and the picture.
    pub body: BodyFacts,
    /// Events in order of time.
    pub events: Vec<EventEntry>,
    /// Ids of events that belong to the drill and were not found.
    pub missing_events: Vec<String>,
    /// What the attempt counts as.
    pub outcome: OutcomeEntry,
    /// Id of the fault to fix first: the earliest in the order of cause.
    pub fix_first: Option<String>,
    /// Faults in the order of cause.
    pub faults: Vec<FaultEntry>,
    /// Checks in the order of the drill.
    pub checks: Vec<CheckEntry>,
    /// How the numbers came about.
    pub provenance: Provenance,
    /// Cautions that go with every review.
    pub cautions: Vec<String>,
}

/// The drill that the attempt was measured against.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DrillFacts {
    /// Id of the drill.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// The skill it belongs to.
    pub skill: String,
    /// Version of the spec, its author's counting.
    pub version: String,
    /// Who wrote it.
    pub author: String,
    /// SHA-256 of the spec file, hex.
    pub sha256: String,
}

/// What was read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AttemptFacts {
    /// File or folder.
    pub file: String,
    /// Athlete code.
    pub athlete: Option<String>,
    /// Date of the attempt.
    pub date: Option<String>,
    /// What the file was recognised as, in words.
    pub recognised: String,
    /// Frames.
    pub frames: usize,
    /// Frames per second, from the median interval.
    pub rate_hz: f64,
    /// First and last time, s.
    pub span_s: [f64; 2],
    /// Whether the points are invented, not those of a person.
    pub synthetic: bool,
    /// Seed of invented points.
    pub seed: Option<u64>,
    /// Free text of the file.
    pub note: Option<String>,
    /// How the athlete was chosen when several people were in view.
    pub chosen: Option<ChosenAthlete>,
    /// Stretches of frames in which left and right were swapped back.
    pub swaps: Vec<SwapEntry>,
    /// Points of the file that mending changed; the file itself is never touched.
    pub points_changed: usize,
    /// Where the points came from, for each origin that any has.
    #[serde(default)]
    pub origins: Vec<OriginEntry>,
    /// First and last frame, from 0, of every stretch of frames with points that want a second look.
    #[serde(default)]
    pub want_a_look: Vec<[usize; 2]>,
    /// Things to tell about the file and its points; they change no verdict.
    pub remarks: Vec<String>,
}

/// How the athlete was chosen.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ChosenAthlete {
    /// People in view at most.
    pub people: usize,
    /// Number of the one chosen, from 1.
    pub chosen: usize,
    /// Why, in words.
    pub why: String,
}

/// A stretch of frames in which left and right were swapped back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SwapEntry {
    /// `arms`, `legs` or `head`.
    pub group: String,
    /// First frame, from 0.
    pub first_frame: usize,
    /// Last frame, included.
    pub last_frame: usize,
}

/// The points of one origin.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OriginEntry {
    /// `clicked`, `drafted`, `tracked`, `imported` or `bridged`.
    pub from: String,
    /// Points that are seen, over all frames.
    pub points: usize,
    /// Their share of all points that are seen, 0 to 1.
    pub share: f64,
    /// How many of them want a second look.
    pub doubtful: usize,
}

/// What was found of the body and the picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BodyFacts {
    /// `left` or `right` in the picture; absent: undecided.
    pub facing: Option<String>,
    /// `given`, `found` or `undecided`.
    pub facing_how: String,
    /// Evidence for a facing that was found, in standard deviations.
    pub facing_evidence_sd: Option<f64>,
    /// Up to so many more checks could be seen if the facing, which is undecided, were given; 0 else.
    #[serde(default)]
    pub seen_with_facing: usize,
    /// The athlete's side nearer to the camera: `left`, `right` or `undecided` (the left is then measured as the near one).
    pub near_side: String,
    /// Leg length (hip, knee, ankle) of the near side.
    pub leg_length_px: WithSd,
    /// Whether the floor line was marked; if not, level was assumed.
    pub floor_marked: bool,
    /// Scale, if there is one.
    pub metres_per_px: Option<WithSd>,
    /// Where the scale comes from, in words.
    pub scale_from: Option<String>,
    /// The scale held against other sources of it.
    #[serde(default)]
    pub scale_checks: Vec<ScaleCheck>,
    /// What came of the camera set-up, if one was used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub camera_setup: Option<CameraSetupFacts>,
    /// A spotter touched the athlete.
    pub spotted: bool,
    /// `two feet`, `step-out` or `undecided`, if the feet land.
    pub landing: Option<String>,
    /// Rotation of the trunk from hand placement to landing, degrees, positive forward.
    pub rotation_deg: Option<f64>,
}

/// What came of a camera set-up: marks that hold for every clip filmed from one place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CameraSetupFacts {
    /// Its name.
    pub name: String,
    /// The file.
    pub file: String,
    /// What it gave, in words: `floor line`, `known length`.
    pub gave: Vec<String>,
    /// What it holds and the attempt or the coach gave too, so that it was not used.
    pub gave_way: Vec<String>,
    /// The size of the clip's picture over that of the picture in which the marks were made.
    pub enlarged: f64,
    /// Whether the size of the clip's picture is known; if not, it was taken to be that of the set-up.
    pub picture_size_known: bool,
}

/// The scale held against another source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScaleCheck {
    /// The other source: `gravity`, `the standing height`, `the known length of 1.2 m`, `the metres per px given`.
    pub against: String,
    /// The scale over that of the other source. Against gravity: gravity as the flight shows it by the scale, over
    /// 9.81 m/s².
    pub ratio: WithSd,
    /// Against gravity: within 0.85 to 1.15. Else: within 2 sd of 1.
    pub agrees: bool,
}

/// A number with its standard uncertainty (one standard deviation), same unit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WithSd {
    /// Best estimate.
    pub value: f64,
    /// Standard uncertainty.
    pub sd: f64,
}

/// An instant of the skill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EventEntry {
    /// Id of the event.
    pub event: String,
    /// First frame of the new state, from 0.
    pub frame: usize,
    /// Time, s.
    pub time_s: f64,
    /// Standard uncertainty, s.
    pub sd_s: f64,
    /// `given`, `found` or `assumed`.
    pub how: String,
    /// The joint that stood in for fingers or toes.
    pub stand_in: Option<String>,
}

/// What the attempt counts as.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OutcomeEntry {
    /// `good`, `not yet`, `not counted` or `not this skill`.
    pub word: String,
    /// Why, in words.
    pub why: Vec<String>,
}

/// A fault that was found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FaultEntry {
    /// Id of the fault in the drill.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// `small`, `medium` or `large`: the worst of its checks.
    pub severity: String,
    /// Its place in the drill's order of cause, from 1.
    pub order: usize,
    /// What a spotter sees.
    pub seen_as: String,
    /// Likely cause.
    pub likely_cause: String,
    /// One cue in the gymnast's words.
    pub cue: String,
    /// Drills that cure it; the first is the one to go back to.
    pub go_back_to: Vec<DrillName>,
    /// Ids of the checks that point to it.
    pub checks: Vec<String>,
    /// Whether only checks point to it that are told and never decide.
    pub note_only: bool,
}

/// A drill by id and title.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DrillName {
    /// Id.
    pub id: String,
    /// Title, if the catalogue has the drill.
    pub title: Option<String>,
}

/// One check with its value and verdict.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CheckEntry {
    /// Id of the check in the drill.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// Part of the skill it belongs to.
    pub part: Part,
    /// What is looked at, in words.
    pub looks_at: String,
    /// Id of the measure; absent for a time between two events.
    pub measure: Option<String>,
    /// `left` or `right`; absent: no sides, or both.
    pub side: Option<String>,
    /// Unit of value and band.
    pub unit: String,
    /// Value with its standard uncertainty, if it could be taken.
    pub measured: Option<WithSd>,
    /// First and last frame used, from 0.
    pub frames: Option<[usize; 2]>,
    /// Where the value should lie.
    pub band: BandEntry,
    /// Must hold, or told only.
    pub must_hold: bool,
    /// What came out.
    pub verdict: VerdictEntry,
    /// Id of the fault that the verdict points to.
    pub fault: Option<String>,
    /// Reasons for doubt and substitutions, in words.
    pub remarks: Vec<String>,
    /// What a published table would deduct, if the drill asks for it.
    pub deduction: Option<DeductionEntry>,
}

/// Where a value should lie, in the check's unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BandEntry {
    /// Lower limit.
    pub at_least: Option<f64>,
    /// Upper limit.
    pub at_most: Option<f64>,
    /// Outside by this much: medium.
    pub medium_beyond: f64,
    /// Outside by this much: large.
    pub large_beyond: f64,
    /// Where the band comes from, with its tag.
    pub basis: String,
}

/// What a check says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VerdictEntry {
    /// The word.
    pub word: Word,
    /// Probability that the true value lies outside the band.
    pub outside: Option<f64>,
    /// `small`, `medium` or `large`, of a fault.
    pub severity: Option<String>,
    /// `below` or `above`, of a fault.
    pub direction: Option<String>,
    /// What would settle a value too close to call, or why it was not seen.
    pub why: Option<String>,
}

/// The four words of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub enum Word {
    /// Inside the band, as far as can be told.
    #[serde(rename = "good")]
    Good,
    /// Outside the band, as far as can be told.
    #[serde(rename = "fault")]
    Fault,
    /// The uncertainty does not allow a verdict.
    #[serde(rename = "too close to call")]
    TooClose,
    /// An event or a joint is missing.
    #[serde(rename = "not seen")]
    NotSeen,
}

impl Word {
    /// The word itself.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Word::Good => "good",
            Word::Fault => "fault",
            Word::TooClose => "too close to call",
            Word::NotSeen => "not seen",
        }
    }
}

/// What a published table would deduct. It is not a judge's score.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DeductionEntry {
    /// Points.
    pub points: f64,
    /// The table leaves the amount to the judge: the points are the most.
    #[serde(default)]
    pub up_to: bool,
    /// Source of the table with its tag.
    pub source: String,
    /// The words that go with it.
    pub says: String,
}

/// How the numbers came about.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Provenance {
    /// Program and version.
    pub program: String,
    /// Point layout.
    pub layout: String,
    /// Segment table of the centre of mass.
    pub segment_table: String,
    /// Cut-off of the smoothing, Hz; absent: smoothing off.
    pub cutoff_hz: Option<f64>,
    /// Where the point uncertainties come from.
    pub point_sd: String,
    /// How point errors go from frame to frame.
    pub error_over_time: String,
    /// Seed of the Monte Carlo draws.
    pub monte_carlo_seed: u64,
}

/// The review as JSON, indented, with a line end.
#[must_use]
pub fn to_json(review: &Review) -> String {
    let mut text = serde_json::to_string_pretty(review).expect("a record of plain fields always serialises");
    text.push('\n');
    text
}

/// The review as one line of JSON, with a line end.
#[must_use]
pub fn to_json_line(review: &Review) -> String {
    let mut text = serde_json::to_string(review).expect("a record of plain fields always serialises");
    text.push('\n');
    text
}

/// Reads a review back.
///
/// # Errors
/// Text that is not such a review.
pub fn from_json(text: &str) -> Result<Review, serde_json::Error> {
    let review: Review = serde_json::from_str(text)?;
    if review.form == FORM {
        Ok(review)
    } else {
        Err(serde::de::Error::custom(format_args!(
            "form {} of a review, expected {FORM}",
            review.form
        )))
    }
}

/// The JSON Schema of a review.
#[must_use]
pub fn review_schema() -> Schema {
    schema_for!(Review)
}
