//! The clips and how ffmpeg makes them.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::Command;

/// One clip: the first step makes it from a test pattern; others change the file before.
pub struct Make {
    pub name: &'static str,
    /// Pattern, as ffmpeg's lavfi input takes it.
    pub pattern: &'static str,
    /// Options of each step. `IN` stands for the file before.
    pub steps: &'static [&'static str],
    pub ending: &'static str,
}

const fn clip(name: &'static str, pattern: &'static str, steps: &'static [&'static str], ending: &'static str) -> Make {
    Make {
        name,
        pattern,
        steps,
        ending,
    }
}

const SMALL: &str = "testsrc2=s=320x180:r=30:d=2";
const FAST: &str = "testsrc2=s=320x180:r=240:d=0.5";
const LARGE: &str = "mandelbrot=s=1920x1080:r=60:start_scale=0.5,trim=end_frame=12";
const X264: &str = "-c:v libx264 -pix_fmt yuv420p -g 15";
const QUARTER_90: &str = "-i IN -c copy -metadata:s:v:0 rotate=90";
const QUARTER_180: &str = "-i IN -c copy -metadata:s:v:0 rotate=180";
const QUARTER_270: &str = "-i IN -c copy -metadata:s:v:0 rotate=270";

pub const CLIPS: &[Make] = &[
    clip(
        "baseline",
        SMALL,
        &["-c:v libx264 -profile:v baseline -pix_fmt yuv420p -g 15"],
        "mp4",
    ),
    clip(
        "main",
        SMALL,
        &["-c:v libx264 -profile:v main -pix_fmt yuv420p -g 15"],
        "mp4",
    ),
    clip(
        "high, 3 B-frames",
        SMALL,
        &["-c:v libx264 -profile:v high -pix_fmt yuv420p -g 24 -bf 3 -refs 5 -x264-params b-pyramid=normal:weightp=2"],
        "mp4",
    ),
    clip(
        "8 B-frames",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 40 -bf 8"],
        "mp4",
    ),
    clip(
        "one group",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 999 -x264-params scenecut=0"],
        "mp4",
    ),
    clip("intra", SMALL, &["-c:v libx264 -pix_fmt yuv420p -g 1"], "mp4"),
    clip(
        "no CABAC, 4 slices",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -coder 0 -slices 4 -g 15"],
        "mp4",
    ),
    clip(
        "4 slices",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -slices 4 -g 15"],
        "mp4",
    ),
    clip(
        "with AAC",
        SMALL,
        &["-f lavfi -i sine=d=2 -c:a aac -c:v libx264 -pix_fmt yuv420p -g 15"],
        "mp4",
    ),
    clip(
        "MOV with PCM and timecode",
        SMALL,
        &["-f lavfi -i sine=d=2 -c:a pcm_s16le -c:v libx264 -pix_fmt yuv420p -g 15 -timecode 10:00:00:00"],
        "mov",
    ),
    clip("turned by 90", SMALL, &[X264, QUARTER_90], "mp4"),
    clip("turned by 180", SMALL, &[X264, QUARTER_180], "mov"),
    clip("turned by 270", SMALL, &[X264, QUARTER_270], "mp4"),
    clip(
        "variable rate",
        SMALL,
        &[
            "-vf select='not(eq(mod(n\\,7)\\,3))*not(eq(mod(n\\,11)\\,5))',settb=1/90000 -fps_mode vfr -c:v libx264 -pix_fmt yuv420p -g 15 -video_track_timescale 90000",
        ],
        "mp4",
    ),
    clip(
        "fragments",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 15 -movflags frag_keyframe+empty_moov"],
        "mp4",
    ),
    clip(
        "fragments from their own place",
        SMALL,
        &[
            "-f lavfi -i sine=d=2 -c:v libx264 -pix_fmt yuv420p -g 15 -movflags frag_keyframe+empty_moov+default_base_moof",
        ],
        "mp4",
    ),
    clip(
        "fragments after a whole start",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 15 -bf 0 -movflags frag_keyframe"],
        "mp4",
    ),
    clip(
        "contents first",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 15 -movflags +faststart"],
        "mov",
    ),
    clip(
        "trimmed between key frames",
        SMALL,
        &[X264, "-ss 0.77 -i IN -c copy"],
        "mp4",
    ),
    clip(
        "no edit list",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 15 -use_editlist 0"],
        "mp4",
    ),
    clip(
        "begins late",
        SMALL,
        &["-f lavfi -i sine=d=2 -c:a aac -c:v libx264 -pix_fmt yuv420p -g 15 -vf setpts=PTS+0.5/TB"],
        "mp4",
    ),
    clip("240 a second", FAST, &["-c:v libx264 -pix_fmt yuv420p -g 60"], "mov"),
    clip("29.97 a second", "testsrc2=s=320x180:r=30000/1001:d=2", &[X264], "mp4"),
    clip("cropped", "testsrc2=s=326x186:r=30:d=1", &[X264], "mp4"),
    clip(
        "interlaced",
        SMALL,
        &["-vf interlace -c:v libx264 -pix_fmt yuv420p -g 15 -flags +ildct+ilme -x264-params tff=1"],
        "mp4",
    ),
    clip("10 bits", SMALL, &["-c:v libx264 -pix_fmt yuv420p10le -g 15"], "mp4"),
    clip("4:2:2", SMALL, &["-c:v libx264 -pix_fmt yuv422p -g 15"], "mp4"),
    clip(
        "full range",
        SMALL,
        &["-vf scale=out_range=full -color_range pc -c:v libx264 -pix_fmt yuvj420p -g 15"],
        "mp4",
    ),
    clip(
        "said to be BT.709",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 15 -colorspace bt709 -color_primaries bt709 -color_trc bt709"],
        "mp4",
    ),
    clip(
        "said to be BT.601",
        "testsrc2=s=1280x720:r=30:d=0.5",
        &["-c:v libx264 -pix_fmt yuv420p -g 15 -colorspace smpte170m"],
        "mp4",
    ),
    clip(
        "large",
        LARGE,
        &["-c:v libx264 -pix_fmt yuv420p -preset veryfast"],
        "mp4",
    ),
    clip(
        "H.264, open groups",
        SMALL,
        &["-c:v libx264 -pix_fmt yuv420p -g 15 -bf 3 -x264-params open-gop=1:keyint=15:scenecut=0"],
        "mp4",
    ),
    clip(
        "HEVC",
        SMALL,
        &["-c:v libx265 -pix_fmt yuv420p -tag:v hvc1 -x265-params keyint=20:log-level=error"],
        "mp4",
    ),
    clip(
        "HEVC, sets among the frames",
        SMALL,
        &["-c:v libx265 -pix_fmt yuv420p -tag:v hev1 -x265-params keyint=20:repeat-headers=1:log-level=error"],
        "mp4",
    ),
    clip(
        "HEVC, open groups",
        SMALL,
        &[
            "-c:v libx265 -pix_fmt yuv420p -tag:v hvc1 -x265-params keyint=20:open-gop=1:bframes=4:scenecut=0:log-level=error",
        ],
        "mov",
    ),
    clip(
        "10 bits HEVC",
        SMALL,
        &["-c:v libx265 -pix_fmt yuv420p10le -tag:v hvc1 -x265-params keyint=20:log-level=error"],
        "mov",
    ),
    clip(
        "BT.2020",
        SMALL,
        &[
            "-c:v libx265 -pix_fmt yuv420p10le -tag:v hvc1 -colorspace bt2020nc -color_primaries bt2020 -color_trc arib-std-b67 -x265-params keyint=20:log-level=error",
        ],
        "mov",
    ),
    clip(
        "HEVC turned by 90",
        "testsrc2=s=326x186:r=60:d=1",
        &[
            "-c:v libx265 -pix_fmt yuv420p -tag:v hvc1 -x265-params keyint=20:log-level=error",
            QUARTER_90,
        ],
        "mov",
    ),
    clip(
        "large HEVC",
        LARGE,
        &["-c:v libx265 -pix_fmt yuv420p -tag:v hvc1 -preset veryfast -x265-params log-level=error:slices=3"],
        "mp4",
    ),
];

