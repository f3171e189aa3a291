//! Changes to an input: some blind, some that know where numbers, keys and values lie.

use std::ops::Range;

use super::random::Draws;
use super::tokens::{Kind, tokens, value};

/// What the text is made of. Each test program has its own.
#[allow(dead_code)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dialect {
    /// Braces, brackets, quoted keys.
    Json,
    /// Lines of `key = value` under headings.
    Toml,
    /// Lines of cells.
    Table,
    /// Boxes with a size and a name of four letters, full of big-endian numbers.
    Boxes,
}

/// Numbers where programs trip.
const NUMBERS: [&str; 30] = [
    "0",
    "-0",
    "-0.0",
    "1",
    "-1",
    "0.5",
    "2",
    "3",
    "17",
    "1e-9",
    "1e-320",
    "5e-324",
    "1e999",
    "-1e999",
    "1e308",
    "-1.7976931348623157e308",
    "1e19",
    "1e15",
    "99999",
    "100001",
    "2147483648",
    "4294967296",
    "9007199254740993",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551616",
    "NaN",
    "Infinity",
    "-Infinity",
    "00.1",
];

/// Values of every kind.
const VALUES: [&str; 16] = [
    "null",
    "true",
    "false",
    "\"\"",
    "\"x\"",
    "[]",
    "{}",
    "[[]]",
    "[null]",
    "{\"a\":1}",
    "-1",
    "\"1\"",
    "nan",
    "inf",
    "2026-03-14",
    "''",
];

/// Pieces of text that are read in unexpected ways.
const PIECES: [&[u8]; 20] = [
    b"\0",
    b"\xef\xbb\xbf",
    b"\xff\xfe",
    b"\xc3",
    b"\xf0\x9f\xa4\xb8",
    b"\\u0000",
    b"\\ud800",
    b"\\",
    b"\"",
    b"'",
    b"\r",
    b"\n\n",
    b"\t",
    b"#",
    b"//",
    b"\x1b[2J",
    b"\xe2\x80\xae",
    b"../",
    b"%s",
    b" ",
];

/// Changes the bytes in one way drawn at random.
pub fn change(bytes: &mut Vec<u8>, donor: &[u8], dialect: Dialect, draws: &mut Draws) {
    if bytes.is_empty() {
        bytes.extend_from_slice(donor);
    }
    if dialect == Dialect::Boxes {
        return match draws.below(20) {
            0 => bytes.truncate(draws.below(bytes.len() + 1)),
            1 => cut(bytes, draws),
            2 => repeat(bytes, draws),
            3 => splice(bytes, donor, draws),
            4..=8 => flip(bytes, draws),
            9 => noise(bytes, draws),
            _ => in_box(bytes, draws),
        };
    }
    match draws.below(20) {
        0 => flip(bytes, draws),
        1 => bytes.truncate(draws.below(bytes.len() + 1)),
        2 => cut(bytes, draws),
        3 => repeat(bytes, draws),
        4 => splice(bytes, donor, draws),
        5 => {
            let piece: &&[u8] = draws.of(&PIECES);
            insert(bytes, piece, draws);
        }
        6 => nest(bytes, dialect, draws),
        7..=10 => swap_number(bytes, draws),
        11 | 12 => lines(bytes, donor, draws),
        _ => match dialect {
            Dialect::Json => members(bytes, draws),
            Dialect::Toml => assignments(bytes, draws),
            Dialect::Table | Dialect::Boxes => cells(bytes, draws),
        },
    }
}

fn flip(bytes: &mut [u8], draws: &mut Draws) {
    for _ in 0..draws.few() {
        let at = draws.below(bytes.len());
        if let Some(byte) = bytes.get_mut(at) {
            *byte = if draws.one_in(2) {
                draws.any() as u8
            } else {
                *byte ^ (1 << draws.below(8))
            };
        }
    }
}

/// Words where counts, sizes and times trip.
const WORDS: [u32; 14] = [
    0,
    1,
    2,
    3,
    8,
    16,
    255,
    65_536,
    1_000_000,
    0x7fff_ffff,
    0x8000_0000,
    0xffff_ff00,
    0xffff_fffe,
    0xffff_ffff,
];

