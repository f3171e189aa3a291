//! The two networks: where people are, and where the points of one body are.

use std::sync::Arc;

use rten::{Model, RunOptions, ThreadPool, ValueOrView};
use springline_footage::Picture;

use crate::body::{Body, POINTS};
use crate::crop::crop;
use crate::error::Error;
use crate::region::Region;

/// Side of what the people network takes in, px.
const LOOK: usize = 224;
/// Side of what the point network takes in, px.
const CLOSE: usize = 256;

/// The networks, ready to run. Shared between threads.
pub struct Models {
    people: Model,
    points: Model,
}

/// Somebody found in a picture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Found {
    /// 0 to 1.
    pub score: f64,
    /// The region that shows this person upright.
    pub region: Region,
}

/// How many threads one run takes.
#[derive(Clone)]
pub(crate) struct Hands(Option<Arc<ThreadPool>>);

impl Hands {
    /// One thread, for runs beside each other.
    pub fn one() -> Self {
        Self(Some(Arc::new(ThreadPool::with_num_threads(1))))
    }

    fn options(&self) -> Option<RunOptions> {
        let pool = self.0.clone()?;
        Some(RunOptions::default().with_thread_pool(Some(pool)))
    }
}

impl Models {
    /// Reads the two networks from their ONNX bytes.
    ///
    /// # Errors
    /// [`Error::Model`] if a network can't be read.
    pub fn from_onnx(people: Vec<u8>, points: Vec<u8>) -> Result<Self, Error> {
        Ok(Self {
            people: Model::load(people).map_err(Error::model)?,
            points: Model::load(points).map_err(Error::model)?,
        })
    }

    /// Everybody in a region of the picture, the surest first. People lying or upside down are often missed here, unless
    /// the region is turned.
    pub(crate) fn people(
        &self,
        picture: &Picture,
        scale: f64,
        region: Region,
        hands: &Hands,
    ) -> Result<Vec<Found>, Error> {
        let input = crop(picture, scale, region, LOOK, -1.0);
        let outputs = run(&self.people, input, LOOK, hands)?;
        let boxes = of_width(&outputs, anchors().len() * 12)?;
        let scores = of_width(&outputs, anchors().len())?;
        let mut found = Vec::new();
        for (i, anchor) in anchors().iter().enumerate() {
            let score = logistic(f64::from(scores[i]));
            if score < 0.4 {
                continue;
            }
            let row = &boxes[12 * i..12 * i + 12];
            let place = |at: usize| {
                let u = f64::from(row[at]) / LOOK as f64 + anchor.0;
                let v = f64::from(row[at + 1]) / LOOK as f64 + anchor.1;
                region.to_picture(u, v)
            };
            let (hip, rim) = (place(4), place(6));
            found.push(Found {
                score,
                region: Region {
                    x: hip.0,
                    y: hip.1,
                    size: 2.5 * (rim.0 - hip.0).hypot(rim.1 - hip.1),
                    turn: (rim.0 - hip.0).atan2(hip.1 - rim.1),
                },
            });
        }
        found.sort_by(|a, b| b.score.total_cmp(&a.score));
        let mut kept: Vec<Found> = Vec::new();
        for one in found {
            let twin = |other: &Found| {
                let far = (other.region.x - one.region.x).hypot(other.region.y - one.region.y);
                far < 0.15 * other.region.size.max(one.region.size)
            };
            if !kept.iter().any(twin) {
                kept.push(one);
            }
        }
        Ok(kept)
    }

    /// The points of the body in a region of the picture, wherever the model puts them.
    pub(crate) fn body(&self, picture: &Picture, scale: f64, region: Region, hands: &Hands) -> Result<Body, Error> {
        let input = crop(picture, scale, region, CLOSE, 0.0);
        let outputs = run(&self.points, input, CLOSE, hands)?;
        let rows = of_width(&outputs, 39 * 5)?;
        let presence = of_width(&outputs, 1)?[0];
        let place = |i: usize| {
            let (u, v) = (f64::from(rows[5 * i]), f64::from(rows[5 * i + 1]));
            region.to_picture(u / CLOSE as f64, v / CLOSE as f64)
        };
        let body = Body {
            at: std::array::from_fn(place),
            seen: std::array::from_fn(|i| logistic(f64::from(rows[5 * i + 3])) * logistic(f64::from(rows[5 * i + 4]))),
            presence: f64::from(presence),
            middle: place(POINTS),
            rim: place(POINTS + 1),
            shown: region,
        };
        if body.at.iter().any(|p| !(p.0.is_finite() && p.1.is_finite())) {
            return Err(Error::model("the network's answer isn't a number"));
        }
        Ok(body)
    }
}

fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x.clamp(-100.0, 100.0)).exp())
}

fn run(model: &Model, input: Vec<f32>, side: usize, hands: &Hands) -> Result<Vec<Vec<f32>>, Error> {
    let input = rten_tensor::NdTensor::from_data([1, side, side, 3], input);
    let node = *model.input_ids().first().ok_or_else(|| Error::model("no input"))?;
    let outputs = model
        .run(
            vec![(node, ValueOrView::Value(input.into()))],
            model.output_ids(),
            hands.options(),
        )
        .map_err(Error::model)?;
    outputs
        .into_iter()
        .map(|value| {
            let tensor: rten_tensor::Tensor<f32> = value.try_into().map_err(Error::model)?;
            Ok(tensor.into_data())
        })
        .collect()
}

fn of_width(outputs: &[Vec<f32>], width: usize) -> Result<&[f32], Error> {
    let output = outputs.iter().find(|output| output.len() == width);
    output
        .map(Vec::as_slice)
        .ok_or_else(|| Error::model(format!("the network has no output of {width} numbers")))
}

/// Centres of the people network's anchors, 0 to 1 each way: strides 8, 16 and three times 32, two a layer and cell.
fn anchors() -> &'static [(f64, f64)] {
    static ANCHORS: std::sync::OnceLock<Vec<(f64, f64)>> = std::sync::OnceLock::new();
    ANCHORS.get_or_init(|| {
        let mut centres = Vec::with_capacity(2254);
        for (cells, each) in [(28, 2), (14, 2), (7, 6)] {
            for row in 0..cells {
                for column in 0..cells {
                    let centre = (
                        (f64::from(column) + 0.5) / f64::from(cells),
                        (f64::from(row) + 0.5) / f64::from(cells),
                    );
                    centres.extend(std::iter::repeat_n(centre, each));
                }
            }
        }
        centres
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_are_as_many_anchors_as_the_network_answers() {
        assert_eq!(anchors().len(), 2254);
    }

    #[test]
    fn rubbish_is_no_network() {
        assert!(Models::from_onnx(vec![1, 2, 3], Vec::new()).is_err());
    }
}
