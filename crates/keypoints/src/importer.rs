//! From a file or folder to an attempt.

use std::borrow::Cow;
use std::fs::File;
use std::io::Read;
use std::path::Path;

use springline_kinematics::TemporalError;

use crate::attempt_file::PointSd;
use crate::clip::Clip;
use crate::discover::{discover, words};
use crate::error::Error;
use crate::numbers::counted;
use crate::origin::{self, Origin, Origins};
use crate::recognise::{Format, recognise_json};
use crate::sample::Sample;
use crate::sheet::Sheet;
use crate::walk::Walker;
use crate::{Attempt, Given, ImportOptions, SdChoice, SdKind};
use crate::{coco, folder, frames, leads, limits, native, people, swaps, table, text, uncertainty, way_up};

/// Reads keypoint files one after the other, and keeps its read buffer between them.
///
/// Files of a batch are best read by one importer a thread; [`import`] is the short way for one.
#[derive(Debug, Default)]
pub struct Importer {
    buffer: Vec<u8>,
}

/// A buffer larger than this is given back once it isn't needed, bytes.
const KEPT_BUFFER: usize = 4 << 20;

/// What reading a file gives before people, swaps and uncertainties are dealt with.
pub(crate) struct Parsed {
    /// What was recognised, in words, without counts.
    pub words: String,
    pub layout_name: String,
    pub sheet: Sheet,
    pub native: Option<NativeFacts>,
}

/// What only an attempt file says.
pub(crate) struct NativeFacts {
    pub given: Given,
    pub sd_kind: Option<SdKind>,
    pub from: Option<Origin>,
    pub temporal_error: Option<TemporalError>,
    pub synthetic: bool,
    pub seed: Option<u64>,
    pub note: Option<String>,
}

/// Imports a keypoint file or a folder with one file per frame.
///
/// # Errors
/// Every [`Error`]: each names the file, the place, what was found and what was expected.
pub fn import(path: &Path, options: &ImportOptions) -> Result<Attempt, Error> {
    Importer::default().import(path, options)
}

/// Says what a file or folder is, in words, without importing it.
///
/// # Errors
/// As [`import`], as far as reading the file goes: a missing frame rate is none.
pub fn recognise(path: &Path, options: &ImportOptions) -> Result<String, Error> {
    let name = path.display().to_string();
    Ok(Importer::default()
        .parse_path(path, &name, options)
        .map_err(Error::readable)?
        .words)
}

/// Imports a keypoint file from memory; `name` stands for the file in messages.
///
/// # Errors
/// As [`import`].
pub fn import_bytes(name: &str, bytes: &[u8], options: &ImportOptions) -> Result<Attempt, Error> {
    let parsed = parse(name, Cow::Borrowed(bytes), options).map_err(Error::readable)?;
    finish(name, parsed, options).map_err(Error::readable)
}

impl Importer {
    /// An importer with an empty buffer.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Imports a keypoint file or a folder with one file per frame.
    ///
    /// # Errors
    /// As [`import`].
    pub fn import(&mut self, path: &Path, options: &ImportOptions) -> Result<Attempt, Error> {
        let name = path.display().to_string();
        let parsed = self.parse_path(path, &name, options).map_err(Error::readable)?;
        finish(&name, parsed, options).map_err(Error::readable)
    }

    fn parse_path(&mut self, path: &Path, name: &str, options: &ImportOptions) -> Result<Parsed, Error> {
        if path.is_dir() {
            return folder::read(path, name, &mut self.buffer, options);
        }
        let mut buffer = std::mem::take(&mut self.buffer);
        read_whole(path, name, &mut buffer, limits::FILE_BYTES)?;
        if buffer.len() > KEPT_BUFFER {
            return parse(name, Cow::Owned(buffer), options);
        }
        let parsed = parse(name, Cow::Borrowed(&buffer), options);
        self.buffer = buffer;
        parsed
    }
}

