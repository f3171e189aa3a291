//! Simulated attempts as files, drawn at random but always the same, and their reviews.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use springline_drills::Catalogue;
use springline_keypoints::{AttemptFile, LeftRight, PointSd, SdPx};
use springline_review::{Reviewed, Reviewer, Settings};
use springline_simulate::{
    Act, BackHandspring, Camera, Cartwheel, Facing, Facts, FlatBack, Group, Handstand, Hop, Layout, LyingHold, Noise,
    Params, Recording, Swap,
};

/// Few cases, the same ones every time, and nothing written down.
pub fn cases(count: u32) -> ProptestConfig {
    ProptestConfig {
        cases: count,
        rng_seed: RngSeed::Fixed(20_260_314),
        failure_persistence: None,
        // A smaller counterexample is no plainer than the first: a scene is told by a few words.
        max_shrink_iters: 0,
        ..ProptestConfig::default()
    }
}

/// What the points are worth, and what the file says of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Points {
    /// Without error; the file gives an sd of 0.
    Exact,
    /// Independent error of so many px, given.
    Independent(f64),
    /// Error correlated from frame to frame, px, given.
    Correlated(f64),
    /// One error for the whole clip, px, given.
    Shared(f64),
    /// Independent error; the file says that the points were clicked.
    Clicked(f64),
    /// One error for the whole clip; the file says nothing, which stands for a pose model.
    Unstated(f64),
}

/// What is done, and the drill that it is reviewed by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    Handspring,
    StepOut,
    BackHandspring,
    Cartwheel,
    Handstand,
    Hop,
    FlatBack,
    Hollow,
}

impl What {
    pub fn drill(self) -> &'static str {
        match self {
            What::Handspring => "handspring-floor",
            What::StepOut => "handspring-step-out-floor",
            What::BackHandspring => "back-handspring",
            What::Cartwheel => "cartwheel",
            What::Handstand => "handstand-deductions",
            What::Hop => "handstand-hop",
            What::FlatBack => "handstand-flat-back",
            What::Hollow => "hollow-hold",
        }
    }

    fn act(self, seed: u64) -> Act {
        let act = match self {
            What::Handspring => Act::handspring(&Params::random(seed)),
            What::StepOut => Act::handspring(&Params {
                step_out: true,
                second_foot_after_s: 0.25,
                ..Params::clean()
            }),
            What::BackHandspring => Act::back_handspring(&BackHandspring::default()),
            What::Cartwheel => Act::cartwheel(&Cartwheel::default()),
            What::Handstand => Act::handstand(&Handstand::default()),
            What::Hop => Act::handstand_hop(&Hop::default()),
            What::FlatBack => Act::flat_back(&FlatBack::default()),
            What::Hollow => Act::lying_hold(&LyingHold::default()),
        };
        act.unwrap_or_else(|error| panic!("{self:?}: {error}"))
    }
}

/// A filmed attempt.
#[derive(Clone, Debug)]
pub struct Scene {
    pub what: What,
    pub seed: u64,
    pub rate_hz: f64,
    pub points: Points,
    pub layout: Layout,
    pub faces_left: bool,
    /// Share of the points that is missing.
    pub lost: f64,
    /// Left and right change places for some frames.
    pub swapped: bool,
    /// The coach marked floor line, facing, near side, scale and stature.
    pub marked: bool,
}

/// Any scene: mostly handsprings of every quality.
pub fn scenes() -> impl Strategy<Value = Scene> {
    use What as W;
    let what = prop_oneof![
        6 => Just(W::Handspring),
        1 => Just(W::StepOut),
        1 => Just(W::BackHandspring),
        1 => Just(W::Cartwheel),
        1 => Just(W::Handstand),
        1 => Just(W::Hop),
        1 => Just(W::FlatBack),
        1 => Just(W::Hollow),
    ];
    let points = prop_oneof![
        Just(Points::Exact),
        (1.5..4.0).prop_map(Points::Independent),
        (1.5..4.0).prop_map(Points::Correlated),
        (1.5..4.0).prop_map(Points::Shared),
        (1.5..3.0).prop_map(Points::Clicked),
        (1.5..4.0).prop_map(Points::Unstated),
    ];
    let rate = prop_oneof![Just(30.0), Just(60.0), Just(120.0)];
    let layout = prop_oneof![Just(Layout::Coco17), Just(Layout::Named23)];
    let lost = prop_oneof![Just(0.0), Just(0.05)];
    (
        what,
        0..10_000_u64,
        rate,
        points,
        layout,
        any::<[bool; 2]>(),
        lost,
        any::<bool>(),
    )
        .prop_map(
            |(what, seed, rate_hz, points, layout, [faces_left, swapped], lost, marked)| Scene {
                what,
                seed,
                rate_hz,
                points,
                layout,
                faces_left,
                lost,
                swapped,
                marked,
            },
        )
}

impl Scene {
    /// The attempt as a file.
    pub fn file(&self) -> AttemptFile {
        let act = self.what.act(self.seed);
        let mut recording = Recording::exact().at_rate(self.rate_hz);
        if self.faces_left {
            recording.camera = Camera::square().facing(Facing::Left);
        }
        recording.dropouts.single = self.lost;
        recording.noise = match self.points {
            Points::Exact => Noise::default(),
            Points::Independent(px) | Points::Clicked(px) => Noise {
                independent_px: px,
                ..Noise::default()
            },
            Points::Correlated(px) => Noise {
                correlated_px: px,
                rho: 0.6,
                ..Noise::default()
            },
            Points::Shared(px) | Points::Unstated(px) => Noise {
                shared_px: px,
                ..Noise::default()
            },
        };
        if self.swapped {
            recording.swaps = vec![Swap {
                group: Group::Legs,
                first: 20,
                last: 26,
            }];
        }
        let facts = if self.marked {
            Facts::measured()
        } else {
            Facts::default()
        };
        let json = act.film(&recording, self.seed).to_attempt_json(self.layout, &facts);
        let mut file: AttemptFile = serde_json::from_str(&json).unwrap();
        match self.points {
            Points::Exact => {
                file.sd = Some(PointSd::Given {
                    px: Some(SdPx::All(0.0)),
                });
            }
            Points::Clicked(_) => {
                file.sd = Some(PointSd::Clicked);
                file.error = None;
            }
            Points::Unstated(_) => {
                file.sd = None;
                file.error = None;
            }
            _ => {}
        }
        file
    }
}

