//! From a set-up file to a set-up, or to every problem of the file.

use std::ops::RangeInclusive;
use std::path::Path;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::error::Error;
use crate::marks::{GIVEN_SCALE_SD, KNOWN_LENGTHS_M, METRES_PER_PX, SURFACE_HEIGHTS_M};
use crate::numbers::{in_short, shortened};
use crate::setup_file::SETUP_FORMAT;
use crate::{CameraSetup, Facing, KnownLength, SurfaceAt, limits, names, text};

/// Most problems that are looked at.
const MOST: usize = 100;
/// Bytes of the problems that are told; the others are counted.
const MOST_BYTES: usize = 3_000;
/// Longest name or note, letters.
const LONGEST: usize = 400;
/// Slips of the pen that a key may have to be met with the right one.
const NEAR: usize = 4;
/// Standard uncertainties of marks, px.
const SDS_PX: RangeInclusive<f64> = 0.01..=1000.0;
/// What a picture's width can take in, degrees.
const FIELDS_OF_VIEW: RangeInclusive<f64> = 5.0..=150.0;

/// Keys of the file.
const KEYS: [&str; 17] = [
    "format",
    "version",
    "name",
    "note",
    "picture",
    "field_of_view_deg",
    "facing",
    "floor_line",
    "floor_line_sd_px",
    "metres_per_px",
    "metres_per_px_sd",
    "known_length",
    "second_length",
    "hand_surface_m",
    "hand_surface_at",
    "foot_surface_m",
    "foot_surface_at",
];
/// Keys of `picture`.
const PICTURE_KEYS: [&str; 2] = ["width", "height"];
/// Keys of a known length.
const LENGTH_KEYS: [&str; 3] = ["m", "ends", "sd_px"];
/// What a set-up is for; it must give one of these.
const USES: [&str; 8] = [
    "floor_line",
    "known_length",
    "metres_per_px",
    "facing",
    "hand_surface_m",
    "hand_surface_at",
    "foot_surface_m",
    "foot_surface_at",
];

impl CameraSetup {
    /// Reads a set-up file (TOML).
    ///
    /// # Errors
    /// [`Error::Read`], [`Error::TooLarge`], [`Error::NotUtf8`], [`Error::Film`], and those of [`CameraSetup::from_toml`].
    pub fn read(path: &Path) -> Result<CameraSetup, Error> {
        let name = path.display().to_string();
        let mut bytes = Vec::new();
        crate::importer::read_whole(path, &name, &mut bytes, limits::LAYOUT_BYTES)?;
        Self::from_toml(&name, text::decode(&name, &bytes)?)
    }

    /// Reads a set-up from TOML text; `file` stands for it in messages and outputs.
    ///
    /// # Errors
    /// [`Error::Setup`] with every problem of the file, each with line and column.
    ///
    /// ```
    /// use springline_keypoints::CameraSetup;
    /// let text = r#"
    /// format = "springline-setup"
    /// version = 1
    /// name = "hall"
    /// picture = { width = 1920, height = 1080 }
    /// floor_line = [[120, 905], [1800, 898]]
    /// "#;
    /// let setup = CameraSetup::from_toml("hall.toml", text)?;
    /// assert_eq!(setup.floor_line, Some([(120.0, 905.0), (1800.0, 898.0)]));
    /// let error = CameraSetup::from_toml("hall.toml", &text.replace("floor_line", "floorline")).unwrap_err();
    /// assert!(error.to_string().contains("hall.toml: line 6, column 1: found the unknown key \"floorline\""));
    /// assert!(error.to_string().contains("did you mean \"floor_line\"?"));
    /// # Ok::<(), springline_keypoints::Error>(())
    /// ```
    pub fn from_toml(file: &str, text: &str) -> Result<CameraSetup, Error> {
        let mut sheet = Sheet {
            file,
            text,
            problems: Vec::new(),
            more: 0,
        };
        let (root, errors) = DeTable::parse_recoverable(text);
        for error in &errors {
            let at = error.span().map_or(text.len(), |span| span.start);
            let message = error.message();
            let (found, expected) = message.split_once(", expected ").unwrap_or((message, "key = value"));
            sheet.add(at, format!("no valid TOML ({found})"), expected);
        }
        // What a broken line hides is not missing.
        let broken = !errors.is_empty();
        let setup = sheet.setup(root.get_ref(), broken);
        if sheet.problems.is_empty() {
            return Ok(setup);
        }
        sheet.problems.sort_by_key(|(at, _)| *at);
        let (all, mut problems, mut bytes) = (sheet.problems.len() + sheet.more, Vec::new(), 0);
        for (_, line) in sheet.problems {
            bytes += line.len();
            if bytes > MOST_BYTES {
                problems.push(format!("{file}: more problems: {}", all - problems.len()));
                break;
            }
            problems.push(line);
        }
        Err(Error::Setup { problems })
    }
}

