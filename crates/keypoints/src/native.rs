//! From an attempt file to a sheet and what the coach gave.

use springline_kinematics::{Landmark, TemporalError};

use crate::attempt_file::{AttemptFile, ErrorKind, PointSd, SdPx};
use crate::error::Error;
use crate::names::nearest;
use crate::packed_frames::{PackedFrames, sd_in_range};
use crate::sheet::{Sheet, Unit};

/// Reads an attempt file. The second pass, which only a faulty file needs, finds the place.
pub(crate) fn read(file: &str, text: &str) -> Result<(AttemptFile<()>, Sheet), Error> {
    let parsed: AttemptFile<PackedFrames> = match serde_json::from_str(text) {
        Ok(parsed) => parsed,
        Err(first) => return Err(placed(file, text, &first)),
    };
    sheet(file, parsed)
}

/// The error with the path inside the file, where that path says more than line and column.
fn placed(file: &str, text: &str, first: &serde_json::Error) -> Error {
    let error = Error::json(file, first);
    let Error::Shape {
        place, found, expected, ..
    } = error
    else {
        return error;
    };
    let mut reader = serde_json::Deserializer::from_str(text);
    let path = match serde_path_to_error::deserialize::<_, AttemptFile>(&mut reader) {
        Ok(_) => String::new(),
        Err(error) => error.path().to_string(),
    };
    let place = if path.is_empty() || path == "." {
        place
    } else {
        format!("{place}, {path}")
    };
    Error::Shape {
        file: file.to_owned(),
        place,
        found,
        expected,
    }
}

fn sheet(file: &str, parsed: AttemptFile<PackedFrames>) -> Result<(AttemptFile<()>, Sheet), Error> {
    let shape = |place: &str, found: String, expected: &str| Error::Shape {
        file: file.to_owned(),
        place: place.to_owned(),
        found,
        expected: expected.to_owned(),
    };
    if parsed.version != 1 {
        return Err(shape("version", parsed.version.to_string(), "1"));
    }
    let mut slots = Vec::with_capacity(parsed.points.len());
    for (index, id) in parsed.points.iter().enumerate() {
        let place = format!("points[{index}]");
        let landmark = Landmark::from_id(id).ok_or_else(|| {
            shape(
                &place,
                format!("{id:?}"),
                &format!("a landmark id, such as {}", nearest(id)),
            )
        })?;
        if slots.contains(&landmark) {
            return Err(shape(&place, format!("{id:?} a second time"), "each landmark once"));
        }
        slots.push(landmark);
    }
    if slots.is_empty() {
        return Err(shape(
            "points",
            "an empty list".to_owned(),
            "the landmark ids of the points",
        ));
    }
    let mut sheet = Sheet::new(slots);
    sheet.unit = Unit::Px;
    sheet.rate_hz = parsed.rate_hz;
    if let Some(size) = parsed.picture {
        sheet.set_picture(file, "picture", size.width, size.height)?;
    }
    let file_sd = file_sds(file, &parsed, &sheet.slots)?;
    let (facts, frames) = parsed.with_frames(());
    frames.fill(file, &mut sheet, file_sd.as_deref())?;
    Ok((facts, sheet))
}

/// The sd of each point of the file as a whole, if given.
fn file_sds<F>(file: &str, parsed: &AttemptFile<F>, slots: &[Landmark]) -> Result<Option<Vec<Option<f32>>>, Error> {
    let Some(PointSd::Given { px: Some(px) }) = &parsed.sd else {
        return Ok(None);
    };
    let checked = |place: String, px: f64| checked_sd(file, place, px);
    match px {
        SdPx::All(px) => Ok(Some(vec![Some(checked("sd.px".to_owned(), *px)?); slots.len()])),
        SdPx::ByPoint(by_point) => {
            let mut sds = vec![None; slots.len()];
            for (id, px) in by_point {
                let place = format!("sd.px.{id}");
                let sd = checked(place.clone(), *px)?;
                let slot = slots
                    .iter()
                    .position(|slot| slot.id() == id)
                    .ok_or_else(|| Error::Shape {
                        file: file.to_owned(),
                        place,
                        found: format!("{id:?}"),
                        expected: "a landmark that is listed in points".to_owned(),
                    })?;
                sds[slot] = Some(sd);
            }
            Ok(Some(sds))
        }
    }
}

fn checked_sd(file: &str, place: String, px: f64) -> Result<f32, Error> {
    sd_in_range(px).ok_or_else(|| Error::Shape {
        file: file.to_owned(),
        place,
        found: format!("an sd of {px} px"),
        expected: "0 to 10000 px".to_owned(),
    })
}

impl<F> AttemptFile<F> {
    /// The temporal error that the file states, else what its kind of sd stands for.
    pub(crate) fn temporal_error(&self, file: &str) -> Result<Option<TemporalError>, Error> {
        match self.error {
            Some(ErrorKind::Independent) => Ok(Some(TemporalError::Independent)),
            Some(ErrorKind::Correlated { rho }) if (0.0..1.0).contains(&rho) => {
                Ok(Some(TemporalError::Correlated(rho)))
            }
            Some(ErrorKind::Correlated { rho }) => Err(Error::Shape {
                file: file.to_owned(),
                place: "error.rho".to_owned(),
                found: rho.to_string(),
                expected: "0 to below 1".to_owned(),
            }),
            Some(ErrorKind::Shared) => Ok(Some(TemporalError::Shared)),
            None => Ok(None),
        }
    }
}
