//! From attempt, trial and assessment to the record.

use springline_assess::{Assessment, Outcome};
use springline_drills::{CAUTIONS, Catalogue, Drill};
use springline_keypoints::{Attempt, Given, SetupEntry, SetupUse, SurfaceAt};
use springline_kinematics::events::LandingKind;
use springline_kinematics::series::Smoothing;
use springline_kinematics::trial::{Facing, PastRange, SEED, Trial};
use springline_kinematics::{Landmark, TemporalError, Tracks, Uncertain};
use springline_report::{
    AttemptFacts, BodyFacts, CameraSetupFacts, ChosenAthlete, DrillFacts, FORM, OutcomeEntry, Provenance, Review,
    ScaleCheck, SwapEntry, WithSd, check_entries, event_entry, fault_entries, millionth,
};

use crate::doubts::MOST_OF_RATE;
use crate::gaps::gap_remarks;
use crate::origins::origin_entries;
use crate::reviewer::PROGRAM;
use crate::scale::{Scales, Source};
use crate::settings::Settings;

pub(crate) fn record(
    attempt: &Attempt,
    drill: &Drill,
    trial: &Trial,
    assessment: &Assessment,
    catalogue: &Catalogue,
    settings: &Settings,
    scales: &Scales,
) -> Review {
    Review {
        form: FORM,
        drill: DrillFacts {
            id: drill.id.clone(),
            title: drill.title.clone(),
            skill: drill.skill.clone(),
            version: drill.version.clone(),
            author: drill.author.clone(),
            sha256: drill.hash.clone(),
        },
        attempt: attempt_facts(attempt, drill, trial, assessment, scales),
        body: body_facts(attempt, trial, scales),
        events: trial.found().events().iter().map(event_entry).collect(),
        missing_events: assessment
            .missing_events
            .iter()
            .map(|kind| kind.id().to_owned())
            .collect(),
        outcome: OutcomeEntry {
            word: assessment.outcome.word().to_owned(),
            why: match &assessment.outcome {
                Outcome::Good | Outcome::NotGood => Vec::new(),
                Outcome::NotCounted { why } => vec![why.clone()],
                Outcome::NotThere { missing } => missing.clone(),
            },
        },
        fix_first: assessment.fix_first().map(|found| found.fault.id.clone()),
        faults: fault_entries(assessment, catalogue),
        checks: check_entries(drill, assessment),
        provenance: provenance(attempt, trial, settings),
        cautions: cautions(drill),
    }
}

/// The drill's cautions, then those that go with every review; what one of those says too is said once.
fn cautions(drill: &Drill) -> Vec<String> {
    let said = |own: &&str| {
        CAUTIONS
            .iter()
            .any(|every| every.starts_with(own.trim_end_matches('.')))
    };
    drill
        .setup
        .cautions
        .iter()
        .map(String::as_str)
        .filter(|own| !said(own))
        .chain(CAUTIONS.iter().copied())
        .map(str::to_owned)
        .collect()
}

fn attempt_facts(
    attempt: &Attempt,
    drill: &Drill,
    trial: &Trial,
    assessment: &Assessment,
    scales: &Scales,
) -> AttemptFacts {
    let mut remarks = attempt.remarks.clone();
    if let Some(own) = attempt.given.drill.as_ref().filter(|own| **own != drill.id) {
        remarks.push(format!("the file says drill {own}; it was measured by {}", drill.id));
    }
    if trial.found().further_supports > 0 {
        let many = trial.found().further_supports;
        remarks.push(format!(
            "{many} further hand {} of the same kind in the clip; the first was taken",
            if many == 1 { "support" } else { "supports" }
        ));
    }
    if let Outcome::NotThere { .. } = assessment.outcome {
        remarks.extend(perhaps_wrong(&attempt.given));
    }
    remarks.extend(gap_remarks(trial.series()));
    remarks.extend_from_slice(&scales.remarks);
    remarks.extend(past_range_remarks(trial.past_range()));
    let (first, last) = trial.clip();
    let (origins, want_a_look) = origin_entries(&attempt.origins, trial.series().raw());
    AttemptFacts {
        file: attempt.source.clone(),
        athlete: attempt.given.athlete.clone(),
        date: attempt.given.date.clone(),
        recognised: attempt.recognised.clone(),
        frames: trial.series().raw().len(),
        rate_hz: attempt
            .stated_rate_hz
            .unwrap_or_else(|| millionth(1.0 / trial.series().interval())),
        span_s: [millionth(first), millionth(last)],
        synthetic: attempt.synthetic,
        seed: attempt.seed,
        note: attempt.note.clone(),
        chosen: attempt.athlete.as_ref().map(|choice| ChosenAthlete {
            people: choice.people,
            chosen: choice.chosen,
            why: choice.why.clone(),
        }),
        swaps: attempt
            .swaps
            .iter()
            .map(|swap| SwapEntry {
                group: swap.group.to_owned(),
                first_frame: swap.first,
                last_frame: swap.last,
            })
            .collect(),
        points_changed: attempt.originals.len(),
        origins,
        want_a_look,
        remarks,
    }
}

