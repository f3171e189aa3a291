//! `springline track`.

use springline_review::{Settings, follow, may_write, spares, write_whole};

use crate::Ended;
use crate::args::Track as Args;
use crate::failure::Failure;
use crate::options::layout;
use crate::output::tell;

/// So many stretches of frames that want a look are told; more are counted.
const TOLD: usize = 8;

pub(crate) fn run(args: &Args) -> Result<Ended, Failure> {
    let inputs = [args.attempt.as_path(), args.film.as_path()];
    spares(std::slice::from_ref(&args.out), inputs)?;
    may_write(&args.out, args.force)?;
    let mut settings = Settings::default();
    settings.import.rate_hz = args.rate;
    settings.import.layout = args.layout.as_deref().map(layout).transpose()?;
    settings.import.sd = args.sd;
    settings.import.given.stature_px = args.stature_px;
    let followed = follow(&args.attempt, &args.film, &settings)?;
    let mut json = serde_json::to_vec(&followed.file).map_err(|error| Failure::new(error.to_string()))?;
    json.push(b'\n');
    write_whole(&args.out, &json, args.force)?;
    tell(&format!(
        "{}: {} given points followed to {} more, points on {} of {} frames",
        args.out.display(),
        followed.given,
        followed.tracked,
        followed.with_points,
        followed.frames
    ));
    if followed.doubtful > 0 {
        let stretches: Vec<String> = followed
            .want_a_look
            .iter()
            .take(TOLD)
            .map(|[first, last]| {
                if first == last {
                    first.to_string()
                } else {
                    format!("{first}-{last}")
                }
            })
            .collect();
        let more = if followed.want_a_look.len() > TOLD {
            ", and more"
        } else {
            ""
        };
        tell(&format!(
            "note: {} points may have drifted, a click there helps most: frames {}{more}",
            followed.doubtful,
            stretches.join(", ")
        ));
    }
    Ok(Ended::Done)
}
