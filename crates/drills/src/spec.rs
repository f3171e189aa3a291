//! What a drill spec says, after reading: inner types, free of file syntax.

use crate::deduction::Deduction;
pub use springline_kinematics::events::Motion;
use springline_kinematics::{EventKind, Measure, Phase, Side, Unit};

/// A drill: what it is for, how it is set up, what is checked and what a miss means.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    /// Unique name, kebab-case.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// What the drill is for, one sentence.
    pub purpose: String,
    /// The skill it belongs to.
    pub skill: String,
    /// Version of the spec, coach's own counting.
    pub version: String,
    /// Who wrote it.
    pub author: String,
    /// Free notes.
    pub notes: Vec<String>,
    /// Surface, mats, blocks, spotting.
    pub setup: SetUp,
    /// How the drill is filmed and which way it goes.
    pub view: View,
    /// Which events belong to it.
    pub events: Events,
    /// Probabilities at which a check becomes a fault or good.
    pub thresholds: Thresholds,
    /// The checks, in the order of the file.
    pub checks: Vec<Check>,
    /// The faults, in the order of cause: the first explains the later ones.
    pub faults: Vec<Fault>,
    /// What makes an attempt count as good.
    pub pass: PassRule,
    /// SHA-256 of the file's bytes, lower-case hex.
    pub hash: String,
}

/// Surface, mats, blocks, spotting.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetUp {
    /// Surface in words.
    pub surface: String,
    /// Mats in words.
    pub mats: String,
    /// Least mat height in m; a plan never goes below it.
    pub minimum_mat_m: Option<f64>,
    /// Heights of blocks in m.
    pub blocks_m: Vec<f64>,
    /// From full support to none.
    pub spotting: Vec<String>,
    /// Cautions of this drill.
    pub cautions: Vec<String>,
    /// Height of the hands' surface over the floor, m.
    pub hand_surface_m: f64,
    /// Height of the landing surface over the floor, m.
    pub foot_surface_m: f64,
    /// Most hand-support turns per gymnast and day (coach-set).
    pub most_turns_per_day: Option<u32>,
}

/// How the drill is filmed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// From the side, moving the way the athlete faces.
    SagittalForward,
    /// From the side, moving away from the way the athlete faces.
    SagittalBackward,
    /// From the side, without travel (holds).
    SagittalStill,
    /// The support faces the camera (cartwheel): angles unsigned.
    Frontal,
}

/// Which events belong to the drill.
#[derive(Clone, Debug, PartialEq)]
pub struct Events {
    /// The kind of motion.
    pub motion: Motion,
    /// Events that must be there, in this order where physics demands one.
    pub expected: Vec<EventKind>,
    /// Events that may be there.
    pub optional: Vec<EventKind>,
    /// Whether the body is free of the floor between hands and landing.
    pub flight: bool,
    /// Least trunk inclination for a hand contact, degrees.
    pub hands_need_trunk_past_deg: f64,
    /// Least trunk inclination for a held shape, degrees: standing about is no hollow hold.
    pub hold_needs_trunk_past_deg: f64,
    /// Largest leg gap that counts as together, degrees.
    pub legs_together_within_deg: f64,
}

/// Probabilities at which a check becomes a fault or good.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thresholds {
    /// At or above this probability of lying outside: fault.
    pub fault: f64,
    /// At or below this probability of lying outside: good.
    pub good: f64,
}

impl Default for Thresholds {
    fn default() -> Self {
        Self {
            fault: 0.90,
            good: 0.10,
        }
    }
}

/// Whether a check decides or only tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Must be good for the attempt to be good.
    MustHold,
    /// Told, never decisive.
    Note,
}

/// Which side a check looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SideChoice {
    /// The side nearer to the camera.
    Near,
    /// The side farther from the camera.
    Far,
    /// The athlete's own side.
    Own(Side),
    /// Mean of left and right.
    Both,
    /// Whichever side is more likely outside the band.
    Worse,
}