/// A floor line that is marked wrong by less hides no skill, degrees.
const DOUBTFUL_TILT_DEG: f64 = 5.0;

/// Where the skill was not found: what the coach gave and what keeps it from being found if it is wrong.
fn perhaps_wrong(given: &Given) -> Option<String> {
    let tilt = given.floor_line.map(|[a, b]| {
        let (x, y) = (b.0 - a.0, b.1 - a.1);
        (y / x).atan().to_degrees().abs()
    });
    let tilt = tilt.filter(|tilt| *tilt >= DOUBTFUL_TILT_DEG);
    let tilt = tilt.map(|tilt| format!("the floor line (tilted by {tilt:.0}°)"));
    let surface = |what: &str, at: Option<SurfaceAt>| at.map(|_| format!("the surface under the {what}"));
    let events = (!given.events.is_empty()).then(|| "the given events".to_owned());
    let doubtful: Vec<String> = [
        tilt,
        surface("hands", given.hand_surface),
        surface("feet", given.foot_surface),
        events,
    ]
    .into_iter()
    .flatten()
    .collect();
    (!doubtful.is_empty()).then(|| {
        format!(
            "nothing is found where what was given is wrong: check {}, or try without",
            doubtful.join(", ")
        )
    })
}

/// So many joints past their range are told one by one; more have one cause and are told together.
const TOLD_ONE_BY_ONE: usize = 3;
/// What to do about them.
const LOOK_AGAIN: &str =
    "check the points, left and right, which way the athlete faces, and that the body is seen from the side";

/// Joints that read past what joints do, in words. They change no verdict.
fn past_range_remarks(past: &[PastRange]) -> Vec<String> {
    if past.len() <= TOLD_ONE_BY_ONE {
        return past.iter().map(|one| format!("{one}: {LOOK_AGAIN}")).collect();
    }
    let joints: Vec<String> = past
        .iter()
        .map(|one| format!("{} {}", one.side.id(), one.range.joint))
        .collect();
    vec![format!(
        "{} joints read past what joints do ({}): {LOOK_AGAIN}",
        joints.len(),
        joints.join(", ")
    )]
}

