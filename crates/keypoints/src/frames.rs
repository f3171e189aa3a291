//! From loose records to a clip's frames: order, times, the stretch asked for, px.

use crate::ImportOptions;
use crate::error::Error;
use crate::exchanged::exchanged_size;
use crate::limits;
use crate::numbers::in_short;
use crate::plain_times;
use crate::sheet::{Sheet, TimesIn, Unit};
use crate::steady;

/// The frames of a clip and which records belong to each.
#[derive(Debug, Default)]
pub(crate) struct Frames {
    /// Frame numbers as in the file, increasing.
    pub numbers: Vec<i64>,
    /// Time of each frame, s, strictly increasing.
    pub times: Vec<f64>,
    /// Frames per second as the file says, where its own times agree with that.
    pub stated_hz: Option<f64>,
    /// Records in order of frame, then of appearance.
    pub order: Vec<u32>,
    /// For each frame, and once more at the end, where its records start in `order`.
    pub starts: Vec<u32>,
}

impl Frames {
    /// The records of one frame.
    pub(crate) fn records(&self, frame: usize) -> &[u32] {
        &self.order[self.starts[frame] as usize..self.starts[frame + 1] as usize]
    }

    /// Most people in one frame.
    pub(crate) fn most_people(&self) -> usize {
        self.starts
            .windows(2)
            .map(|pair| (pair[1] - pair[0]) as usize)
            .max()
            .unwrap_or(0)
    }
}

/// Orders the records by frame, gives every frame its time and keeps the stretch asked for.
pub(crate) fn build(
    file: &str,
    sheet: &Sheet,
    options: &ImportOptions,
    remarks: &mut Vec<String>,
) -> Result<Frames, Error> {
    if sheet.records.is_empty() {
        return Err(Error::NoPerson { file: file.to_owned() });
    }
    let mut order: Vec<u32> = (0..u32::try_from(sheet.records.len()).unwrap_or(u32::MAX)).collect();
    if !sheet.records.is_sorted_by_key(|record| record.frame) {
        order.sort_by_key(|index| sheet.records[*index as usize].frame);
    }
    let mut entries: Vec<(i64, Option<f64>)> = order
        .iter()
        .map(|index| sheet.records[*index as usize])
        .map(|record| (record.frame, record.time))
        .collect();
    if !sheet.bare.is_empty() {
        entries.extend_from_slice(&sheet.bare);
        entries.sort_by_key(|entry| entry.0);
    }
    one_time_a_frame(file, &mut entries)?;
    if entries.len() > limits::FRAMES {
        return Err(too_many(file, entries[0].0, "frames", limits::FRAMES));
    }
    let (asked_hz, own_hz) = (checked_rate(file, options.rate_hz)?, checked_rate(file, sheet.rate_hz)?);
    let rate_hz = asked_hz.or(own_hz);
    let timed = entries.iter().filter(|entry| entry.1.is_some()).count();
    let (numbers, times) = if timed == entries.len() {
        from_times(file, &entries, (sheet.times_in, options.rate_hz, own_hz), remarks)?
    } else if timed > 0 {
        let without = entries
            .iter()
            .find(|entry| entry.1.is_none())
            .map_or(0, |entry| entry.0);
        return Err(Error::Shape {
            file: file.to_owned(),
            place: format!("frame {without}"),
            found: "no time".to_owned(),
            expected: "a time in every frame or in none".to_owned(),
        });
    } else {
        // One frame alone has its time, whatever the rate.
        let only = (entries.len() == 1).then_some(1.0);
        let rate_hz = rate_hz
            .or(only)
            .ok_or_else(|| Error::NoRate { file: file.to_owned() })?;
        if let Some(own) = own_hz.filter(|own| *own != rate_hz) {
            remarks.push(format!(
                "the {rate_hz} frames per second given go before the file's {own}"
            ));
        }
        from_numbers(file, &entries, rate_hz, remarks)?
    };
    let kept = stretch(file, &times, options)?;
    let mut frames = Frames {
        numbers: numbers[kept.clone()].to_vec(),
        stated_hz: own_hz.filter(|rate| timed > 0 && steady::agrees(&times, *rate)),
        times: times[kept].to_vec(),
        order,
        starts: Vec::with_capacity(entries.len() + 1),
    };
    place_records(file, sheet, &mut frames)?;
    Ok(frames)
}

