//! `springline layouts`.

use springline_keypoints::Layout;
use springline_kinematics::Measure;

use crate::Ended;
use crate::args::Layouts;
use crate::failure::Failure;
use crate::options::layout;
use crate::output::print;

pub(crate) fn run(args: &Layouts) -> Result<Ended, Failure> {
    let text = match &args.layout {
        Some(name) => one(&layout(name)?),
        None => table(&Layout::builtins()),
    };
    print(&text)?;
    Ok(Ended::Done)
}

/// A table: a row for each measure, a column for each layout.
fn table(layouts: &[Layout]) -> String {
    let mut text = String::new();
    for layout in layouts {
        text.push_str(&format!("{:<20}{}\n", layout.name(), layout.about()));
    }
    let wide = Measure::ALL
        .iter()
        .map(|measure| measure.words().len())
        .max()
        .unwrap_or(0);
    let allowed: Vec<Vec<Measure>> = layouts.iter().map(Layout::measures_allowed).collect();
    text.push_str(&format!("\n{:<wide$}", "measure"));
    for layout in layouts {
        text.push_str(&format!("  {}", layout.name()));
    }
    text.push('\n');
    for measure in Measure::ALL {
        let mut line = format!("{:<wide$}", measure.words());
        for (layout, allowed) in layouts.iter().zip(&allowed) {
            let word = if allowed.contains(measure) { "yes" } else { "-" };
            line.push_str(&format!("  {word:<cell$}", cell = layout.name().len()));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text.push_str(
        "\n\"yes\": the layout has the points. Without fingertip or toe, wrist and ankle stand in for them in events and\n\
         distances, said so and with more uncertainty. A layout file describes any other layout (--layout FILE).\n",
    );
    text
}

/// One layout: its points in order, and its measures.
fn one(layout: &Layout) -> String {
    let mut text = format!(
        "{}: {}\n\npoints in the order of the file:\n",
        layout.name(),
        layout.about()
    );
    for (index, landmark) in layout.points().iter().enumerate() {
        if let Some(landmark) = landmark {
            text.push_str(&format!("  {index:>3}  {}\n", landmark.id()));
        }
    }
    let unused = layout.points().iter().filter(|point| point.is_none()).count();
    if unused > 0 {
        text.push_str(&format!("  and {unused} that no measure uses\n"));
    }
    let allowed = layout.measures_allowed();
    let words = |allow: bool| {
        let list: Vec<&str> = Measure::ALL
            .iter()
            .filter(|measure| allowed.contains(measure) == allow)
            .map(|measure| measure.words())
            .collect();
        list
    };
    text.push_str("\nmeasures that it allows:\n");
    for name in words(true) {
        text.push_str(&format!("  {name}\n"));
    }
    let missing = words(false);
    if !missing.is_empty() {
        text.push_str("\nmeasures that it lacks points for:\n");
        for name in missing {
            text.push_str(&format!("  {name}\n"));
        }
    }
    text
}
