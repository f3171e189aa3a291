//! The figure's points in the forms that pose tools write.

use springline_kinematics::Landmark;

use super::Seen;

/// Score of every seen point.
pub const SCORE: f64 = 0.91;

fn triple(point: Option<[f64; 2]>, hidden: &str) -> String {
    match point {
        Some([x, y]) => format!("{x:.2},{y:.2},{SCORE}"),
        None => hidden.to_owned(),
    }
}

/// Numbers of a layout's points; points that no landmark stands for lie near the nose.
fn triples(points: &[Option<[f64; 2]>], layout: &[Option<Landmark>]) -> String {
    let list: Vec<String> = layout
        .iter()
        .map(|landmark| match landmark {
            Some(landmark) => triple(points[landmark.index()], "0,0,0"),
            None => triple(points[0].map(|[x, y]| [x + 3.0, y + 3.0]), "0,0,0"),
        })
        .collect();
    list.join(",")
}

fn builtin(name: &str) -> Vec<Option<Landmark>> {
    springline_keypoints::Layout::builtin(name).unwrap().points().to_vec()
}

/// A results list of 17 points; people stand behind each other in each frame.
pub fn coco_results(people: &[Seen], rows_apart: bool) -> String {
    let mut entries = Vec::new();
    for frame in 0..people[0].len() {
        for person in people {
            if person[frame].iter().all(Option::is_none) {
                continue;
            }
            entries.push(format!(
                r#"{{"image_id":{frame},"category_id":1,"keypoints":[{}],"score":0.93}}"#,
                triples(&person[frame], &builtin("coco-17"))
            ));
        }
    }
    format!("[{}]\n", entries.join(if rows_apart { ",\n" } else { "," }))
}

/// A whole-body results list with its parts under their own keys.
pub fn coco_results_133(clip: &Seen) -> String {
    let layout = builtin("coco-wholebody-133");
    let entries: Vec<String> = clip
        .iter()
        .enumerate()
        .map(|(frame, points)| {
            let part = |range: std::ops::Range<usize>| triples(points, &layout[range]);
            format!(
                r#"{{"image_id":"clip_{frame:06}.jpg","category_id":1,"keypoints":[{}],"foot_kpts":[{}],"face_kpts":[{}],"lefthand_kpts":[{}],"righthand_kpts":[{}],"score":0.9}}"#,
                part(0..17),
                part(17..23),
                part(23..91),
                part(91..112),
                part(112..133)
            )
        })
        .collect();
    format!("[{}]\n", entries.join(",\n"))
}

/// An annotation file; the picture ids don't follow the frames, the file names do.
pub fn coco_annotations(clip: &Seen) -> String {
    let id = |frame: usize| 1000 - 7 * frame;
    let images: Vec<String> = (0..clip.len())
        .map(|frame| {
            format!(
                r#"{{"id":{},"file_name":"turn_{frame:04}.png","width":1920,"height":1080}}"#,
                id(frame)
            )
        })
        .collect();
    let annotations: Vec<String> = clip
        .iter()
        .enumerate()
        .map(|(frame, points)| {
            let list: Vec<String> = points[..17]
                .iter()
                .enumerate()
                .map(|(index, point)| match point {
                    Some([x, y]) => format!("{x:.2},{y:.2},{}", if index == 4 { 1 } else { 2 }),
                    None => "0,0,0".to_owned(),
                })
                .collect();
            format!(
                r#"{{"id":{frame},"image_id":{},"category_id":1,"iscrowd":0,"num_keypoints":17,"bbox":[0,0,10,10],"area":100,"keypoints":[{}]}}"#,
                id(frame),
                list.join(",")
            )
        })
        .collect();
    let names: Vec<String> = Landmark::ALL[..17]
        .iter()
        .map(|landmark| format!("{:?}", landmark.id()))
        .collect();
    format!(
        "{{\"info\":{{\"description\":\"invented stick figure\"}},\n\"images\":[{}],\n\"annotations\":[{}],\n\"categories\":[{{\"id\":1,\"name\":\"person\",\"keypoints\":[{}],\"skeleton\":[]}}]}}\n",
        images.join(",\n"),
        annotations.join(",\n"),
        names.join(",")
    )
}

/// One frame with flat triples of each person.
pub fn people_frame(people: &[Seen], frame: usize, layout: &str, key: &str) -> String {
    let list: Vec<String> = people
        .iter()
        .filter(|person| person[frame].iter().any(Option::is_some))
        .map(|person| {
            format!(
                r#"{{"person_id":[-1],"{key}":[{}]}}"#,
                triples(&person[frame], &builtin(layout))
            )
        })
        .collect();
    format!("{{\"version\":1.0,\"people\":[{}]}}\n", list.join(","))
}

/// A list of frames with 33 point objects in shares of the picture, times in ms.
pub fn frames_of_objects(clip: &Seen, rate_hz: f64) -> String {
    let layout = builtin("points-33");
    let frames: Vec<String> = clip
        .iter()
        .enumerate()
        .map(|(frame, points)| {
            let list: Vec<String> = layout
                .iter()
                .map(
                    |landmark| match landmark.map_or(points[0], |landmark| points[landmark.index()]) {
                        Some([x, y]) => format!(
                            r#"{{"x":{:.6},"y":{:.6},"z":-0.1,"visibility":{SCORE}}}"#,
                            x / 1920.0,
                            y / 1080.0
                        ),
                        None => "null".to_owned(),
                    },
                )
                .collect();
            let time = 1000.0 * frame as f64 / rate_hz;
            format!(
                r#"{{"index":{frame},"timestamp_ms":{time:.4},"landmarks":[{}]}}"#,
                list.join(",")
            )
        })
        .collect();
    format!(
        "{{\"video\":{{\"width\":1920,\"height\":1080,\"fps\":{rate_hz}}},\n\"frames\":[{}]}}\n",
        frames.join(",\n")
    )
}

