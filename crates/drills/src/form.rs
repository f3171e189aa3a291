//! The shape of the files as types: from these the JSON Schemas are made.
//!
//! The reader walks the file itself, so that it can name every problem with its place. Tests keep
//! the two in step: the keys are the same, and every shipped file fits these types.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;

use crate::names;

/// A text that must be one of a list of words.
macro_rules! words {
    ($($name:ident, $doc:literal, $list:expr;)*) => {$(
        #[doc = $doc]
        #[derive(Clone, Debug, PartialEq, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> { stringify!($name).into() }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                let words: Vec<&str> = $list.iter().map(|(word, _)| *word).collect();
                json_schema!({ "type": "string", "enum": words, "description": $doc })
            }
        }
    )*};
}

words! {
    ViewWord, "How the drill is filmed.", names::VIEWS;
    MotionWord, "What kind of motion the events are looked for in.", names::MOTIONS;
    SideWord, "Which side is measured.", names::SIDES;
    StatisticWord, "How a phase is condensed to one value.", names::STATISTICS;
    WeightWord, "Whether a check decides or only tells.", names::WEIGHTS;
    TooCloseWord, "What a check too close to call counts as.", names::TOO_CLOSE;
    PolicyWord, "When a step back is proposed.", names::POLICIES;
    EventWord, "An instant of the skill.", names::events();
    PhaseWord, "A stretch of the skill between two instants.", names::phases();
    MeasureWord, "What is measured.", names::measures();
    UnitWord, "The unit of a band.", names::units();
}

/// A drill spec file.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[schemars(title = "Springline drill spec")]
#[serde(deny_unknown_fields)]
pub struct DrillForm {
    /// Unique name: small letters, digits, hyphens.
    #[schemars(regex(pattern = r"^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$"))]
    pub id: String,
    /// Title for people.
    pub title: String,
    /// What the drill is for, one sentence.
    pub purpose: String,
    /// The skill it belongs to.
    pub skill: String,
    /// The coach's own counting, as text.
    pub version: String,
    /// Who wrote it.
    pub author: String,
    /// Free notes.
    #[serde(default)]
    pub notes: Vec<String>,
    /// How the drill is filmed.
    pub view: ViewWord,
    /// Surface, mats, blocks, spotting.
    pub setup: SetUpForm,
    /// Which events belong to it.
    pub events: EventsForm,
    /// Probabilities at which a check becomes a fault or good.
    pub thresholds: Option<ThresholdsForm>,
    /// The checks.
    pub check: Vec<CheckForm>,
    /// The faults, in the order of cause.
    #[serde(default)]
    pub fault: Vec<FaultForm>,
    /// What makes an attempt good.
    pub pass: Option<PassForm>,
}

/// `[setup]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetUpForm {
    /// Surface in words.
    pub surface: String,
    /// Mats in words.
    pub mats: String,
    /// Least mat height, m; a plan never goes below it.
    #[schemars(range(min = 0.0, max = 3.0))]
    pub minimum_mat_m: Option<f64>,
    /// Heights of blocks, m.
    #[serde(default)]
    pub blocks_m: Vec<f64>,
    /// Height of the hands' surface over the floor, m.
    #[schemars(range(min = 0.0, max = 3.0))]
    pub hand_surface_m: Option<f64>,
    /// Height of the landing surface over the floor, m.
    #[schemars(range(min = 0.0, max = 3.0))]
    pub foot_surface_m: Option<f64>,
    /// From full support to none.
    pub spotting: Vec<String>,
    /// Cautions of this drill.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// Most hand-support turns per gymnast and day.
    #[schemars(range(min = 1, max = 1000))]
    pub most_turns_per_day: Option<u32>,
}

/// `[events]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EventsForm {
    /// The kind of motion.
    pub motion: MotionWord,
    /// Events that must be there.
    pub expected: Vec<EventWord>,
    /// Events that may be there.
    #[serde(default)]
    pub optional: Vec<EventWord>,
    /// Whether the body is free of the floor between hands and landing.
    pub flight: bool,
    /// Least trunk inclination for a hand contact, degrees (75 if left out).
    #[schemars(range(min = -180.0, max = 180.0))]
    pub hands_need_trunk_past_deg: Option<f64>,
    /// Least trunk inclination for a held shape, degrees (0 if left out: any shape).
    #[schemars(range(min = 0.0, max = 180.0))]
    pub hold_needs_trunk_past_deg: Option<f64>,
    /// Largest leg gap that counts as together, degrees (15 if left out).
    #[schemars(range(min = 1.0, max = 90.0))]
    pub legs_together_within_deg: Option<f64>,
}

/// `[thresholds]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ThresholdsForm {
    /// At or above this probability of lying outside: fault (0.90 if left out).
    #[schemars(range(min = 0.5, max = 1.0))]
    pub fault: Option<f64>,
    /// At or below this probability of lying outside: good (0.10 if left out).
    #[schemars(range(min = 0.0, max = 0.5))]
    pub good: Option<f64>,
}

