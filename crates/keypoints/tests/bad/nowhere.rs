//! Layouts whose places aren't in the file.

use serde_json::{Value, json};
use springline_keypoints::{Error, ImportOptions, Layout, import_bytes};

fn error_of(places: &str, file: &Value) -> Error {
    let text = format!(
        "format = \"springline-layout\"\nversion = 1\nname = \"own\"\npoints = [\"left_hip\", \"left_knee\"]\n[json]\n{places}"
    );
    let options = ImportOptions {
        rate_hz: Some(60.0),
        layout: Some(Layout::from_toml("own.toml", &text).unwrap()),
        ..ImportOptions::default()
    };
    import_bytes("clip.json", file.to_string().as_bytes(), &options).unwrap_err()
}

fn clip(people: &Value) -> Value {
    json!({"rate": 60, "clip": [{"n": 0, "bodies": people}, {"n": 1, "bodies": people}]})
}

fn seen() -> Value {
    clip(&json!([{"id": 1, "j": [[100, 200], [100, 300]]}]))
}

#[test]
fn each_place_that_leads_nowhere_is_named() {
    for (places, says) in [
        (
            "frames = \"frames[*]\"\npeople = \"bodies[*]\"\npoints = \"j\"",
            "json.frames: `frames[*]` leads nowhere; the file has clip, rate",
        ),
        (
            "frames = \"clip.all[*]\"\npeople = \"bodies[*]\"\npoints = \"j\"",
            "json.frames: `clip.all[*]` leads nowhere; `clip` is a list of 2",
        ),
        (
            "frames = \"clip[*]\"\npeople = \"people[*]\"\npoints = \"j\"",
            "json.people: `people[*]` leads nowhere; a frame has bodies, n",
        ),
        (
            "rate_hz = \"fps\"\nframes = \"clip[*]\"\npeople = \"bodies[*]\"\npoints = \"joints\"\nscores = \"j.s\"",
            "json.rate_hz: `fps` leads nowhere; the file has clip, rate; json.points: `joints` leads nowhere; a person has \
             id, j; json.scores: `j.s` leads nowhere; `j` is a list of 2",
        ),
    ] {
        let error = error_of(places, &seen());
        assert!(matches!(error, Error::LeadsNowhere { .. }), "{error:?}");
        assert_eq!(error.to_string(), format!("clip.json: {says}"));
    }
}

/// Where the places are there and merely nobody is in view, the layout isn't blamed.
#[test]
fn nobody_in_view_is_no_fault_of_the_layout() {
    let places = "frames = \"clip[*]\"\npeople = \"bodies[*]\"\npoints = \"j\"";
    for file in [clip(&json!([])), json!({"clip": []})] {
        let error = error_of(places, &file);
        assert!(matches!(error, Error::NoPerson { .. }), "{error}");
    }
}
