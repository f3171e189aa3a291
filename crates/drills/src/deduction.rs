//! What a published table would deduct: what the table says, how it is looked up, how it is read from a spec.

use crate::problem::{Findings, ProblemKind};
use crate::read_band::tagged;
use crate::table::{Placed, Table};

/// What a published table would deduct. Not a judge's score.
#[derive(Clone, Debug, PartialEq)]
pub struct Deduction {
    /// Source of the table, with its tag.
    pub source: String,
    /// The value from which the table counts its deviation (180 for a straight hip).
    pub ideal: f64,
    /// Lines of the table, farther and farther from the ideal.
    pub steps: Vec<Step>,
    /// The least value that the table has a line for.
    pub at_least: Option<f64>,
    /// The largest value that the table has a line for.
    pub at_most: Option<f64>,
}

/// A line of a table: a deviation and what is deducted for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Where it begins, away from the ideal, in the unit of the check.
    pub begins: Begins,
    /// Points.
    pub amount: Amount,
}

/// Where a line of a table begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Begins {
    /// This far away or more.
    From(f64),
    /// More than this far away.
    Beyond(f64),
}

impl Begins {
    /// The deviation that is named.
    #[must_use]
    pub fn edge(self) -> f64 {
        match self {
            Begins::From(edge) | Begins::Beyond(edge) => edge,
        }
    }

    fn reached_by(self, deviation: f64) -> bool {
        match self {
            Begins::From(edge) => deviation >= edge,
            Begins::Beyond(edge) => deviation > edge,
        }
    }
}

/// Points that a table deducts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount {
    /// Points.
    pub points: f64,
    /// The table leaves it to the judge: this is the most.
    pub up_to: bool,
}

impl Deduction {
    /// What the table deducts for a value in the unit of the check.
    ///
    /// # Returns
    /// 0 before the first line; `None` where the table has no line.
    /// # Example
    /// ```
    /// use springline_drills::{Amount, Begins, Deduction, Step};
    /// let amount = |points| Amount { points, up_to: false };
    /// let table = Deduction {
    ///     source: "a table [R]".to_owned(),
    ///     ideal: 0.0,
    ///     steps: vec![Step { begins: Begins::Beyond(15.0), amount: amount(0.1) }],
    ///     at_least: None,
    ///     at_most: Some(45.0),
    /// };
    /// assert_eq!(table.of(15.0), Some(amount(0.0)));
    /// assert_eq!(table.of(-15.5), Some(amount(0.1)));
    /// assert_eq!(table.of(46.0), None);
    /// ```
    #[must_use]
    pub fn of(&self, value: f64) -> Option<Amount> {
        if self.at_least.is_some_and(|least| value < least) || self.at_most.is_some_and(|most| value > most) {
            return None;
        }
        let deviation = (value - self.ideal).abs();
        let step = self.steps.iter().rev().find(|step| step.begins.reached_by(deviation));
        Some(step.map_or(
            Amount {
                points: 0.0,
                up_to: false,
            },
            |step| step.amount,
        ))
    }
}

/// Keys of one step of a deduction.
pub(crate) const STEP_KEYS: &[&str] = &["from", "beyond", "points", "up_to"];
/// Keys of a check's `deduction`.
pub(crate) const DEDUCTION_KEYS: &[&str] = &["source", "ideal", "steps", "at_least", "at_most"];

pub(crate) fn read_deduction(findings: &mut Findings<'_>, table: &Table<'_>) -> Option<Deduction> {
    table.allow_only(findings, DEDUCTION_KEYS);
    let source = table.needed_text(findings, "source");
    let source = source.filter(|s| tagged(findings, s.at, &s.value, "the deduction's source"));
    table.need(findings, "ideal", "the value from which the table counts, like 180");
    let [ideal, at_least, at_most] =
        ["ideal", "at_least", "at_most"].map(|key| table.number_within(findings, key, (-1e6, 1e6), ""));
    table.need(findings, "steps", "a list like [{ from = 15, points = 0.1 }]");
    let parts = table.list(findings, "steps");
    let count = parts.len();
    let mut steps: Vec<Step> = Vec::new();
    for part in parts {
        let Some((step, at)) = read_step(findings, &part) else {
            continue;
        };
        let (edge, points) = (step.begins.edge(), step.amount.points);
        if let Some(before) = steps.last()
            && (edge <= before.begins.edge() || points < before.amount.points)
        {
            let found = format!("step from {edge} with {points} points");
            let expected = format!(
                "more than {}, and at least {} points",
                before.begins.edge(),
                before.amount.points
            );
            findings.add(at, ProblemKind::Order, found, expected);
        }
        steps.push(step);
    }
    if count == 0 && table.key_at("steps").is_some() {
        let expected = "at least one step, [{ from = 15, points = 0.1 }]";
        findings.add(table.at, ProblemKind::MissingKey, "no steps in the deduction", expected);
        return None;
    }
    if let (Some(low), Some(high)) = (&at_least, &at_most)
        && low.value >= high.value
    {
        let found = format!("table upside down: at_least {}, at_most {}", low.value, high.value);
        findings.add(low.at, ProblemKind::Band, found, "at_least smaller than at_most");
        return None;
    }
    let whole = steps.len() == count;
    let value = |limit: Option<Placed<f64>>| limit.map(|limit| limit.value);
    let deduction = Deduction {
        source: source?.value,
        ideal: ideal?.value,
        steps,
        at_least: value(at_least),
        at_most: value(at_most),
    };
    whole.then_some(deduction)
}

/// One step and where its edge stands.
fn read_step(findings: &mut Findings<'_>, part: &Table<'_>) -> Option<(Step, usize)> {
    part.allow_only(findings, STEP_KEYS);
    let begins = one_of(findings, part, ["from", "beyond"], (0.0, 1e6), "");
    let amount = one_of(findings, part, ["points", "up_to"], (0.0, 10.0), "points");
    let ((more_than, edge), (up_to, points)) = begins.zip(amount)?;
    let step = Step {
        begins: if more_than {
            Begins::Beyond(edge.value)
        } else {
            Begins::From(edge.value)
        },
        amount: Amount {
            points: points.value,
            up_to,
        },
    };
    Some((step, edge.at))
}

/// The number of one of two keys, and whether it is the second; notes if both or neither are there.
fn one_of(
    findings: &mut Findings<'_>,
    part: &Table<'_>,
    [first, second]: [&str; 2],
    limits: (f64, f64),
    unit: &str,
) -> Option<(bool, Placed<f64>)> {
    match (part.key_at(first), part.key_at(second)) {
        (Some(_), Some(at)) => {
            let found = format!("{second} together with {first:?}");
            findings.add(at, ProblemKind::Combination, found, "one of the two");
            None
        }
        (None, None) => {
            let expected = format!("a number, or {second:?} with one");
            part.need(findings, first, &expected);
            None
        }
        (_, other) => {
            let key = if other.is_some() { second } else { first };
            let number = part.number_within(findings, key, limits, unit)?;
            Some((other.is_some(), number))
        }
    }
}
