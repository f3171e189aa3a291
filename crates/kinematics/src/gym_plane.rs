//! From the image plane (px, y down) to the gym plane (X the way the athlete faces, Y up).

use crate::{Angle, Joint, Landmark, Point, Side, TemporalError, Tracks, Vector};

/// Standard uncertainty of every direction when the floor line was not marked but assumed level (our choice).
pub const LEVEL_ASSUMED_SD_DEG: f64 = 2.0;

/// A floor line marked in the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FloorLine {
    /// Two points on it, image plane, px.
    pub points: [Point; 2],
    /// Standard uncertainty per axis of each point, px.
    pub sd: f64,
}

/// How the picture was turned upright.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Upright {
    /// Tilt of the floor line that was taken out, anticlockwise in the picture as seen.
    pub tilt: Angle,
    /// Standard uncertainty of that tilt: `√2 s / L` of a marked line, 2° if level was assumed.
    pub tilt_sd: Angle,
    /// Whether level was assumed instead of marked.
    pub assumed_level: bool,
}

impl Upright {
    /// Where a point of the image plane comes to lie.
    #[must_use]
    pub fn turn(&self, in_image: Point) -> Point {
        nalgebra::Rotation2::new(-self.tilt.radians()) * Point::new(in_image.x, -in_image.y)
    }
}

/// Flips y up and turns the floor horizontal, in place.
///
/// # Inputs
/// `tracks` in the image plane; `floor`: the marked floor line, if any. A line of no length counts as unmarked.
/// # Returns
/// What was done. Points keep their unit (px).
pub fn make_upright(tracks: &mut Tracks, floor: Option<FloorLine>) -> Upright {
    let marked = floor.and_then(|line| {
        let mut along = line.points[1] - line.points[0];
        if along.x < 0.0 {
            along = -along;
        }
        let length = along.norm();
        (length > 0.0).then(|| {
            (
                Angle::rad((-along.y).atan2(along.x)),
                Angle::rad(std::f64::consts::SQRT_2 * line.sd / length),
            )
        })
    });
    let assumed_level = marked.is_none();
    let (tilt, tilt_sd) = marked.unwrap_or((Angle::ZERO, Angle::rad(LEVEL_ASSUMED_SD_DEG.to_radians())));
    let turn = nalgebra::Rotation2::new(-tilt.radians());
    for landmark in Landmark::ALL {
        for point in tracks.track_mut(landmark).positions.iter_mut().flatten() {
            *point = turn * Point::new(point.x, -point.y);
        }
    }
    Upright {
        tilt,
        tilt_sd,
        assumed_level,
    }
}

/// Mirrors upright tracks so that an athlete who faced −X faces +X, in place. Left and right stay the athlete's.
pub fn mirror(tracks: &mut Tracks) {
    for landmark in Landmark::ALL {
        for point in tracks.track_mut(landmark).positions.iter_mut().flatten() {
            point.x = -point.x;
        }
    }
}

/// What the body itself says about the way it faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FacingEvidence {
    /// Weighted sum of the signs in standard deviations; positive: faces +X.
    pub score: f64,
    /// Number of cues that were seen in at least one frame (of three).
    pub cues: usize,
}

impl FacingEvidence {
    /// `Some(true)`: faces +X; `Some(false)`: faces −X; `None`: under 2 sd, undecided.
    #[must_use]
    pub fn faces_plus_x(self) -> Option<bool> {
        (self.score.abs() >= 2.0).then_some(self.score > 0.0)
    }
}

/// Which way the athlete faces, from every frame, upright or not: nose ahead of ear, toe ahead of heel (ankle),
/// knees bending to the back; each weighted by its sd.
///
/// # Inputs
/// Upright tracks (Y up), not mirrored.
#[must_use]
pub fn find_facing(tracks: &Tracks) -> FacingEvidence {
    let mut cues = [Cue::default(), Cue::default(), Cue::default()];
    for frame in 0..tracks.len() {
        if let (Some(hip), Some(shoulder), Some(ear), Some(nose)) = (
            tracks.middle(Joint::Hip, frame),
            tracks.middle(Joint::Shoulder, frame),
            tracks.middle(Joint::Ear, frame),
            tracks.at(Landmark::Nose, frame),
        ) {
            let sd = tracks
                .sd_at(Landmark::Nose, frame)
                .hypot(tracks.sd_at(Landmark::LeftEar, frame));
            cues[0].add(ventral_part(shoulder - hip, nose - ear), sd);
        }
        for side in Side::BOTH {
            let at = |joint| tracks.at(Landmark::of(joint, side), frame);
            let sd = |joint| tracks.sd_at(Landmark::of(joint, side), frame);
            if let (Some(knee), Some(ankle), Some(toe)) = (at(Joint::Knee), at(Joint::Ankle), at(Joint::Toe)) {
                let back = at(Joint::Heel).unwrap_or(ankle);
                cues[1].add(
                    ventral_part(knee - ankle, toe - back),
                    sd(Joint::Toe).hypot(sd(Joint::Ankle)),
                );
            }
            if let (Some(hip), Some(knee), Some(ankle)) = (at(Joint::Hip), at(Joint::Knee), at(Joint::Ankle)) {
                let spread = sd(Joint::Knee)
                    .hypot(0.5 * sd(Joint::Hip))
                    .hypot(0.5 * sd(Joint::Ankle));
                cues[2].add(ventral_part(hip - ankle, knee - ankle), spread);
            }
        }
    }
    let (mut sum, mut weight, mut seen) = (0.0, 0.0, 0);
    for cue in cues {
        if let Some((mean, sd)) = cue.mean(tracks.temporal_error) {
            sum += mean / (sd * sd);
            weight += 1.0 / (sd * sd);
            seen += 1;
        }
    }
    FacingEvidence {
        score: if weight > 0.0 { sum / weight.sqrt() } else { 0.0 },
        cues: seen,
    }
}

