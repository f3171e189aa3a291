//! A camera set-up: what is marked once in the picture and holds for every clip filmed from there.

use springline_kinematics::Point;

use crate::error::Error;
use crate::{Facing, Given, KnownLength, SurfaceAt};

/// Widths and heights of two pictures of one shape may differ in ratio by this share: sizes are whole px.
const SHAPE_WITHIN: f64 = 0.01;
/// More than this share of the points outside the picture that the marks belong to: the clip has another size.
const OUTSIDE_AT_MOST: f64 = 0.2;

/// Marks of a camera set-up, in px of the picture that they were made in.
#[derive(Clone, Debug, PartialEq)]
pub struct CameraSetup {
    /// The file that it was read from, for messages and outputs.
    pub file: String,
    /// Name of the set-up, for outputs.
    pub name: String,
    /// Free text.
    pub note: Option<String>,
    /// Width and height of the picture that the marks were made in, px.
    pub picture: (f64, f64),
    /// How much the picture's width takes in, degrees.
    pub field_of_view_deg: Option<f64>,
    /// Which way athletes face in the picture.
    pub facing: Option<Facing>,
    /// Two points on the floor line.
    pub floor_line: Option<[(f64, f64); 2]>,
    /// Standard uncertainty per axis of those two points, px.
    pub floor_line_sd_px: Option<f64>,
    /// Metres per px and its relative standard uncertainty.
    pub metres_per_px: Option<(f64, f64)>,
    /// A known length in the plane of motion, from which the scale comes.
    pub known_length: Option<KnownLength>,
    /// A second one, far from the first along the run: it tells whether the camera is square to the run.
    pub second_length: Option<KnownLength>,
    /// The surface under the hands, where it is not the floor of the entry.
    pub hand_surface: Option<SurfaceAt>,
    /// The surface that the feet land on, where it is not the floor of the entry.
    pub foot_surface: Option<SurfaceAt>,
}

/// An entry that a set-up can give for an attempt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SetupEntry {
    /// The floor line.
    FloorLine,
    /// Metres per px.
    MetresPerPx,
    /// The known length.
    KnownLength,
    /// Which way the athlete faces.
    Facing,
    /// The surface under the hands.
    HandSurface,
    /// The landing surface.
    FootSurface,
}

impl SetupEntry {
    /// Words for outputs.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            SetupEntry::FloorLine => "floor line",
            SetupEntry::MetresPerPx => "metres per px",
            SetupEntry::KnownLength => "known length",
            SetupEntry::Facing => "facing",
            SetupEntry::HandSurface => "surface under the hands",
            SetupEntry::FootSurface => "surface under the feet",
        }
    }
}

/// What came of a set-up for one attempt.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupUse {
    /// The set-up with its marks in px of this attempt's picture.
    pub setup: CameraSetup,
    /// The entries that the set-up gave.
    pub gave: Vec<SetupEntry>,
    /// Entries of the set-up that gave way to the attempt's own.
    pub gave_way: Vec<SetupEntry>,
    /// Size of the attempt's picture over that of the set-up's.
    pub enlarged: f64,
    /// The attempt's picture size is known; if not, its px were taken for those of the set-up.
    pub size_known: bool,
}

impl CameraSetup {
    /// The set-up in px of a picture of the same shape.
    ///
    /// # Errors
    /// [`Error::SetupShape`] for a picture of another shape; `clip` stands for the attempt.
    pub fn in_picture(&self, clip: &str, picture: (f64, f64)) -> Result<CameraSetup, Error> {
        let (across, down) = (picture.0 / self.picture.0, picture.1 / self.picture.1);
        let off = (across / down - 1.0).abs();
        if off.is_nan() || off > SHAPE_WITHIN {
            return Err(Error::SetupShape {
                file: clip.to_owned(),
                found: picture,
                setup: self.file.clone(),
                expected: self.picture,
            });
        }
        let both = (across * down).sqrt();
        let place = |(x, y): (f64, f64)| (x * across, y * down);
        let length = |known: KnownLength| KnownLength {
            metres: known.metres,
            ends: known.ends.map(place),
            sd_px: known.sd_px.map(|sd| sd * both),
        };
        let surface = |at| match at {
            SurfaceAt::Marked(mark) => SurfaceAt::Marked(place(mark)),
            SurfaceAt::OverFloorM(height) => SurfaceAt::OverFloorM(height),
        };
        Ok(CameraSetup {
            picture,
            floor_line: self.floor_line.map(|line| line.map(place)),
            floor_line_sd_px: self.floor_line_sd_px.map(|sd| sd * both),
            metres_per_px: self.metres_per_px.map(|(scale, share)| (scale / both, share)),
            known_length: self.known_length.map(length),
            second_length: self.second_length.map(length),
            hand_surface: self.hand_surface.map(surface),
            foot_surface: self.foot_surface.map(surface),
            ..self.clone()
        })
    }