/// A list of frames with named points, px; points not seen are left out.
pub fn frames_of_names(clip: &Seen, rate_hz: f64) -> String {
    let frames: Vec<String> = clip
        .iter()
        .enumerate()
        .map(|(frame, points)| {
            let list: Vec<String> = Landmark::ALL
                .iter()
                .filter_map(|landmark| {
                    let [x, y] = points[landmark.index()]?;
                    let name = camel(landmark.id());
                    Some(format!(r#""{name}":{{"x":{x:.2},"y":{y:.2},"confidence":{SCORE}}}"#))
                })
                .collect();
            format!(
                r#"{{"frame":{},"time":{:.5},{}}}"#,
                frame + 10,
                frame as f64 / rate_hz,
                list.join(",")
            )
        })
        .collect();
    format!("[{}]\n", frames.join(",\n"))
}

fn camel(id: &str) -> String {
    let mut name = String::new();
    for word in id.split('_') {
        let (first, rest) = word.split_at(1);
        name.push_str(&if name.is_empty() {
            word.to_owned()
        } else {
            first.to_uppercase() + rest
        });
    }
    name
}

/// A line for each point.
pub fn long_table(clip: &Seen, rate_hz: f64) -> String {
    let mut text = "frame,time,person,point,x,y,score\n".to_owned();
    for (frame, points) in clip.iter().enumerate() {
        for landmark in &Landmark::ALL[..17] {
            let time = frame as f64 / rate_hz;
            text += &match points[landmark.index()] {
                Some([x, y]) => format!("{frame},{time:.5},1,{},{x:.2},{y:.2},{SCORE}\n", landmark.id()),
                None => format!("{frame},{time:.5},1,{},,,\n", landmark.id()),
            };
        }
    }
    text
}

/// A line for each frame, set apart by semicolons, decimal comma.
pub fn wide_table(clip: &Seen) -> String {
    let mut text = "frame".to_owned();
    for landmark in Landmark::ALL {
        text += &format!(";{0}_x;{0}_y;{0}_likelihood", landmark.id());
    }
    text.push('\n');
    for (frame, points) in clip.iter().enumerate() {
        text += &format!("{}", 2 * frame);
        for point in points {
            text += &match point {
                Some([x, y]) => format!(";{x:.2};{y:.2};{SCORE}").replace('.', ","),
                None => ";;;".to_owned(),
            };
        }
        text.push('\n');
    }
    text
}

/// A form that nobody uses: needs a layout file.
pub fn odd_tool(people: &[Seen]) -> String {
    let order = odd_order();
    let samples: Vec<String> = (0..people[0].len())
        .map(|frame| {
            let list: Vec<String> = people
                .iter()
                .enumerate()
                .map(|(number, person)| {
                    let pairs: Vec<String> = order
                        .iter()
                        .map(
                            |landmark| match landmark.and_then(|landmark| person[frame][landmark.index()]) {
                                Some([x, y]) => format!("{x:.2},{y:.2}"),
                                None => "-1,-1".to_owned(),
                            },
                        )
                        .collect();
                    let sure: Vec<String> = order.iter().map(|_| "91".to_owned()).collect();
                    format!(
                        r#"{{"no":{},"body":{{"xy":[{}],"sure":[{}]}}}}"#,
                        number + 1,
                        pairs.join(","),
                        sure.join(",")
                    )
                })
                .collect();
            format!(
                r#"{{"n":{},"us":{},"who":[{}]}}"#,
                frame,
                frame * 20_000,
                list.join(",")
            )
        })
        .collect();
    format!(
        "{{\"camera\":{{\"size\":[1920,1080]}},\n\"samples\":[{}]}}\n",
        samples.join(",\n")
    )
}

/// Points of [`odd_tool`]: the limbs, with a point of no use in the middle.
pub fn odd_order() -> Vec<Option<Landmark>> {
    let mut order: Vec<Option<Landmark>> = Landmark::ALL[5..17].iter().copied().map(Some).collect();
    order.insert(6, None);
    order
}

/// Its layout file.
pub fn odd_layout() -> String {
    let points: Vec<String> = odd_order()
        .iter()
        .map(|landmark| format!("\"{}\"", landmark.map_or("-", Landmark::id)))
        .collect();
    format!(
        r#"format = "springline-layout"
version = 1
name = "limbs-13"
about = "limbs only, scores in percent"
points = [{}]
unit = "px"
score_range = [0, 100]
missing_value = -1

[json]
frames = "samples[*]"
frame = "n"
time = "us"
time_unit = "us"
people = "who[*]"
person = "no"
points = "body.xy"
numbers = ["x", "y"]
scores = "body.sure"
width = "camera.size[0]"
height = "camera.size[1]"
"#,
        points.join(", ")
    )
}
