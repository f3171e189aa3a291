//! Simulated motions filmed with what comes before and after, and reviewed by a drill.

use crate::draws::Draws;
use springline_assess::{Assessment, assess, search_of};
use springline_drills::{Catalogue, Drill, View};
use springline_kinematics::gym_plane::FloorLine;
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::{Settings, Trial};
use springline_kinematics::{EventKind, Joint, Landmark, Point, Side, TemporalError, Tracks, Uncertain};
use springline_simulate::{Act, Camera, Facing, Recording, Truth};

/// What the figure does before and after the motion itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Extra {
    /// The clip holds nothing else.
    None,
    /// It stays as it is for so many seconds.
    Still(f64),
    /// It walks, for so many seconds, in or away.
    Walk(f64),
}

impl Extra {
    fn seconds(self) -> f64 {
        match self {
            Extra::None => 0.0,
            Extra::Still(s) | Extra::Walk(s) => s,
        }
    }
}

/// How a motion is filmed.
#[derive(Clone, Copy, Debug)]
pub struct Film {
    pub rate_hz: f64,
    pub noise_px: f64,
    pub facing: Facing,
    pub before: Extra,
    pub after: Extra,
    /// The shoulders sink by so many leg lengths before the hands leave and come up with the push: the figure has no
    /// shoulder girdle of its own.
    pub girdle: f64,
    /// Only this stretch of the clip is kept, s.
    pub cut: Option<(f64, f64)>,
    pub seed: u64,
}

impl Film {
    /// Exact points at 60 frames per second, nothing before or after.
    pub fn exact() -> Self {
        Self {
            rate_hz: 60.0,
            noise_px: 0.0,
            facing: Facing::Right,
            before: Extra::None,
            after: Extra::None,
            girdle: 0.0,
            cut: None,
            seed: 1,
        }
    }
}

/// A filmed motion with the truth behind it.
pub struct Clip {
    pub tracks: Tracks,
    pub truth: Truth,
}

/// The pose turns into another within this, s.
const TURNS_S: f64 = 0.4;

type Picture = [Point; Landmark::COUNT];

/// Films an act. The same arguments give the same clip.
pub fn film(act: &Act, how: Film) -> Clip {
    let mut recording = Recording::exact();
    recording.camera = Camera::square().facing(how.facing);
    let truth = act.film(&recording, how.seed).truth;
    let (start, end) = truth.span();
    let (first, last) = how
        .cut
        .unwrap_or((start - how.before.seconds(), end + how.after.seconds()));
    let mut draws = Draws::new(how.seed);
    let interval = 1.0 / how.rate_hz;
    let offset = draws.unit();
    let times: Vec<f64> = (0..)
        .map(|k| first + (f64::from(k) + offset) * interval)
        .take_while(|t| *t <= last)
        .collect();
    let walk = Act::walk(how.seed).expect("a walk is possible").truth();
    let pictures: Vec<Picture> = times
        .iter()
        .map(|&t| {
            if t < start {
                beside(&truth, &walk, start, t, how.before)
            } else if t > end {
                beside(&truth, &walk, end, t, how.after)
            } else {
                pushed(&truth, t, how.girdle)
            }
        })
        .collect();
    let mut tracks = Tracks::new(times, TemporalError::Independent);
    for landmark in Landmark::ALL {
        let positions = pictures
            .iter()
            .map(|picture| {
                let noise = springline_kinematics::Vector::new(draws.normal(), draws.normal()) * how.noise_px;
                Some(picture[landmark.index()] + noise)
            })
            .collect();
        let track = tracks.track_mut(landmark);
        track.positions = positions;
        track.sd = vec![how.noise_px as f32; pictures.len()];
    }
    Clip { tracks, truth }
}

/// The picture at `t` with the shoulders sunk by up to `girdle` leg lengths while the hands push.
fn pushed(truth: &Truth, t: f64, girdle: f64) -> Picture {
    let mut picture = truth.picture(t);
    if girdle == 0.0 {
        return picture;
    }
    let off = truth.event(EventKind::HandDeparture).expect("hands that leave");
    // Down within 0.12 s, up again by the departure.
    let sunk = (((t - off + 0.30) / 0.12).clamp(0.0, 1.0)).min(((off - t) / 0.12).clamp(0.0, 1.0));
    let leg = truth.leg_m() * truth.view().camera.px_per_m();
    for side in Side::BOTH {
        picture[Landmark::of(Joint::Shoulder, side).index()].y += girdle * sunk * leg;
    }
    picture
}

/// The picture at a time outside the motion, whose end is `edge`.
fn beside(truth: &Truth, walk: &Truth, edge: f64, t: f64, extra: Extra) -> Picture {
    let own = truth.picture(edge);
    let Extra::Walk(_) = extra else { return own };
    let before = t < edge;
    let (from, to) = walk.span();
    // As long before the end of the walk as the frame is before the motion, or after its beginning.
    let walking = |t: f64| {
        let time = if before { to + (t - edge) } else { from + (t - edge) };
        walk.pose(time.clamp(from, to))
    };
    let share = truth.leg_m() / walk.leg_m();
    // The walk's hips pass where the motion's are at its edge.
    let hip = Landmark::LeftHip;
    let shift = truth.pose(edge).at(hip).x - share * walking(edge).at(hip).x;
    let pose = walking(t);
    let mut picture = own;
    let turned = ((t - edge).abs() / TURNS_S).min(1.0);
    let turned = turned * turned * (3.0 - 2.0 * turned);
    for landmark in Landmark::ALL {
        let there = pose.at(landmark);
        let seen = truth
            .view()
            .project(Point::new(share * there.x + shift, share * there.y), 0.0);
        let place = &mut picture[landmark.index()];
        *place += turned * (seen - *place);
    }
    picture
}

/// A shipped drill.
pub fn drill(id: &str) -> Drill {
    Catalogue::shipped().drill(id).expect("it ships").clone()
}

/// Measured and assessed as a review does, with floor line and scale marked; the facing is found.
pub fn review(clip: &Clip, drill: &Drill) -> (Trial, Assessment) {
    let scale = 1.0 / clip.truth.view().camera.px_per_m();
    let exact = clip
        .tracks
        .track(Landmark::LeftHip)
        .sd
        .first()
        .is_none_or(|sd| *sd == 0.0);
    let settings = Settings {
        smoothing: if exact { Smoothing::Off } else { Smoothing::default() },
        floor: Some(FloorLine {
            points: clip.truth.view().floor_line(),
            sd: 0.5,
        }),
        metres_per_px: Some(Uncertain::new(scale, 0.01 * scale)),
        frontal: drill.view == View::Frontal,
        search: search_of(drill, &[]),
        ..Settings::default()
    };
    let trial = Trial::new(clip.tracks.clone(), &settings).expect("a simulated motion can be measured");
    let assessment = assess(drill, &trial);
    (trial, assessment)
}
