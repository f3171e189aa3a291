//! What a file says, frame by frame and person by person, before anybody is chosen or mended.

use springline_kinematics::Landmark;

use crate::error::Error;
use crate::layout::{Layout, ScoreRange};
use crate::limits;
use crate::numbers::Numbers;
use crate::origin::Mark;

/// A point as it came.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spot {
    /// Px to the right, or share of the width until scaled.
    pub x: f64,
    /// Px down, or share of the height until scaled.
    pub y: f64,
    /// Confidence, 0 to 1.
    pub score: Option<f32>,
}

/// One person in one frame; its spots lie at its position × number of slots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Record {
    /// Frame number as in the file.
    pub frame: i64,
    /// Time, s.
    pub time: Option<f64>,
    /// Number that the file gives this person.
    pub person: Option<i64>,
}

/// What coordinates are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unit {
    /// Px.
    Px,
    /// Shares of the picture's width and height.
    Shares,
    /// Not said; told from their size.
    Unsaid,
}

/// What times are in, as far as somebody said it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum TimesIn {
    /// Seconds by the form of the file.
    Form,
    /// Nobody said it: seconds, unless they can't be.
    Unsaid,
    /// A name or a layout file said it; they are seconds by now.
    Stated,
}

impl TimesIn {
    /// For times in units of so many seconds; 1 is what is taken where nobody said anything.
    pub(crate) fn units_of(seconds: f64) -> TimesIn {
        if seconds == 1.0 {
            TimesIn::Unsaid
        } else {
            TimesIn::Stated
        }
    }
}

/// All records of a file or folder.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    /// The landmarks that each record has spots for, in the order of the spots.
    pub slots: Vec<Landmark>,
    pub records: Vec<Record>,
    pub spots: Vec<Option<Spot>>,
    /// Sd per axis of every spot, px; empty when the file gives none.
    pub sds: Vec<Option<f32>>,
    /// Sd per axis of every spot alike, px.
    pub every_sd: Option<f32>,
    /// Origin and doubt of every spot; empty when the file tells none apart.
    pub marks: Vec<Mark>,
    /// Frames in which nobody was seen.
    pub bare: Vec<(i64, Option<f64>)>,
    pub picture: Option<(f64, f64)>,
    pub rate_hz: Option<f64>,
    pub times_in: TimesIn,
    pub unit: Unit,
    /// Y still grows upward, as in the file.
    pub y_up: bool,
    /// Points left out because of a low score.
    pub low_scores: usize,
    /// Scores above 1 that were taken as 1.
    pub high_scores: usize,
    /// Points at exactly (0, 0) without a score, taken as missing.
    pub zeros: usize,
    /// What else there is to tell of the file.
    pub remarks: Vec<String>,
}

impl Sheet {
    pub(crate) fn new(slots: Vec<Landmark>) -> Self {
        Self {
            slots,
            records: Vec::new(),
            spots: Vec::new(),
            sds: Vec::new(),
            every_sd: None,
            marks: Vec::new(),
            bare: Vec::new(),
            picture: None,
            rate_hz: None,
            times_in: TimesIn::Form,
            unit: Unit::Unsaid,
            y_up: false,
            low_scores: 0,
            high_scores: 0,
            zeros: 0,
            remarks: Vec::new(),
        }
    }

    /// The spots of one record.
    pub(crate) fn spots_of(&self, record: usize) -> &[Option<Spot>] {
        let stride = self.slots.len();
        &self.spots[record * stride..(record + 1) * stride]
    }

    /// Records without any point become frames in which nobody was seen.
    pub(crate) fn drop_unseen(&mut self) {
        let stride = self.slots.len();
        let mut kept = 0;
        for record in 0..self.records.len() {
            let range = record * stride..(record + 1) * stride;
            if self.spots[range.clone()].iter().all(Option::is_none) {
                self.bare.push((self.records[record].frame, self.records[record].time));
                continue;
            }
            self.spots.copy_within(range, kept * stride);
            self.records[kept] = self.records[record];
            kept += 1;
        }
        self.records.truncate(kept);
        self.spots.truncate(kept * stride);
    }

