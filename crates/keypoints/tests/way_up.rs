//! Which way is up: y that points up by the layout, and pictures that don't seem to be upright.

#![allow(clippy::unwrap_used)]

mod figure;

use serde_json::{Value, json};
use springline_keypoints::{Attempt, Given, ImportOptions, Layout, SurfaceAt, import_bytes};
use springline_kinematics::Landmark;
use springline_simulate::{
    Act, BackHandspring, Bounce, BridgeHold, Cartwheel, FlatBack, ForwardFall, Handstand, Hop, LyingHold, Params,
    Recording,
};

const HEAD: &str = "the body stands on its head for most of the clip";
const SIDE: &str = "the body lies on its side where it should stand; the picture may be turned by 90 degrees";
const HEIGHT: f64 = 1080.0;

type Place = [f64; 2];

/// An act as a long table, each place put through `turn`.
fn table(act: &Act, recording: &Recording, seed: u64, turn: impl Fn(Place) -> Place) -> String {
    let tracks = act.film(recording, seed).tracks;
    let mut text = "frame,point,x,y\n".to_owned();
    for frame in 0..tracks.len() {
        for landmark in Landmark::ALL {
            if let Some(point) = tracks.at(landmark, frame) {
                let [x, y] = turn([point.x, point.y]);
                text += &format!("{frame},{},{x},{y}\n", landmark.id());
            }
        }
    }
    text
}

fn imported(text: &str, options: &ImportOptions) -> Attempt {
    import_bytes("turn.csv", text.as_bytes(), options).unwrap_or_else(|error| panic!("{error}"))
}

fn at_60() -> ImportOptions {
    ImportOptions {
        rate_hz: Some(60.0),
        ..ImportOptions::default()
    }
}

/// Whether the import says that the picture stands on its head or lies on its side.
fn told(attempt: &Attempt) -> Option<&'static str> {
    let says = |words: &str| attempt.remarks.iter().any(|remark| remark.starts_with(words));
    [HEAD, SIDE].into_iter().find(|words| says(words))
}

fn upright(place: Place) -> Place {
    place
}

fn y_up([x, y]: Place) -> Place {
    [x, HEIGHT - y]
}

fn handspring() -> Act {
    Act::handspring(&Params::clean()).unwrap()
}

fn y_layout(direction: &str) -> Option<Layout> {
    let text = format!(
        "format = \"springline-layout\"\nversion = 1\nname = \"named\"\ny = \"{direction}\"\n[names]\n{}",
        Landmark::ALL
            .iter()
            .map(|landmark| format!("{0} = \"{0}\"\n", landmark.id()))
            .collect::<String>()
    );
    Some(Layout::from_toml("named.toml", &text).unwrap())
}

/// Every point of the one lies `by` px below the other's, and where it was from left to right.
fn same_but_lower(one: &Attempt, other: &Attempt, by: f64) {
    assert_eq!(one.tracks.len(), other.tracks.len());
    for landmark in Landmark::ALL {
        for frame in 0..one.tracks.len() {
            let (a, b) = (one.tracks.at(landmark, frame), other.tracks.at(landmark, frame));
            let (a, b) = (a.unwrap(), b.unwrap());
            assert!(
                (a.x - b.x).abs() < 1e-9 && (a.y - b.y - by).abs() < 1e-9,
                "{}, frame {frame}: {a} {b}",
                landmark.id()
            );
        }
    }
}

#[test]
fn y_up_by_the_layout_is_counted_from_the_lower_edge() {
    let act = handspring();
    let plain = imported(&table(&act, &Recording::exact(), 7, upright), &at_60());
    let floor = Given {
        floor_line: Some([(0.0, 931.0), (1920.0, 929.0)]),
        hand_surface: Some(SurfaceAt::Marked((640.0, 930.0))),
        ..Given::default()
    };
    let up = table(&act, &Recording::exact(), 7, y_up);
    let options = ImportOptions {
        layout: y_layout("up"),
        picture: Some((1920.0, HEIGHT)),
        given: floor.clone(),
        ..at_60()
    };
    let turned = imported(&up, &options);
    same_but_lower(&turned, &plain, 0.0);
    assert_eq!(turned.remarks, [""; 0]);
    // What is marked in the picture stays as it was marked.
    assert_eq!(turned.given.floor_line, floor.floor_line);
    assert_eq!(turned.given.hand_surface, floor.hand_surface);
    // `down` is what is meant without the key.
    let down = ImportOptions {
        layout: y_layout("down"),
        ..options
    };
    same_but_lower(
        &imported(&table(&act, &Recording::exact(), 7, upright), &down),
        &plain,
        0.0,
    );
}