fn body_facts(attempt: &Attempt, trial: &Trial, scales: &Scales) -> BodyFacts {
    let side = |right: bool| Some(if right { "right" } else { "left" }.to_owned());
    let (facing, how, evidence) = match trial.facing() {
        Facing::Given(right) => (side(right), "given", None),
        Facing::Found { right, score } => (side(right), "found", Some(millionth(score))),
        Facing::Undecided { score } => (None, "undecided", Some(millionth(score.abs()))),
    };
    let leg = trial.leg();
    BodyFacts {
        facing,
        facing_how: how.to_owned(),
        facing_evidence_sd: evidence,
        seen_with_facing: 0,
        near_side: if trial.knows_near() {
            trial.near().id().to_owned()
        } else {
            "undecided".to_owned()
        },
        leg_length_px: with_sd(leg),
        floor_marked: !trial.assumed_level(),
        metres_per_px: scales.used.map(|scale| WithSd {
            value: billionth(scale.metres_per_px.value),
            sd: billionth(scale.metres_per_px.sd),
        }),
        scale_from: scales.used.map(|scale| scale_from(attempt, scale.source)),
        scale_checks: scales
            .held
            .iter()
            .map(|held| ScaleCheck {
                against: held.against.clone(),
                ratio: with_sd(held.ratio),
                agrees: held.agrees,
            })
            .collect(),
        camera_setup: attempt.setup.as_ref().map(camera_setup),
        spotted: attempt.given.spotted,
        landing: trial.found().feet.landing.map(|(_, kind)| {
            match kind {
                LandingKind::TwoFeet => "two feet",
                LandingKind::StepOut => "step-out",
                LandingKind::Undecided => "undecided",
            }
            .to_owned()
        }),
        rotation_deg: trial.forward_rotation().map(|angle| millionth(angle.degrees())),
    }
}

/// Where the scale comes from, in words.
fn scale_from(attempt: &Attempt, source: Source) -> String {
    let of_setup = attempt.setup.as_ref().zip(source.entry());
    let place = if of_setup.is_some_and(|(setup, entry)| setup.gave(entry)) {
        " in the camera set-up"
    } else {
        ""
    };
    format!("{}{place}", source.words())
}

fn camera_setup(used: &SetupUse) -> CameraSetupFacts {
    let words = |entries: &[SetupEntry]| entries.iter().map(|entry| entry.words().to_owned()).collect();
    CameraSetupFacts {
        name: used.setup.name.clone(),
        file: used.setup.file.clone(),
        gave: words(&used.gave),
        gave_way: words(&used.gave_way),
        enlarged: millionth(used.enlarged),
        picture_size_known: used.size_known,
    }
}

fn with_sd(number: Uncertain) -> WithSd {
    WithSd {
        value: millionth(number.value),
        sd: millionth(number.sd),
    }
}

/// Metres per px are small: rounded to a billionth.
fn billionth(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}

/// Where the point sds come from and how large they are: `given, 3 px`.
fn point_sd(kind: &str, tracks: &Tracks) -> String {
    let seen = Landmark::ALL.into_iter().flat_map(|landmark| {
        let track = tracks.track(landmark);
        let sds = track.positions.iter().zip(&track.sd);
        sds.filter(|(position, _)| position.is_some()).map(|(_, sd)| *sd)
    });
    let (least, most) = seen.fold((f32::INFINITY, 0.0_f32), |(least, most), sd| {
        (least.min(sd), most.max(sd))
    });
    // To three digits: what a person reads, and the same on every machine.
    let px = |sd: f32| {
        let digits = if sd >= 100.0 {
            0
        } else {
            2_usize.saturating_sub(usize::from(sd >= 10.0))
        };
        let text = format!("{sd:.digits$}");
        if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text
        }
    };
    match (px(least), px(most)) {
        _ if least > most => kind.to_owned(),
        (least, most) if least == most => format!("{kind}, {least} px"),
        (least, most) => format!("{kind}, {least} to {most} px"),
    }
}

fn provenance(attempt: &Attempt, trial: &Trial, settings: &Settings) -> Provenance {
    let rate = 1.0 / trial.series().interval();
    Provenance {
        program: PROGRAM.to_owned(),
        layout: attempt.layout.clone(),
        segment_table: trial.table().name.clone(),
        cutoff_hz: match settings.smoothing {
            Smoothing::Off => None,
            Smoothing::CutoffHz(hz) => Some(millionth(hz.min(MOST_OF_RATE * rate))),
        },
        point_sd: point_sd(attempt.sd_kind.words(), trial.series().raw()),
        error_over_time: match trial.series().raw().temporal_error {
            TemporalError::Independent => "errors independent from frame to frame".to_owned(),
            TemporalError::Correlated(rho) => format!("errors correlated from frame to frame ({rho})"),
            TemporalError::Shared => "errors shared by all frames".to_owned(),
        },
        monte_carlo_seed: SEED,
    }
}