    /// Notes the picture's size; it must stay the same through the clip.
    pub(crate) fn set_picture(&mut self, file: &str, place: &str, width: f64, height: f64) -> Result<(), Error> {
        let fits = |side: f64| (1.0..=limits::FAR_PX).contains(&side);
        if !fits(width) || !fits(height) {
            return Err(Error::Shape {
                file: file.to_owned(),
                place: place.to_owned(),
                found: format!("a picture of {width} x {height} px"),
                expected: "sides of 1 to 100000 px".to_owned(),
            });
        }
        match self.picture {
            Some((w, h)) if (w, h) != (width, height) => Err(Error::MixedPictures {
                file: file.to_owned(),
                place: place.to_owned(),
                found_width: width,
                found_height: height,
                width: w,
                height: h,
            }),
            _ => {
                self.picture = Some((width, height));
                Ok(())
            }
        }
    }
}

/// Words added to a score error when the scores look like percentages.
pub(crate) fn score_hint(found: f64, high: f64) -> &'static str {
    if high < 2.0 && (2.0..=100.0).contains(&found) {
        "; these look like percentages: divide them by 100, or state their range in a layout file"
    } else {
        ""
    }
}

/// Where x, y and score of a point stand among its numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Columns {
    /// How many numbers a point has.
    pub count: usize,
    pub x: usize,
    pub y: usize,
    pub score: Option<usize>,
}

impl Columns {
    pub(crate) const TRIPLES: Columns = Columns {
        count: 3,
        x: 0,
        y: 1,
        score: Some(2),
    };
}

/// Checks numbers and puts them on the sheet.
pub(crate) struct Intake {
    /// The file being read, for messages.
    pub file: String,
    /// Which point of the file goes to which slot.
    slot_of: Vec<Option<usize>>,
    /// The points that are kept, with their slots.
    kept: Vec<(usize, usize)>,
    pub layout: Layout,
    pub columns: Columns,
    scores: ScoreRange,
    /// Scores are COCO visibility flags: 0 not labelled, 1 hidden, 2 visible.
    pub visibility: bool,
    min_score: f64,
    pub sheet: Sheet,
    total_points: usize,
}

impl Intake {
    pub(crate) fn new(file: &str, layout: Layout, columns: Columns, min_score: f64) -> Self {
        let slots = layout.landmarks();
        let mut sheet = Sheet::new(slots.clone());
        sheet.unit = layout.unit;
        sheet.y_up = layout.y_up;
        let slot_of: Vec<Option<usize>> = layout
            .points
            .iter()
            .map(|point| point.and_then(|landmark| slots.iter().position(|slot| *slot == landmark)))
            .collect();
        let kept = slot_of
            .iter()
            .enumerate()
            .filter_map(|(point, slot)| slot.map(|slot| (point, slot)))
            .collect();
        Self {
            file: file.to_owned(),
            slot_of,
            kept,
            columns,
            scores: layout.scores,
            layout,
            visibility: false,
            min_score,
            sheet,
            total_points: 0,
        }
    }

    /// Where a point of the file goes among the spots of a record.
    pub(crate) fn slot_of(&self, point: usize) -> Option<usize> {
        self.slot_of.get(point).copied().flatten()
    }

    /// A frame in which nobody was seen.
    pub(crate) fn add_bare(&mut self, frame: i64, time: Option<f64>) -> Result<(), Error> {
        if self.sheet.bare.len() >= limits::FRAMES {
            return Err(self.too_many(frame, "frames", limits::FRAMES));
        }
        self.sheet.bare.push((frame, time));
        Ok(())
    }

    /// One person in one frame: `numbers` holds the numbers of every point of the layout in turn.
    pub(crate) fn add(
        &mut self,
        frame: i64,
        time: Option<f64>,
        person: Option<i64>,
        numbers: &Numbers,
    ) -> Result<(), Error> {
        let count = self.columns.count;
        if let Some((at, found)) = &numbers.bad {
            return Err(Error::NotANumber {
                file: self.file.clone(),
                place: format!("frame {frame}, {}", self.layout.point_name(at / count)),
                found: found.clone(),
            });
        }
        if numbers.values.len() != self.slot_of.len() * count {
            return Err(self.wrong_count(&format!("frame {frame}"), numbers.values.len()));
        }
        let stride = self.sheet.slots.len();
        self.total_points += stride;
        if self.total_points > limits::POINTS {
            return Err(self.too_many(frame, "points", limits::POINTS));
        }
        let start = self.sheet.spots.len();
        self.sheet.spots.resize(start + stride, None);
        let mut seen = false;
        let Columns { x, y, score, .. } = self.columns;
        for at in 0..self.kept.len() {
            let (point, slot) = self.kept[at];
            let values = &numbers.values[point * count..(point + 1) * count];
            let (Some(x), Some(y)) = (values[x], values[y]) else {
                continue;
            };
            let score = match score.map(|column| values[column]) {
                None => None,
                Some(Some(score)) => Some(score),
                Some(None) => continue,
            };
            if let Some(spot) = self.spot(frame, point, x, y, score)? {
                self.sheet.spots[start + slot] = Some(spot);
                seen = true;
            }
        }
        if seen {
            self.sheet.records.push(Record { frame, time, person });
            Ok(())
        } else {
            self.sheet.spots.truncate(start);
            self.add_bare(frame, time)
        }
    }

