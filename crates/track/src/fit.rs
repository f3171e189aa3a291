//! One step: the body of one frame laid over another, all limbs at once.
//!
//! Each limb is a strip of picture between its two landmarks. A place in it is told by how far along and how far beside
//! the line between them it lies, so the strip turns and stretches with its ends, and a place in the picture is linear in
//! them. The ends of all limbs are moved together until the strips of one frame lie on the other (Gauss-Newton, coarse to
//! fine; samples that don't fit count less), while limbs keep their lengths and nothing goes far from the guess.

use nalgebra::{DMatrix, DVector};
use springline_kinematics::Landmark;

use crate::body::{Limb, Places, apart};
use crate::layers::{LAYERS, Layers};

/// Distance of samples in each layer, px of the whole picture.
const STEP_PX: [f64; LAYERS] = [1.5, 2.5, 4.0];
/// Most samples along and beside a limb.
const MOST: (usize, usize) = (40, 20);
/// Most rounds in each layer.
const ROUNDS: [usize; LAYERS] = [4, 4, 5];
/// Grey levels by which a sample may miss before it counts less.
const MISS: f32 = 15.0;
/// What a sample of 4 px² weighs against the guess.
const WEIGHT: f32 = 2.0;
/// A limb's length from one frame to the next: sd as a share of it, and px.
const LENGTH_SD: (f64, f64) = (0.02, 0.5);
/// Limbs reach so far past their ends, as a share of their length.
const PAST_ENDS: f64 = 0.05;
/// Smaller moves end the rounds, px.
const STILL_PX: f64 = 0.03;

/// Where the body was found.
#[derive(Clone, Debug)]
pub(crate) struct Fit {
    pub places: Places,
    /// How alike the limbs of each landmark look in both frames: correlation, −1 to 1.
    pub alike: [f64; Landmark::COUNT],
}

/// What is known before looking.
#[derive(Clone, Debug)]
pub(crate) struct Guess {
    pub place: [f64; 2],
    /// Sd per axis, px.
    pub sd: f64,
}

/// A sample of a limb: along, beside (in limb lengths), value, slopes along and beside per limb length.
#[derive(Clone, Copy)]
struct Sample {
    along: f32,
    beside: f32,
    value: f32,
    slope: [f32; 2],
}

/// Lays the body at `start` in `from` over `to`. Landmarks without a start or a guess are left out.
///
/// `stature_px`: for the widths of limbs.
pub(crate) fn fit(
    limbs: &[Limb],
    (from, start): (&Layers, &Places),
    to: &Layers,
    guesses: &[Option<Guess>],
    stature_px: f64,
) -> Fit {
    // Unknowns of the landmarks that take part.
    let mut column = [None; Landmark::COUNT];
    let mut count = 0;
    for at in 0..Landmark::COUNT {
        if start[at].is_some() && guesses[at].is_some() {
            column[at] = Some(2 * count);
            count += 1;
        }
    }
    let mut places: Places =
        std::array::from_fn(|at| column[at].and_then(|_| guesses[at].as_ref().map(|guess| guess.place)));
    let mut fitted = Fit {
        places,
        alike: [0.0; Landmark::COUNT],
    };
    if count == 0 {
        return fitted;
    }
    let taking_part: Vec<(Limb, [[f64; 2]; 2], [usize; 2])> = limbs
        .iter()
        .filter_map(|limb| {
            let [a, b] = limb.ends;
            Some((*limb, [start[a]?, start[b]?], [column[a]?, column[b]?]))
        })
        .collect();
    let mut samples: Vec<Vec<Sample>> = vec![Vec::new(); taking_part.len()];
    for layer in (0..LAYERS).rev() {
        for ((limb, ends, _), samples) in taking_part.iter().zip(&mut samples) {
            take(from, layer, *ends, limb.radius * stature_px, samples);
        }
        for _ in 0..ROUNDS[layer] {
            let mut normal = DMatrix::<f64>::zeros(2 * count, 2 * count);
            let mut pull = DVector::<f64>::zeros(2 * count);
            for at in 0..Landmark::COUNT {
                let (Some(column), Some(guess), Some(place)) = (column[at], &guesses[at], places[at]) else {
                    continue;
                };
                let weight = 1.0 / (guess.sd * guess.sd);
                for axis in 0..2 {
                    normal[(column + axis, column + axis)] += weight;
                    pull[column + axis] += weight * (guess.place[axis] - place[axis]);
                }
            }
            for ((limb, ends, columns), samples) in taking_part.iter().zip(&samples) {
                let [Some(a), Some(b)] = limb.ends.map(|end| places[end]) else {
                    continue;
                };
                let (own, own_pull) = strip(to, layer, [a, b], samples);
                let at = [columns[0], columns[0] + 1, columns[1], columns[1] + 1];
                for i in 0..4 {
                    pull[at[i]] += f64::from(own_pull[i]);
                    for j in 0..4 {
                        normal[(at[i], at[j])] += f64::from(own[i.min(j)][i.max(j)]);
                    }
                }
                keep_length(&mut normal, &mut pull, at, [a, b], apart(ends[0], ends[1]));
            }
            let Some(solved) = normal.cholesky() else { break };
            let moves = solved.solve(&pull);
            for at in 0..Landmark::COUNT {
                if let (Some(column), Some(place)) = (column[at], &mut places[at]) {
                    place[0] += moves[column];
                    place[1] += moves[column + 1];
                }
            }
            if moves.amax() < STILL_PX {
                break;
            }
        }
    }
    fitted.places = places;
    let mut alike = [f64::NEG_INFINITY; Landmark::COUNT];
    for ((limb, ..), samples) in taking_part.iter().zip(&samples) {
        if let [Some(a), Some(b)] = limb.ends.map(|end| places[end]) {
            let likeness = likeness(to, [a, b], samples);
            for end in limb.ends {
                alike[end] = alike[end].max(likeness);
            }
        }
    }
    fitted.alike = alike.map(|alike| if alike.is_finite() { alike } else { 0.0 });
    fitted
}

