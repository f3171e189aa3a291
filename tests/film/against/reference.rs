//! Times by ffprobe, planes by ffmpeg, pictures by the formulas of the standards.

use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;

/// What ffprobe says of a clip.
pub struct Reference {
    pub times: Vec<f64>,
    /// As stored.
    size: (usize, usize),
    turned: bool,
    format: String,
    shares: (f64, f64),
    full: bool,
}

impl Reference {
    pub fn of(path: &Path) -> Self {
        let output = Command::new("ffprobe")
            .args(["-v", "error", "-select_streams", "v:0", "-of", "json", "-show_streams"])
            .args(["-show_frames", "-show_entries", "frame=best_effort_timestamp,pkt_dts:stream=width,height,pix_fmt,time_base,color_space,color_range:stream_side_data=rotation"])
            .arg(path)
            .output()
            .expect("ffprobe is installed");
        let told: Value = serde_json::from_slice(&output.stdout).unwrap();
        let stream = &told["streams"][0];
        let number = |key: &str| stream[key].as_u64().unwrap() as usize;
        let base: Vec<f64> = stream["time_base"]
            .as_str()
            .unwrap()
            .split('/')
            .map(|part| part.parse().unwrap())
            .collect();
        let time = |frame: &Value| frame["best_effort_timestamp"].as_f64().unwrap() * base[0] / base[1];
        let with_time = |frame: &&Value| frame["best_effort_timestamp"].is_number();
        let times: Vec<f64> = told["frames"]
            .as_array()
            .unwrap()
            .iter()
            .filter(with_time)
            .map(time)
            .collect();
        let list = stream["side_data_list"].as_array();
        let rotation = list
            .and_then(|list| list.iter().find_map(|data| data["rotation"].as_i64()))
            .unwrap_or(0);
        let shares = match stream["color_space"].as_str() {
            Some("bt709") => (0.2126, 0.0722),
            Some("smpte170m" | "bt470bg") => (0.299, 0.114),
            Some("bt2020nc") => (0.2627, 0.0593),
            _ if number("height") >= 720 => (0.2126, 0.0722),
            _ => (0.299, 0.114),
        };
        Self {
            times,
            size: (number("width"), number("height")),
            turned: rotation % 180 != 0,
            format: stream["pix_fmt"].as_str().unwrap().to_owned(),
            shares,
            full: stream["color_range"].as_str() == Some("pc"),
        }
    }

    /// Width and height as it is to be looked at.
    pub fn upright(&self) -> (usize, usize) {
        let (width, height) = self.size;
        if self.turned { (height, width) } else { (width, height) }
    }
}

/// Every picture of the clip as ffmpeg makes it red, green and blue.
pub fn plain(path: &Path, (width, height): (usize, usize)) -> Vec<Vec<u8>> {
    let output = Command::new("ffmpeg")
        .args(["-v", "error", "-nostdin", "-i"])
        .arg(path)
        .args([
            "-map",
            "0:v:0",
            "-fps_mode",
            "passthrough",
            "-f",
            "rawvideo",
            "-pix_fmt",
            "rgb24",
            "-",
        ])
        .output()
        .expect("ffmpeg is installed");
    output.stdout.chunks(3 * width * height).map(<[u8]>::to_vec).collect()
}

/// Gives each picture of the clip, as it is to be looked at, to `each`.
pub fn pictures(path: &Path, reference: &Reference, mut each: impl FnMut(usize, u32, u32, &[u8])) {
    let (width, height) = reference.upright();
    let wide = reference.format.contains("10");
    // Turning 4:2:2 would make it another format.
    let down = usize::from(!reference.format.contains("422"));
    let coloured = (width / 2, height >> down);
    let samples = width * height + 2 * coloured.0 * coloured.1;
    let mut child = Command::new("ffmpeg")
        .args(["-v", "error", "-nostdin", "-i"])
        .arg(path)
        .args([
            "-map",
            "0:v:0",
            "-fps_mode",
            "passthrough",
            "-f",
            "rawvideo",
            "-pix_fmt",
            &reference.format,
            "-",
        ])
        .stdout(Stdio::piped())
        .spawn()
        .expect("ffmpeg is installed");
    let mut from = child.stdout.take().unwrap();
    let mut bytes = vec![0u8; samples * if wide { 2 } else { 1 }];
    let mut rgb = vec![0u8; 3 * width * height];
    let mut frame = 0;
    while from.read_exact(&mut bytes).is_ok() {
        let sample = |at: usize| match wide {
            true => f64::from(u16::from_le_bytes([bytes[2 * at], bytes[2 * at + 1]])) / 4.0,
            false => f64::from(bytes[at]),
        };
        let (red_share, blue_share) = reference.shares;
        let top = if wide { 1_023.0 / 4.0 } else { 255.0 };
        for y in 0..height {
            for x in 0..width {
                let place = width * height + (y >> down) * coloured.0 + x / 2;
                let (bright, u, v) = (
                    sample(y * width + x),
                    sample(place) - 128.0,
                    sample(place + coloured.0 * coloured.1) - 128.0,
                );
                let (bright, u, v) = match reference.full {
                    true => (bright / top, u / top, v / top),
                    false => ((bright - 16.0) / 219.0, u / 224.0, v / 224.0),
                };
                let red = bright + 2.0 * (1.0 - red_share) * v;
                let blue = bright + 2.0 * (1.0 - blue_share) * u;
                let green = (bright - red_share * red - blue_share * blue) / (1.0 - red_share - blue_share);
                let out = &mut rgb[3 * (y * width + x)..][..3];
                for (out, value) in out.iter_mut().zip([red, green, blue]) {
                    *out = (255.0 * value).round().clamp(0.0, 255.0) as u8;
                }
            }
        }
        each(frame, width as u32, height as u32, &rgb);
        frame += 1;
    }
    child.wait().unwrap();
}
