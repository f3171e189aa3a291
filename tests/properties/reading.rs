//! Everything that a review says, in a form in which two reviews can be compared.

use std::collections::{BTreeMap, BTreeSet};

use springline_assess::Verdict;
use springline_kinematics::trial::{NotSeen, Statistic, Value};
use springline_kinematics::{EventKind, Measure, Phase, Side, Taken, Unit};
use springline_review::Reviewed;

/// What a number does when picture or clock change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Durations, leg lengths, metres, shares, probabilities.
    Plain,
    /// Degrees: 180 and -180 are the same.
    Angle,
    /// Lengths in the picture.
    Px,
    /// Times of the clip's clock.
    Clock,
    /// Frame numbers: an instant that falls on a frame is in either of two pairs.
    Frame,
}

/// A number with the size that a difference is judged by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number {
    pub kind: Kind,
    pub value: f64,
}

/// All of a review: words that are equal or not, and numbers.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    pub words: BTreeMap<String, String>,
    pub numbers: BTreeMap<String, Number>,
}

/// Everything that a review says, and every measure beside those of the drill.
pub fn read(reviewed: &Reviewed) -> Reading {
    let mut reading = Reading::default();
    reading.body(reviewed);
    reading.events(reviewed);
    reading.verdicts(reviewed);
    reading.measures(reviewed);
    reading
}

impl Reading {
    fn say(&mut self, key: impl Into<String>, words: impl ToString) {
        self.words.insert(key.into(), words.to_string());
    }

    fn count(&mut self, key: impl Into<String>, kind: Kind, value: f64) {
        self.numbers.insert(key.into(), Number { kind, value });
    }

    fn frames(&mut self, key: &str, (first, last): (usize, usize)) {
        self.count(format!("{key}, first"), Kind::Frame, first as f64);
        self.count(format!("{key}, last"), Kind::Frame, last as f64);
    }

    fn body(&mut self, reviewed: &Reviewed) {
        let record = &reviewed.record;
        self.say("facing", format!("{:?}", record.body.facing));
        self.say("facing how", &record.body.facing_how);
        self.say("near side", &record.body.near_side);
        self.say("landing", format!("{:?}", record.body.landing));
        self.say("swaps", format!("{:?}", record.attempt.swaps));
        self.say("points changed", record.attempt.points_changed);
        let outside = |remark: &&String| remark.contains("outside the picture");
        let remarks: Vec<_> = record
            .attempt
            .remarks
            .iter()
            .filter(|it| !outside(it))
            .cloned()
            .collect();
        self.say("remarks", remarks.join("; "));
        if let Some(evidence) = record.body.facing_evidence_sd {
            self.count("facing evidence", Kind::Plain, evidence);
        }
        if let Some(rotation) = reviewed.trial.forward_rotation() {
            self.count("rotation", Kind::Plain, rotation.degrees());
        }
        self.count("leg", Kind::Px, reviewed.trial.leg().value);
        self.count("leg, sd", Kind::Px, reviewed.trial.leg().sd);
    }

    fn events(&mut self, reviewed: &Reviewed) {
        let found = reviewed.trial.found();
        for event in found.events() {
            let key = event.kind.words();
            let words = format!("frame {}, {:?}, {:?}", event.frame, event.how, event.stand_in);
            self.say(key, words);
            self.count(format!("{key}, s"), Kind::Clock, event.time);
            self.count(format!("{key}, sd"), Kind::Plain, event.sd);
        }
        self.say("not there", found.not_there.join("; "));
        self.say("further supports", found.further_supports);
    }

