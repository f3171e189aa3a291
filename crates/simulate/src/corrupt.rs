//! From exact pictures to the points that a file would hold.

use crate::recording::Recording;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::StandardNormal;
use springline_kinematics::{Landmark, Point, Side, Tracks, Vector};

/// A source of chance of its own for each purpose, so that switching one corruption on leaves the
/// others as they were.
pub(crate) fn source(seed: u64, purpose: u64) -> ChaCha8Rng {
    let mut source = ChaCha8Rng::seed_from_u64(seed);
    source.set_stream(purpose);
    source
}

/// Times of the frames between `start` and `end`, s.
pub(crate) fn frame_times(recording: &Recording, seed: u64, start: f64, end: f64) -> Vec<f64> {
    let mut chance = source(seed, 1);
    let drawn: f64 = chance.random();
    let offset = recording.offset.unwrap_or(drawn);
    let interval = 1.0 / recording.rate_hz;
    let mut times = Vec::new();
    for i in 0.. {
        let early_or_late = chance.random_range(-1.0..1.0) * recording.jitter.clamp(0.0, 0.4);
        let time = start + (i as f64 + offset + early_or_late) * interval;
        if time > end {
            break;
        }
        times.push(time.max(start));
    }
    times.dedup();
    times
}

/// Fills tracks from exact pictures, one per time.
pub(crate) fn tracks(
    recording: &Recording,
    seed: u64,
    times: Vec<f64>,
    pictures: &[[Point; Landmark::COUNT]],
) -> Tracks {
    let noise = recording.noise;
    let mut tracks = Tracks::new(times, noise.temporal_error());
    let frames = pictures.len();
    let mut chance = source(seed, 2);
    for landmark in Landmark::ALL {
        let mut draw = |sd: f64| {
            let pair = [(); 2].map(|()| chance.sample::<f64, _>(StandardNormal));
            sd * Vector::new(pair[0], pair[1])
        };
        let shared = draw(noise.shared_px);
        let mut kept = draw(noise.correlated_px);
        let fresh = (1.0 - noise.rho * noise.rho).max(0.0).sqrt();
        let mut positions = Vec::with_capacity(frames);
        for picture in pictures {
            let independent = draw(noise.independent_px);
            positions.push(Some(picture[landmark.index()] + shared + kept + independent));
            kept = noise.rho * kept + fresh * draw(noise.correlated_px);
        }
        let track = tracks.track_mut(landmark);
        track.positions = positions;
        track.sd = vec![noise.sd_px() as f32; frames];
        track.mean_confidence = recording.score;
    }
    drop_points(recording, seed, &mut tracks, frames);
    for swap in &recording.swaps {
        for landmark in Landmark::ALL {
            if landmark.side() == Some(Side::Left) && swap.group.holds(landmark) {
                for frame in swap.first..=swap.last.min(frames.saturating_sub(1)) {
                    let left = tracks.at(landmark, frame);
                    let right = tracks.at(landmark.mirrored(), frame);
                    tracks.track_mut(landmark).positions[frame] = right;
                    tracks.track_mut(landmark.mirrored()).positions[frame] = left;
                }
            }
        }
    }
    tracks
}

fn drop_points(recording: &Recording, seed: u64, tracks: &mut Tracks, frames: usize) {
    let dropouts = recording.dropouts;
    let mut chance = source(seed, 3);
    for landmark in Landmark::ALL {
        let mut gap_until = 0;
        for frame in 0..frames {
            let (single, burst): (f64, f64) = (chance.random(), chance.random());
            if burst < dropouts.burst {
                gap_until = gap_until.max(frame + dropouts.burst_frames);
            }
            if single < dropouts.single || frame < gap_until {
                tracks.track_mut(landmark).positions[frame] = None;
            }
        }
    }
}
