//! `springline schema`.

use crate::Ended;
use crate::args::SchemaOf;
use crate::failure::Failure;
use crate::output::print;

pub(crate) fn run(form: SchemaOf) -> Result<Ended, Failure> {
    let schema = match form {
        SchemaOf::Attempt => springline_keypoints::attempt_schema(),
        SchemaOf::Layout => springline_keypoints::layout_schema(),
        SchemaOf::Setup => springline_keypoints::setup_schema(),
        SchemaOf::Drill => springline_drills::drill_schema(),
        SchemaOf::Ladder => springline_drills::ladder_schema(),
        SchemaOf::Review => springline_report::review_schema(),
    };
    let mut text = serde_json::to_string_pretty(&schema).expect("a schema is JSON");
    text.push('\n');
    print(&text)?;
    Ok(Ended::Done)
}
