//! JSON Schemas of the file forms.

use schemars::{Schema, schema_for};

use crate::form::{DrillForm, LadderForm};

/// JSON Schema of a drill spec file. It covers keys, types and words; what the parts of a file demand
/// of each other, only the reader knows.
///
/// ```
/// let schema = springline_drills::drill_schema();
/// assert_eq!(schema.get("additionalProperties").and_then(|value| value.as_bool()), Some(false));
/// ```
#[must_use]
pub fn drill_schema() -> Schema {
    schema_for!(DrillForm)
}

/// JSON Schema of a ladder file.
#[must_use]
pub fn ladder_schema() -> Schema {
    schema_for!(LadderForm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{deduction, read_check, read_drill, read_ladder};

    fn keys(schema: &Schema, definition: Option<&str>) -> Vec<String> {
        let pointer = match definition {
            Some(name) => format!("/$defs/{name}/properties"),
            None => "/properties".to_owned(),
        };
        let table = schema.pointer(&pointer).and_then(|value| value.as_object());
        let mut keys: Vec<String> = table.expect("a table").keys().cloned().collect();
        keys.sort();
        keys
    }

    fn sorted(keys: &[&str]) -> Vec<String> {
        let mut keys: Vec<String> = keys.iter().map(|key| (*key).to_owned()).collect();
        keys.sort();
        keys
    }

    #[test]
    fn the_schemas_have_the_keys_that_the_reader_knows() {
        let drill = drill_schema();
        for (name, known) in [
            (None, read_drill::DRILL_KEYS),
            (Some("SetUpForm"), read_drill::SETUP_KEYS),
            (Some("EventsForm"), read_drill::EVENTS_KEYS),
            (Some("ThresholdsForm"), read_drill::THRESHOLDS_KEYS),
            (Some("CheckForm"), read_check::CHECK_KEYS),
            (Some("MinusForm"), read_check::MINUS_KEYS),
            (Some("DeductionForm"), deduction::DEDUCTION_KEYS),
            (Some("StepForm"), deduction::STEP_KEYS),
            (Some("FaultForm"), read_drill::FAULT_KEYS),
            (Some("PassForm"), read_drill::PASS_KEYS),
        ] {
            assert_eq!(keys(&drill, name), sorted(known), "{name:?}");
        }
        let ladder = ladder_schema();
        for (name, known) in [
            (None, read_ladder::LADDER_KEYS),
            (Some("StepBackForm"), read_ladder::STEP_BACK_KEYS),
            (Some("RungForm"), read_ladder::RUNG_KEYS),
        ] {
            assert_eq!(keys(&ladder, name), sorted(known), "{name:?}");
        }
    }

    #[test]
    fn every_table_of_the_schemas_refuses_unknown_keys() {
        for schema in [drill_schema(), ladder_schema()] {
            let definitions = schema.pointer("/$defs").and_then(|value| value.as_object());
            let tables = definitions.expect("definitions").values();
            for table in tables.filter(|table| table.get("properties").is_some()) {
                assert_eq!(table["additionalProperties"], false, "{table}");
            }
        }
    }
}
