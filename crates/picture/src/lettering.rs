//! Words on a canvas.

use std::sync::LazyLock;

use ab_glyph::{Font as _, FontRef, GlyphId, PxScale, ScaleFont as _};

use crate::canvas::{Canvas, Place};
use crate::palette::Colour;

/// DejaVu Sans; its licence lies beside it.
static FONT: LazyLock<FontRef<'static>> = LazyLock::new(|| {
    FontRef::try_from_slice(include_bytes!("../font/DejaVuSans.ttf")).expect("the font is part of the program")
});

/// The scale at which an em is `size` px.
fn scale(size: f32) -> PxScale {
    let font = &*FONT;
    let em = font.units_per_em().unwrap_or(2048.0);
    PxScale::from(size * font.height_unscaled() / em)
}

/// Glyphs of a line with their offsets, and its width. What cannot be printed is left out.
fn set(text: &str, size: f32) -> (Vec<(GlyphId, f32)>, f32) {
    let font = FONT.as_scaled(scale(size));
    let mut glyphs = Vec::new();
    let mut along = 0.0;
    let mut before: Option<GlyphId> = None;
    for letter in text.chars().filter(|letter| !letter.is_control()) {
        let glyph = font.glyph_id(letter);
        if let Some(before) = before {
            along += font.kern(before, glyph);
        }
        glyphs.push((glyph, along));
        along += font.h_advance(glyph);
        before = Some(glyph);
    }
    (glyphs, along)
}

/// Width of a line, px.
pub(crate) fn width(text: &str, size: f32) -> f32 {
    set(text, size).1
}

/// Height of a capital, px.
pub(crate) fn capital(size: f32) -> f32 {
    0.729 * size
}

/// Writes a line; `at` is the left end of its base line. Returns its width.
pub(crate) fn write(canvas: &mut Canvas, text: &str, at: Place, size: f32, colour: Colour) -> f32 {
    let (glyphs, wide) = set(text, size);
    let scale = scale(size);
    for (glyph, along) in glyphs {
        let placed = glyph.with_scale_and_position(scale, ab_glyph::point(at.x + along, at.y));
        let Some(outline) = FONT.outline_glyph(placed) else {
            continue;
        };
        let bounds = outline.px_bounds();
        let (left, top) = (bounds.min.x as i64, bounds.min.y as i64);
        outline.draw(|x, y, share| canvas.tint(left + i64::from(x), top + i64::from(y), share, colour));
    }
    wide
}

/// Writes a line that ends at `right`.
pub(crate) fn write_to(canvas: &mut Canvas, text: &str, right: Place, size: f32, colour: Colour) -> f32 {
    let wide = width(text, size);
    let at = Place {
        x: right.x - wide,
        ..right
    };
    write(canvas, text, at, size, colour)
}

/// The text, cut to `room` px with `…` at its end where it is longer.
pub(crate) fn cut(text: &str, size: f32, room: f32) -> String {
    if width(text, size) <= room {
        return text.to_owned();
    }
    let mut kept: Vec<char> = text.chars().collect();
    // A long text is first cut to what can be in the room at all.
    kept.truncate((room / (0.15 * size)).max(0.0) as usize);
    while !kept.is_empty() {
        kept.pop();
        let text = format!("{}…", kept.iter().collect::<String>().trim_end());
        if width(&text, size) <= room {
            return text;
        }
    }
    String::new()
}

/// The text in lines of at most `room` px, `most` of them; the last is cut where there is more.
pub(crate) fn lines(text: &str, size: f32, room: f32, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut rest: Vec<&str> = text.split_whitespace().collect();
    while !rest.is_empty() && lines.len() < most {
        if lines.len() + 1 == most {
            lines.push(cut(&rest.join(" "), size, room));
            break;
        }
        let fits = (1..=rest.len())
            .take_while(|count| width(&rest[..*count].join(" "), size) <= room)
            .last();
        let count = fits.unwrap_or(1);
        lines.push(cut(&rest[..count].join(" "), size, room));
        rest.drain(..count);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_font_has_what_is_written() {
        for letter in "AZaz09±°…äßéç,;:()-−%".chars() {
            assert_ne!(FONT.glyph_id(letter), GlyphId(0), "{letter}");
        }
    }

    #[test]
    fn lines_keep_within_their_room() {
        let text = "Shoulders stay open until the hands leave the floor, and then some more of it";
        let broken = lines(text, 30.0, 400.0, 9);
        assert_eq!(broken.join(" "), text);
        assert!(broken.len() > 2 && broken.iter().all(|line| width(line, 30.0) <= 400.0));
        let two = lines(text, 30.0, 400.0, 2);
        assert!(two.len() == 2 && two[1].ends_with('…') && width(&two[1], 30.0) <= 400.0);
        let word = lines(&"M".repeat(100_000), 30.0, 400.0, 2);
        assert!(word.iter().all(|line| width(line, 30.0) <= 400.0), "{word:?}");
    }
}