/// Changes a number near the name of a box, or the name.
fn in_box(bytes: &mut [u8], draws: &mut Draws) {
    let is_name = |four: &[u8]| four.iter().all(u8::is_ascii_alphanumeric);
    let names: Vec<usize> = (0..bytes.len().saturating_sub(4))
        .filter(|at| is_name(&bytes[*at..at + 4]))
        .collect();
    if names.is_empty() {
        return;
    }
    let name = names[draws.below(names.len())];
    if draws.one_in(12) {
        let other = names[draws.below(names.len())];
        bytes.copy_within(other..other + 4, name);
        return;
    }
    // The size before it, or one of the first numbers in it.
    let at = (name + 4 * draws.below(16)).saturating_sub(4);
    let word = *draws.of(&WORDS);
    let width = *draws.of(&[1, 2, 4, 4, 4]);
    if let Some(place) = bytes.get_mut(at..at + width) {
        place.copy_from_slice(&word.to_be_bytes()[4 - width..]);
    }
}

/// Overwrites a stretch with noise.
fn noise(bytes: &mut [u8], draws: &mut Draws) {
    let range = stretch(bytes.len(), draws);
    for byte in &mut bytes[range] {
        *byte = draws.any() as u8;
    }
}

fn stretch(length: usize, draws: &mut Draws) -> Range<usize> {
    let from = draws.below(length);
    let most = if draws.one_in(4) {
        length - from
    } else {
        (length - from).min(40)
    };
    from..from + draws.below(most + 1)
}

fn cut(bytes: &mut Vec<u8>, draws: &mut Draws) {
    let range = stretch(bytes.len(), draws);
    bytes.drain(range);
}

fn repeat(bytes: &mut Vec<u8>, draws: &mut Draws) {
    let range = stretch(bytes.len(), draws);
    let times = if draws.one_in(10) { 1000 } else { draws.few() };
    let piece = bytes[range.clone()].repeat(times.min(200_000 / range.len().max(1)));
    bytes.splice(range.end..range.end, piece);
}

fn splice(bytes: &mut Vec<u8>, donor: &[u8], draws: &mut Draws) {
    let to = stretch(bytes.len(), draws);
    let from = stretch(donor.len(), draws);
    bytes.splice(to, donor[from].iter().copied());
}

fn insert(bytes: &mut Vec<u8>, piece: &[u8], draws: &mut Draws) {
    let at = draws.below(bytes.len() + 1);
    bytes.splice(at..at, piece.iter().copied());
}

/// Brackets within brackets, closed or not, in the place of a value.
fn nest(bytes: &mut Vec<u8>, dialect: Dialect, draws: &mut Draws) {
    let depth = *draws.of(&[2, 20, 130, 1_000, 30_000]);
    let (open, close): (&str, &str) = match (dialect, draws.below(3)) {
        (Dialect::Table | Dialect::Boxes, _) => ("\"", "\""),
        (Dialect::Toml, 0) => ("{a=", "}"),
        (Dialect::Json, 0) => ("{\"a\":", "}"),
        (Dialect::Json, 1) => ("[{\"keypoints\":", "}]"),
        _ => ("[", "]"),
    };
    let mut piece = open.repeat(depth);
    if draws.one_in(2) {
        piece.push('1');
        piece.push_str(&close.repeat(depth));
    }
    let all = tokens(bytes);
    let place = if all.is_empty() {
        0..0
    } else {
        value(bytes, &all, draws.below(all.len()))
    };
    bytes.splice(place, piece.bytes());
}

fn places(bytes: &[u8], kind: Kind) -> Vec<Range<usize>> {
    tokens(bytes)
        .into_iter()
        .filter(|token| token.0 == kind)
        .map(|token| token.1)
        .collect()
}

