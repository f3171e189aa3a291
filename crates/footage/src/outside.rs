//! Films of other forms, decoded by an ffmpeg that is installed.
//!
//! Nothing is fetched: ffmpeg may open the one file and no other place.

use std::collections::BTreeMap;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

use serde_json::Value;

use crate::error::Error;
use crate::limits::{FRAMES, KEPT_BYTES, size_is_taken};
use crate::open::frames;
use crate::picture::Picture;

/// Frames decoded before the one asked for when stepping back.
const BACK: usize = 12;
/// Frames that are read over rather than sought.
const AHEAD: usize = 60;
/// Sought so much earlier than the frame, s, and then dropped by their times.
const MARGIN_S: f64 = 1.0;

/// A film read through ffmpeg.
pub(crate) struct Outside {
    name: String,
    path: PathBuf,
    codec: String,
    /// Upright.
    pub size: (u32, u32),
    pub times: Vec<f64>,
    pub notes: Vec<String>,
    start_s: f64,
    scale: String,
    running: Option<Running>,
    kept: BTreeMap<usize, Picture>,
}

/// An ffmpeg at work, and the frame that it gives next.
struct Running {
    child: Child,
    pictures: ChildStdout,
    next: usize,
}

impl Drop for Running {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Outside {
    /// Opens a film; `None` if ffmpeg or ffprobe isn't installed.
    pub fn open(path: &Path) -> Result<Option<Self>, Error> {
        let name = path.display().to_string();
        let Some(told) = probe(path, &name, &["-of", "json", "-show_streams", "-show_format"])? else {
            return Ok(None);
        };
        if Command::new("ffmpeg")
            .arg("-version")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .is_err()
        {
            return Ok(None);
        }
        let told: Value = serde_json::from_slice(&told).unwrap_or_default();
        let stream = &told["streams"][0];
        let number = |key: &str| {
            stream[key]
                .as_u64()
                .and_then(|value| u32::try_from(value).ok())
                .unwrap_or(0)
        };
        let (width, height) = (number("width"), number("height"));
        if width == 0 || height == 0 {
            return Err(Error::NoPictures {
                file: name,
                found: "no track with pictures".to_owned(),
            });
        }
        if !size_is_taken(width, height) {
            return Err(Error::too_large(&name, width.into(), height.into()));
        }
        let word = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let seconds = |value: &Value| value.as_str().and_then(|text| text.parse::<f64>().ok());
        let turned = stream["side_data_list"]
            .as_array()
            .and_then(|list| list.iter().find_map(|data| data["rotation"].as_i64()))
            .is_some_and(|degrees| degrees % 180 != 0);
        let size = if turned { (height, width) } else { (width, height) };
        let said = ["color_space"]
            .iter()
            .any(|key| !matches!(word(&stream[*key]).as_str(), "" | "unknown"));
        let matrix = if said || height < 720 {
            ""
        } else {
            ":in_color_matrix=bt709"
        };
        let ticks = fraction(&word(&stream["time_base"])).unwrap_or(1.0);
        let (times, timeless) = times(path, &name, ticks)?;
        let mut notes = vec!["decoded by the ffmpeg installed on this machine".to_owned()];
        if timeless > 0 {
            notes.push(format!("{} without a time are left out", frames(timeless)));
        }
        if let Some(shape) = fraction(&word(&stream["sample_aspect_ratio"]).replace(':', "/"))
            && (shape - 1.0).abs() > 1e-9
        {
            notes.push(format!(
                "the pixels are not square ({shape:.3}:1); angles and lengths in the picture are off"
            ));
        }
        let mut film = Self {
            name,
            path: path.to_owned(),
            codec: word(&stream["codec_name"]),
            size,
            times,
            notes,
            start_s: seconds(&told["format"]["start_time"]).unwrap_or(0.0),
            scale: format!("scale={}:{}{matrix}", size.0, size.1),
            running: None,
            kept: BTreeMap::new(),
        };
        film.picture(0)?;
        Ok(Some(film))
    }

    pub fn codec(&self) -> &str {
        &self.codec
    }

    pub fn picture(&mut self, frame: usize) -> Result<Picture, Error> {
        if let Some(picture) = self.kept.get(&frame) {
            return Ok(picture.clone());
        }
        let near = |running: &Running| running.next <= frame && frame - running.next <= AHEAD;
        if !self.running.as_ref().is_some_and(near) {
            let back = self
                .kept
                .keys()
                .next()
                .is_some_and(|first| frame < *first && first - frame <= BACK);
            self.seek(if back { frame.saturating_sub(BACK) } else { frame })?;
        }
        while self.running.as_ref().is_some_and(|running| running.next <= frame) {
            self.step(frame)?;
        }
        self.kept.get(&frame).cloned().ok_or_else(|| self.failed(frame))
    }

    fn failed(&self, frame: usize) -> Error {
        Error::Frame {
            file: self.name.clone(),
            frame,
            time_s: self.times[frame],
            found: "the installed ffmpeg gave no picture for it".to_owned(),
        }
    }