#[test]
fn y_up_without_the_picture_size_is_told() {
    let act = handspring();
    let plain = imported(&table(&act, &Recording::exact(), 7, upright), &at_60());
    let options = ImportOptions {
        layout: y_layout("up"),
        ..at_60()
    };
    let turned = imported(&table(&act, &Recording::exact(), 7, y_up), &options);
    let highest = Landmark::ALL
        .iter()
        .flat_map(|landmark| plain.tracks.track(*landmark).positions.iter().flatten())
        .map(|point| point.y)
        .fold(f64::INFINITY, f64::min);
    same_but_lower(&turned, &plain, -highest);
    assert_eq!(
        turned.remarks,
        [
            "y points up and the picture's size is not known, so y counts down from the highest point; give the picture \
             size where a floor line or marks in the picture are given"
        ]
    );
}

/// Shares of the picture, in JSON of a form that is found without help.
#[test]
fn y_up_in_shares_of_the_picture() {
    let tracks = handspring().film(&Recording::exact(), 7).tracks;
    let frames: Vec<Value> = (0..tracks.len())
        .map(|frame| {
            let points = Landmark::ALL[..17].iter().map(|landmark| {
                let point = tracks.at(*landmark, frame).unwrap();
                json!([point.x / 1920.0, 1.0 - point.y / HEIGHT])
            });
            Value::from(points.collect::<Vec<_>>())
        })
        .collect();
    let text = "format = \"springline-layout\"\nversion = 1\nname = \"up\"\npoints = \"coco-17\"\ny = \"up\"\n";
    let options = ImportOptions {
        layout: Some(Layout::from_toml("up.toml", text).unwrap()),
        picture: Some((1920.0, HEIGHT)),
        ..at_60()
    };
    let attempt = import_bytes("up.json", json!(frames).to_string().as_bytes(), &options).unwrap();
    for frame in 0..tracks.len() {
        let wanted = tracks.at(Landmark::LeftWrist, frame).unwrap();
        let found = attempt.tracks.at(Landmark::LeftWrist, frame).unwrap();
        assert!((found - wanted).norm() < 1e-9, "frame {frame}: {found} {wanted}");
    }
}

#[test]
fn another_direction_is_refused() {
    let text = "format = \"springline-layout\"\nversion = 1\nname = \"n\"\npoints = \"coco-17\"\ny = \"left\"\n";
    let error = Layout::from_toml("n.toml", text).unwrap_err().to_string();
    assert!(
        error.contains("line 5, column 5: found \"left\", expected \"down\" or \"up\""),
        "{error}"
    );
}

#[test]
fn a_handspring_on_its_head_or_its_side_is_told() {
    let act = handspring();
    for recording in [Recording::exact(), Recording::exact().noisy(3.0)] {
        let seen = |turn: fn(Place) -> Place| told(&imported(&table(&act, &recording, 7, turn), &at_60()));
        assert_eq!(seen(upright), None);
        assert_eq!(seen(y_up), Some(HEAD));
        assert_eq!(seen(|[x, y]| [1920.0 - x, HEIGHT - y]), Some(HEAD));
        assert_eq!(seen(|[x, y]| [HEIGHT - y, x]), Some(SIDE));
        assert_eq!(seen(|[x, y]| [y, 1920.0 - x]), Some(SIDE));
    }
}

/// A camera turned by less than a quarter is no matter where a floor line tells which way is up.
#[test]
fn up_is_told_from_the_floor_line() {
    let act = handspring();
    for degrees in [-75.0, -50.0, -20.0, 20.0, 50.0, 75.0_f64] {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let turned = |[x, y]: Place| [cos * x - sin * y, sin * x + cos * y];
        let import = |turn: &dyn Fn(Place) -> Place, ends: [Place; 2]| {
            let given = Given {
                floor_line: Some(ends.map(|[x, y]| (x, y))),
                ..Given::default()
            };
            let text = table(&act, &Recording::exact(), 7, turn);
            told(&imported(&text, &ImportOptions { given, ..at_60() }))
        };
        let floor = [[0.0, 930.0], [1920.0, 930.0]].map(turned);
        for ends in [floor, [floor[1], floor[0]]] {
            assert_eq!(import(&turned, ends), None, "{degrees}");
            let over = if degrees.abs() < 45.0 { HEAD } else { SIDE };
            assert_eq!(import(&|place| turned(y_up(place)), ends), Some(over), "{degrees}");
        }
    }
    // A floor marked up the picture, as good as upright: that isn't y that points up.
    for x in [149.0, 150.0, 151.0] {
        let given = Given {
            floor_line: Some([(150.0, 0.0), (x, 1080.0)]),
            ..Given::default()
        };
        for turn in [|[x, y]: Place| [HEIGHT - y, x], |[x, y]: Place| [y, 1920.0 - x]] {
            let text = table(&act, &Recording::exact(), 7, turn);
            let given = given.clone();
            assert_ne!(
                told(&imported(&text, &ImportOptions { given, ..at_60() })),
                Some(HEAD),
                "{x}"
            );
        }
    }
}