    /// Fills in what an attempt does not give itself. A scale of the attempt's own, as metres per px or as a known
    /// length, goes before both of the set-up's; one from gravity before its metres per px.
    ///
    /// # Inputs
    /// `picture`: the attempt's, px; `points`: its points, to see whether they fit into the set-up's picture where the
    /// attempt's is not known.
    /// # Errors
    /// [`Error::SetupShape`]; [`Error::SetupTooSmall`] where the points show that the picture is a larger one.
    pub(crate) fn fill(
        &self,
        clip: &str,
        picture: Option<(f64, f64)>,
        points: impl Iterator<Item = Point>,
        given: &mut Given,
    ) -> Result<SetupUse, Error> {
        let setup = match picture {
            Some(picture) => self.in_picture(clip, picture)?,
            None => {
                self.holds(clip, points)?;
                self.clone()
            }
        };
        let (mut gave, mut gave_way) = (Vec::new(), Vec::new());
        let mut settle = |entry, there: bool, own: bool| {
            if there {
                if own { &mut gave_way } else { &mut gave }.push(entry);
            }
            there && !own
        };
        if settle(
            SetupEntry::FloorLine,
            setup.floor_line.is_some(),
            given.floor_line.is_some(),
        ) {
            given.floor_line = setup.floor_line;
            given.floor_line_sd_px = setup.floor_line_sd_px;
        }
        let own_scale = given.metres_per_px.is_some() || given.known_length.is_some();
        if settle(
            SetupEntry::MetresPerPx,
            setup.metres_per_px.is_some(),
            own_scale || given.scale_by_gravity,
        ) {
            given.metres_per_px = setup.metres_per_px;
        }
        if settle(SetupEntry::KnownLength, setup.known_length.is_some(), own_scale) {
            given.known_length = setup.known_length;
        }
        if settle(SetupEntry::Facing, setup.facing.is_some(), given.facing.is_some()) {
            given.facing = setup.facing;
        }
        for (entry, of_setup, own) in [
            (SetupEntry::HandSurface, setup.hand_surface, &mut given.hand_surface),
            (SetupEntry::FootSurface, setup.foot_surface, &mut given.foot_surface),
        ] {
            if settle(entry, of_setup.is_some(), own.is_some()) {
                *own = of_setup;
            }
        }
        Ok(SetupUse {
            gave,
            gave_way,
            enlarged: setup.picture.0 / self.picture.0,
            size_known: picture.is_some(),
            setup,
        })
    }

    /// Refuses points that lie outside the set-up's picture in number.
    fn holds(&self, clip: &str, points: impl Iterator<Item = Point>) -> Result<(), Error> {
        let (mut all, mut outside, mut far) = (0_usize, 0_usize, (0.0_f64, 0.0_f64));
        for point in points {
            all += 1;
            outside += usize::from(point.x > self.picture.0 || point.y > self.picture.1);
            far = (far.0.max(point.x), far.1.max(point.y));
        }
        if outside as f64 <= OUTSIDE_AT_MOST * all as f64 {
            return Ok(());
        }
        Err(Error::SetupTooSmall {
            file: clip.to_owned(),
            x: far.0,
            y: far.1,
            setup: self.file.clone(),
            expected: self.picture,
        })
    }
}