    /// Starts ffmpeg so that its first picture is that of `frame`.
    fn seek(&mut self, frame: usize) -> Result<(), Error> {
        self.running = None;
        let mut command = Command::new("ffmpeg");
        command.args(["-v", "quiet", "-nostdin", "-copyts", "-noaccurate_seek"]);
        // Frames without a time pass no border, so that those with one can be counted.
        let border = match frame {
            0 => self.times[0] - 1.0,
            _ => f64::midpoint(self.times[frame - 1], self.times[frame]),
        };
        let from = border - self.start_s - MARGIN_S;
        if from > 0.0 {
            command.arg("-ss").arg(format!("{from:.6}"));
        }
        let filters = format!("select=gte(t\\,{border:.7}),{}", self.scale);
        let child = command
            .args(["-protocol_whitelist", "file"])
            .arg("-i")
            .arg(only_this(&self.path))
            .args(["-map", "0:V:0", "-fps_mode", "passthrough", "-vf", &filters])
            .args(["-f", "rawvideo", "-pix_fmt", "rgb24", "-"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let told = |found: String| Error::Outside {
            file: self.name.clone(),
            program: "ffmpeg",
            found,
        };
        let mut child = child.map_err(|error| told(error.to_string()))?;
        let pictures = child.stdout.take().ok_or_else(|| told("it has no output".to_owned()))?;
        self.running = Some(Running {
            child,
            pictures,
            next: frame,
        });
        Ok(())
    }

    /// Takes one picture on the way to `target`.
    fn step(&mut self, target: usize) -> Result<(), Error> {
        let (width, height) = self.size;
        let mut rgb = vec![0; 3 * width as usize * height as usize];
        let Some(running) = &mut self.running else {
            return Ok(());
        };
        let frame = running.next;
        if running.pictures.read_exact(&mut rgb).is_err() {
            self.running = None;
            return Err(self.failed(target));
        }
        running.next += 1;
        let Some(picture) = Picture::new(width, height, rgb) else {
            return Err(self.failed(target));
        };
        let most = (KEPT_BYTES / picture.rgb().len()).max(2);
        self.kept.insert(frame, picture);
        while self.kept.len() > most {
            let (first, last) = (self.kept.keys().next().copied(), self.kept.keys().next_back().copied());
            let (Some(first), Some(last)) = (first, last) else {
                break;
            };
            self.kept.remove(if target.abs_diff(first) >= target.abs_diff(last) {
                &first
            } else {
                &last
            });
        }
        Ok(())
    }
}

/// The path as ffmpeg takes it: a file, whatever it is called.
fn only_this(path: &Path) -> std::ffi::OsString {
    let mut text = std::ffi::OsString::from("file:");
    text.push(path);
    text
}

fn fraction(text: &str) -> Option<f64> {
    let (above, below) = text.split_once('/')?;
    let value = above.parse::<f64>().ok()? / below.parse::<f64>().ok()?;
    (value.is_finite() && value > 0.0).then_some(value)
}

fn ffprobe(path: &Path) -> Command {
    let mut command = Command::new("ffprobe");
    command
        .args([
            "-v",
            "error",
            "-protocol_whitelist",
            "file",
            "-select_streams",
            "V:0",
            "-i",
        ])
        .arg(only_this(path))
        .stdin(Stdio::null());
    command
}

/// What ffprobe answers; `None` if it isn't installed.
fn probe(path: &Path, name: &str, options: &[&str]) -> Result<Option<Vec<u8>>, Error> {
    let Ok(output) = ffprobe(path).args(options).output() else {
        return Ok(None);
    };
    if output.status.success() {
        return Ok(Some(output.stdout));
    }
    let words = String::from_utf8_lossy(&output.stderr);
    let last = words
        .lines()
        .rev()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("it says nothing");
    Err(Error::Outside {
        file: name.to_owned(),
        program: "ffprobe",
        found: last
            .rsplit(": ")
            .next()
            .unwrap_or(last)
            .chars()
            .filter(|c| !c.is_control())
            .take(200)
            .collect(),
    })
}

/// Times of the frames in the order they are shown, from the packets, or by decoding where a packet has none; and how many
/// frames have none even then.
fn times(path: &Path, name: &str, ticks: f64) -> Result<(Vec<f64>, usize), Error> {
    let (mut list, mut timeless) = ticks_of(path, name, "packet=pts,flags")?;
    if timeless > 0 {
        (list, timeless) = ticks_of(path, name, "frame=best_effort_timestamp")?;
    }
    list.sort_unstable();
    list.dedup();
    if list.is_empty() {
        return Err(Error::NoPictures {
            file: name.to_owned(),
            found: "no frame with a time".to_owned(),
        });
    }
    Ok((list.into_iter().map(|time| time as f64 * ticks).collect(), timeless))
}

/// One time a line, and how many lines have none.
fn ticks_of(path: &Path, name: &str, entries: &str) -> Result<(Vec<i64>, usize), Error> {
    let told = |found: String| Error::Outside {
        file: name.to_owned(),
        program: "ffprobe",
        found,
    };
    let mut child = ffprobe(path)
        .args(["-of", "csv=p=0", "-show_entries", entries])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|error| told(error.to_string()))?;
    let (mut list, mut timeless) = (Vec::new(), 0);
    if let Some(output) = child.stdout.take() {
        for line in BufReader::new(output).lines().map_while(Result::ok) {
            let mut parts = line.split(',').filter(|part| !part.is_empty());
            let Some(time) = parts.next() else { continue };
            // A packet that the edit list drops.
            if parts.next().is_some_and(|flags| flags.contains('D')) {
                continue;
            }
            match time.parse::<i64>() {
                Ok(time) => list.push(time),
                Err(_) => timeless += 1,
            }
            if list.len() > FRAMES {
                // Stopped before it fills the memory; how it ends doesn't matter then.
                let _ = child.kill();
                let _ = child.wait();
                return Err(Error::TooLarge {
                    file: name.to_owned(),
                    found: format!("more than {FRAMES} frames"),
                    most: FRAMES.to_string(),
                });
            }
        }
    }
    child.wait().map_err(|error| told(error.to_string()))?;
    Ok((list, timeless))
}
