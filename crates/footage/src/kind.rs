//! Tells films from other files by their first bytes.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::error::Error;

/// What a file's first bytes look like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// MP4 or MOV.
    Boxes,
    /// A film of another form.
    Other(&'static str),
}

/// Refuses what is no film, and films of other forms.
pub(crate) fn check(path: &Path) -> Result<(), Error> {
    let file = path.display().to_string();
    match kind(path)? {
        Kind::Boxes => Ok(()),
        Kind::Other(form) => Err(Error::Codec {
            file,
            found: form.to_owned(),
        }),
    }
}

/// Looks at the first bytes of a file.
pub(crate) fn kind(path: &Path) -> Result<Kind, Error> {
    let name = path.display().to_string();
    let mut head = Vec::new();
    File::open(path)
        .and_then(|file| file.take(4_096).read_to_end(&mut head))
        .map_err(|source| Error::Read {
            file: name.clone(),
            source,
        })?;
    if head.is_empty() {
        return Err(Error::Empty { file: name });
    }
    of_bytes(&head).map_err(|found| Error::NotAFilm {
        file: name,
        found: found.to_owned(),
    })
}

fn of_bytes(head: &[u8]) -> Result<Kind, &'static str> {
    let names: [&[u8]; 9] = [
        b"ftyp", b"moov", b"mdat", b"wide", b"free", b"skip", b"pnot", b"uuid", b"moof",
    ];
    if head.get(4..8).is_some_and(|name| names.contains(&name)) {
        if head.get(4..8) == Some(b"ftyp") && matches!(head.get(8..12), Some(b"heic" | b"heix" | b"mif1" | b"avif")) {
            return Err("a single picture");
        }
        return Ok(Kind::Boxes);
    }
    let at = |from: usize, bytes: &[u8]| head.get(from..).is_some_and(|rest| rest.starts_with(bytes));
    match () {
        () if at(0, &[0x1a, 0x45, 0xdf, 0xa3]) => Ok(Kind::Other("a WebM or Matroska film")),
        () if at(0, b"RIFF") && at(8, b"AVI ") => Ok(Kind::Other("an AVI film")),
        () if at(0, &[0x30, 0x26, 0xb2, 0x75]) => Ok(Kind::Other("a WMV film")),
        () if at(0, b"FLV\x01") => Ok(Kind::Other("an FLV film")),
        () if at(0, &[0, 0, 1, 0xba]) || at(0, &[0, 0, 1, 0xb3]) => Ok(Kind::Other("an MPEG film")),
        () if at(0, b"OggS") => Ok(Kind::Other("an Ogg film")),
        () if at(0, &[0x47]) && at(188, &[0x47]) => Ok(Kind::Other("a film in MPEG transport form (.ts, .mts)")),
        () if at(4, &[0x47]) && at(196, &[0x47]) => Ok(Kind::Other("a film in MPEG transport form (.ts, .mts)")),
        () if at(0, &[0, 0, 0, 1]) || at(0, &[0, 0, 1]) => Ok(Kind::Other("a bare stream of coded frames")),
        () if at(0, b"GIF8") => Ok(Kind::Other("a GIF")),
        () if at(0, &[0x89, b'P', b'N', b'G']) || at(0, &[0xff, 0xd8, 0xff]) => Err("a single picture"),
        () if head.iter().all(|byte| *byte == 0) => Err("nothing but zeros"),
        () if is_text(head) => Err("text"),
        () => Err("a file of another kind"),
    }
}

/// UTF-8 without zeros; the last letter may be cut.
fn is_text(head: &[u8]) -> bool {
    !head.contains(&0) && std::str::from_utf8(head).map_or_else(|error| error.error_len().is_none(), |_| true)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn films_and_other_files() {
        assert_eq!(of_bytes(b"\0\0\0\x18ftypisom"), Ok(Kind::Boxes));
        assert_eq!(of_bytes(b"\0\0\0\x18ftypheic"), Err("a single picture"));
        assert_eq!(of_bytes(b"RIFF\0\0\0\0AVI LIST"), Ok(Kind::Other("an AVI film")));
        assert_eq!(of_bytes(b"frame,time\n"), Err("text"));
        assert_eq!(of_bytes(&[0; 64]), Err("nothing but zeros"));
        assert_eq!(of_bytes(&[7, 200, 255, 1]), Err("a file of another kind"));
    }
}
