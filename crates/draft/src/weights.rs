//! The weights inside the program.

use crate::{Error, Models};

/// The networks that come with the program.
///
/// # Errors
/// [`Error::NoWeights`] in a program built without the feature `weights`; [`Error::Model`].
pub fn shipped() -> Result<Models, Error> {
    #[cfg(feature = "weights")]
    {
        let people = unpacked(include_bytes!("../weights/people.onnx.gz"))?;
        let points = unpacked(include_bytes!("../weights/points.onnx.gz"))?;
        Models::from_onnx(people, points)
    }
    #[cfg(not(feature = "weights"))]
    Err(Error::NoWeights)
}

#[cfg(feature = "weights")]
fn unpacked(packed: &[u8]) -> Result<Vec<u8>, Error> {
    use std::io::Read;
    let mut bytes = Vec::new();
    flate2::read::GzDecoder::new(packed)
        .take(64 << 20)
        .read_to_end(&mut bytes)
        .map_err(Error::model)?;
    Ok(bytes)
}
