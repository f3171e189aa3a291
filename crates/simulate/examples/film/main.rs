//! Films a synthetic attempt:
//! `cargo run --release -p springline-simulate --example film -- --drill handspring-floor --seed 3 --out DIR`.
//!
//! Writes DIR/NAME.rgb (raw rgb24) with `--raw`, else DIR/frame-00000.png and on; with `--pipe` raw rgb24 goes to
//! stdout for an encoder. Beside it NAME.truth.json (NAME-01.truth.json and on for a long recording) and
//! NAME.story.json. Nobody in it is a real person.

mod options;

use options::Options;
use springline_simulate::film::{Film, Plan};
use springline_simulate::{Act, Cartwheel, Handstand, Params};
use std::error::Error;
use std::io::Write;

fn act(drill: &str, seed: u64) -> Result<Act, Box<dyn Error>> {
    Ok(match drill {
        "cartwheel" => Act::cartwheel(&Cartwheel::default())?,
        "handstand" => Act::handstand(&Handstand::default())?,
        _ => Act::handspring(&options::params(seed, Params::random))?,
    })
}

fn main() -> Result<(), Box<dyn Error>> {
    let options = Options::read(std::env::args().skip(1))?;
    std::fs::create_dir_all(&options.out)?;
    let settings = options.settings();
    let camera = options.camera();
    let film = match options.long {
        Some(attempts) => {
            let plan = Plan {
                attempts,
                gymnasts: options.gymnasts,
                balks: options.balks,
            };
            Film::of_station(plan, camera, settings)?
        }
        None => Film::of_act(&act(&options.drill, options.seed)?, camera, settings)?,
    };
    let file = |end: &str| options.out.join(format!("{}{end}", options.name));
    std::fs::write(file(".story.json"), film.story_json())?;
    for turn in 0..film.turns().len() {
        let end = match options.long {
            Some(_) => format!("-{:02}.truth.json", turn + 1),
            None => ".truth.json".to_owned(),
        };
        if let Some(truth) = film.attempt_json(turn, Some(&options.drill)) {
            std::fs::write(file(&end), truth)?;
        }
    }
    let (width, height) = film.settings().size;
    let started = std::time::Instant::now();
    let mut out = std::io::stdout().lock();
    let frames = (0..film.frames()).filter(|frame| options.only.is_empty() || options.only.contains(frame));
    let mut count = 0;
    for frame in frames {
        let bytes = film.frame(frame);
        count += 1;
        if options.pipe {
            out.write_all(&bytes)?;
        } else {
            let path = options.out.join(format!("{}-{frame:05}.png", options.name));
            image::save_buffer(path, &bytes, width, height, image::ColorType::Rgb8)?;
        }
    }
    let took = started.elapsed().as_secs_f64();
    let told = format!("{count} frames, {:.1} a second\n", f64::from(count) / took);
    std::io::stderr().write_all(told.as_bytes())?;
    Ok(())
}
