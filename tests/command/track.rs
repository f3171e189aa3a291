//! Points clicked on a few frames are followed through the film.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, root};
use serde_json::{Value, json};

fn film(name: &str) -> Vec<u8> {
    std::fs::read(root().join("fixtures/film").join(name)).unwrap()
}

/// The joints of the shipped film, every fifteenth frame of them.
fn clicks() -> Value {
    let mut file: Value = serde_json::from_slice(&film("handspring.truth.json")).unwrap();
    for (frame, entry) in file["frames"].as_array_mut().unwrap().iter_mut().enumerate() {
        if frame % 15 != 0 && frame != 59 {
            entry["points"] = json!(vec![Value::Null; 23]);
        }
        entry.as_object_mut().unwrap().remove("t");
    }
    file["rate_hz"] = json!(30);
    file["sd"] = json!({"kind": "given", "px": 0.5});
    file["from"] = json!("clicked");
    file
}

fn with_clicks(clicks: &Value) -> Bench {
    let bench = Bench::new();
    bench.put("clicks.json", clicks.to_string().as_bytes());
    bench.put("turn.mp4", &film("handspring.mp4"));
    bench
}

const TRACK: [&str; 6] = ["track", "clicks.json", "--film", "turn.mp4", "--out", "turn.json"];

#[test]
fn every_frame_gets_points_and_clicks_stay() {
    let clicks = clicks();
    let bench = with_clicks(&clicks);
    let run = bench.run(&TRACK);
    assert!(
        run.ended(0)
            .stderr
            .starts_with("turn.json: 115 given points followed to ")
            && run.stderr.contains("on 60 of 60 frames"),
        "{}",
        run.stderr
    );
    let file: Value = serde_json::from_str(&bench.get("turn.json")).unwrap();
    let (frames, before) = (file["frames"].as_array().unwrap(), clicks["frames"].as_array().unwrap());
    assert_eq!((frames.len(), &file["given"]["drill"]), (60, &clicks["given"]["drill"]));
    let mut doubtful = 0;
    for (at, (frame, before)) in frames.iter().zip(before).enumerate() {
        let clicked = at % 15 == 0 || at == 59;
        for landmark in 0..23 {
            if clicked {
                for axis in 0..2 {
                    let place = |frame: &Value| frame["points"][landmark][axis].as_f64().unwrap();
                    assert!((place(frame) - place(before)).abs() < 1e-4, "{at} {landmark}");
                }
            }
            let point = &frame["points"][landmark];
            let from = if clicked { json!("clicked") } else { json!("tracked") };
            assert_eq!(
                frame["from"][landmark],
                if point.is_null() { Value::Null } else { from }
            );
            assert_eq!(frame["sd"][landmark].is_null(), point.is_null());
            doubtful += usize::from(frame["doubtful"][landmark] == json!(true));
        }
    }
    // What is doubtful is told.
    assert!(doubtful > 0);
    assert!(
        run.stderr.contains(&format!(
            "note: {doubtful} points may have drifted, a click there helps most: frames "
        )),
        "{}",
        run.stderr
    );
    // Its own result is followed to the same result: what was followed isn't taken for clicked.
    let again = ["track", "turn.json", "--film", "turn.mp4", "--out", "again.json"];
    assert!(
        bench
            .run(&again)
            .ended(0)
            .stderr
            .starts_with("again.json: 115 given points ")
    );
}

#[test]
fn a_review_follows_first_where_a_film_is_given() {
    let bench = with_clicks(&clicks());
    bench.run(&TRACK).ended(0);
    let by_file: Value =
        serde_json::from_str(&bench.run(&["review", "turn.json", "--format", "json"]).ended(0).stdout).unwrap();
    let at_once = ["review", "clicks.json", "--film", "turn.mp4", "--format", "json"];
    let at_once: Value = serde_json::from_str(&bench.run(&at_once).ended(0).stdout).unwrap();
    assert_eq!(by_file["events"], at_once["events"]);
    assert_eq!(by_file["checks"], at_once["checks"]);
    let told = bench.run(&["review", "clicks.json", "--film", "turn.mp4"]);
    assert!(told.ended(0).stdout.contains("% tracked"), "{}", told.stdout);
    // A folder of its frames is the film too.
    bench.run(&["frames", "turn.mp4", "--out", "frames"]).ended(0);
    bench
        .run(&["track", "clicks.json", "--film", "frames", "--out", "by-frames.json"])
        .ended(0);
    assert_eq!(bench.get("by-frames.json"), bench.get("turn.json"));
}

