//! Layout files, and shapes that are found without one.

#![allow(clippy::unwrap_used)]

mod figure;

use figure::Seen;
use serde_json::{Value, json};
use springline_keypoints::{Attempt, Error, ImportOptions, Layout, attempt_schema, import_bytes, layout_schema};
use springline_kinematics::Landmark;

const HIP: Landmark = Landmark::LeftHip;

fn clip() -> Seen {
    figure::seen(&figure::film(figure::over_the_hands, 0.1, 50.0), 1.0, 0.0, 9)
}

fn imported(text: &str, options: &ImportOptions) -> Attempt {
    import_bytes("other.json", text.as_bytes(), options).unwrap_or_else(|error| panic!("{error}"))
}

fn at_50(layout: Option<Layout>) -> ImportOptions {
    ImportOptions {
        rate_hz: Some(50.0),
        picture: Some((1920.0, 1080.0)),
        layout,
        ..ImportOptions::default()
    }
}

/// The left hip lies where it should in every frame, and there are as many landmarks as wanted.
fn check(attempt: &Attempt, landmarks: usize) {
    let truth = clip();
    assert_eq!(attempt.tracks.len(), truth.len(), "{}", attempt.recognised);
    for (frame, points) in truth.iter().enumerate() {
        let [x, y] = points[HIP.index()].unwrap();
        let found = attempt.tracks.at(HIP, frame).unwrap();
        assert!(
            (found.x - x).abs() < 0.01 && (found.y - y).abs() < 0.01,
            "{}: {found}",
            attempt.recognised
        );
    }
    let seen = Landmark::ALL
        .iter()
        .filter(|landmark| attempt.tracks.has(**landmark))
        .count();
    assert_eq!(seen, landmarks, "{}", attempt.recognised);
}

/// Frames × points as JSON, each point made by `point`.
fn frames(point: impl Fn(Landmark, [f64; 2]) -> Value) -> Vec<Vec<Value>> {
    clip()
        .iter()
        .map(|points| {
            Landmark::ALL[..17]
                .iter()
                .map(|landmark| point(*landmark, points[landmark.index()].unwrap()))
                .collect()
        })
        .collect()
}

#[test]
fn shapes_that_need_no_layout_file() {
    let row = |score: bool| frames(move |_, [x, y]| if score { json!([x, y, 0.9]) } else { json!([x, y]) });
    let object = || frames(|_, [x, y]| json!({"x": x, "y": y, "score": 0.9}));
    let name = || frames(|landmark, [x, y]| json!({"name": landmark.id(), "x": x, "y": y}));
    let flat: Vec<Vec<Value>> = row(true)
        .iter()
        .map(|frame| {
            frame
                .iter()
                .flat_map(|point| point.as_array().unwrap().clone())
                .collect()
        })
        .collect();
    let by_number = |lists: Vec<Vec<Value>>| -> Value {
        let members: serde_json::Map<String, Value> = lists
            .into_iter()
            .enumerate()
            .map(|(frame, list)| (format!("frame_{frame}"), json!({"pose": list})))
            .collect();
        Value::Object(members)
    };
    let listed = |lists: Vec<Vec<Value>>| -> Vec<Value> {
        lists
            .into_iter()
            .enumerate()
            .map(|(frame, list)| json!({"frame_id": frame, "keypoints": list}))
            .collect()
    };
    let with_people: Vec<Value> = row(true)
        .into_iter()
        .enumerate()
        .map(|(frame, list)| json!({"frame": frame, "instances": [{"keypoints": list, "bbox": [1, 2, 3, 4]}]}))
        .collect();
    let scores_apart: Vec<Value> = row(false)
        .into_iter()
        .map(|list| json!({"keypoints": list, "keypoint_scores": vec![0.9; 17]}))
        .collect();
    let with_world: Vec<Value> = object()
        .into_iter()
        .map(|list| {
            let world: Vec<Value> = list.iter().map(|_| json!({"x": 0.1, "y": 0.2, "z": 0.3})).collect();
            json!({"world_landmarks": world, "landmarks": list})
        })
        .collect();
    for shape in [
        json!(row(true)),
        json!(row(false)),
        json!(object()),
        json!(name()),
        json!(flat),
        json!({"fps": 50, "data": {"frames": row(true)}}),
        by_number(object()),
        json!({"results": listed(row(true))}),
        json!(with_people),
        json!(scores_apart),
        json!(with_world),
        // Everything in shares of the picture.
        json!(frames(|_, [x, y]| json!({"x": x / 1920.0, "y": y / 1080.0}))),
    ] {
        check(&imported(&shape.to_string(), &at_50(None)), 17);
    }
}