/// A `[[check]]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CheckForm {
    /// Unique within the drill.
    #[schemars(regex(pattern = r"^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$"))]
    pub id: String,
    /// Short name for people.
    pub title: String,
    /// What is measured; left out with `between`.
    pub measure: Option<MeasureWord>,
    /// Which side (near if left out).
    pub side: Option<SideWord>,
    /// At an event.
    pub at: Option<EventWord>,
    /// Seconds after the event; negative: before.
    #[schemars(range(min = -2.0, max = 2.0))]
    pub offset_s: Option<f64>,
    /// Over a phase.
    pub over: Option<PhaseWord>,
    /// How the phase is condensed.
    pub take: Option<StatisticWord>,
    /// A second reading that is taken from the first.
    pub minus: Option<MinusForm>,
    /// Seconds from the first event to the second, in place of a measure.
    #[schemars(length(min = 2, max = 2))]
    pub between: Option<Vec<EventWord>>,
    /// Unit of the band.
    pub unit: UnitWord,
    /// Lower limit.
    pub at_least: Option<f64>,
    /// Upper limit.
    pub at_most: Option<f64>,
    /// So far outside the band a fault is medium.
    pub medium_beyond: f64,
    /// So far outside the band a fault is large.
    pub large_beyond: f64,
    /// Whether it decides.
    pub weight: WeightWord,
    /// The fault if the value lies below the band.
    pub below: Option<String>,
    /// The fault if the value lies above the band.
    pub above: Option<String>,
    /// `coach-set`, `common practice` or `published: the source [tag]`.
    #[schemars(regex(pattern = r"^(coach-set|common practice|published:.+)$"))]
    pub basis: String,
    /// What a published table would deduct.
    pub deduction: Option<DeductionForm>,
}

/// `minus` of a check.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MinusForm {
    /// What is measured.
    pub measure: MeasureWord,
    /// Which side (near if left out).
    pub side: Option<SideWord>,
    /// At an event.
    pub at: Option<EventWord>,
    /// Seconds after the event; negative: before.
    #[schemars(range(min = -2.0, max = 2.0))]
    pub offset_s: Option<f64>,
    /// Over a phase.
    pub over: Option<PhaseWord>,
    /// How the phase is condensed.
    pub take: Option<StatisticWord>,
}

/// `deduction` of a check.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DeductionForm {
    /// Source of the table, with its tag.
    pub source: String,
    /// The value from which the table counts.
    pub ideal: f64,
    /// Ascending steps.
    pub steps: Vec<StepForm>,
    /// The least value that the table has a line for (any if left out).
    pub at_least: Option<f64>,
    /// The largest value that the table has a line for (any if left out).
    pub at_most: Option<f64>,
}

/// One step of a deduction: `from` or `beyond`, and `points` or `up_to`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepForm {
    /// From this far away from the ideal, in the check's unit.
    pub from: Option<f64>,
    /// From more than this far away.
    pub beyond: Option<f64>,
    /// Points.
    #[schemars(range(min = 0.0, max = 10.0))]
    pub points: Option<f64>,
    /// At most so many points: the table leaves the amount to the judge.
    #[schemars(range(min = 0.0, max = 10.0))]
    pub up_to: Option<f64>,
}

/// A `[[fault]]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaultForm {
    /// Unique within the drill.
    #[schemars(regex(pattern = r"^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$"))]
    pub id: String,
    /// Plain name.
    pub name: String,
    /// What a spotter sees.
    pub seen_as: String,
    /// Likely cause.
    pub likely_cause: String,
    /// One cue in the gymnast's words.
    pub cue: String,
    /// Drills that cure it, the one to go back to first.
    #[schemars(length(min = 1))]
    pub cured_by: Vec<String>,
}

/// `[pass]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PassForm {
    /// Checks that must be good; empty: every check that must hold.
    #[serde(default)]
    pub must_be_good: Vec<String>,
    /// What a check too close to call counts as (neither if left out).
    pub too_close_counts_as: Option<TooCloseWord>,
}

/// A ladder file.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[schemars(title = "Springline ladder")]
#[serde(deny_unknown_fields)]
pub struct LadderForm {
    /// Unique name: small letters, digits, hyphens.
    #[schemars(regex(pattern = r"^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$"))]
    pub id: String,
    /// Title for people.
    pub title: String,
    /// The skill at its top.
    pub skill: String,
    /// Good attempts in a row needed to move on (3 if left out).
    #[schemars(range(min = 1, max = 100))]
    pub advance_after: Option<u32>,
    /// When to step back.
    pub step_back: StepBackForm,
    /// Whether a run lives to the next day (no if left out).
    pub run_survives_the_day: Option<bool>,
    /// Days of lay-off after which a rung is tested again.
    #[schemars(range(min = 1, max = 3650))]
    pub retest_after_days: Option<u32>,
    /// Where the rule comes from.
    #[schemars(regex(pattern = r"^(coach-set|common practice|published:.+)$"))]
    pub basis: String,
    /// Rungs in order.
    #[schemars(length(min = 1))]
    pub rung: Vec<RungForm>,
}

/// `[step_back]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepBackForm {
    /// `set`: a test set that ends without the run; `patient`: so many attempts without a run.
    pub policy: PolicyWord,
    /// How many attempts.
    #[schemars(range(min = 1, max = 1000))]
    pub attempts: u32,
}

/// A `[[rung]]`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RungForm {
    /// Id of its drill.
    pub drill: String,
    /// Ids of drills that come before; none: can be worked from the start.
    #[serde(default)]
    pub after: Vec<String>,
    /// What it proves.
    pub proves: String,
}
