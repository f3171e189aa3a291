//! Pure planar kinematics of a gymnast going upside down. It touches no file, clock or thread, and every draw is seeded.
//!
//! # Two minutes
//!
//! An angle from three points. The plane is the gym plane: X the way the athlete faces, Y up, any one unit of length;
//! joint angles are included angles, 180° straight.
//!
//! ```
//! use springline_kinematics::{Point, joint_angles};
//!
//! let (hip, shoulder) = (Point::new(0.0, 1.0), Point::new(0.0, 1.5));
//! let opening = |elbow| joint_angles::shoulder_opening(hip, shoulder, elbow).map(|angle| angle.degrees().round());
//! assert_eq!(opening(Point::new(0.0, 1.8)), Some(180.0)); // arm overhead, in line with the trunk
//! assert_eq!(opening(Point::new(0.3, 1.5)), Some(90.0)); // straight out in front
//! assert_eq!(opening(shoulder), None); // no length, no direction
//! ```
//!
//! A whole attempt: points of every frame in, events and values with their uncertainty out. Points come in the image
//! plane (px, y down); a [`trial::Trial`] turns them upright and to face +X, finds the leg length and the events. Here
//! the points of a demo attempt (synthetic) are put into [`Tracks`] by hand; crate `springline-keypoints` does that for
//! any pose tool's file.
//!
//! ```
//! use springline_kinematics::trial::{Settings, Statistic, Trial};
//! use springline_kinematics::{EventKind, Landmark, Measure, Phase, Point, Side, TemporalError, Tracks, Unit};
//!
//! # let text = include_str!("../../../fixtures/demo/b-hands-near-feet.json");
//! # let file: serde_json::Value = serde_json::from_str(text)?;
//! # let frames = file["frames"].as_array().expect("frames");
//! # let times = frames.iter().filter_map(|frame| frame["t"].as_f64()).collect();
//! # let names = file["points"].as_array().expect("names").iter().filter_map(|name| name.as_str());
//! # let paths: Vec<(&str, Vec<Option<[f64; 2]>>)> = names
//! #     .enumerate()
//! #     .map(|(index, name)| {
//! #         let point = |frame: &serde_json::Value| serde_json::from_value(frame["points"][index].clone());
//! #         frames.iter().map(point).collect::<Result<_, _>>().map(|path| (name, path))
//! #     })
//! #     .collect::<Result<_, _>>()?;
//! // `times`: seconds of each frame; `paths`: for each landmark its name and [x, y] or nothing, frame by frame.
//! let mut tracks = Tracks::new(times, TemporalError::Independent);
//! for (name, path) in paths {
//!     let track = tracks.track_mut(Landmark::from_id(name).expect("a landmark"));
//!     track.positions = path.iter().map(|point| point.map(|[x, y]| Point::new(x, y))).collect();
//!     track.sd = vec![1.0; path.len()]; // each coordinate is good to 1 px
//! }
//! let trial = Trial::new(tracks, &Settings::default())?;
//!
//! // When the hands come down, and how sure that is.
//! let placed = trial.found().event(EventKind::HandPlacement).expect("a handspring");
//! let left = trial.found().event(EventKind::HandDeparture).expect("off the hands again");
//! assert!(placed.time < left.time && placed.sd < 0.01);
//!
//! // How far the shoulders are open then (this figure was drawn with 138°). `true`: a contact begins at that instant.
//! let opening = trial.at(Measure::ShoulderOpening, Side::Right, placed.time, placed.sd, true, Unit::Degrees)?;
//! assert!((opening.value - 138.0).abs() < 2.0 * opening.sd && opening.sd < 1.5);
//!
//! // The same over a phase, and what is taken once for an attempt.
//! let least = trial.over(Measure::KneeAngle, Side::Left, Phase::Flight, Statistic::Least, Unit::Degrees)?;
//! assert!(least.value > 150.0);
//! let reach = trial.once(Measure::HandToFootDistance, Unit::LegLengths)?;
//! assert!((reach.value - 0.55).abs() < 0.02);
//!
//! // What was not seen is an error with its reason, never a number.
//! let rise = trial.once(Measure::RiseAfterDeparture, Unit::Metres).unwrap_err();
//! assert_eq!(rise.to_string(), "no scale: give a known length");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # What is where
//!
//! Plain functions: [`joint_angles`], [`segments`], [`mass`], [`ballistics`], [`smoothing`], [`uncertainty`], and the table
//! [`range_of_motion`]. From points to an attempt: [`gym_plane`] turns, [`series`] bridges and smooths, [`events`] finds
//! when what happens, [`trial`] measures. [`Measure`] is the catalogue, [`Phase`] and [`EventKind`] name the times. What a
//! value means against a band is for crate `springline-assess`.

mod contact;
mod event_kind;
mod landmark;
mod measure;
mod tracks;
mod units;

pub mod ballistics;
pub mod events;
pub mod gym_plane;
pub mod joint_angles;
pub mod mass;
pub mod range_of_motion;
pub mod segments;
pub mod series;
pub mod smoothing;
pub mod trial;
pub mod uncertainty;

pub use contact::{Contact, Instant};
pub use event_kind::{EventKind, Phase};
pub use landmark::{Joint, Landmark, Side};
pub use measure::{Measure, Taken};
pub use tracks::{TemporalError, Track, Tracks};
pub use units::{Angle, Seconds, Uncertain, Unit};

/// A point of the plane, px.
pub type Point = nalgebra::Point2<f64>;
/// A displacement in the plane, px.
pub type Vector = nalgebra::Vector2<f64>;