#[test]
fn frames_without_anybody_come_first() {
    let mut list: Vec<Value> = (0..40).map(|frame| json!({"frame": frame, "people": []})).collect();
    list.extend(
        frames(|_, [x, y]| json!([x, y, 0.9]))
            .into_iter()
            .enumerate()
            .map(|(frame, points)| json!({"frame": frame + 40, "people": [{"points": points}]})),
    );
    let attempt = imported(&json!(list).to_string(), &at_50(None));
    assert_eq!(attempt.tracks.len(), 40 + clip().len());
    assert!(attempt.tracks.at(HIP, 39).is_none() && attempt.tracks.at(HIP, 40).is_some());
}

#[test]
fn a_built_in_layout_can_be_forced() {
    // 25 points in an order that 25 alone would not tell: they are, and a wrong count is refused.
    let text = json!(frames(|_, [x, y]| json!([x, y]))).to_string();
    let error = import_bytes("f.json", text.as_bytes(), &at_50(Layout::builtin("points-25"))).unwrap_err();
    assert!(matches!(error, Error::NotRecognised { .. }), "{error}");
    check(&imported(&text, &at_50(Layout::builtin("coco-17"))), 17);
}

/// Order alone: where things sit is still found from the content.
#[test]
fn a_layout_file_may_give_the_order_only() {
    let layout = Layout::from_toml(
        "three.toml",
        r#"
format = "springline-layout"
version = 1
name = "three"
points = ["left_hip", "-", "left_knee"]
"#,
    )
    .unwrap();
    let lists: Vec<Value> = clip()
        .iter()
        .map(|points| {
            let of = |landmark: Landmark| points[landmark.index()].unwrap();
            json!([of(HIP), [0.5, 0.5], of(Landmark::LeftKnee)])
        })
        .collect();
    check(&imported(&json!(lists).to_string(), &at_50(Some(layout))), 2);
}

#[test]
fn named_points_of_a_layout_file_in_json() {
    let layout = Layout::from_json(
        "marks.json",
        r#"{"format": "springline-layout", "version": 1, "name": "marks", "names": {"HANCHE_G": "left_hip", "GENOU_G": "left_knee"},
            "json": {"frames": "images.*", "frame": "@name", "people": "gens.*", "person": "@name", "points": "marques", "x": "h", "y": "v", "score": "s"}}"#,
    )
    .unwrap();
    let images: serde_json::Map<String, Value> = clip()
        .iter()
        .enumerate()
        .map(|(frame, points)| {
            let of = |landmark: Landmark| {
                let [x, y] = points[landmark.index()].unwrap();
                json!({"h": x, "v": y, "s": 0.8, "other": [1, {"a": 2}]})
            };
            let marks = json!({"HANCHE_G": of(HIP), "GENOU_G": of(Landmark::LeftKnee), "CHAPEAU": of(Landmark::Nose)});
            (format!("{frame}.png"), json!({"gens": {"p3": {"marques": marks}}}))
        })
        .collect();
    check(
        &imported(&json!({"images": images}).to_string(), &at_50(Some(layout))),
        2,
    );
}

#[test]
fn tables_of_a_layout_file() {
    let layout = |table: &str| {
        let text = format!(
            "format = \"springline-layout\"\nversion = 1\nname = \"t\"\n[names]\nh = \"left_hip\"\nk = \"left_knee\"\n[table]\n{table}"
        );
        Layout::from_toml("t.toml", &text).unwrap()
    };
    let (mut wide, mut long) = (
        "Bild;Zeit;px(h);py(h);px(k);py(k)\n".to_owned(),
        "Bild,was,px,py\n".to_owned(),
    );
    for (frame, points) in clip().iter().enumerate() {
        let ([hx, hy], [kx, ky]) = (
            points[HIP.index()].unwrap(),
            points[Landmark::LeftKnee.index()].unwrap(),
        );
        wide += &format!("{frame};{};{hx};{hy};{kx};{ky}\n", frame * 20);
        long += &format!("{frame},k,{kx},{ky}\n{frame},h,{hx},{hy}\n{frame},hat,1,2\n");
    }
    let wide_layout =
        layout("frame = \"Bild\"\ntime = \"Zeit\"\ntime_unit = \"ms\"\nx = \"px({point})\"\ny = \"py({point})\"\n");
    let options = ImportOptions {
        layout: Some(wide_layout),
        ..ImportOptions::default()
    };
    check(&imported(&wide, &options), 2);
    let long_layout = layout("frame = \"Bild\"\npoint = \"was\"\nx = \"px\"\ny = \"py\"\n");
    check(&imported(&long, &at_50(Some(long_layout.clone()))), 2);
    let error = import_bytes("t.csv", b"Bild,wo,px,py\n1,2,3,4\n", &at_50(Some(long_layout))).unwrap_err();
    assert!(error.to_string().contains("expected a column \"was\""), "{error}");
}