    fn verdicts(&mut self, reviewed: &Reviewed) {
        let assessment = &reviewed.assessment;
        self.say("outcome", format!("{:?}", assessment.outcome));
        self.say("faults", format!("{:?}", reviewed.record.faults));
        self.say("missing", format!("{:?}", assessment.missing_events));
        for check in &assessment.checks {
            let key = format!("check {}", check.id);
            let verdict = match &check.verdict {
                Verdict::NotSeen { why } => format!("not seen: {}", of_either_side(why)),
                verdict => format!("{verdict:?}").split('{').next().unwrap_or_default().to_owned(),
            };
            let severity = match &check.verdict {
                Verdict::Fault { severity, below, .. } => format!("{severity:?}, below: {below}"),
                _ => String::new(),
            };
            let remarks = without_numbers(&check.remarks.join("; "));
            self.say(&key, format!("{verdict}; {severity}; {:?}; {remarks}", check.fault));
            let entry = reviewed.record.checks.iter().find(|entry| entry.id == check.id);
            if let Some(outside) = entry.and_then(|entry| entry.verdict.outside) {
                self.count(format!("{key}, outside"), Kind::Plain, outside);
            }
            if let Some(measured) = &check.measured {
                let side = measured.side.map_or("no side", Side::id);
                self.say(format!("{key}, of"), side);
                self.frames(&key, measured.frames);
                let kind = kind_of(measured.unit);
                self.count(format!("{key}, value"), kind, measured.value);
                self.count(format!("{key}, sd"), kind, measured.sd);
            }
        }
    }

    fn measures(&mut self, reviewed: &Reviewed) {
        let trial = &reviewed.trial;
        let instants: Vec<(EventKind, f64, f64)> = trial
            .found()
            .events()
            .iter()
            .map(|event| (event.kind, event.time, event.sd))
            .collect();
        for measure in Measure::ALL.iter().copied() {
            for unit in measure.units().iter().copied() {
                if measure.taken() == Taken::OncePerAttempt {
                    self.measure(measure.words().to_owned(), unit, trial.once(measure, unit));
                    continue;
                }
                let sides: &[Side] = if measure.is_sided() { &Side::BOTH } else { &[Side::Left] };
                for side in sides.iter().copied() {
                    let named = if measure.is_sided() {
                        format!("{} {}", side.id(), measure.words())
                    } else {
                        measure.words().to_owned()
                    };
                    for (event, time, sd) in instants.iter().copied() {
                        let value = trial.at(measure, side, time, sd, true, unit);
                        self.measure(format!("{named} at {}", event.words()), unit, value);
                    }
                    for phase in [Phase::Support, Phase::Flight, Phase::Hold] {
                        for statistic in [Statistic::Mean, Statistic::Least] {
                            let value = trial.over(measure, side, phase, statistic, unit);
                            self.measure(format!("{named} over {}, {statistic:?}", phase.id()), unit, value);
                        }
                    }
                }
            }
        }
    }

    fn measure(&mut self, key: String, unit: Unit, value: Result<Value, NotSeen>) {
        let key = format!("{key}, {unit:?}");
        match value {
            Err(why) => self.say(key, of_either_side(&why.to_string())),
            Ok(value) if says_nothing(&value) => {}
            Ok(value) => {
                self.say(&key, value.remarks.join("; "));
                self.frames(&key, value.frames);
                let kind = kind_of(value.unit);
                self.count(format!("{key}, value"), kind, value.value);
                self.count(format!("{key}, sd"), kind, value.sd);
            }
        }
    }

    /// Every left called right and every right left, but for the way the athlete faces.
    #[must_use]
    pub fn sides_exchanged(&self) -> Self {
        let exchange = |text: &str| {
            text.replace("left", "LEFT")
                .replace("right", "left")
                .replace("LEFT", "right")
        };
        Self {
            words: self
                .words
                .iter()
                .map(|(key, words)| match key.as_str() {
                    "facing" => (key.clone(), words.clone()),
                    _ => (exchange(key), exchange(words)),
                })
                .collect(),
            numbers: self
                .numbers
                .iter()
                .map(|(key, number)| (exchange(key), *number))
                .collect(),
        }
    }

    /// Another way to face.
    #[must_use]
    pub fn facing_exchanged(mut self) -> Self {
        if let Some(facing) = self.words.get_mut("facing") {
            *facing = match facing.as_str() {
                "Some(\"left\")" => "Some(\"right\")",
                "Some(\"right\")" => "Some(\"left\")",
                other => other,
            }
            .to_owned();
        }
        self
    }

    /// Lengths in the picture `scale` times as long, the clock ahead by `later` s.
    #[must_use]
    pub fn with(mut self, scale: f64, later: f64) -> Self {
        for number in self.numbers.values_mut() {
            match number.kind {
                Kind::Plain | Kind::Angle | Kind::Frame => {}
                Kind::Px => number.value *= scale,
                Kind::Clock => number.value += later,
            }
        }
        self
    }

