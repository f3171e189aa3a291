//! Fuzz targets: from a keypoint file through every measure and check to text, JSON and CSV; the manifest of a batch; its
//! journal. See `README.md` beside this file.

#![allow(clippy::unwrap_used, clippy::print_stderr)]

mod harness;

use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

use harness::{Dialect, Target, files, fuzz};
use springline_drills::{Catalogue, Drill};
use springline_keypoints::{Facing, SdChoice};
use springline_kinematics::EventKind;
use springline_kinematics::series::Smoothing;
use springline_report::{
    ATTEMPT_COLUMNS, MEASURE_COLUMNS, Review, Style, attempt_row, from_json, measure_rows, text, to_json, to_json_line,
};
use springline_review::batch::{ATTEMPTS, Batch, JOURNAL, MEASURES, Work, find_attempts, read_manifest, run};
use springline_review::{Error, Reviewer, Settings, TABLES, TableChoice};
use springline_simulate::{
    Act, BackHandspring, Cartwheel, Facts, FlatBack, Handstand, Hop, Layout, LyingHold, Params, Recording,
};

fn hash(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// A synthetic attempt in few frames.
fn attempt(act: &Act, seed: u64) -> Vec<u8> {
    let mut recording = Recording::exact()
        .at_rate(24.0)
        .noisy(if seed.is_multiple_of(2) { 0.0 } else { 3.0 });
    recording.dropouts.single = 0.05;
    let facts = if seed.is_multiple_of(3) {
        Facts::default()
    } else {
        Facts::measured()
    };
    let layout = if seed.is_multiple_of(2) {
        Layout::Coco17
    } else {
        Layout::Named23
    };
    act.film(&recording, seed).to_attempt_json(layout, &facts).into_bytes()
}

/// Synthetic attempts of every kind, handsprings three times; then the fixtures.
fn attempts() -> Vec<Vec<u8>> {
    let handspring = |seed| Act::handspring(&Params::random(seed)).unwrap();
    let acts = [
        handspring(0),
        handspring(1),
        handspring(2),
        Act::back_handspring(&BackHandspring::default()).unwrap(),
        Act::cartwheel(&Cartwheel::default()).unwrap(),
        Act::handstand(&Handstand::default()).unwrap(),
        Act::handstand_hop(&Hop::default()).unwrap(),
        Act::flat_back(&FlatBack::default()).unwrap(),
        Act::lying_hold(&LyingHold::default()).unwrap(),
    ];
    let mut list: Vec<Vec<u8>> = (0..).zip(&acts).map(|(seed, act)| attempt(act, seed)).collect();
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints/good");
    list.extend(files(&fixtures, &[".json", ".csv"]).into_iter().map(|(_, bytes)| bytes));
    list
}

/// What a coach may choose, drawn from the input itself, so that a kept input meets the same again.
fn settings(hash: u64) -> Settings {
    let one_in = |place: u32, times: u64| (hash >> place).is_multiple_of(times);
    let mut settings = Settings {
        smoothing: if one_in(3, 4) {
            Smoothing::Off
        } else {
            Smoothing::default()
        },
        table: TableChoice {
            name: TABLES[(hash >> 7) as usize % TABLES.len()].to_owned(),
            child_age: one_in(11, 3).then_some(9.0),
        },
        ..Settings::default()
    };
    let import = &mut settings.import;
    import.rate_hz = (!one_in(13, 9)).then_some(25.0);
    import.sd = match (hash >> 17) % 6 {
        0 => Some(SdChoice::Clicked),
        1 => Some(SdChoice::PoseModel),
        2 => Some(SdChoice::Px(3.0)),
        _ => None,
    };
    let given = &mut import.given;
    given.facing = one_in(23, 3).then_some(Facing::Right);
    given.spotted = one_in(29, 5);
    given.stature_m = one_in(31, 2).then_some(1.4);
    given.stature_px = one_in(33, 2).then_some(400.0);
    if one_in(37, 4) {
        let kind = |place: u32| EventKind::ALL[(hash >> place) as usize % EventKind::ALL.len()];
        given.events = vec![(kind(41), 0.5), (kind(45), 1.0)];
    }
    settings
}

/// What a review must be, whatever it was made from.
fn judge(review: &Review) -> String {
    for check in &review.checks {
        if let Some(measured) = check.measured {
            assert!(measured.value.is_finite(), "{}: value {}", check.id, measured.value);
            let sd = measured.sd;
            assert!(sd >= 0.0 && sd.is_finite(), "{}: sd {sd}", check.id);
        }
        let outside = check.verdict.outside.unwrap_or(0.0);
        assert!((0.0..=1.0).contains(&outside), "{}: probability {outside}", check.id);
        if let Some([first, last]) = check.frames {
            assert!(first <= last && last < review.attempt.frames, "{}: frames", check.id);
        }
    }
    let leg = review.body.leg_length_px;
    assert!(leg.value > 0.0 && leg.value.is_finite(), "leg length {leg:?}");
    assert!(leg.sd >= 0.0 && leg.sd.is_finite(), "leg length {leg:?}");
    for event in &review.events {
        assert!(event.time_s.is_finite() && event.sd_s.is_finite(), "{event:?}");
        assert!(event.frame < review.attempt.frames, "{event:?}");
    }
    let page = text(review, Style::PLAIN);
    let control = page.chars().find(|c| c.is_control() && *c != '\n');
    assert!(control.is_none(), "control character {control:?} on the page");
    let back = from_json(&to_json(review)).expect("our own JSON can be read");
    assert_eq!(&back, review, "JSON");
    let line = to_json_line(review);
    assert_eq!(line.matches('\n').count(), 1, "a line of JSON");
    let mut rows = String::new();
    measure_rows(review, &mut rows);
    assert_eq!(records(&rows, MEASURE_COLUMNS.len()), review.checks.len(), "rows");
    rows.clear();
    attempt_row(review, &mut rows);
    assert_eq!(records(&rows, ATTEMPT_COLUMNS.len()), 1, "rows");
    let words: Vec<&str> = review.checks.iter().map(|check| check.verdict.word.as_str()).collect();
    format!(
        "{}: {}: {}; {}",
        review.drill.id,
        review.outcome.word,
        words.join(", "),
        review.attempt.recognised
    )
}

/// Counts the records of a table without a header; every one must have so many fields.
fn records(rows: &str, fields: usize) -> usize {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(rows.as_bytes());
    let mut count = 0;
    for record in reader.records() {
        assert_eq!(
            record.expect("our own CSV can be read").len(),
            fields,
            "fields of a row"
        );
        count += 1;
    }
    count
}

/// A refusal is a few lines that are safe to print.
fn refused(error: &Error) -> String {
    let words = error.to_string();
    assert!(!words.is_empty() && words.len() < 60_000, "{} bytes", words.len());
    let control = words.chars().find(|c| c.is_control() && *c != '\n');
    assert!(control.is_none(), "control character {control:?} in a message");
    words
}

#[test]
fn review() {
    let catalogue = Catalogue::shipped();
    let ids = catalogue.drill_ids();
    let mut one = |bytes: &[u8]| {
        let hash = hash(bytes);
        // Handsprings, which most of the corpus is, half of the time.
        let id = if hash.is_multiple_of(2) {
            "handspring-floor"
        } else {
            ids[(hash >> 50) as usize % ids.len()]
        };
        let mut reviewer = Reviewer::new(&catalogue, settings(hash));
        match reviewer.review_bytes("input", bytes, catalogue.drill(id).unwrap()) {
            Ok(reviewed) => judge(&reviewed.record),
            Err(error) => refused(&error),
        }
    };
    fuzz(Target {
        name: "review",
        dialect: Dialect::Json,
        corpus: attempts(),
        run: &mut one,
    });
}

/// A folder in memory where there is one: tables are brought to the disk before they are named.
fn fast_folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap()
}