/// A layout can't turn an attempt file, so that isn't what is proposed for one.
#[test]
fn an_attempt_file_on_its_head_is_told() {
    let mut clip = figure::film(figure::over_the_hands, figure::DURATION, 60.0);
    clip.iter_mut().flatten().for_each(|place| *place = y_up(*place));
    let file = figure::attempt_file(&figure::seen(&clip, 1.0, 0.0, 3), 60.0);
    let text = serde_json::to_string(&file).unwrap();
    let attempt = import_bytes("turn.json", text.as_bytes(), &ImportOptions::default()).unwrap();
    assert_eq!(
        attempt.remarks.last().unwrap(),
        "the body stands on its head for most of the clip: does y point up in this file? In an attempt file y points down"
    );
}

#[test]
fn no_upright_clip_is_told_of() {
    type Made = Result<Act, springline_simulate::Error>;
    let mut acts: Vec<(String, Made)> = Vec::new();
    type Seeded = fn(u64) -> Made;
    let seeded: [(&str, Seeded); 4] = [
        ("jump", Act::standing_jump),
        ("somersault", Act::back_somersault),
        ("walk", Act::walk),
        ("roll", Act::forward_roll),
    ];
    for seed in 0..15 {
        acts.extend(seeded.iter().map(|(name, make)| (format!("{name} {seed}"), make(seed))));
    }
    acts.push(("handspring".into(), Act::handspring(&Params::clean())));
    acts.push(("handstand".into(), Act::handstand(&Handstand::default())));
    let long = Handstand {
        hold_s: 20.0,
        ..Handstand::default()
    };
    acts.push(("long handstand".into(), Act::handstand(&long)));
    acts.push(("hop".into(), Act::handstand_hop(&Hop::default())));
    acts.push(("flat back".into(), Act::flat_back(&FlatBack::default())));
    acts.push(("fall".into(), Act::forward_fall(&ForwardFall::default())));
    acts.push(("support".into(), Act::front_support_bounce(&Bounce::default())));
    let back = BackHandspring::default();
    acts.push(("back handspring".into(), Act::back_handspring(&back)));
    acts.push(("cartwheel".into(), Act::cartwheel(&Cartwheel::default())));
    acts.push(("hollow".into(), Act::lying_hold(&LyingHold::default())));
    acts.push(("bridge".into(), Act::bridge_hold(&BridgeHold::default())));
    for (name, act) in acts {
        let act = act.unwrap_or_else(|error| panic!("{name}: {error}"));
        for recording in [Recording::exact(), Recording::exact().noisy(3.0)] {
            let text = table(&act, &recording, 11, upright);
            let attempt = imported(&text, &at_60());
            assert_eq!(told(&attempt), None, "{name}");
            // Nor of a part of the clip, such as the hold of a handstand alone.
            let end = attempt.tracks.times[attempt.tracks.len() - 1];
            for (from, to) in [(0.0, 0.5), (0.25, 0.75), (0.5, 1.0), (0.4, 0.6)] {
                let options = ImportOptions {
                    from_s: Some(from * end),
                    to_s: Some(to * end),
                    ..at_60()
                };
                assert_eq!(told(&imported(&text, &options)), None, "{name}, {from} to {to}");
            }
        }
    }
}

#[test]
fn no_handspring_of_fifty_seeds_is_told_of() {
    let act = handspring();
    for seed in 0..50 {
        for recording in [
            Recording::exact(),
            Recording::exact().noisy(3.0),
            Recording::exact().noisy(12.0),
        ] {
            let attempt = imported(&table(&act, &recording, seed, upright), &at_60());
            assert_eq!(told(&attempt), None, "seed {seed}");
            let attempt = imported(&table(&act, &recording, seed, y_up), &at_60());
            assert_eq!(told(&attempt), Some(HEAD), "seed {seed}");
        }
    }
}