type Value<'d> = Spanned<DeValue<'d>>;

struct Sheet<'t> {
    file: &'t str,
    text: &'t str,
    problems: Vec<(usize, String)>,
    /// Problems past [`MOST`].
    more: usize,
}

fn value<'d, 'a>(table: &'a DeTable<'d>, key: &str) -> Option<&'a Value<'d>> {
    table
        .iter()
        .find(|(this, _)| this.get_ref() == key)
        .map(|(_, value)| value)
}

impl Sheet<'_> {
    fn add(&mut self, at: usize, found: impl AsRef<str>, expected: impl AsRef<str>) {
        if self.problems.len() == MOST {
            self.more += 1;
            return;
        }
        let before = self.text.get(..at).unwrap_or(self.text);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        let (file, found, expected) = (self.file, found.as_ref(), expected.as_ref());
        let words = format!("{file}: line {line}, column {column}: found {found}, expected {expected}");
        // A terminal shall not obey what a file says.
        self.problems.push((at, words.replace(char::is_control, "\u{fffd}")));
    }

    fn setup(&mut self, root: &DeTable<'_>, broken: bool) -> CameraSetup {
        self.only(root, &KEYS, "of a set-up file");
        if !broken {
            self.needed(root, 0, &["format", "version", "name", "picture"], "the file");
            if !USES.iter().any(|key| value(root, key).is_some()) {
                let uses = format!("at least one of {}", USES.join(", "));
                self.add(0, "nothing marked or given in the file", uses);
            }
        }
        if let Some(format) = value(root, "format") {
            self.word(format, &[SETUP_FORMAT]);
        }
        if let Some(version) = value(root, "version") {
            self.number(version, &(1.0..=1.0), "");
        }
        let picture = self.picture(root, broken);
        let floor_line = value(root, "floor_line").and_then(|line| self.two_points(line, picture));
        let hand_surface = self.surface(root, "hand_surface", picture);
        let foot_surface = self.surface(root, "foot_surface", picture);
        let setup = CameraSetup {
            file: self.file.to_owned(),
            name: self.text_of(root, "name").unwrap_or_default(),
            note: self.text_of(root, "note"),
            picture: picture.unwrap_or((1.0, 1.0)),
            field_of_view_deg: self.number_of(root, "field_of_view_deg", &FIELDS_OF_VIEW, " degrees"),
            facing: value(root, "facing")
                .and_then(|way| self.word(way, &["left", "right"]))
                .map(|way| if way == 0 { Facing::Left } else { Facing::Right }),
            floor_line,
            floor_line_sd_px: self.number_of(root, "floor_line_sd_px", &SDS_PX, " px"),
            metres_per_px: self.metres_per_px(root),
            known_length: self.length(root, "known_length", picture, broken),
            second_length: self.length(root, "second_length", picture, broken),
            hand_surface,
            foot_surface,
        };
        for (key, other) in [
            ("floor_line_sd_px", "floor_line"),
            ("metres_per_px_sd", "metres_per_px"),
            ("second_length", "known_length"),
        ] {
            if let Some((found, _)) = root.iter().find(|(this, _)| this.get_ref() == key)
                && value(root, other).is_none()
                && !broken
            {
                let at = found.span().start;
                self.add(at, format!("{key} without {other}"), format!("{other} with it"));
            }
        }
        setup
    }

    /// Notes keys that don't belong there.
    fn only(&mut self, table: &DeTable<'_>, keys: &[&str], of: &str) {
        for (key, _) in table {
            let word: &str = key.get_ref();
            if keys.contains(&word) {
                continue;
            }
            let near = names::nearest_of(word, keys.iter().copied())
                .filter(|near| strsim::damerau_levenshtein(near, word) <= NEAR);
            let hint = near.map_or_else(String::new, |near| format!("; did you mean {near:?}?"));
            let expected = format!("a key {of}: {}{hint}", keys.join(", "));
            self.add(
                key.span().start,
                format!("the unknown key {:?}", shortened(word)),
                expected,
            );
        }
    }

    fn needed(&mut self, table: &DeTable<'_>, at: usize, keys: &[&str], of: &str) {
        for key in keys {
            if value(table, key).is_none() {
                self.add(at, format!("no {key} in {of}"), format!("the key {key}"));
            }
        }
    }

    /// Which of those words it is.
    fn word(&mut self, value: &Value<'_>, words: &[&str]) -> Option<usize> {
        let found = value
            .get_ref()
            .as_str()
            .and_then(|text| words.iter().position(|word| *word == text));
        if found.is_none() {
            let quoted: Vec<String> = words.iter().map(|word| format!("{word:?}")).collect();
            self.add(value.span().start, described(value), quoted.join(" or "));
        }
        found
    }

    fn text_of(&mut self, table: &DeTable<'_>, key: &str) -> Option<String> {
        let value = value(table, key)?;
        let at = value.span().start;
        let Some(text) = value.get_ref().as_str() else {
            self.add(at, format!("{} for {key}", described(value)), "text in quotes");
            return None;
        };
        if text.trim().is_empty() || text.chars().count() > LONGEST || text.contains(char::is_control) {
            let expected = format!("one line of at most {LONGEST} letters");
            self.add(at, format!("{} for {key}", described(value)), expected);
            return None;
        }
        Some(text.to_owned())
    }

    fn number(&mut self, value: &Value<'_>, range: &RangeInclusive<f64>, unit: &str) -> Option<f64> {
        let number = plain_number(value);
        match number {
            Some(number) if range.contains(&number) => Some(number),
            _ => {
                let found = number.map_or_else(|| described(value), |number| format!("{}{unit}", in_short(number)));
                let (low, high) = (range.start(), range.end());
                let expected = if low == high {
                    format!("{low}{unit}")
                } else {
                    format!("a number, {low} to {high}{unit}")
                };
                self.add(value.span().start, found, expected);
                None
            }
        }
    }

    fn number_of(&mut self, table: &DeTable<'_>, key: &str, range: &RangeInclusive<f64>, unit: &str) -> Option<f64> {
        self.number(value(table, key)?, range, unit)
    }

    fn table<'d, 'a>(&mut self, table: &'a DeTable<'d>, key: &str, form: &str) -> Option<(&'a DeTable<'d>, usize)> {
        let value = value(table, key)?;
        let at = value.span().start;
        if let DeValue::Table(inner) = value.get_ref() {
            return Some((inner, at));
        }
        self.add(at, format!("{} for {key}", described(value)), form);
        None
    }

    fn picture(&mut self, root: &DeTable<'_>, broken: bool) -> Option<(f64, f64)> {
        let (table, at) = self.table(root, "picture", "picture = { width = 1920, height = 1080 }")?;
        if !broken {
            self.only(table, &PICTURE_KEYS, "of picture");
            self.needed(table, at, &PICTURE_KEYS, "picture");
        }
        let sides = 16.0..=limits::FAR_PX;
        let width = self.number_of(table, "width", &sides, " px");
        let height = self.number_of(table, "height", &sides, " px");
        width.zip(height)
    }

    fn metres_per_px(&mut self, root: &DeTable<'_>) -> Option<(f64, f64)> {
        let sd = self.number_of(
            root,
            "metres_per_px_sd",
            &(1e-9..=*METRES_PER_PX.end()),
            " metres per px",
        );
        let scale = self.number_of(root, "metres_per_px", &METRES_PER_PX, " metres per px")?;
        if let Some((sd, at)) = sd.zip(value(root, "metres_per_px_sd"))
            && sd > scale
        {
            let found = format!("{} metres per px", in_short(sd));
            self.add(at.span().start, found, "less than metres_per_px itself");
        }
        Some((scale, sd.map_or(GIVEN_SCALE_SD, |sd| sd / scale)))
    }

    fn length(
        &mut self,
        root: &DeTable<'_>,
        key: &str,
        picture: Option<(f64, f64)>,
        broken: bool,
    ) -> Option<KnownLength> {
        let form = format!("a table, [{key}] with m and ends");
        let (table, at) = self.table(root, key, &form)?;
        if !broken {
            self.only(table, &LENGTH_KEYS, &format!("of [{key}]"));
            self.needed(table, at, &LENGTH_KEYS[..2], key);
        }
        let metres = self.number_of(table, "m", &KNOWN_LENGTHS_M, " m");
        let sd_px = self.number_of(table, "sd_px", &SDS_PX, " px");
        let ends = value(table, "ends").and_then(|ends| self.two_points(ends, picture));
        metres
            .zip(ends)
            .map(|(metres, ends)| KnownLength { metres, ends, sd_px })
    }

    fn surface(&mut self, root: &DeTable<'_>, what: &str, picture: Option<(f64, f64)>) -> Option<SurfaceAt> {
        let (height_key, at_key) = (format!("{what}_m"), format!("{what}_at"));
        let height = self.number_of(root, &height_key, &SURFACE_HEIGHTS_M, " m");
        let mark = value(root, &at_key);
        if let (Some(mark), Some(_)) = (mark, value(root, &height_key)) {
            let found = format!("{at_key} and {height_key}");
            self.add(mark.span().start, found, "the height or a marked point, not both");
        }
        let marked = mark.and_then(|mark| self.point(mark, picture)).map(SurfaceAt::Marked);
        height.map(SurfaceAt::OverFloorM).or(marked)
    }

    /// A place in the picture.
    fn point(&mut self, value: &Value<'_>, picture: Option<(f64, f64)>) -> Option<(f64, f64)> {
        let numbers: Option<Vec<f64>> = match value.get_ref() {
            DeValue::Array(list) if list.len() == 2 => list.iter().map(plain_number).collect(),
            _ => None,
        };
        let at = value.span().start;
        let Some(&[x, y]) = numbers.as_deref() else {
            self.add(at, described(value), "a point as [x, y], px");
            return None;
        };
        let (width, height) = picture.unwrap_or((limits::FAR_PX, limits::FAR_PX));
        if !(0.0..=width).contains(&x) || !(0.0..=height).contains(&y) {
            let found = format!("the point {}, {}", in_short(x), in_short(y));
            let expected = format!("a place in the picture, 0 to {width} and 0 to {height} px");
            self.add(at, found, expected);
            return None;
        }
        Some((x, y))
    }

    fn two_points(&mut self, value: &Value<'_>, picture: Option<(f64, f64)>) -> Option<[(f64, f64); 2]> {
        let at = value.span().start;
        let expected = "two points as [[x, y], [x, y]], px";
        let DeValue::Array(list) = value.get_ref() else {
            self.add(at, described(value), expected);
            return None;
        };
        if list.len() != 2 {
            let found = format!(
                "a list of {} {}",
                list.len(),
                if list.len() == 1 { "entry" } else { "entries" }
            );
            self.add(at, found, expected);
            return None;
        }
        let [a, b] = [0, 1].map(|index| self.point(&list[index], picture));
        let (a, b) = a.zip(b)?;
        if a == b {
            self.add(at, "the same point twice", "two points apart from each other");
            return None;
        }
        Some([a, b])
    }
}

