//! Photographs of people, upright and turned: the points must go with the picture.
//!
//! `SPRINGLINE_PICTURES`: a folder with basketball1.png and basketball2.png of the Debian package opencv-doc (examples/data;
//! they are frames of the Middlebury optical-flow data). They are used here, not kept in the project.

use springline_draft::{Film, Options, draft, shipped};
use springline_footage::{Clip, Error, Picture};

/// A photograph that stands still, turned by quarters.
struct Still {
    picture: Picture,
    times: Vec<f64>,
}

impl Film for Still {
    fn size(&self) -> (u32, u32) {
        (self.picture.width(), self.picture.height())
    }

    fn times(&self) -> &[f64] {
        &self.times
    }

    fn reduced(&mut self, _: usize, factor: u32) -> Result<Picture, Error> {
        Ok(self.picture.reduced(factor))
    }
}

fn turned(picture: &Picture) -> Picture {
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let mut rgb = Vec::with_capacity(3 * width * height);
    for y in 0..width {
        for x in 0..height {
            // Clockwise: the left column becomes the top row.
            let at = 3 * ((height - 1 - x) * width + y);
            rgb.extend_from_slice(&picture.rgb()[at..at + 3]);
        }
    }
    Picture::new(height as u32, width as u32, rgb).expect("as many bytes")
}

#[test]
fn points_turn_with_the_photograph() {
    let Some(folder) = std::env::var_os("SPRINGLINE_PICTURES") else {
        return;
    };
    let folder = std::path::PathBuf::from(folder);
    let models = shipped().expect("the point model");
    // Where the man stands who is in the picture from head to foot.
    let people = [("basketball1.png", (90.0, 270.0)), ("basketball2.png", (90.0, 270.0))];
    let mut apart = Vec::new();
    for (name, place) in people {
        let frames = tempfile::tempdir().expect("a folder");
        std::fs::copy(folder.join(name), frames.path().join("0001.png")).expect("the photograph");
        let mut clip = Clip::open_at_rate(frames.path(), 30.0).expect("a folder of pictures");
        let mut picture = clip.picture(0).expect("a picture");
        let mut place: (f64, f64) = place;
        let mut first: Option<(Vec<(f64, f64)>, f64)> = None;
        for quarter in 0..4 {
            let mut film = Still {
                times: (0..6).map(|i| f64::from(i) / 30.0).collect(),
                picture: picture.clone(),
            };
            let options = Options {
                athlete_at: Some((2, place)),
                frames: None,
            };
            let draft = draft(&mut film, &models, &options).expect("a person");
            let frame = draft.frames[2].clone().expect("drafted");
            // Back to the upright picture.
            let back = |(mut x, mut y): (f64, f64)| {
                let (mut width, mut height) = (f64::from(picture.width()), f64::from(picture.height()));
                for _ in 0..quarter {
                    (x, y) = (y, width - x);
                    (width, height) = (height, width);
                }
                (x, y)
            };
            let points: Vec<(f64, f64)> = frame.points.iter().map(|point| back((point.x, point.y))).collect();
            match &first {
                None => first = Some((points, draft.stature_px)),
                Some((upright, stature)) => {
                    let mut far: Vec<f64> = points
                        .iter()
                        .zip(upright)
                        .map(|(a, b)| (a.0 - b.0).hypot(a.1 - b.1) / stature)
                        .collect();
                    far.sort_by(f64::total_cmp);
                    eprintln!(
                        "{name} {quarter} quarters: {:.2} % of stature",
                        100.0 * far[far.len() / 2]
                    );
                    apart.extend(far);
                }
            }
            place = (f64::from(picture.height()) - place.1, place.0);
            picture = turned(&picture);
        }
    }
    apart.sort_by(f64::total_cmp);
    assert!(apart[apart.len() / 2] < 0.03, "{}", apart[apart.len() / 2]);
}
