//! Prints one synthetic attempt file: `cargo run -p springline-simulate --example attempt_file -- 7`.

use springline_simulate::{Act, Facts, Layout, Params, Recording};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let seed = std::env::args().nth(1).map_or(Ok(7), |word| word.parse())?;
    let act = Act::handspring(&Params::random(seed))?;
    let attempt = act.film(&Recording::exact().noisy(3.0), seed);
    let file = attempt.to_attempt_json(Layout::Named23, &Facts::measured());
    std::io::Write::write_all(&mut std::io::stdout(), file.as_bytes())?;
    Ok(())
}