/// How a phase is condensed to one value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Statistic {
    /// Smallest value.
    Least,
    /// Largest value.
    Most,
    /// Mean value.
    Mean,
    /// Largest less smallest.
    Range,
    /// The value farthest outside the band (or nearest to its edge).
    AtWorst,
}

/// When a measure is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// At an event, or so many seconds after it (negative: before).
    At {
        /// The event.
        event: EventKind,
        /// Seconds after it.
        offset_s: f64,
    },
    /// Over a phase.
    Over {
        /// The phase.
        phase: Phase,
        /// How it is condensed.
        statistic: Statistic,
    },
    /// The measure carries its own instants.
    Itself,
}

/// One measure, side and time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What.
    pub measure: Measure,
    /// Which side; ignored for measures without sides.
    pub side: SideChoice,
    /// When.
    pub when: When,
}

/// What a check looks at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// One reading.
    Single(Reading),
    /// The first reading less the second.
    Difference(Reading, Reading),
    /// Seconds from the first event to the second.
    TimeBetween(EventKind, EventKind),
}

/// The band that a value should lie in; at least one limit is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lower limit.
    pub at_least: Option<f64>,
    /// Upper limit.
    pub at_most: Option<f64>,
}

/// How far outside the band a small fault becomes medium and large, in the check's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Severity {
    /// Medium from here on.
    pub medium_beyond: f64,
    /// Large from here on.
    pub large_beyond: f64,
}

/// Where a band comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A published source, named with its tag.
    Published(String),
    /// Common practice without a published source.
    CommonPractice,
    /// Set by the coach.
    CoachSet,
}

/// One check.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Unique within the drill, kebab-case.
    pub id: String,
    /// Short name for people.
    pub title: String,
    /// What is looked at.
    pub quantity: Quantity,
    /// Unit of the band.
    pub unit: Unit,
    /// Where the value should lie.
    pub band: Band,
    /// Small, medium, large.
    pub severity: Severity,
    /// Decisive or told only.
    pub weight: Weight,
    /// The fault if the value lies below the band (id in the drill's list).
    pub fault_below: Option<String>,
    /// The fault if the value lies above the band.
    pub fault_above: Option<String>,
    /// Where the band comes from.
    pub basis: Basis,
    /// A published table's deduction, if asked for.
    pub deduction: Option<Deduction>,
}

/// A fault: what it is, why it comes, what to say, what cures it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Unique within the drill, kebab-case.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// What a spotter sees.
    pub seen_as: String,
    /// Likely cause.
    pub likely_cause: String,
    /// One cue in the gymnast's words.
    pub cue: String,
    /// Ids of drills that cure it, the first is the drill to go back to.
    pub cured_by: Vec<String>,
}

/// What makes an attempt good.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PassRule {
    /// Checks that must be good; empty: every must-hold check.
    pub must_be_good: Vec<String>,
    /// What too close to call counts as.
    pub too_close_counts_as: TooClose,
}

/// What a check too close to call counts as in the pass rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooClose {
    /// Neither for nor against: the attempt is not counted.
    Neither,
    /// As good.
    Good,
    /// As a fault.
    Fault,
}

/// An ordered list of rungs with the rule for moving on.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    /// Unique name.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// The skill at its top.
    pub skill: String,
    /// Good attempts in a row needed to move on.
    pub advance_after: u32,
    /// When to step back.
    pub step_back: StepBack,
    /// Whether a run lives to the next day.
    pub run_survives_the_day: bool,
    /// Days of lay-off after which a rung is tested again.
    pub retest_after_days: Option<u32>,
    /// Rungs in order.
    pub rungs: Vec<Rung>,
    /// Where the rule comes from.
    pub basis: Basis,
}

/// When a step back is proposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepBack {
    /// A test set that ends without the run proposes the rung before.
    Set {
        /// Attempts in a test set.
        attempts: u32,
    },
    /// Only after so many counted attempts without a run.
    Patient {
        /// Counted attempts.
        attempts: u32,
    },
}

/// One rung.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rung {
    /// Id of its drill.
    pub drill: String,
    /// Ids of drills that come before; empty: can be worked from the start.
    pub after: Vec<String>,
    /// What it proves.
    pub proves: String,
}