/// Whether a landmark belongs to a limb of which both ends are there.
pub(crate) fn has_limb(limbs: &[Limb], places: &Places, landmark: usize) -> bool {
    limbs
        .iter()
        .any(|limb| limb.ends.contains(&landmark) && limb.ends.iter().all(|end| places[*end].is_some()))
}

/// Samples of a limb in one layer.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss
)]
fn take(from: &Layers, layer: usize, [a, b]: [[f64; 2]; 2], radius: f64, samples: &mut Vec<Sample>) {
    samples.clear();
    let length = apart(a, b).max(4.0);
    let step = STEP_PX[layer];
    let along = ((length * (1.0 + 2.0 * PAST_ENDS) / step).round() as usize).clamp(3, MOST.0);
    let beside = ((2.0 * radius / step).round() as usize + 1).clamp(3, MOST.1);
    let line = [(b[0] - a[0]) as f32, (b[1] - a[1]) as f32];
    let (x, y) = (a[0] as f32, a[1] as f32);
    let wide = (radius / length) as f32;
    for row in 0..beside {
        let v = wide * (2.0 * row as f32 / (beside - 1) as f32 - 1.0);
        for place in 0..along {
            let u = (1.0 + 2.0 * PAST_ENDS as f32) * place as f32 / (along - 1) as f32 - PAST_ENDS as f32;
            let touch = from.touch(layer, x + u * line[0] - v * line[1], y + u * line[1] + v * line[0]);
            let [right, down] = touch.slope;
            samples.push(Sample {
                along: u,
                beside: v,
                value: touch.value,
                slope: [right * line[0] + down * line[1], down * line[0] - right * line[1]],
            });
        }
    }
}

/// Normal equations of one limb, upper half, for x and y of both ends.
#[allow(clippy::cast_possible_truncation)]
fn strip(to: &Layers, layer: usize, [a, b]: [[f64; 2]; 2], samples: &[Sample]) -> ([[f32; 4]; 4], [f32; 4]) {
    let line = [(b[0] - a[0]) as f32, (b[1] - a[1]) as f32];
    let (x, y) = (a[0] as f32, a[1] as f32);
    let square = (line[0] * line[0] + line[1] * line[1]).max(16.0);
    let area = (STEP_PX[layer] * STEP_PX[layer]) as f32 / 4.0;
    let misses: Vec<f32> = samples
        .iter()
        .map(|s| {
            let (u, v) = (s.along, s.beside);
            s.value - to.value(layer, x + u * line[0] - v * line[1], y + u * line[1] + v * line[0])
        })
        .collect();
    // Brightness may change as a whole.
    let mut sorted = misses.clone();
    let middle = sorted.len() / 2;
    let offset = *sorted.select_nth_unstable_by(middle, f32::total_cmp).1;
    let mut normal = [[0.0_f32; 4]; 4];
    let mut pull = [0.0_f32; 4];
    for (s, miss) in samples.iter().zip(&misses) {
        let miss = miss - offset;
        let weight = WEIGHT * area / ((1.0 + (miss / MISS).powi(2)) * MISS * MISS);
        let (u, v) = (s.along, s.beside);
        let right = (s.slope[0] * line[0] - s.slope[1] * line[1]) / square;
        let down = (s.slope[0] * line[1] + s.slope[1] * line[0]) / square;
        let by = [
            right * (1.0 - u) - down * v,
            right * v + down * (1.0 - u),
            right * u + down * v,
            down * u - right * v,
        ];
        for i in 0..4 {
            let weighted = weight * by[i];
            pull[i] += weighted * miss;
            for j in i..4 {
                normal[i][j] += weighted * by[j];
            }
        }
    }
    (normal, pull)
}

fn keep_length(normal: &mut DMatrix<f64>, pull: &mut DVector<f64>, at: [usize; 4], [a, b]: [[f64; 2]; 2], wanted: f64) {
    let length = apart(a, b);
    if length < 1.0 {
        return;
    }
    let (x, y) = ((b[0] - a[0]) / length, (b[1] - a[1]) / length);
    let by = [-x, -y, x, y];
    let weight = 1.0 / (LENGTH_SD.0 * wanted + LENGTH_SD.1).powi(2);
    for i in 0..4 {
        pull[at[i]] += weight * by[i] * (wanted - length);
        for j in 0..4 {
            normal[(at[i], at[j])] += weight * by[i] * by[j];
        }
    }
}

/// Correlation of a limb's samples with what lies at its place in the other frame, in the finest layer.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn likeness(to: &Layers, [a, b]: [[f64; 2]; 2], samples: &[Sample]) -> f64 {
    let line = [(b[0] - a[0]) as f32, (b[1] - a[1]) as f32];
    let (x, y) = (a[0] as f32, a[1] as f32);
    let mut sums = [0.0_f64; 5];
    for s in samples {
        let (u, v) = (s.along, s.beside);
        let other = f64::from(to.value(0, x + u * line[0] - v * line[1], y + u * line[1] + v * line[0]));
        let own = f64::from(s.value);
        for (sum, term) in sums.iter_mut().zip([own, other, own * own, other * other, own * other]) {
            *sum += term;
        }
    }
    let n = samples.len() as f64;
    let [own, other, own2, other2, both] = sums.map(|sum| sum / n);
    let spread = ((own2 - own * own).max(0.0) * (other2 - other * other).max(0.0)).sqrt();
    if spread < 1e-6 {
        0.0
    } else {
        (both - own * other) / spread
    }
}