#[test]
fn a_click_that_the_film_contradicts_is_told() {
    let mut clicks = clicks();
    let wrist = clicks["points"]
        .as_array()
        .unwrap()
        .iter()
        .position(|id| id == "right_wrist")
        .unwrap();
    let place = clicks["frames"][30]["points"][wrist][0].as_f64().unwrap();
    clicks["frames"][30]["points"][wrist][0] = json!(place + 45.0);
    let bench = with_clicks(&clicks);
    bench.run(&TRACK).ended(0);
    let file: Value = serde_json::from_str(&bench.get("turn.json")).unwrap();
    assert_eq!(file["frames"][30]["from"][wrist], "clicked");
    assert_eq!(file["frames"][30]["points"][wrist][0], json!(place + 45.0));
    for frame in [27, 33] {
        let frame = &file["frames"][frame];
        assert!(
            frame["points"][wrist].is_null() || frame["doubtful"][wrist] == json!(true),
            "{frame}"
        );
    }
}

#[test]
fn points_and_film_that_do_not_belong_together_are_refused() {
    let mut clicks = clicks();
    let bench = with_clicks(&clicks);
    bench.put("other.mp4", &film("h264.mp4"));
    let other = ["track", "clicks.json", "--film", "other.mp4", "--out", "turn.json"];
    bench
        .run(&other)
        .failed("error: clicks.json: points in a picture of 640 x 360 px, expected the clip's 64 x 48 px\n");
    clicks.as_object_mut().unwrap().remove("picture");
    bench.put("clicks.json", clicks.to_string().as_bytes());
    bench
        .run(&other)
        .failed("error: clicks.json: 60 frames, expected at most the clip's 12\n");
    bench
        .run(&["review", "clicks.json", "--film", "other.mp4"])
        .failed("error: clicks.json: 60 frames, expected at most the clip's 12\n");
    clicks["from"] = json!("drafted");
    bench.put("clicks.json", clicks.to_string().as_bytes());
    bench.run(&TRACK).failed(
        "error: clicks.json: no clicked point, expected some on a few frames\n\
         hint: points that a person put there say so: \"from\": \"clicked\" (`springline schema attempt`)\n",
    );
    clicks["from"] = json!("clicked");
    let frames = clicks["frames"].as_array().unwrap();
    let mut between = clicks.clone();
    between["frames"] = json!([frames[0], frames[15], frames[30]]);
    between.as_object_mut().unwrap().remove("rate_hz");
    between["given"].as_object_mut().unwrap().remove("events");
    for (frame, t) in [0.0, 0.52, 1.0].into_iter().enumerate() {
        between["frames"][frame]["t"] = json!(t);
    }
    bench.put("between.json", between.to_string().as_bytes());
    bench
        .run(&["track", "between.json", "--film", "turn.mp4", "--out", "turn.json"])
        .failed(
            "error: between.json: frame 1 at 0.5200 s, expected the time of one of the clip's frames, the nearest is at 0.5333 s\n",
        );
    bench.put("text.mp4", b"not a film");
    let run = bench.run(&["track", "clicks.json", "--film", "text.mp4", "--out", "turn.json"]);
    assert!(run.ended(2).stderr.starts_with("error: text.mp4: "), "{}", run.stderr);
    bench
        .run(&[
            "track",
            "clicks.json",
            "--film",
            "turn.mp4",
            "--out",
            "clicks.json",
            "--force",
        ])
        .failed(
            "error: clicks.json: found clicks.json, which is read here, expected another file to write to\n\
             hint: another name or folder for what is written\n",
        );
    assert!(!bench.path("turn.json").exists());
}