/// Runs a batch into a folder and returns its tables, and how many attempts it took from the journal.
fn batch(catalogue: &Catalogue, work: &Work, out: &Path, settings: Settings) -> Result<([Vec<u8>; 2], usize), Error> {
    let batch = Batch {
        catalogue,
        settings,
        out: out.to_owned(),
        threads: 1,
        jsonl: false,
        fresh: false,
        force: true,
    };
    let mut kept = 0;
    let summary = run(&batch, work, &AtomicBool::new(false), |progress| kept = progress.kept)?;
    assert_eq!(summary.done(), work.items.len(), "{summary:?}");
    let tables = [MEASURES, ATTEMPTS].map(|table| std::fs::read(out.join(table)).expect("it was written"));
    Ok((tables, kept))
}

#[test]
fn manifest() {
    let catalogue = Catalogue::shipped();
    let folder = fast_folder();
    std::fs::write(
        folder.path().join("turn.json"),
        attempt(&Act::handspring(&Params::random(1)).unwrap(), 1),
    )
    .unwrap();
    let own = springline_drills::template("handstand-hop").unwrap();
    std::fs::write(folder.path().join("mine.toml"), own).unwrap();
    let list = folder.path().join("list.csv");
    let mut one = |bytes: &[u8]| {
        std::fs::write(&list, bytes).unwrap();
        let drill: Option<Drill> = hash(bytes)
            .is_multiple_of(2)
            .then(|| catalogue.drill("handspring-floor").unwrap().clone());
        let answer = match read_manifest(&list, &catalogue, drill) {
            Ok(work) => accepted(&catalogue, &work, folder.path()),
            Err(error) => refused(&error),
        };
        answer.replace(&folder.path().display().to_string(), "")
    };
    let texts: [&[u8]; 6] = [
        b"file,athlete,drill,date,rate\nturn.json,K-01,handspring-floor,2026-03-14,60\nabsent.json,K-02,,,\n",
        "\u{feff}File;Athlete code;Drill;Date;fps\nturn.json;\"K-51; second\";mine.toml;2026-04-01;24\n".as_bytes(),
        b"path\nturn.json\n\n\"a \"\"b\"\".json\"\n",
        b"file,drill\r\nturn.json,handstand-hop\r\nturn.json,cartwheel\r\n",
        b"file,athlet,rate\nx.json,K-1,60\n",
        b"file,drill,date,rate\nx.json,handspring-flor,2026-02-30,60\n,,,0\ny.json\nz.json,,,\nz.json,,,\n",
    ];
    fuzz(Target {
        name: "manifest",
        dialect: Dialect::Table,
        corpus: texts.map(<[u8]>::to_vec).to_vec(),
        run: &mut one,
    });
}