/// Reviews a file by a shipped drill, from its bytes on.
pub fn review(file: &AttemptFile, drill: &str) -> Reviewed {
    review_bytes(&serde_json::to_vec(file).unwrap(), drill)
}

/// Reviews the bytes of a file by a shipped drill.
pub fn review_bytes(bytes: &[u8], drill: &str) -> Reviewed {
    let catalogue = Catalogue::shipped();
    let mut reviewer = Reviewer::new(&catalogue, Settings::default());
    reviewer
        .review_bytes("attempt.json", bytes, catalogue.drill(drill).unwrap())
        .unwrap()
}

/// Moves every place of the file by the same map: points and floor line.
fn mapped(file: &AttemptFile, map: impl Fn([f64; 2]) -> [f64; 2]) -> AttemptFile {
    let mut moved = file.clone();
    for frame in &mut moved.frames.0 {
        for point in frame.points.iter_mut().flatten() {
            *point = map(*point);
        }
    }
    if let Some(line) = &mut moved.given.floor_line {
        *line = line.map(map);
    }
    moved
}

/// The athlete elsewhere in the picture.
pub fn shifted(file: &AttemptFile, [x, y]: [f64; 2]) -> AttemptFile {
    mapped(file, |place| [place[0] + x, place[1] + y])
}

/// The camera turned about its axis, degrees.
pub fn turned(file: &AttemptFile, degrees: f64) -> AttemptFile {
    let (sin, cos) = degrees.to_radians().sin_cos();
    mapped(file, |[x, y]| {
        let (x, y) = (x - 960.0, y - 540.0);
        [960.0 + cos * x + sin * y, 540.0 - sin * x + cos * y]
    })
}

/// A picture `scale` times as large.
pub fn scaled(file: &AttemptFile, scale: f64) -> AttemptFile {
    let mut scaled = mapped(file, |place| place.map(|number| number * scale));
    if let Some(picture) = &mut scaled.picture {
        picture.width *= scale;
        picture.height *= scale;
    }
    if let Some(PointSd::Given {
        px: Some(SdPx::All(px)),
    }) = &mut scaled.sd
    {
        *px *= scale;
    }
    let given = &mut scaled.given;
    for length in [&mut given.floor_line_sd_px, &mut given.stature_px] {
        *length = length.map(|px| px * scale);
    }
    for metres in [&mut given.metres_per_px, &mut given.metres_per_px_sd] {
        *metres = metres.map(|metres| metres / scale);
    }
    scaled
}

/// The picture seen in a mirror; the athlete's left stays what is called left.
pub fn mirrored(file: &AttemptFile) -> AttemptFile {
    let mut mirrored = mapped(file, |[x, y]| [1920.0 - x, y]);
    mirrored.given.facing = file.given.facing.map(other);
    mirrored
}

/// What was called left is called right.
pub fn sides_exchanged(file: &AttemptFile) -> AttemptFile {
    let mut exchanged = file.clone();
    for name in &mut exchanged.points {
        *name = if let Some(joint) = name.strip_prefix("left_") {
            format!("right_{joint}")
        } else if let Some(joint) = name.strip_prefix("right_") {
            format!("left_{joint}")
        } else {
            name.clone()
        };
    }
    exchanged.given.near_side = file.given.near_side.map(other);
    exchanged
}

fn other(side: LeftRight) -> LeftRight {
    match side {
        LeftRight::Left => LeftRight::Right,
        LeftRight::Right => LeftRight::Left,
    }
}

/// The clock started earlier, by so many s.
pub fn later(file: &AttemptFile, seconds: f64) -> AttemptFile {
    let mut later = file.clone();
    for frame in &mut later.frames.0 {
        frame.t = frame.t.map(|t| t + seconds);
    }
    for time in later.given.events.values_mut() {
        *time += seconds;
    }
    later
}

/// The film run backwards.
pub fn backwards(file: &AttemptFile) -> AttemptFile {
    let mut backwards = file.clone();
    let frames = &mut backwards.frames.0;
    let ends = frames.first().and_then(|frame| frame.t).unwrap() + frames.last().and_then(|frame| frame.t).unwrap();
    frames.reverse();
    for frame in frames {
        frame.t = frame.t.map(|t| ends - t);
    }
    backwards
}

/// Points named in another order: that of `order`'s numbers.
pub fn reordered(file: &AttemptFile, order: &[u64]) -> AttemptFile {
    let mut places: Vec<usize> = (0..file.points.len()).collect();
    places.sort_by_key(|place| order[place % order.len()].wrapping_mul(*place as u64 * 2 + 1));
    let mut reordered = file.clone();
    reordered.points = places.iter().map(|place| file.points[*place].clone()).collect();
    for (frame, old) in reordered.frames.0.iter_mut().zip(&file.frames.0) {
        frame.points = places.iter().map(|place| old.points[*place]).collect();
        frame.score = old
            .score
            .as_ref()
            .map(|scores| places.iter().map(|place| scores[*place]).collect());
    }
    reordered
}
