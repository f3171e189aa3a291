//! Bytes to text: encodings, and the bare `NaN` that is no JSON but often stands in it.

use crate::error::Error;

/// The bytes as UTF-8 text, without byte order mark.
pub(crate) fn decode<'a>(file: &str, bytes: &'a [u8]) -> Result<&'a str, Error> {
    let not_utf8 = |byte, found| Error::NotUtf8 {
        file: file.to_owned(),
        byte,
        found,
    };
    if is_film(bytes) {
        return Err(Error::Film { file: file.to_owned() });
    }
    if is_no_text(bytes) {
        return Err(Error::NotText { file: file.to_owned() });
    }
    let bare = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match bare {
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => return Err(not_utf8(0, "UTF-16 text")),
        [0, _, ..] | [_, 0, ..] => return Err(not_utf8(0, "UTF-16 text or a file that is no text")),
        _ => {}
    }
    let text = std::str::from_utf8(bare).map_err(|error| {
        let at = bytes.len() - bare.len() + error.valid_up_to();
        let found = if error.error_len().is_none() {
            "a letter that is cut off at the end of the file"
        } else {
            "a letter of another encoding (such as Latin-1) or a file that is no text"
        };
        not_utf8(at, found)
    })?;
    if text.trim_start().is_empty() {
        return Err(Error::Empty { file: file.to_owned() });
    }
    Ok(text)
}

/// Whether a file is a film, by its first 12 bytes (MP4, MOV, AVI, MKV and WebM; from memory \[M\]).
#[must_use]
pub fn is_film(start: &[u8]) -> bool {
    match start {
        [0x1a, 0x45, 0xdf, 0xa3, ..] => true,
        [b'R', b'I', b'F', b'F', _, _, _, _, b'A', b'V', b'I', b' ', ..] => true,
        // The length of the first box, whose upper byte no text begins with, and its name.
        [0, _, _, _, name @ ..] => [b"ftyp", b"moov", b"mdat", b"wide"]
            .iter()
            .any(|film| name.starts_with(*film)),
        _ => false,
    }
}

/// Whether the first bytes hold zeros that no text has: every second byte is one in UTF-16.
fn is_no_text(bytes: &[u8]) -> bool {
    let start = &bytes[..bytes.len().min(4096)];
    let wide = |odd: usize| {
        let (zeros, all) = start
            .iter()
            .skip(odd)
            .step_by(2)
            .fold((0, 0), |(zeros, all), byte| (zeros + usize::from(*byte == 0), all + 1));
        2 * zeros > all
    };
    start.contains(&0) && !matches!(start, [0xff, 0xfe, ..] | [0xfe, 0xff, ..]) && wide(0) == wide(1)
}

/// Puts a JSON text in the place of every bare `NaN` and `Infinity`, of the same length so that
/// lines and columns stay. Says whether there was any.
///
/// Many programs write the number that isn't one as it is. `NaN` means missing and becomes an
/// empty text, which means missing too; an infinity becomes a text that the number check refuses.
pub(crate) fn mend_bare_words(bytes: &mut [u8]) -> bool {
    const WORDS: [(&[u8], &[u8]); 4] = [
        (b"-Infinity", b"\"-inf\"   "),
        (b"Infinity", b"\"inf\"   "),
        (b"-NaN", b"\"\"  "),
        (b"NaN", b"\"\" "),
    ];
    let mut mended = false;
    let mut in_text = false;
    let mut at = 0;
    while at < bytes.len() {
        match bytes[at] {
            b'"' => in_text = !in_text,
            b'\\' if in_text => at += 1,
            b'-' | b'I' | b'N' if !in_text => {
                for (word, instead) in WORDS {
                    if bytes[at..].starts_with(word) {
                        bytes[at..at + word.len()].copy_from_slice(instead);
                        at += word.len() - 1;
                        mended = true;
                        break;
                    }
                }
            }
            _ => {}
        }
        at += 1;
    }
    mended
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn encodings() {
        assert_eq!(decode("f", b"\xef\xbb\xbf{}").unwrap(), "{}");
        for (bytes, found) in [
            (&b"\xff\xfe{\0}\0"[..], "UTF-16"),
            (&b"{\0}\0"[..], "UTF-16"),
            (&b"[\"M\xfcller\"]"[..], "Latin-1"),
            (&b"[\"\xc3"[..], "cut off"),
        ] {
            let message = decode("f.json", bytes).unwrap_err().to_string();
            assert!(
                message.starts_with("f.json: byte") && message.contains(found),
                "{message}"
            );
        }
        for film in [
            &b"\0\0\0\x20ftypisom\0\0\x02\0isomiso2"[..],
            &b"\0\0\0\x14ftypqt  "[..],
            &b"\0\0\0\x08wide\0\x01\x02\x03mdat"[..],
            &b"RIFF\x01\x02\x03\x04AVI LIST"[..],
            &b"\x1a\x45\xdf\xa3\x01\0\0\0"[..],
        ] {
            assert!(matches!(decode("f", film), Err(Error::Film { .. })), "{film:?}");
        }
        for other in [
            &b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"[..],
            &b"\xff\xd8\xff\xe0\0\x10JFIF"[..],
            &b"PK\x03\x04\x14\0\x06\0[Content_Types].xml"[..],
        ] {
            assert!(matches!(decode("f", other), Err(Error::NotText { .. })), "{other:?}");
        }
        assert!(matches!(decode("f", b" \n"), Err(Error::Empty { .. })));
        assert!(matches!(decode("f", b""), Err(Error::Empty { .. })));
    }

    #[test]
    fn bare_words_outside_texts_only() {
        let mut bytes = br#"[NaN, -NaN, Infinity, -Infinity, "NaN \" NaN", 1, -2]"#.to_vec();
        let before = bytes.len();
        assert!(mend_bare_words(&mut bytes));
        assert_eq!(bytes.len(), before);
        let list: Vec<serde_json::Value> = serde_json::from_slice(&bytes).unwrap();
        assert_eq!(
            list,
            serde_json::json!(["", "", "inf", "-inf", "NaN \" NaN", 1, -2])
                .as_array()
                .unwrap()
                .clone()
        );
        assert!(!mend_bare_words(&mut br#"{"a":"NaN"}"#.to_vec()));
    }
}