impl SetupUse {
    /// Whether the set-up gave this entry.
    #[must_use]
    pub fn gave(&self, entry: SetupEntry) -> bool {
        self.gave.contains(&entry)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hall() -> CameraSetup {
        CameraSetup {
            file: "hall.toml".to_owned(),
            name: "hall".to_owned(),
            note: None,
            picture: (1920.0, 1080.0),
            field_of_view_deg: None,
            facing: Some(Facing::Right),
            floor_line: Some([(100.0, 900.0), (1800.0, 910.0)]),
            floor_line_sd_px: Some(2.0),
            metres_per_px: Some((0.003, 0.01)),
            known_length: Some(KnownLength {
                metres: 1.2,
                ends: [(300.0, 880.0), (700.0, 880.0)],
                sd_px: Some(4.0),
            }),
            second_length: None,
            hand_surface: Some(SurfaceAt::Marked((800.0, 700.0))),
            foot_surface: Some(SurfaceAt::OverFloorM(0.3)),
        }
    }

    #[test]
    fn marks_follow_the_size_of_the_picture() {
        let half = hall().in_picture("turn.json", (960.0, 540.0)).unwrap();
        assert_eq!(half.floor_line, Some([(50.0, 450.0), (900.0, 455.0)]));
        assert_eq!(half.floor_line_sd_px, Some(1.0));
        assert_eq!(half.metres_per_px, Some((0.006, 0.01)));
        assert_eq!(half.known_length.and_then(|known| known.sd_px), Some(2.0));
        assert_eq!(half.hand_surface, Some(SurfaceAt::Marked((400.0, 350.0))));
        assert_eq!(half.foot_surface, Some(SurfaceAt::OverFloorM(0.3)));
        let whole = |setup: &CameraSetup| setup.known_length.and_then(|known| known.scale()).unwrap();
        assert!((whole(&half).0 / whole(&hall()).0 - 2.0).abs() < 1e-12);
        assert!((whole(&half).1 - whole(&hall()).1).abs() < 1e-12);
        // 854 px is 480 px of sixteen ninths, rounded.
        assert!(hall().in_picture("turn.json", (854.0, 480.0)).is_ok());
        for other in [(1080.0, 1920.0), (1440.0, 1080.0), (1920.0, 1200.0), (f64::NAN, 1080.0)] {
            assert!(hall().in_picture("turn.json", other).is_err(), "{other:?}");
        }
        let error = hall()
            .in_picture("turn.json", (1080.0, 1920.0))
            .unwrap_err()
            .to_string();
        assert_eq!(
            error,
            "turn.json: found a picture of 1080 x 1920 px, expected one of the same shape as that of the set-up hall.toml, \
             1920 x 1080 px"
        );
    }

    #[test]
    fn what_the_attempt_gives_itself_goes_first() {
        let nobody = || std::iter::empty();
        let mut given = Given::default();
        let used = hall().fill("turn.json", None, nobody(), &mut given).unwrap();
        assert_eq!(used.gave.len(), 6);
        assert!(used.gave_way.is_empty() && !used.size_known);
        assert_eq!((given.facing, given.floor_line_sd_px), (Some(Facing::Right), Some(2.0)));

        let mut given = Given {
            facing: Some(Facing::Left),
            floor_line: Some([(0.0, 1.0), (9.0, 1.0)]),
            metres_per_px: Some((0.002, 0.01)),
            ..Given::default()
        };
        let used = hall()
            .fill("turn.json", Some((1920.0, 1080.0)), nobody(), &mut given)
            .unwrap();
        assert_eq!(used.gave, [SetupEntry::HandSurface, SetupEntry::FootSurface]);
        assert_eq!(used.gave_way.len(), 4);
        assert_eq!(given.facing, Some(Facing::Left));
        // The sd belongs to the line that was given.
        assert_eq!(given.floor_line_sd_px, None);
        assert_eq!((given.metres_per_px, given.known_length), (Some((0.002, 0.01)), None));

        let mut given = Given {
            scale_by_gravity: true,
            ..Given::default()
        };
        hall().fill("turn.json", None, nobody(), &mut given).unwrap();
        assert!(given.metres_per_px.is_none() && given.known_length.is_some());
    }

    #[test]
    fn points_of_a_larger_picture_are_met() {
        let wide = |count: usize| (0..10).map(move |i| Point::new(if i < count { 3000.0 } else { 500.0 }, 500.0));
        let fill = |count| hall().fill("turn.json", None, wide(count), &mut Given::default());
        assert!(fill(2).is_ok());
        let error = fill(3).unwrap_err().to_string();
        assert_eq!(
            error,
            "turn.json: found points as far as x 3000, y 500 and no picture size, expected points within the picture of the \
             set-up hall.toml, 1920 x 1080 px, or the picture's own size"
        );
        // Where the size is known, the marks are brought to it.
        let known = hall().fill("turn.json", Some((3840.0, 2160.0)), wide(10), &mut Given::default());
        assert!((known.unwrap().enlarged - 2.0).abs() < 1e-12);
    }
}
