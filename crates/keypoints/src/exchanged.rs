//! Whether width and height of the picture were exchanged.

use crate::sheet::Sheet;

/// One point of so many outside the picture tells that its sides are exchanged, if none is outside the exchanged one.
const ONE_OF: usize = 20;

/// A note where points lie outside the picture, and every one inside a picture whose width and height are exchanged.
pub(crate) fn exchanged_size(sheet: &Sheet) -> Option<String> {
    let (w, h) = sheet.picture.filter(|(w, h)| w != h)?;
    let inside = |w: f64, h: f64| {
        let spots = sheet.spots.iter().flatten();
        spots
            .filter(|spot| (0.0..=w).contains(&spot.x) && (0.0..=h).contains(&spot.y))
            .count()
    };
    let all = sheet.spots.iter().flatten().count();
    let (here, there) = (inside(w, h), inside(h, w));
    (here < all && there == all && (all - here) * ONE_OF >= all).then(|| {
        format!(
            "are width and height of the picture exchanged? Every point lies inside {h} x {w} px, {} of {all} outside {w} x {h} px",
            all - here
        )
    })
}
