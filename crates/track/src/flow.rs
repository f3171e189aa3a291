//! Single points from one picture to the next by pyramidal Lucas–Kanade, there and back. The only module that knows the
//! crate it comes from.

use image::GrayImage;
use optical_flow_lk::{DEFAULT_MIN_EIGEN_THRESHOLD, TrackParams, TrackStatus, TrackerContext};

use crate::picture::Grey;
use crate::reel::Part;

/// Side of the window, px.
const WINDOW: usize = 15;
/// Most rounds in each scale.
const ROUNDS: usize = 30;
/// Scales, each half of the one before.
const SCALES: usize = 3;
/// What is looked at reaches so far past the points, px.
const MARGIN: f64 = 80.0;
/// How surely a point that came back was followed (our choice).
const FOLLOWED: f64 = 0.98;
/// A point that comes back farther off was not followed, px.
const BACK_PX: f32 = 2.0;

/// Follows points; keeps its memory between calls.
#[derive(Default)]
pub struct Flow {
    context: TrackerContext,
}

impl std::fmt::Debug for Flow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Flow")
    }
}

impl Flow {
    /// A flow without any picture yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The next picture of a film; each is prepared once, and points are followed from the one before it.
    pub fn advance(&mut self, picture: &Grey) {
        self.context.advance(&as_image(picture), SCALES);
    }

    /// Follows points from the picture before to the last one, there and back: where each is; `None` where it was lost or
    /// came back far from where it started. `guesses`: where each is looked for first.
    #[allow(clippy::cast_possible_truncation)]
    pub fn points(&mut self, starts: &[[f64; 2]], guesses: &[[f64; 2]]) -> Vec<Option<[f64; 2]>> {
        let pixel = |place: &[f64; 2]| ((place[0] - 0.5) as f32, (place[1] - 0.5) as f32);
        let from: Vec<(f32, f32)> = starts.iter().map(pixel).collect();
        let guesses: Vec<(f32, f32)> = guesses.iter().map(pixel).collect();
        let params = TrackParams {
            window_size: WINDOW,
            max_iterations: ROUNDS,
            min_eigen_threshold: DEFAULT_MIN_EIGEN_THRESHOLD,
        };
        let found = self.context.track_fb(&from, Some(&guesses), params, BACK_PX);
        let place = |pos: (f32, f32)| [f64::from(pos.0) + 0.5, f64::from(pos.1) + 0.5];
        found
            .iter()
            .map(|result| matches!(result.status, TrackStatus::Tracked).then(|| place(result.pos)))
            .collect()
    }

    /// Follows points from one part to the other: where each is and how surely, 0 to 1.
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    pub(crate) fn follow(
        &mut self,
        pair: &[std::rc::Rc<Part>; 2],
        asked: &[([f64; 2], [f64; 2])],
    ) -> Vec<Option<([f64; 2], f64)>> {
        // Both pictures cut alike, where both are known.
        let (mut low, mut high) = ([0.0_f64; 2], [f64::INFINITY; 2]);
        for part in pair {
            let start = [part.left as f64, part.top as f64];
            let size = [part.grey.width() as f64, part.grey.height() as f64];
            for axis in 0..2 {
                low[axis] = low[axis].max(start[axis]);
                high[axis] = high[axis].min(start[axis] + size[axis]);
            }
        }
        let all = || asked.iter().flat_map(|(from, to)| [from, to]);
        for axis in 0..2 {
            let least = all().map(|place| place[axis]).fold(f64::INFINITY, f64::min);
            let most = all().map(|place| place[axis]).fold(f64::NEG_INFINITY, f64::max);
            low[axis] = low[axis].max((least - MARGIN).floor());
            high[axis] = high[axis].min((most + MARGIN).ceil());
        }
        if high[0] - low[0] < 32.0 || high[1] - low[1] < 32.0 {
            return vec![None; asked.len()];
        }
        let (left, top) = (low[0] as usize, low[1] as usize);
        let (width, height) = ((high[0] - low[0]) as usize, (high[1] - low[1]) as usize);
        let cut = |part: &Part| as_image(&part.grey.part(left - part.left, top - part.top, width, height));
        self.context.prepare(&cut(&pair[0]), &cut(&pair[1]), SCALES);
        let moved = |place: &[f64; 2]| [place[0] - low[0], place[1] - low[1]];
        let starts: Vec<[f64; 2]> = asked.iter().map(|(from, _)| moved(from)).collect();
        let guesses: Vec<[f64; 2]> = asked.iter().map(|(_, to)| moved(to)).collect();
        let found = self.points(&starts, &guesses);
        let back = |place: [f64; 2]| ([place[0] + low[0], place[1] + low[1]], FOLLOWED);
        found.into_iter().map(|found| found.map(back)).collect()
    }
}

#[allow(clippy::cast_possible_truncation)]
fn as_image(picture: &Grey) -> GrayImage {
    let (width, height) = (picture.width() as u32, picture.height() as u32);
    GrayImage::from_raw(width, height, picture.pixels().to_vec()).unwrap_or_default()
}