    /// One point, if it was seen.
    pub(crate) fn spot(
        &mut self,
        frame: i64,
        point: usize,
        x: f64,
        y: f64,
        score: Option<f64>,
    ) -> Result<Option<Spot>, Error> {
        let origin = x == 0.0 && y == 0.0;
        if self.layout.missing_value.is_some_and(|value| x == value && y == value) {
            return Ok(None);
        }
        let Some(raw) = score else {
            if origin && self.layout.zero_is_missing {
                self.sheet.zeros += 1;
                return Ok(None);
            }
            return Ok(Some(Spot { x, y, score: None }));
        };
        if self.visibility {
            if !(0.0..=2.0).contains(&raw) {
                return Err(self.score_error(frame, point, raw, 0.0, 2.0));
            }
            #[allow(clippy::cast_possible_truncation)]
            return Ok((raw > 0.0).then_some(Spot {
                x,
                y,
                score: Some(raw as f32),
            }));
        }
        let ScoreRange {
            low, high, accepted, ..
        } = self.scores;
        let span = high - low;
        // A hair below nothing is rounding of the tool.
        if raw < low - 0.05 * span || raw > accepted {
            return Err(self.score_error(frame, point, raw, low, accepted));
        }
        let share = ((raw - low) / span).clamp(0.0, 1.0);
        if raw > high {
            self.sheet.high_scores += 1;
        }
        if share < self.min_score || share == 0.0 {
            if !(origin && share == 0.0) {
                self.sheet.low_scores += 1;
            }
            return Ok(None);
        }
        #[allow(clippy::cast_possible_truncation)]
        Ok(Some(Spot {
            x,
            y,
            score: Some(share as f32),
        }))
    }

    fn score_error(&self, frame: i64, point: usize, found: f64, low: f64, high: f64) -> Error {
        Error::ScoreRange {
            file: self.file.clone(),
            place: format!("frame {frame}, {}", self.layout.point_name(point)),
            found,
            low,
            high,
            hint: score_hint(found, high),
        }
    }

    /// The error for a list of numbers that doesn't hold the layout's points.
    pub(crate) fn wrong_count(&self, place: &str, numbers: usize) -> Error {
        wrong_count(&self.file, place, numbers, self.columns.count, &self.layout)
    }

    fn too_many(&self, frame: i64, what: &'static str, most: usize) -> Error {
        Error::TooMany {
            file: self.file.clone(),
            place: format!("frame {frame}"),
            what,
            most,
        }
    }

    /// Visibility flags become scores: 2 is 1.0, 1 (hidden) is 0.5; where fractions stand among
    /// them, the tool wrote scores and they stay as they are.
    pub(crate) fn settle_visibility(&mut self) -> Result<(), Error> {
        if !self.visibility {
            return Ok(());
        }
        let scores = || self.sheet.spots.iter().flatten().filter_map(|spot| spot.score);
        let fractions = scores().any(|score| score.fract() != 0.0);
        let above = scores().any(|score| f64::from(score) > ScoreRange::UNIT.accepted);
        if fractions && above {
            return Err(Error::Shape {
                file: self.file.clone(),
                place: "keypoints".to_owned(),
                found: "scores with fractions and flags of 2 in one file".to_owned(),
                expected: "visibility flags 0, 1, 2 or scores of 0 to 1".to_owned(),
            });
        }
        for spot in self.sheet.spots.iter_mut().flatten() {
            spot.score = spot
                .score
                .map(|score| if fractions { score.min(1.0) } else { score / 2.0 });
        }
        Ok(())
    }
}

/// The error for `numbers` numbers where the points of `layout` belong, `per_point` for each.
pub(crate) fn wrong_count(file: &str, place: &str, numbers: usize, per_point: usize, layout: &Layout) -> Error {
    let found = if numbers.is_multiple_of(per_point) {
        (numbers / per_point).to_string()
    } else {
        format!("{numbers} numbers, which is no whole number of")
    };
    Error::PointCount {
        file: file.to_owned(),
        place: place.to_owned(),
        found,
        expected: format!("{} ({})", layout.points.len(), layout.name),
    }
}