/// One entry a frame, with its one time.
fn one_time_a_frame(file: &str, entries: &mut Vec<(i64, Option<f64>)>) -> Result<(), Error> {
    let mut clash = None;
    entries.dedup_by(|next, first| {
        if next.0 != first.0 {
            return false;
        }
        match (first.1, next.1) {
            (Some(a), Some(b)) if a != b => clash = clash.or(Some((next.0, a, b))),
            (None, Some(_)) => first.1 = next.1,
            _ => {}
        }
        true
    });
    match clash {
        None => Ok(()),
        Some((frame, a, b)) => Err(Error::Shape {
            file: file.to_owned(),
            place: format!("frame {frame}"),
            found: format!("the times {a} s and {b} s"),
            expected: "one time for a frame".to_owned(),
        }),
    }
}

pub(crate) fn checked_rate(file: &str, rate_hz: Option<f64>) -> Result<Option<f64>, Error> {
    match rate_hz {
        Some(rate) if !(limits::RATE_HZ.0..=limits::RATE_HZ.1).contains(&rate) => Err(Error::BadRate {
            file: file.to_owned(),
            found: rate,
            hint: "",
        }),
        rate => Ok(rate),
    }
}

type NumbersAndTimes = (Vec<i64>, Vec<f64>);

fn from_times(
    file: &str,
    entries: &[(i64, Option<f64>)],
    (times_in, asked_hz, own_hz): (TimesIn, Option<f64>, Option<f64>),
    remarks: &mut Vec<String>,
) -> Result<NumbersAndTimes, Error> {
    let numbers: Vec<i64> = entries.iter().map(|entry| entry.0).collect();
    let mut times: Vec<f64> = entries.iter().filter_map(|entry| entry.1).collect();
    if let Some(index) = times.iter().position(|time| time.abs() > limits::FAR_S) {
        return Err(Error::Shape {
            file: file.to_owned(),
            place: format!("frame {}", numbers[index]),
            found: format!("the time {:e} s", times[index]),
            expected: format!("at most {:e} s", limits::FAR_S),
        });
    }
    if let Some(taken) = plain_times::taken(file, &times, times_in, asked_hz.or(own_hz))? {
        remarks.push(taken.remark);
        times = taken.times;
    }
    for (index, pair) in times.windows(2).enumerate() {
        if pair[1] <= pair[0] {
            let (frame, found, before) = (numbers[index + 1], pair[1], pair[0]);
            return Err(Error::TimeOrder {
                file: file.to_owned(),
                frame,
                found,
                before,
            });
        }
    }
    let Some(interval) = median(times.windows(2).map(|pair| pair[1] - pair[0]).collect()) else {
        return Ok((numbers, times));
    };
    let rate = 1.0 / interval;
    if !(limits::RATE_HZ.0..=limits::RATE_HZ.1).contains(&rate) {
        let hint = if (0.0005..1.0).contains(&rate) {
            "; the times look like milliseconds, seconds are expected"
        } else if rate > limits::RATE_HZ.1 {
            "; the times may be in minutes or larger, seconds are expected"
        } else {
            ""
        };
        return Err(Error::BadRate {
            file: file.to_owned(),
            found: rate,
            hint,
        });
    }
    if let Some(asked) = asked_hz
        && (asked / rate - 1.0).abs() > 0.02
    {
        remarks.push(format!(
            "the file's own times ({rate:.2} frames per second) are used, not the {asked} frames per second given"
        ));
    }
    let gaps = times
        .windows(2)
        .filter(|pair| pair[1] - pair[0] > (3.0 * interval).max(0.1))
        .count();
    if gaps > 0 {
        remarks.push(if gaps == 1 {
            "1 gap in the times of the frames, over 0.1 s".to_owned()
        } else {
            format!("{gaps} gaps in the times of the frames, each over 0.1 s")
        });
    }
    Ok((numbers, times))
}