/// Numbers become others: famous ones, their neighbours, each other. Often many at once.
fn swap_number(bytes: &mut Vec<u8>, draws: &mut Draws) {
    let numbers = places(bytes, Kind::Number);
    if numbers.is_empty() {
        return;
    }
    let from = draws.below(numbers.len());
    let count = if draws.one_in(4) {
        draws.below(numbers.len() - from) + 1
    } else {
        1
    };
    let step = if draws.one_in(3) { draws.below(80) + 1 } else { 1 };
    let way = draws.below(5);
    let new = (*draws.of(&NUMBERS)).to_owned();
    let other = bytes[draws.of(&numbers).clone()].to_vec();
    // From the end on, so that the places before stay where they are.
    for place in numbers[from..from + count].iter().step_by(step).rev() {
        let old = String::from_utf8_lossy(&bytes[place.clone()]).into_owned();
        let text = match way {
            0 | 1 => new.clone().into_bytes(),
            2 => other.clone(),
            3 => format!("{}", -old.parse::<f64>().unwrap_or(1.0)).into_bytes(),
            _ => {
                let factor = *draws.of(&[1e-6, 0.01, 0.999, 1.001, 100.0, 1e6]);
                format!("{}", old.parse::<f64>().unwrap_or(1.0) * factor).into_bytes()
            }
        };
        bytes.splice(place.clone(), text);
    }
}

/// Whole lines lost, doubled, moved, brought from elsewhere.
fn lines(bytes: &mut Vec<u8>, donor: &[u8], draws: &mut Draws) {
    let mut list: Vec<&[u8]> = bytes.split(|byte| *byte == b'\n').collect();
    let at = draws.below(list.len());
    let other = draws.below(list.len());
    match draws.below(5) {
        0 => {
            list.remove(at);
        }
        1 => list.insert(at, list[other]),
        2 => list.swap(at, other),
        3 => {
            let theirs: Vec<&[u8]> = donor.split(|byte| *byte == b'\n').collect();
            list.insert(at, *draws.of(&theirs));
        }
        _ => list[at.min(other)..=at.max(other)].reverse(),
    }
    *bytes = list.join(&b'\n');
}

/// JSON: members and entries lost, doubled, swapped, renamed, of another kind.
fn members(bytes: &mut Vec<u8>, draws: &mut Draws) {
    let all = tokens(bytes);
    if all.is_empty() {
        return;
    }
    let is_key = |index: &usize| {
        all[*index].0 == Kind::Text && all.get(index + 1).is_some_and(|next| bytes[next.1.start] == b':')
    };
    let keys: Vec<usize> = (0..all.len()).filter(is_key).collect();
    let any = draws.below(all.len());
    let one = value(bytes, &all, any);
    match draws.below(9) {
        // Another value in its place.
        0 => {
            bytes.splice(one, draws.of(&VALUES).bytes());
        }
        // Two values change places; the later first.
        1 => {
            let two = value(bytes, &all, draws.below(all.len()));
            let (first, second) = if one.start < two.start { (one, two) } else { (two, one) };
            if first.end <= second.start {
                let (a, b) = (bytes[first.clone()].to_vec(), bytes[second.clone()].to_vec());
                bytes.splice(second, a);
                bytes.splice(first, b);
            }
        }
        // An entry many times over.
        2 => {
            let mut piece = bytes[one.clone()].to_vec();
            piece.push(b',');
            let most = (200_000 / piece.len()).max(1);
            let piece = piece.repeat((*draws.of(&[1, 2, 70, 3_000])).min(most));
            bytes.splice(one.start..one.start, piece);
        }
        3 => {
            bytes.drain(one);
        }
        _ if keys.is_empty() => {}
        // A key twice, with its own or another value.
        4 => {
            let key = *draws.of(&keys);
            let end = all
                .get(key + 2)
                .map_or(bytes.len(), |_| value(bytes, &all, key + 2).end);
            let mut piece = bytes[all[key].1.start..end].to_vec();
            if draws.one_in(2) {
                piece.truncate(all[key].1.len());
                piece.push(b':');
                piece.extend(draws.of(&VALUES).bytes());
            }
            piece.push(b',');
            let at = all[key].1.start;
            bytes.splice(at..at, piece);
        }
        // A key renamed, or the name of another.
        5 => {
            let key = all[*draws.of(&keys)].1.clone();
            let other = bytes[all[*draws.of(&keys)].1.clone()].to_vec();
            let name = if draws.one_in(3) {
                b"\"unknown\"".to_vec()
            } else {
                other
            };
            bytes.splice(key, name);
        }
        // A member lost.
        6 => {
            let key = *draws.of(&keys);
            let end = all
                .get(key + 2)
                .map_or(bytes.len(), |_| value(bytes, &all, key + 2).end);
            let comma = usize::from(bytes.get(end) == Some(&b','));
            bytes.drain(all[key].1.start..end + comma);
        }
        // The value of a key becomes another value.
        7 => {
            let key = *draws.of(&keys);
            if key + 2 < all.len() {
                bytes.splice(value(bytes, &all, key + 2), draws.of(&VALUES).bytes());
            }
        }
        // A text grows or is spoilt.
        _ => {
            let text = all[*draws.of(&keys)].1.clone();
            let piece = if draws.one_in(5) {
                b"y".repeat(20_000)
            } else {
                draws.of(&PIECES).to_vec()
            };
            bytes.splice(text.start + 1..text.start + 1, piece);
        }
    }
}