/// Other forms, which go through the installed ffmpeg.
pub const OUTSIDE: &[Make] = &[
    clip("VP9 in WebM", SMALL, &["-c:v libvpx-vp9 -g 20 -b:v 300k"], "webm"),
    clip("VP9 in MP4", SMALL, &["-c:v libvpx-vp9 -g 20 -b:v 300k"], "mp4"),
    clip(
        "AV1",
        "testsrc2=s=320x180:r=30:d=1",
        &["-c:v libaom-av1 -cpu-used 8 -g 15"],
        "mp4",
    ),
    clip(
        "Motion JPEG in AVI",
        SMALL,
        &["-c:v mjpeg -q:v 5 -pix_fmt yuvj420p"],
        "avi",
    ),
    clip(
        "MPEG-4 in AVI, B-frames",
        SMALL,
        &["-c:v mpeg4 -g 20 -bf 2 -pix_fmt yuv420p"],
        "avi",
    ),
    clip(
        "transport stream",
        SMALL,
        &["-c:v libx264 -g 20 -bf 2 -pix_fmt yuv420p"],
        "ts",
    ),
    clip(
        "H.264 in Matroska",
        SMALL,
        &["-c:v libx264 -g 20 -bf 2 -pix_fmt yuv420p"],
        "mkv",
    ),
    clip("4:4:4", SMALL, &["-c:v libx264 -g 20 -pix_fmt yuv444p"], "mp4"),
    clip(
        "VP9 turned by 90",
        SMALL,
        &["-c:v libvpx-vp9 -g 20 -b:v 300k", QUARTER_90],
        "mp4",
    ),
];

/// Where the clip lies; makes it if it isn't there.
pub fn made(make: &Make) -> PathBuf {
    let folder = std::env::var_os("SPRINGLINE_FILM_CACHE")
        .map_or_else(|| Path::new(env!("CARGO_TARGET_TMPDIR")).join("film"), PathBuf::from);
    std::fs::create_dir_all(&folder).unwrap();
    let mut hash = DefaultHasher::new();
    (make.pattern, make.steps, make.ending).hash(&mut hash);
    let stem = format!("{:016x}", hash.finish());
    let done = folder.join(format!("{stem}.{}", make.ending));
    if done.is_file() {
        return done;
    }
    let mut before = None;
    for (number, step) in make.steps.iter().enumerate() {
        let part = folder.join(format!("{stem}-{}-{number}.{}", std::process::id(), make.ending));
        let mut command = Command::new("ffmpeg");
        command.args(["-v", "error", "-y", "-nostdin"]);
        if number == 0 {
            command.args(["-f", "lavfi", "-i", make.pattern]);
        }
        for word in step.split_whitespace() {
            match (word, &before) {
                ("IN", Some(before)) => command.arg(before),
                _ => command.arg(word.replace('\'', "")),
            };
        }
        let status = command.arg(&part).status().expect("ffmpeg is installed");
        assert!(status.success(), "{}: ffmpeg made nothing", make.name);
        if let Some(before) = before.replace(part) {
            std::fs::remove_file(before).unwrap();
        }
    }
    std::fs::rename(before.unwrap(), &done).unwrap();
    done
}