/// Times from frame numbers; numbers left out become frames in which nothing is seen.
fn from_numbers(
    file: &str,
    entries: &[(i64, Option<f64>)],
    rate_hz: f64,
    remarks: &mut Vec<String>,
) -> Result<NumbersAndTimes, Error> {
    let (first, last) = (entries[0].0, entries[entries.len() - 1].0);
    let step = entries
        .windows(2)
        .fold(0, |step, pair| greatest_divisor(step, pair[1].0.abs_diff(pair[0].0)))
        .max(1);
    let full = last.abs_diff(first) / step;
    let most = (entries.len() as u64)
        .saturating_mul(20)
        .max(1_000)
        .min(limits::FRAMES as u64);
    if full >= most || step > 1_000_000 {
        let widest = entries.windows(2).max_by_key(|pair| pair[1].0.abs_diff(pair[0].0));
        let (before, frame) = widest.map_or((first, last), |pair| (pair[0].0, pair[1].0));
        return Err(Error::FrameJump {
            file: file.to_owned(),
            frame,
            before,
        });
    }
    let count = usize::try_from(full).unwrap_or(0) + 1;
    if step > 1 {
        remarks.push(format!("frame numbers go in steps of {step}; times follow the numbers"));
    }
    if count > entries.len() {
        remarks.push(match count - entries.len() {
            1 => "1 frame left out of the file counts as a frame with nothing seen".to_owned(),
            several => format!("{several} frames left out of the file count as frames with nothing seen"),
        });
    }
    // The whole range fits: `full` is bounded above.
    let step = i64::try_from(step).unwrap_or(1);
    let numbers: Vec<i64> = (0..count)
        .map(|index| first + i64::try_from(index).unwrap_or(0) * step)
        .collect();
    #[allow(clippy::cast_precision_loss)]
    let times = numbers.iter().map(|number| (number - first) as f64 / rate_hz).collect();
    Ok((numbers, times))
}