/// A manifest that was accepted is in order; a short one is run, and every line becomes a row.
fn accepted(catalogue: &Catalogue, work: &Work, folder: &Path) -> String {
    assert!(!work.items.is_empty(), "an empty manifest was accepted");
    let in_order = work.items.windows(2).all(|pair| pair[0].name <= pair[1].name);
    assert!(in_order, "items are sorted");
    for item in &work.items {
        assert!(!item.name.is_empty(), "an item without a name");
        assert!(item.drill.is_none_or(|drill| drill < work.drills.len()), "{item:?}");
        assert!(
            item.rate_hz.is_none_or(|rate| (1.0..=2000.0).contains(&rate)),
            "{item:?}"
        );
    }
    if work.items.len() <= 20 {
        let out = folder.join("out");
        let ([_, attempts], _) =
            batch(catalogue, work, &out, Settings::default()).expect("a batch with a readable manifest");
        let attempts = String::from_utf8(attempts).expect("tables are UTF-8");
        let (_, rows) = attempts.split_once('\n').expect("a table has a header");
        assert_eq!(records(rows, ATTEMPT_COLUMNS.len()), work.items.len(), "rows");
        std::fs::remove_dir_all(out).unwrap();
    }
    format!("{} items by {} drills", work.items.len(), work.drills.len())
}

#[test]
fn journal() {
    let catalogue = Catalogue::shipped();
    let folder = fast_folder();
    let clips = folder.path().join("clips");
    std::fs::create_dir(&clips).unwrap();
    for seed in 0..3 {
        let bytes = attempt(&Act::handspring(&Params::random(seed)).unwrap(), seed);
        std::fs::write(clips.join(format!("{seed}.json")), bytes).unwrap();
    }
    std::fs::write(clips.join("bad.json"), b"{").unwrap();
    let out = folder.path().join("out");
    let drill = catalogue.drill("handspring-floor").unwrap().clone();
    let work = find_attempts(&clips, Some(drill), &Settings::default().import).unwrap();
    let made = |settings: Settings| -> ([Vec<u8>; 2], Vec<u8>) {
        let (tables, _) = batch(&catalogue, &work, &out, settings).unwrap();
        (tables, std::fs::read(out.join(JOURNAL)).unwrap())
    };
    let (wanted, good) = made(Settings::default());
    let unsmoothed = Settings {
        smoothing: Smoothing::Off,
        ..Settings::default()
    };
    // Finished work of other settings, then that of these after it, as later runs leave it.
    let (_, grown) = made(unsmoothed);
    let half = good[..good.len() / 2].to_vec();
    let place: PathBuf = out.join(JOURNAL);
    let mut one = |bytes: &[u8]| {
        std::fs::remove_dir_all(&out).unwrap();
        std::fs::create_dir(&out).unwrap();
        std::fs::write(&place, bytes).unwrap();
        // Whatever a power cut left of the journal: the tables are those of a run without one, or nothing is touched.
        match batch(&catalogue, &work, &out, Settings::default()) {
            Ok((tables, kept)) => {
                assert!(tables == wanted, "other tables than without a journal");
                let (again, all) = batch(&catalogue, &work, &out, Settings::default()).unwrap();
                assert!(again == wanted && all == work.items.len(), "the journal was not mended");
                format!("kept{}", " one".repeat(kept))
            }
            Err(error) => {
                assert!(matches!(error, Error::Exists { .. }), "{error}");
                assert_eq!(std::fs::read(&place).unwrap(), bytes, "a foreign file was changed");
                refused(&error).replace(&folder.path().display().to_string(), "")
            }
        }
    };
    fuzz(Target {
        name: "journal",
        dialect: Dialect::Json,
        corpus: vec![good, grown, half],
        run: &mut one,
    });
}