/// Reads a file into the buffer, after a look at its size.
pub(crate) fn read_whole(path: &Path, name: &str, buffer: &mut Vec<u8>, most: u64) -> Result<(), Error> {
    let failed = |source| Error::Read {
        file: name.to_owned(),
        source,
    };
    let too_large = |bytes| Error::TooLarge {
        file: name.to_owned(),
        bytes,
        most,
    };
    let mut file = File::open(path).map_err(failed)?;
    let length = file.metadata().map_err(failed)?.len();
    if length > most {
        let mut start = [0; 12];
        if file.read_exact(&mut start).is_ok() && text::is_film(&start) {
            return Err(Error::Film { file: name.to_owned() });
        }
        return Err(too_large(length));
    }
    buffer.clear();
    buffer.reserve_exact(usize::try_from(length).unwrap_or(0) + 1);
    // A pipe or a growing file may hold more than it said.
    file.take(most + 1).read_to_end(buffer).map_err(failed)?;
    if buffer.len() as u64 > most {
        return Err(too_large(buffer.len() as u64));
    }
    Ok(())
}

/// Reads the bytes in whatever format they are.
pub(crate) fn parse(name: &str, mut bytes: Cow<'_, [u8]>, options: &ImportOptions) -> Result<Parsed, Error> {
    match parse_text(name, text::decode(name, &bytes)?, options) {
        Err(Error::Syntax { .. }) if text::mend_bare_words(bytes.to_mut()) => {
            parse_text(name, text::decode(name, &bytes)?, options)
        }
        result => result,
    }
}

fn parse_text(name: &str, text: &str, options: &ImportOptions) -> Result<Parsed, Error> {
    if !text.trim_start().starts_with(['{', '[']) {
        if !table::looks_like_table(text) {
            let found = "text that is neither JSON nor a table with a header line".to_owned();
            return Err(Error::NotRecognised {
                file: name.to_owned(),
                found,
            });
        }
        let table = table::read(name, text, options)?;
        return Ok(Parsed {
            words: format!(
                "{}, {} points ({})",
                table.words,
                table.layout.points().len(),
                table.layout.name()
            ),
            layout_name: table.layout.name().to_owned(),
            sheet: table.sheet,
            native: None,
        });
    }
    let recognised = recognise_json(name, text)?;
    let described = options
        .layout
        .as_ref()
        .is_some_and(|layout| layout.shape.json.is_some());
    if described && recognised != Format::Attempt {
        return other_json(name, text, String::new(), options);
    }
    match recognised {
        Format::Attempt => {
            let (file, sheet) = native::read(name, text)?;
            let facts = NativeFacts {
                given: file.given(name)?,
                sd_kind: file.sd.as_ref().map(PointSd::kind),
                from: file.from,
                temporal_error: file.temporal_error(name)?,
                synthetic: file.synthetic,
                seed: file.seed,
                note: file.note,
            };
            Ok(Parsed {
                words: "attempt file".to_owned(),
                layout_name: file.layout.unwrap_or_else(|| "named-23".to_owned()),
                sheet,
                native: Some(facts),
            })
        }
        Format::CocoResults => {
            let (layout, sheet) = coco::read_results(name, text, options)?;
            Ok(Parsed {
                words: format!(
                    "COCO results list, {} points ({})",
                    layout.points().len(),
                    layout.name()
                ),
                layout_name: layout.name().to_owned(),
                sheet,
                native: None,
            })
        }
        Format::CocoAnnotations => {
            let (layout, sheet) = coco::read_annotations(name, text, options)?;
            Ok(Parsed {
                words: format!(
                    "COCO annotation file, {} points ({})",
                    layout.points().len(),
                    layout.name()
                ),
                layout_name: layout.name().to_owned(),
                sheet,
                native: None,
            })
        }
        Format::Nothing => Err(Error::NoPerson { file: name.to_owned() }),
        Format::OtherJson(found) => other_json(name, text, found, options),
    }
}

