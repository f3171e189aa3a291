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