fn greatest_divisor(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// Middle value (upper of the two middles); `None` of nothing.
pub(crate) fn median(mut values: Vec<f64>) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

/// The frames from `from_s` to `to_s`.
fn stretch(file: &str, times: &[f64], options: &ImportOptions) -> Result<std::ops::Range<usize>, Error> {
    for (option, value) in [("from", options.from_s), ("to", options.to_s)] {
        if value.is_some_and(|value| !value.is_finite()) {
            return Err(Error::Option {
                option,
                found: "no finite number".to_owned(),
                expected: "a time in s",
            });
        }
    }
    // Half a nanosecond of grace: 12/60 typed as 0.2.
    let from = options
        .from_s
        .map_or(0, |from| times.partition_point(|time| *time < from - 5e-10));
    let to = options
        .to_s
        .map_or(times.len(), |to| times.partition_point(|time| *time <= to + 5e-10));
    if from >= to {
        let (first, last) = (times[0], times[times.len() - 1]);
        return Err(Error::NoFrames {
            file: file.to_owned(),
            from_s: options.from_s.unwrap_or(first),
            to_s: options.to_s.unwrap_or(last),
            first,
            last,
        });
    }
    Ok(from..to)
}

/// Finds where each frame's records start, and refuses a person who stands in a frame twice.
fn place_records(file: &str, sheet: &Sheet, frames: &mut Frames) -> Result<(), Error> {
    let number_of = |at: usize| sheet.records[frames.order[at] as usize].frame;
    let mut at = frames
        .order
        .partition_point(|index| sheet.records[*index as usize].frame < frames.numbers[0]);
    let index = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    frames.starts.push(index(at));
    for frame in &frames.numbers {
        let start = at;
        while at < frames.order.len() && number_of(at) == *frame {
            at += 1;
        }
        frames.starts.push(index(at));
        if at - start > limits::PEOPLE {
            return Err(too_many(file, *frame, "people in a frame", limits::PEOPLE));
        }
        for (place, first) in frames.order[start..at].iter().enumerate() {
            for second in &frames.order[start..start + place] {
                let (a, b) = (*first as usize, *second as usize);
                let person = sheet.records[a].person;
                let named_twice = person.is_some() && person == sheet.records[b].person;
                if named_twice || sheet.spots_of(a) == sheet.spots_of(b) {
                    let person = if named_twice {
                        person.map(|person| format!("person {person}"))
                    } else {
                        None
                    };
                    return Err(Error::DuplicateFrame {
                        file: file.to_owned(),
                        frame: *frame,
                        person: person.unwrap_or_else(|| "the same points".to_owned()),
                    });
                }
            }
        }
    }
    if frames.starts.first() == frames.starts.last() {
        return Err(Error::NoPerson { file: file.to_owned() });
    }
    Ok(())
}

fn too_many(file: &str, frame: i64, what: &'static str, most: usize) -> Error {
    Error::TooMany {
        file: file.to_owned(),
        place: format!("frame {frame}"),
        what,
        most,
    }
}

/// Y that grows upward becomes y that grows downward.
fn turn_down(sheet: &mut Sheet, remarks: &mut Vec<String>) {
    let height = match sheet.picture {
        Some((_, height)) => height,
        None => {
            remarks.push(
                "y points up and the picture's size is not known, so y counts down from the highest point; give the \
                 picture size where a floor line or marks in the picture are given"
                    .to_owned(),
            );
            let heights = sheet.spots.iter().flatten().map(|spot| spot.y);
            heights.reduce(f64::max).unwrap_or(0.0)
        }
    };
    for spot in sheet.spots.iter_mut().flatten() {
        spot.y = height - spot.y;
    }
}

/// Shares of the picture become px, and every place is checked against the picture.
pub(crate) fn to_px(
    file: &str,
    sheet: &mut Sheet,
    options: &ImportOptions,
    remarks: &mut Vec<String>,
) -> Result<bool, Error> {
    if let Some((width, height)) = options.picture {
        let fits = |side: f64| (1.0..=limits::FAR_PX).contains(&side);
        if !fits(width) || !fits(height) {
            return Err(Error::Option {
                option: "picture size",
                found: format!("{} x {}", in_short(width), in_short(height)),
                expected: "sides of 1 to 100000 px",
            });
        }
        if sheet.picture.is_some_and(|size| size != (width, height)) {
            remarks.push(format!(
                "the picture size given ({width} x {height} px) goes before the file's"
            ));
        }
        sheet.picture = Some((width, height));
    }
    remarks.extend(exchanged_size(sheet));
    if sheet.unit == Unit::Unsaid {
        let small = sheet
            .spots
            .iter()
            .flatten()
            .all(|spot| spot.x.abs() <= 2.0 && spot.y.abs() <= 2.0);
        sheet.unit = if small { Unit::Shares } else { Unit::Px };
    }
    let shares = sheet.unit == Unit::Shares;
    if shares {
        if let (None, Some(setup)) = (sheet.picture, &options.setup) {
            let (width, height) = setup.picture;
            remarks.push(format!(
                "the picture was taken to be that of the set-up, {width} x {height} px"
            ));
            sheet.picture = Some(setup.picture);
        }
        let (width, height) = sheet
            .picture
            .ok_or_else(|| Error::NoPicture { file: file.to_owned() })?;
        for spot in sheet.spots.iter_mut().flatten() {
            spot.x *= width;
            spot.y *= height;
        }
        sheet.unit = Unit::Px;
    }
    let (low, high, expected) = match sheet.picture {
        Some((w, h)) => (
            (-w, -h),
            (2.0 * w, 2.0 * h),
            format!(
                "x {} to {}, y {} to {} (one picture size outside at most)",
                -w,
                2.0 * w,
                -h,
                2.0 * h
            ),
        ),
        None => (
            (-limits::FAR_PX, -limits::FAR_PX),
            (limits::FAR_PX, limits::FAR_PX),
            format!("at most {} px", limits::FAR_PX),
        ),
    };
    let stride = sheet.slots.len();
    let mut outside = 0_usize;
    for (at, spot) in sheet.spots.iter().enumerate() {
        let Some(spot) = spot else { continue };
        if !(spot.x >= low.0 && spot.x <= high.0 && spot.y >= low.1 && spot.y <= high.1) {
            let (frame, landmark) = (sheet.records[at / stride].frame, sheet.slots[at % stride]);
            return Err(Error::FarOutside {
                file: file.to_owned(),
                place: format!("frame {frame}, {}", landmark.id()),
                x: spot.x,
                y: spot.y,
                expected,
            });
        }
        if let Some((w, h)) = sheet.picture {
            outside += usize::from(spot.x < 0.0 || spot.y < 0.0 || spot.x > w || spot.y > h);
        }
    }
    if outside > 0 {
        let points = if outside == 1 {
            "point outside the picture is"
        } else {
            "points outside the picture are"
        };
        remarks.push(format!("{outside} {points} kept"));
    }
    if std::mem::take(&mut sheet.y_up) {
        turn_down(sheet, remarks);
    }
    Ok(shares)
}