/// JSON of a shape that a layout file describes, or that is found by looking at it.
fn other_json(name: &str, text: &str, found: String, options: &ImportOptions) -> Result<Parsed, Error> {
    let stated = options.layout.as_ref().filter(|layout| layout.shape.json.is_some());
    let layout = match stated {
        Some(layout) => Some(layout.clone()),
        None => {
            let sample = Sample::read(text).map_err(|error| Error::json(name, &error))?;
            discover(&sample, options.layout.as_ref(), false)
        }
    };
    let not_recognised = || Error::NotRecognised {
        file: name.to_owned(),
        found: format!("JSON: {found}"),
    };
    let layout = layout.ok_or_else(not_recognised)?;
    let shape = layout.shape.json.clone().ok_or_else(not_recognised)?;
    let place = words(&shape);
    let places = stated.map(|_| shape.clone());
    let mut walker = Walker::new(name, layout, shape, options.min_score);
    walker.read(name, text, None)?;
    let (layout, sheet) = walker.finish(name)?;
    if let Some(shape) = places.filter(|_| sheet.records.is_empty()) {
        let sample = Sample::read(text).map_err(|error| Error::json(name, &error))?;
        let problems = leads::nowhere(&sample, &shape);
        if !problems.is_empty() {
            return Err(Error::LeadsNowhere {
                file: name.to_owned(),
                problems,
            });
        }
    }
    Ok(Parsed {
        words: format!("JSON, {place}, {} points ({})", layout.points().len(), layout.name()),
        layout_name: layout.name().to_owned(),
        sheet,
        native: None,
    })
}

/// People, swaps, uncertainties: from what the file says to an attempt.
pub(crate) fn finish(name: &str, parsed: Parsed, options: &ImportOptions) -> Result<Attempt, Error> {
    if !(0.0..=1.0).contains(&options.min_score) {
        return Err(Error::Option {
            option: "least score",
            found: options.min_score.to_string(),
            expected: "0 to 1",
        });
    }
    if let Some(TemporalError::Correlated(rho)) = options.error
        && !(0.0..1.0).contains(&rho)
    {
        return Err(Error::Option {
            option: "correlation of point errors",
            found: rho.to_string(),
            expected: "0 to below 1",
        });
    }
    let Parsed {
        words,
        layout_name,
        mut sheet,
        native,
    } = parsed;
    let mut remarks = std::mem::take(&mut sheet.remarks);
    let timeline = frames::build(name, &sheet, options, &mut remarks)?;
    let was_shares = frames::to_px(name, &mut sheet, options, &mut remarks)?;
    score_remarks(&sheet, options, &mut remarks);
    let followed = people::follow(name, &sheet, &timeline, options.person)?;
    let count = timeline.times.len();
    let mut recognised = words;
    if was_shares {
        recognised.push_str(", in shares of the picture");
    }
    let people = timeline.most_people();
    recognised.push_str(&format!(", {people} {}", if people == 1 { "person" } else { "people" }));
    recognised.push_str(&format!(", {count} {}", if count == 1 { "frame" } else { "frames" }));
    let picture = sheet.picture;
    let stated_rate_hz = timeline.stated_hz;
    let mut clip = Clip::take(sheet, timeline, &followed.records);
    let attempt_file = native.is_some();
    let facts = native.unwrap_or(NativeFacts {
        given: Given::default(),
        sd_kind: None,
        from: None,
        temporal_error: None,
        synthetic: false,
        seed: None,
        note: None,
    });
    options.given.check(name)?;
    let mut given = facts.given.overridden_by(&options.given);
    let setup = match &options.setup {
        Some(setup) => Some(setup.fill(name, picture, clip.seen(), &mut given)?),
        None => None,
    };
    remarks.extend(way_up::remark(&clip, given.floor_line, attempt_file).map(str::to_owned));
    events_inside(name, &clip.times, &mut given, options, &mut remarks)?;
    let bare = clip.sds.is_empty() && clip.every_sd.is_none();
    let clicked = facts.from == Some(Origin::Clicked) && bare;
    let file_kind = facts.sd_kind.or(clicked.then_some(SdKind::Clicked));
    let clicked = match options.sd {
        Some(SdChoice::Clicked) => true,
        Some(SdChoice::PoseModel) => false,
        // A coach's own sd doesn't change who put the points there.
        Some(SdChoice::Px(_)) | None => file_kind == Some(SdKind::Clicked),
    };
    let usual_origin = facts
        .from
        .unwrap_or(if clicked { Origin::Clicked } else { Origin::Imported });
    let seen = || clip.spots.iter().map(Option::is_some);
    let every = |of: &[Origin]| origin::every(&clip.marks, usual_origin, seen(), of);
    let independent = every(&[Origin::Clicked]);
    // Sides that the coach clicked are the coach's word, and what was followed from clicks has their sides.
    let sides_clicked = !every(&[Origin::Drafted, Origin::Imported, Origin::Bridged]);
    let (swaps, originals) = if options.keep_sides || sides_clicked {
        if !options.keep_sides {
            remarks.extend(swaps::remark(&clip));
        }
        (Vec::new(), Vec::new())
    } else {
        swaps::mend(&mut clip)
    };
    let sd_kind = uncertainty::fill(name, &mut clip, &given, file_kind, options)?;
    let usual = if independent {
        TemporalError::Independent
    } else {
        TemporalError::Shared
    };
    let origins = Origins::new(usual_origin, clip.slots.clone(), std::mem::take(&mut clip.marks));
    let tracks = clip.into_tracks(options.error.or(facts.temporal_error).unwrap_or(usual));
    Ok(Attempt {
        source: name.to_owned(),
        recognised,
        layout: layout_name,
        tracks,
        stated_rate_hz,
        picture,
        sd_kind,
        origins,
        given,
        setup,
        swaps,
        athlete: followed.choice,
        remarks,
        originals,
        synthetic: facts.synthetic,
        seed: facts.seed,
        note: facts.note,
    })
}