/// TOML: values of another kind, keys of other lines, headings.
fn assignments(bytes: &mut Vec<u8>, draws: &mut Draws) {
    let all = tokens(bytes);
    let equals: Vec<usize> = (1..all.len())
        .filter(|index| bytes[all[*index].1.start] == b'=')
        .collect();
    if equals.is_empty() {
        return;
    }
    let one = *draws.of(&equals);
    let two = *draws.of(&equals);
    let place = |index: usize| all.get(index + 1).map(|_| value(bytes, &all, index + 1));
    match draws.below(5) {
        0 => {
            if let Some(place) = place(one) {
                bytes.splice(place, draws.of(&VALUES).bytes());
            }
        }
        1 => {
            if let (Some(to), Some(from)) = (place(one), place(two)) {
                let piece = bytes[from].to_vec();
                bytes.splice(to, piece);
            }
        }
        2 => {
            let key = bytes[all[two - 1].1.clone()].to_vec();
            bytes.splice(all[one - 1].1.clone(), key);
        }
        3 => {
            let heading = draws.of(&[
                "\n[check]\n",
                "\n[[check]]\n",
                "\n[points]\n",
                "\n[[fault]]\n",
                "\n[[rung]]\n",
                "\n[a.b.c]\n",
            ]);
            let at = all[one - 1].1.start;
            bytes.splice(at..at, heading.bytes());
        }
        _ => {
            if let Some(place) = place(one) {
                let words = places(bytes, if draws.one_in(2) { Kind::Text } else { Kind::Word });
                if !words.is_empty() {
                    let piece = bytes[draws.of(&words).clone()].to_vec();
                    bytes.splice(place, piece);
                }
            }
        }
    }
}

/// Tables: cells lost, doubled, emptied; columns moved; another separator.
fn cells(bytes: &mut Vec<u8>, draws: &mut Draws) {
    let separator = if bytes.iter().filter(|byte| **byte == b';').count() > 3 {
        b';'
    } else {
        b','
    };
    let mut list: Vec<Vec<Vec<u8>>> = bytes
        .split(|byte| *byte == b'\n')
        .map(|line| line.split(|byte| *byte == separator).map(<[u8]>::to_vec).collect())
        .collect();
    let row = draws.below(list.len());
    let column = draws.below(list[row].len());
    let mut joint = separator;
    match draws.below(8) {
        0 => list[row][column].clear(),
        1 => {
            list[row].remove(column);
        }
        2 => {
            let cell = list[row][column].clone();
            list[row].insert(column, cell);
        }
        3 => list.iter_mut().for_each(|row| {
            if column < row.len() {
                row.remove(column);
            }
        }),
        4 => {
            let other = draws.below(list[row].len());
            for row in &mut list {
                if column < row.len() && other < row.len() {
                    row.swap(column, other);
                }
            }
        }
        5 => joint = *draws.of(b",;\t|"),
        6 => {
            let other = draws.below(list.len());
            let cell = list[other].get(column).cloned().unwrap_or_default();
            list[row][column] = cell;
        }
        _ => list[row][column] = draws.of(&VALUES).bytes().collect(),
    }
    let rows: Vec<Vec<u8>> = list.into_iter().map(|row| row.join(&joint)).collect();
    *bytes = rows.join(&b'\n');
}