/// A number that is one.
fn plain_number(value: &Value<'_>) -> Option<f64> {
    let number = match value.get_ref() {
        DeValue::Integer(whole) => i64::from_str_radix(whole.as_str(), whole.radix()).ok()? as f64,
        DeValue::Float(float) => float.as_str().parse::<f64>().ok()?,
        _ => return None,
    };
    number.is_finite().then_some(number)
}

/// What stands there, for messages.
fn described(value: &Value<'_>) -> String {
    match value.get_ref() {
        DeValue::String(text) => format!("the text {:?}", shortened(text)),
        DeValue::Integer(whole) => format!("the number {}", shortened(whole.as_str())),
        DeValue::Float(float) => format!("the number {}", shortened(float.as_str())),
        DeValue::Boolean(truth) => format!("{truth}"),
        DeValue::Datetime(_) => "a date or time".to_owned(),
        DeValue::Array(list) => format!("a list of {}", list.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup_file::{SETUP_EXAMPLE, setup_schema};

    fn problems(text: &str) -> Vec<String> {
        match CameraSetup::from_toml("hall.toml", text) {
            Err(Error::Setup { problems }) => problems,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn the_example_is_whole_with_and_without_its_comments() {
        let setup = CameraSetup::from_toml("example", SETUP_EXAMPLE).unwrap();
        assert!(setup.floor_line.is_some() && setup.known_length.is_some() && setup.second_length.is_none());
        // Every entry that is commented out can be taken in; height and mark of a surface exclude each other.
        let taken_in: Vec<&str> = SETUP_EXAMPLE
            .lines()
            .map(|line| match line.strip_prefix("# ") {
                Some(entry) if entry.contains(" = ") || entry.starts_with('[') => entry,
                _ => line,
            })
            .filter(|line| !line.contains("_at = "))
            .collect();
        let all = CameraSetup::from_toml("example", &taken_in.join("\n")).unwrap();
        assert!(all.second_length.is_some() && all.hand_surface.is_some() && all.field_of_view_deg == Some(65.0));
        for key in KEYS {
            assert!(SETUP_EXAMPLE.contains(key), "{key}");
        }
    }

    #[test]
    fn the_keys_are_those_of_the_form() {
        let schema = setup_schema().to_value();
        let keys = |at: &str| -> Vec<String> {
            let mut keys: Vec<String> = schema
                .pointer(at)
                .unwrap()
                .as_object()
                .unwrap()
                .keys()
                .cloned()
                .collect();
            keys.sort();
            keys
        };
        let sorted = |keys: &[&str]| {
            let mut keys: Vec<String> = keys.iter().map(|key| (*key).to_owned()).collect();
            keys.sort();
            keys
        };
        assert_eq!(keys("/properties"), sorted(&KEYS));
        assert_eq!(keys("/$defs/PictureSize/properties"), sorted(&PICTURE_KEYS));
        assert_eq!(keys("/$defs/KnownLengthEntry/properties"), sorted(&LENGTH_KEYS));
    }

    #[test]
    fn every_problem_at_once() {
        let found = problems(
            "format = \"springline-setup\"\nversion = 2\nname = 7\npicture = { width = 1920 }\nfacing = \"west\"\n\
             floor_lin = [[1, 2], [3, 4]]\nfloor_line_sd_px = -1\nmetres_per_px = 350\n\
             [known_length]\nm = 120\nends = [[1, 2], [1, 2]]\n[second_length]\nmetres = 1.2\nends = [1, 2]\n",
        );
        let wanted = [
            "hall.toml: line 2, column 11: found 2, expected 1",
            "hall.toml: line 3, column 8: found the number 7 for name, expected text in quotes",
            "hall.toml: line 4, column 11: found no height in picture, expected the key height",
            "hall.toml: line 5, column 10: found the text \"west\", expected \"left\" or \"right\"",
            "hall.toml: line 6, column 1: found the unknown key \"floor_lin\"",
            "hall.toml: line 7, column 1: found floor_line_sd_px without floor_line",
            "hall.toml: line 7, column 20: found -1 px, expected a number, 0.01 to 1000 px",
            "hall.toml: line 8, column 17: found 350 metres per px, expected a number, 0.0001 to 0.1 metres per px",
            "hall.toml: line 10, column 5: found 120 m, expected a number, 0.05 to 30 m",
            "hall.toml: line 11, column 8: found the same point twice",
            "hall.toml: line 12, column 1: found no m in second_length",
            "hall.toml: line 13, column 1: found the unknown key \"metres\"",
            "hall.toml: line 14, column 9: found the number 1, expected a point",
            "hall.toml: line 14, column 12: found the number 2, expected a point",
        ];
        assert_eq!(found.len(), wanted.len(), "{found:#?}");
        for (line, start) in found.iter().zip(wanted) {
            assert!(line.starts_with(start), "{line}\n{start}");
        }
        assert!(found[4].ends_with("did you mean \"floor_line\"?"), "{}", found[4]);
    }

    #[test]
    fn a_broken_file_is_told_without_what_follows_from_it() {
        let broken = SETUP_EXAMPLE.replace("name = \"hall, long side\"", "name = hall, long side");
        let found = problems(&broken);
        assert!(
            found
                .iter()
                .all(|line| line.contains("no valid TOML") || line.contains("unknown key")),
            "{found:#?}"
        );
        assert!(problems("").iter().any(|line| line.contains("no format in the file")));
        assert!(!problems("\u{0}[[[").is_empty());
        let outside = SETUP_EXAMPLE.replace("[1800, 898]", "[2800, 898]");
        assert_eq!(
            problems(&outside),
            [
                "hall.toml: line 21, column 27: found the point 2800, 898, expected a place in the picture, 0 to 1920 and 0 to 1080 px"
            ]
        );
    }

    #[test]
    fn any_cut_or_change_is_met_without_panic() {
        for cut in 0..SETUP_EXAMPLE.len() {
            if SETUP_EXAMPLE.is_char_boundary(cut) {
                let _ = CameraSetup::from_toml("hall.toml", &SETUP_EXAMPLE[..cut]);
            }
        }
        for (from, to) in [
            ("3", "nan"),
            ("1920", "inf"),
            ("1", "9".repeat(400).as_str()),
            ("[", "[["),
            ("=", ""),
        ] {
            let _ = CameraSetup::from_toml("hall.toml", &SETUP_EXAMPLE.replace(from, to));
        }
    }
}