/// Refuses events outside the clip; those of the file that a stretch leaves out are dropped.
fn events_inside(
    name: &str,
    times: &[f64],
    given: &mut Given,
    options: &ImportOptions,
    remarks: &mut Vec<String>,
) -> Result<(), Error> {
    let (Some(first), Some(last)) = (times.first().copied(), times.last().copied()) else {
        return Ok(());
    };
    let cut = options.from_s.is_some() || options.to_s.is_some();
    let outside = |time: f64| time < first - 5e-10 || time > last + 5e-10;
    for (kind, time) in given.events.iter().filter(|(_, time)| outside(*time)) {
        if !cut || options.given.events.contains(&(*kind, *time)) {
            return Err(Error::EventOutside {
                file: name.to_owned(),
                event: kind.id(),
                time_s: *time,
                first,
                last,
            });
        }
        remarks.push(format!(
            "the event \"{}\" of the file lies outside the stretch and was left out",
            kind.words()
        ));
    }
    given.events.retain(|(_, time)| !outside(*time));
    Ok(())
}

fn score_remarks(sheet: &Sheet, options: &ImportOptions, remarks: &mut Vec<String>) {
    if sheet.low_scores > 0 {
        remarks.push(format!(
            "{} as not seen",
            counted(
                sheet.low_scores,
                "point",
                &format!(" with a score under {}", options.min_score),
                "count"
            )
        ));
    }
    if sheet.high_scores > 0 {
        remarks.push(format!(
            "{} as its upper end",
            counted(sheet.high_scores, "score", " above their range", "count")
        ));
    }
    if sheet.zeros > 0 {
        remarks.push(format!(
            "{} as not seen",
            counted(sheet.zeros, "point", " at exactly (0, 0) without a score", "count")
        ));
    }
}
