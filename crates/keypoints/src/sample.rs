//! A sample of a JSON file of unknown shape: enough of it to find the points.

use std::cell::Cell;
use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};

/// Values inside which this many numbers stand are rich: they may hold a person's points.
const RICH: usize = 20;
/// Rich values kept of a list or object; the rest is skipped.
const RICH_KEPT: usize = 4;
/// Values kept of a list or object otherwise.
const KEPT: usize = 700;
/// Values kept in all, so that no file can make the sample large.
const BUDGET: usize = 500_000;

/// A value, with long lists shortened.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Sample {
    Null,
    Other,
    Number(f64),
    Text(String),
    /// The first entries, and how many there are.
    List(Vec<Sample>, usize),
    Object(Vec<(String, Sample)>),
}

impl Sample {
    /// Reads a whole text, keeping a sample.
    pub(crate) fn read(text: &str) -> Result<Sample, serde_json::Error> {
        let mut json = serde_json::Deserializer::from_str(text);
        let budget = Cell::new(BUDGET);
        let sample = Take(&budget).deserialize(&mut json)?;
        json.end()?;
        Ok(sample)
    }

    /// How many numbers stand inside.
    fn numbers(&self) -> usize {
        match self {
            Sample::Number(_) => 1,
            Sample::List(items, length) => {
                let inside: usize = items.iter().map(Sample::numbers).sum();
                if items.first().is_some_and(|first| matches!(first, Sample::Number(_))) {
                    *length
                } else {
                    inside
                }
            }
            Sample::Object(members) => members.iter().map(|(_, value)| value.numbers()).sum(),
            _ => 0,
        }
    }

    /// A member of an object.
    pub(crate) fn get(&self, key: &str) -> Option<&Sample> {
        match self {
            Sample::Object(members) => members.iter().find(|(name, _)| name == key).map(|(_, value)| value),
            _ => None,
        }
    }

    pub(crate) fn number(&self) -> Option<f64> {
        match self {
            Sample::Number(number) => Some(*number),
            _ => None,
        }
    }
}

/// Takes a value; the cell holds how many more may be kept.
#[derive(Clone, Copy)]
struct Take<'a>(&'a Cell<usize>);

impl<'de> DeserializeSeed<'de> for Take<'_> {
    type Value = Sample;
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Sample, D::Error> {
        from.deserialize_any(self)
    }
}

/// Counts what was kept, and says when enough is known.
#[derive(Default)]
struct Keeper {
    rich: usize,
    poor: usize,
}

impl Keeper {
    fn keeps(&mut self, value: &Sample) -> bool {
        if value.numbers() >= RICH {
            self.rich += 1;
            return true;
        }
        self.poor += 1;
        self.poor <= KEPT
    }

    fn is_done(&self) -> bool {
        self.rich >= RICH_KEPT
    }
}

impl<'de> Visitor<'de> for Take<'_> {
    type Value = Sample;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }
    fn visit_unit<E>(self) -> Result<Sample, E> {
        Ok(Sample::Null)
    }
    fn visit_bool<E>(self, _: bool) -> Result<Sample, E> {
        Ok(Sample::Other)
    }
    fn visit_f64<E>(self, value: f64) -> Result<Sample, E> {
        Ok(Sample::Number(value))
    }
    #[allow(clippy::cast_precision_loss)]
    fn visit_u64<E>(self, value: u64) -> Result<Sample, E> {
        Ok(Sample::Number(value as f64))
    }
    #[allow(clippy::cast_precision_loss)]
    fn visit_i64<E>(self, value: i64) -> Result<Sample, E> {
        Ok(Sample::Number(value as f64))
    }
    fn visit_str<E>(self, text: &str) -> Result<Sample, E> {
        Ok(Sample::Text(text.chars().take(64).collect()))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Sample, A::Error> {
        let (mut items, mut length, mut keeper) = (Vec::new(), 0, Keeper::default());
        while !keeper.is_done() && self.0.get() > 0 {
            let before = self.0.get();
            self.0.set(before - 1);
            let Some(value) = seq.next_element_seed(self)? else {
                self.0.set(before);
                return Ok(Sample::List(items, length));
            };
            length += 1;
            if keeper.keeps(&value) {
                items.push(value);
            } else {
                self.0.set(before);
            }
        }
        while seq.next_element::<IgnoredAny>()?.is_some() {
            length += 1;
        }
        Ok(Sample::List(items, length))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Sample, A::Error> {
        let (mut members, mut keeper) = (Vec::new(), Keeper::default());
        // An object keeps the small members after the large ones too: frame rate, picture size.
        while let Some(key) = map.next_key::<String>()? {
            let before = self.0.get();
            if before == 0 || (keeper.is_done() && members.len() >= KEPT) {
                map.next_value::<IgnoredAny>()?;
                continue;
            }
            self.0.set(before - 1);
            let value = map.next_value_seed(self)?;
            let rich_before = keeper.rich;
            if keeper.keeps(&value) && (keeper.rich == rich_before || rich_before < RICH_KEPT) {
                members.push((key, value));
            } else {
                self.0.set(before);
            }
        }
        Ok(Sample::Object(members))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn nodes(sample: &Sample) -> usize {
        match sample {
            Sample::List(items, _) => 1 + items.iter().map(nodes).sum::<usize>(),
            Sample::Object(members) => 1 + members.iter().map(|(_, value)| nodes(value)).sum::<usize>(),
            _ => 1,
        }
    }

    #[test]
    fn a_sample_stays_small() {
        let nulls = format!("[{}]", vec!["null"; 700].join(","));
        let lists = format!("[{}]", vec![nulls.as_str(); 700].join(","));
        let text = format!("[{}]", [lists.as_str(); 4].join(","));
        let sample = Sample::read(&text).unwrap();
        assert!(nodes(&sample) <= BUDGET + 1_000);
    }

    #[test]
    fn bare_frames_before_the_first_person_are_passed_over() {
        let person = format!("[{}]", vec!["1"; 51].join(","));
        let text = format!("[{}{person},7]", "[],".repeat(20_000));
        let Sample::List(items, length) = Sample::read(&text).unwrap() else {
            panic!("no list")
        };
        assert_eq!(length, 20_002);
        assert_eq!(items.last().map(Sample::numbers), Some(51));
    }
}
