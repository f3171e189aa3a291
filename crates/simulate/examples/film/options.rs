//! The options of the example.

use springline_simulate::film::FilmSettings;
use springline_simulate::{Act, Camera, Facing, Lens, Params};
use std::error::Error;
use std::path::PathBuf;

pub struct Options {
    pub drill: String,
    pub name: String,
    pub out: PathBuf,
    pub seed: u64,
    pub long: Option<usize>,
    pub gymnasts: usize,
    pub balks: usize,
    pub pipe: bool,
    pub only: Vec<usize>,
    settings: FilmSettings,
    distance_m: f64,
    height_m: f64,
    yaw: f64,
    facing: Facing,
}

impl Options {
    pub fn read(mut words: impl Iterator<Item = String>) -> Result<Self, Box<dyn Error>> {
        let mut o = Self {
            drill: "handspring-floor".into(),
            name: "film".into(),
            out: PathBuf::from("film"),
            seed: 1,
            long: None,
            gymnasts: 4,
            balks: 0,
            pipe: false,
            only: Vec::new(),
            settings: FilmSettings::default(),
            distance_m: 8.0,
            height_m: 1.1,
            yaw: 0.0,
            facing: Facing::Right,
        };
        while let Some(word) = words.next() {
            match word.as_str() {
                "--spotter" => o.settings.spotter = true,
                "--pipe" => o.pipe = true,
                "--left" => o.facing = Facing::Left,
                _ => {
                    let value = words.next().ok_or_else(|| format!("{word}: a value is missing"))?;
                    o.set(&word, &value)?;
                }
            }
        }
        o.settings.seed = o.seed;
        Ok(o)
    }

    fn set(&mut self, word: &str, value: &str) -> Result<(), Box<dyn Error>> {
        let s = &mut self.settings;
        match word {
            "--drill" => self.drill = value.into(),
            "--name" => self.name = value.into(),
            "--out" => self.out = value.into(),
            "--seed" => self.seed = value.parse()?,
            "--long" => self.long = Some(value.parse()?),
            "--gymnasts" => self.gymnasts = value.parse()?,
            "--balks" => self.balks = value.parse()?,
            "--only" => self.only = value.split(',').map(str::parse).collect::<Result<_, _>>()?,
            "--rate" => s.rate_hz = value.parse()?,
            "--shutter" => s.shutter = value.parse()?,
            "--sub" => s.sub_frames = value.parse()?,
            "--noise" => s.noise = value.parse()?,
            "--shake" => s.shake_px = value.parse()?,
            "--zoom" => s.zoom = value.parse()?,
            "--others" => s.others = value.parse()?,
            "--platform" => s.platform_m = value.parse()?,
            "--threads" => s.threads = value.parse()?,
            "--distance" => self.distance_m = value.parse()?,
            "--height" => self.height_m = value.parse()?,
            "--yaw" => self.yaw = value.parse()?,
            "--size" => {
                let (w, h) = value.split_once('x').ok_or("--size: expected WIDTHxHEIGHT")?;
                s.size = (w.parse()?, h.parse()?);
            }
            _ => return Err(format!("{word}: no such option").into()),
        }
        Ok(())
    }

    pub fn settings(&self) -> FilmSettings {
        self.settings.clone()
    }

    pub fn camera(&self) -> Camera {
        Camera {
            lens: Lens::Pinhole {
                distance_m: self.distance_m,
                height_m: self.height_m,
                yaw: self.yaw,
                focal_px: 350.0 * self.distance_m,
                radial: 0.0,
            },
            facing: self.facing,
            pan_m: 0.0,
        }
    }
}

/// A drawn handspring by a body of a gymnast's usual breadth and a child's or youth's height.
pub fn params(seed: u64, draw: impl Fn(u64) -> Params) -> Params {
    for i in 0..60 {
        let mut params = draw(seed + 1000 * i);
        let share = (seed as f64 * 0.618_034).fract();
        params.stature_m = 1.15 + 0.45 * share;
        params.half_hips = 0.053 + 0.015 * (seed as f64 * 0.414_214).fract();
        if Act::handspring(&params).and_then(|act| act.human()).is_ok() {
            return params;
        }
    }
    Params::clean()
}