    /// Compares with what was expected.
    pub fn differences(&self, expected: &Self, allowed: &Allowed) -> Vec<String> {
        let mut list = Vec::new();
        let keys: BTreeSet<&String> = self.words.keys().chain(expected.words.keys()).collect();
        for key in keys.into_iter().filter(|key| !(allowed.leave_out)(key)) {
            let (found, wanted) = (self.words.get(key), expected.words.get(key));
            if found != wanted {
                list.push(format!("{key}: found {found:?}, expected {wanted:?}"));
            }
        }
        let keys: BTreeSet<&String> = self.numbers.keys().chain(expected.numbers.keys()).collect();
        for key in keys.into_iter().filter(|key| !(allowed.leave_out)(key)) {
            let (Some(found), Some(wanted)) = (self.numbers.get(key), expected.numbers.get(key)) else {
                list.push(format!("{key}: in one of both only"));
                continue;
            };
            let near = match wanted.kind {
                Kind::Frame => 1.0,
                Kind::Px => (allowed.share * wanted.value.abs().max(1.0)).max(allowed.px),
                Kind::Plain | Kind::Angle | Kind::Clock => allowed.share * wanted.value.abs().max(1.0),
            };
            let mut off = (found.value - wanted.value).abs();
            if wanted.kind == Kind::Angle {
                off = off.min((off - 360.0).abs());
            }
            let derived = key.ends_with(", sd") || key.ends_with(", outside");
            let near = if derived {
                near.max(allowed.sds * wanted.value.abs().max(0.1))
            } else {
                near
            };
            if off > near || off.is_nan() {
                list.push(format!("{key}: found {}, expected {}", found.value, wanted.value));
            }
        }
        list
    }
}

/// How far two numbers may lie apart.
pub struct Allowed {
    /// Share of a number's size, of 1 where it is smaller.
    pub share: f64,
    /// At least this for lengths in the picture, px.
    pub px: f64,
    /// At least this share of an sd, and a tenth of it of a probability.
    pub sds: f64,
    /// What is not compared, by its name.
    pub leave_out: fn(&str) -> bool,
}

impl Allowed {
    /// Rounding alone. Coordinates of some 1000 px are good to 1e-13 px, and most numbers come out the same to 1e-9; the
    /// sds of single points are kept in single precision (6e-8), and a record is rounded to a millionth. So: a millionth.
    pub fn rounding() -> Self {
        Self {
            share: 1e-6,
            px: 0.0,
            sds: 0.0,
            leave_out: not_yet,
        }
    }
}

/// What is known to depend on the place in the picture though it must not: a height over a place that is kept from other
/// frames (hands, flat heel) is turned with the floor about the picture's corner, which makes its sd, and with it the
/// heels' probability, too large.
pub fn not_yet(key: &str) -> bool {
    let height = key.contains("shoulder height") || key.contains("heel height");
    height && key.ends_with(", sd") || key.starts_with("check heels-up")
}

fn kind_of(unit: Unit) -> Kind {
    match unit {
        Unit::Pixels => Kind::Px,
        Unit::Degrees => Kind::Angle,
        _ => Kind::Plain,
    }
}

/// A heel right over its toe, a nose right over the ear: the direction may be any, and how much so hangs on the last digit.
fn says_nothing(value: &Value) -> bool {
    match value.unit {
        Unit::Degrees => value.sd > 45.0,
        Unit::Percent => value.sd > 200.0,
        _ => false,
    }
}

/// Words in which every number is the same: times and frame numbers differ where clocks do.
fn without_numbers(text: &str) -> String {
    let mut plain = String::new();
    for c in text.chars() {
        match c {
            '0'..='9' | '.' | '-' if plain.ends_with('0') => {}
            '0'..='9' => plain.push('0'),
            c => plain.push(c),
        }
    }
    plain
}

/// Where a joint is missing on both sides, it does not matter which of them is named.
fn of_either_side(text: &str) -> String {
    without_numbers(text).replace("left ", "").replace("right ", "")
}