/// Component of `what` toward the front of a body that faces +X and whose cranial direction is `cranial`.
fn ventral_part(cranial: Vector, what: Vector) -> Option<f64> {
    let length = cranial.norm();
    (length > 0.0).then(|| Vector::new(cranial.y, -cranial.x).dot(&what) / length)
}

#[derive(Clone, Copy, Default)]
struct Cue {
    sum: f64,
    weight: f64,
    frames: f64,
}

impl Cue {
    fn add(&mut self, value: Option<f64>, sd: f64) {
        let Some(value) = value else { return };
        // Exact points still have the half-pixel of the grid.
        let weight = 1.0 / sd.max(0.5).powi(2);
        self.sum += value * weight;
        self.weight += weight;
        self.frames += 1.0;
    }

    /// Mean over the frames and its sd: errors shared by all frames don't shrink, independent ones do.
    fn mean(self, error: TemporalError) -> Option<(f64, f64)> {
        if self.frames == 0.0 {
            return None;
        }
        let independent = match error {
            TemporalError::Independent => self.frames,
            TemporalError::Correlated(rho) => (self.frames * (1.0 - rho) / (1.0 + rho)).max(1.0),
            TemporalError::Shared => 1.0,
        };
        Some((self.sum / self.weight, (self.frames / self.weight / independent).sqrt()))
    }
}

/// The side nearer to the camera: the one with the higher mean confidence and fewer gaps, if these tell; else the
/// side that a person facing that way turns to the camera (facing right in the picture: the right).
#[must_use]
pub fn near_side(tracks: &Tracks, faces_picture_right: Option<bool>) -> Option<Side> {
    let joints = [
        Joint::Shoulder,
        Joint::Elbow,
        Joint::Wrist,
        Joint::Hip,
        Joint::Knee,
        Joint::Ankle,
    ];
    let summary = |side: Side| {
        let mut confidence = (0.0, 0.0);
        let mut gaps = 0;
        for joint in joints {
            let track = tracks.track(Landmark::of(joint, side));
            if let Some(mean) = track.mean_confidence {
                confidence = (confidence.0 + mean, confidence.1 + 1.0);
            }
            gaps += track.positions.iter().filter(|point| point.is_none()).count();
        }
        (
            if confidence.1 > 0.0 {
                confidence.0 / confidence.1
            } else {
                0.0
            },
            gaps as f64 / tracks.len().max(1) as f64,
        )
    };
    let (left, right) = (summary(Side::Left), summary(Side::Right));
    // A gap rate of one landmark in twenty frames weighs as much as 0.05 of confidence.
    let lead = (left.0 - left.1) - (right.0 - right.1);
    if lead.abs() >= 0.05 {
        return Some(if lead > 0.0 { Side::Left } else { Side::Right });
    }
    faces_picture_right.map(|right| if right { Side::Right } else { Side::Left })
}

/// Leg length in px: hip–knee–ankle sum of one side, median over the frames in which all three are seen.
///
/// # Returns
/// `(length, standard uncertainty)`; `None` if no frame has all three.
#[must_use]
pub fn leg_length(tracks: &Tracks, side: Side) -> Option<(f64, f64)> {
    let of = |joint| Landmark::of(joint, side);
    let mut lengths = Vec::new();
    let mut sd = 0.0;
    for frame in 0..tracks.len() {
        let (Some(hip), Some(knee), Some(ankle)) = (
            tracks.at(of(Joint::Hip), frame),
            tracks.at(of(Joint::Knee), frame),
            tracks.at(of(Joint::Ankle), frame),
        ) else {
            continue;
        };
        lengths.push((knee - hip).norm() + (ankle - knee).norm());
        sd += tracks
            .sd_at(of(Joint::Hip), frame)
            .hypot(tracks.sd_at(of(Joint::Ankle), frame));
    }
    if lengths.is_empty() {
        return None;
    }
    let count = lengths.len();
    let middle = count / 2;
    let median = *lengths.select_nth_unstable_by(middle, f64::total_cmp).1;
    let each = sd / count as f64;
    let independent = match tracks.temporal_error {
        TemporalError::Independent => count as f64,
        TemporalError::Correlated(rho) => (count as f64 * (1.0 - rho) / (1.0 + rho)).max(1.0),
        TemporalError::Shared => 1.0,
    };
    (median > 0.0).then(|| {
        (
            median,
            each * (std::f64::consts::FRAC_PI_2 / independent).sqrt().min(1.0),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tilted_floor_is_levelled() {
        let mut tracks = Tracks::new(vec![0.0], TemporalError::Independent);
        let hip = tracks.track_mut(Landmark::LeftHip);
        hip.positions = vec![Some(Point::new(100.0, -100.0))];
        hip.sd = vec![1.0];
        // Floor rises to the right by 45° in the picture (y down).
        let floor = FloorLine {
            points: [Point::new(0.0, 0.0), Point::new(100.0, -100.0)],
            sd: 1.0,
        };
        let done = make_upright(&mut tracks, Some(floor));
        let hip = tracks.at(Landmark::LeftHip, 0).expect("seen");
        assert!((hip - Point::new(2f64.sqrt() * 100.0, 0.0)).norm() < 1e-9, "{hip}");
        assert!(!done.assumed_level && (done.tilt_sd.radians() - 0.01).abs() < 1e-12);
    }
}