#[test]
fn scores_follow_the_stated_range() {
    let layout = Layout::from_toml(
        "s.toml",
        "format = \"springline-layout\"\nversion = 1\nname = \"s\"\npoints = \"coco-17\"\nscore_range = [0, 100]\n",
    )
    .unwrap();
    let text = |score: f64| json!(frames(move |_, [x, y]| json!([x, y, score]))).to_string();
    let attempt = imported(&text(87.0), &at_50(Some(layout.clone())));
    let confidence = attempt.tracks.track(HIP).mean_confidence.unwrap();
    assert!((confidence - 0.87).abs() < 1e-6);
    let error = import_bytes("s.json", text(101.0).as_bytes(), &at_50(Some(layout.clone()))).unwrap_err();
    assert!(matches!(error, Error::ScoreRange { .. }), "{error}");
    // 4 of 100 is under the least score.
    let error = import_bytes("s.json", text(4.0).as_bytes(), &at_50(Some(layout))).unwrap_err();
    assert!(matches!(error, Error::NoPerson { .. }), "{error}");
    // Without a layout: a little over 1 is a heat map's peak.
    let attempt = imported(&text(1.1), &at_50(None));
    assert_eq!(attempt.tracks.track(HIP).mean_confidence, Some(1.0));
    assert!(
        attempt
            .remarks
            .iter()
            .any(|remark| remark.contains("scores above their range")),
        "{:?}",
        attempt.remarks
    );
}

#[test]
fn schemas_name_every_key() {
    let schema = serde_json::to_value(attempt_schema()).unwrap();
    for key in [
        "format",
        "version",
        "points",
        "frames",
        "given",
        "sd",
        "error",
        "rate_hz",
        "picture",
        "synthetic",
    ] {
        assert!(schema["properties"].get(key).is_some(), "{key}");
    }
    assert_eq!(schema["additionalProperties"], json!(false));
    assert_eq!(schema["required"], json!(["format", "version", "points", "frames"]));
    let schema = serde_json::to_value(layout_schema()).unwrap();
    for key in ["points", "names", "json", "table", "score_range", "missing_value"] {
        assert!(schema["properties"].get(key).is_some(), "{key}");
    }
}

#[test]
fn every_problem_of_a_layout_file_at_once() {
    let text = "format = \"springline-layout\"\nversion = 1\nname = \"x\"\nunit = \"pixels\"\n\
                points = [\"left_hip\", \"left_nee\", \"right_ankel\"]\n[json]\nfrmaes = \"f[*]\"\ny = \"v\"\n[table]\nx = \"a\"\ny = \"b\"\n";
    let error = Layout::from_toml("x.toml", text).unwrap_err().to_string();
    let lines: Vec<&str> = error.lines().collect();
    let starts = [
        "x.toml: line 4, column 8: found \"pixels\", expected \"px\" or \"shares\"",
        "x.toml: line 5, column 23: found \"left_nee\", expected a landmark id (such as left_knee) or \"-\"",
        "x.toml: line 5, column 35: found \"right_ankel\", expected a landmark id (such as right_ankle) or \"-\"",
        "x.toml: line 7, column 1: found the unknown key \"frmaes\", expected a key of [json]: ",
    ];
    assert_eq!(lines.len(), starts.len(), "{error}");
    for (line, start) in lines.iter().zip(starts) {
        assert!(line.starts_with(start), "{line}");
    }
    assert!(lines[3].ends_with("; did you mean \"frames\"?"), "{error}");
}

#[test]
fn a_layout_file_full_of_problems_is_told_in_short() {
    let keys: String = (0..100).map(|key| format!("key{key} = 1\n")).collect();
    let error = Layout::from_toml("x.toml", &keys).unwrap_err().to_string();
    assert!(error.len() < 4_000, "{} bytes", error.len());
    let told = error.lines().count() - 1;
    assert!(
        error.ends_with(&format!("\nx.toml: more problems: {}", 100 - told)),
        "{error}"
    );
}
