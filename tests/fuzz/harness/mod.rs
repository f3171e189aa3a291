//! A seeded mutational fuzzer for stable Rust.
//!
//! Each target runs in a process of its own, so that a stack overflow, an abort or a lack of memory is seen from outside and
//! costs one target only. The input under test is on disk before it is run. A panic, more than [`SLOW_S`] of time or more than
//! [`MEMORY_KB`] of memory for one input is a failure; the input is kept in `fuzz-failures` of the build folder.
//!
//! The fuzzer does not see which code runs. As a cheap stand-in, an input whose answer has a wording not met before joins
//! the pool that is changed further.

mod mutate;
mod random;
mod tokens;

use std::collections::HashSet;
use std::fs::File;
use std::io::Write as _;
use std::panic::AssertUnwindSafe;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

pub use mutate::Dialect;
use random::Draws;

/// Most time for one input, s.
const SLOW_S: f64 = 2.0;
/// Time after which an input that gives no answer ends the run, s.
const HANGS_S: u64 = 20;
/// Most memory that one input may add to the process, kB.
const MEMORY_KB: u64 = 256 * 1024;
/// Seconds for each target where nothing else is asked for.
const USUAL_SECONDS: f64 = 5.0;
/// Inputs kept for further changes beside the corpus.
const POOL: usize = 2_000;
/// Longest input, bytes.
const LONGEST: usize = 256 * 1024;

/// Tells the process of one target that it is one.
const INSIDE: &str = "SPRINGLINE_FUZZ_INSIDE";
/// Seconds for each target; 0 runs the corpus as it is.
const SECONDS: &str = "SPRINGLINE_FUZZ_SECONDS";
/// Another seed than 1.
const SEED: &str = "SPRINGLINE_FUZZ_SEED";
/// One input to run again, by path.
const INPUT: &str = "SPRINGLINE_FUZZ_INPUT";

/// One thing to be fuzzed.
pub struct Target<'a> {
    /// Name of the test function, which is that of the target.
    pub name: &'static str,
    /// What the text is made of, for changes that know its grammar.
    pub dialect: Dialect,
    /// Good and bad inputs to begin with.
    pub corpus: Vec<Vec<u8>>,
    /// Runs one input and says in words what came of it; panics where something is wrong.
    pub run: &'a mut dyn FnMut(&[u8]) -> String,
}

/// Runs a target: from the test function of the same name, and nowhere else.
pub fn fuzz(target: Target) {
    assert!(!target.corpus.is_empty(), "{}: no corpus", target.name);
    if std::env::var(INSIDE).is_ok_and(|name| name == target.name) {
        inside(target);
    } else {
        outside(target.name);
    }
}

/// Where inputs that failed are kept, and the one under test.
fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("../fuzz-failures");
    std::fs::create_dir_all(&folder).expect("the build folder can be written to");
    folder
}

/// Starts the target in a process of its own and judges how that ends.
fn outside(name: &str) {
    let status = Command::new(std::env::current_exe().expect("a test knows its own program"))
        .args(["--exact", name, "--nocapture", "--test-threads", "1", "--quiet"])
        .env(INSIDE, name)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .status()
        .expect("a test program can start itself");
    let current = folder().join(format!("{name}.current"));
    if !status.success() && current.exists() {
        // The process could not say it itself: a stack overflow, an abort, killed for its memory.
        let kept = folder().join(format!("{name}.crash"));
        std::fs::rename(&current, &kept).expect("a file can be renamed");
        panic!("{name}: ended by {status}; the input is kept in {}", kept.display());
    }
    assert!(status.success(), "{name}: see above");
}

/// The process of one target.
fn inside(target: Target) {
    let Target {
        name,
        dialect,
        corpus,
        run,
    } = target;
    let number = |variable: &str| std::env::var(variable).ok().and_then(|text| text.parse::<f64>().ok());
    let mut bench = Bench::new(name);
    if let Ok(path) = std::env::var(INPUT) {
        let bytes = std::fs::read(&path).expect("the input can be read");
        eprintln!("{name}: {}", bench.one(&bytes, run));
        bench.done();
        return;
    }
    let seconds = number(SECONDS).unwrap_or(USUAL_SECONDS);
    let seed = number(SEED).unwrap_or(1.0) as u64;
    let mut draws = Draws::new(seed);
    let mut met = HashSet::new();
    let mut pool: Vec<Vec<u8>> = Vec::new();
    let start = Instant::now();
    for bytes in &corpus {
        met.insert(shape(&bench.one(bytes, run)));
    }
    while start.elapsed().as_secs_f64() < seconds {
        let pick = draws.below(corpus.len() + pool.len());
        let mut bytes = corpus.get(pick).unwrap_or_else(|| &pool[pick - corpus.len()]).clone();
        let donor = &corpus[draws.below(corpus.len())];
        for _ in 0..draws.few() {
            mutate::change(&mut bytes, donor, dialect, &mut draws);
        }
        bytes.truncate(LONGEST);
        let answer = bench.one(&bytes, run);
        if met.len() < 100_000 && met.insert(shape(&answer)) {
            if pool.len() < POOL {
                pool.push(bytes);
            } else {
                let at = draws.below(POOL);
                pool[at] = bytes;
            }
        }
    }
    let spent = start.elapsed().as_secs_f64();
    eprintln!(
        "{name}: {} executions in {spent:.1} s, {:.0} a second; {} kinds of answer; seed {seed}; slowest {:.3} s; memory {} MB",
        bench.executions,
        bench.executions as f64 / spent,
        met.len(),
        bench.slowest,
        peak_kb().unwrap_or(0) / 1024,
    );
    bench.done();
}

/// An answer without what differs from input to input: digits and everything quoted.
fn shape(answer: &str) -> String {
    let mut shape = String::new();
    let mut quoted = false;
    for c in answer.chars() {
        match c {
            '"' | '`' => quoted = !quoted,
            _ if quoted => {}
            '0'..='9' if shape.ends_with('0') => {}
            '0'..='9' => shape.push('0'),
            _ => shape.push(c),
        }
        if shape.len() > 300 {
            break;
        }
    }
    shape
}

/// Runs inputs one by one and watches over them.
struct Bench {
    name: &'static str,
    folder: PathBuf,
    current: File,
    executions: u64,
    slowest: f64,
    memory_kb: u64,
}

/// When the input under test was begun, in ms since the start of the process; 0: none is.
static BEGUN_MS: AtomicU64 = AtomicU64::new(0);

impl Bench {
    fn new(name: &'static str) -> Self {
        let folder = folder();
        let current = File::create(folder.join(format!("{name}.current"))).expect("the build folder can be written to");
        watch(
            name,
            folder.join(format!("{name}.current")),
            folder.join(format!("{name}.hang")),
        );
        // Failures are reported once, by this bench.
        std::panic::set_hook(Box::new(|_| {}));
        Self {
            name,
            folder,
            current,
            executions: 0,
            slowest: 0.0,
            memory_kb: peak_kb().unwrap_or(0),
        }
    }

    fn one(&mut self, bytes: &[u8], run: &mut dyn FnMut(&[u8]) -> String) -> String {
        self.remember(bytes);
        self.executions += 1;
        BEGUN_MS.store(now_ms(), Ordering::SeqCst);
        let start = Instant::now();
        let answer = std::panic::catch_unwind(AssertUnwindSafe(|| run(bytes)));
        let mut spent = start.elapsed().as_secs_f64();
        BEGUN_MS.store(0, Ordering::SeqCst);
        let answer = answer.unwrap_or_else(|panic| {
            let words = panic
                .downcast_ref::<String>()
                .map(String::as_str)
                .or_else(|| panic.downcast_ref::<&str>().copied())
                .unwrap_or("a panic without words");
            self.fail(bytes, "panic", words)
        });
        if spent > SLOW_S {
            // A busy machine is no failure of ours: once more.
            let again = Instant::now();
            run(bytes);
            spent = spent.min(again.elapsed().as_secs_f64());
            if spent > SLOW_S {
                self.fail(bytes, "slow", &format!("{spent:.1} s for one input"));
            }
        }
        self.slowest = self.slowest.max(spent);
        // Taking memory takes time: only then is the peak asked for.
        if spent > 0.003 {
            let peak = peak_kb().unwrap_or(0);
            if peak > self.memory_kb + MEMORY_KB {
                let grown = (peak - self.memory_kb) / 1024;
                self.fail(
                    bytes,
                    "memory",
                    &format!("{grown} MB for one input of {} bytes", bytes.len()),
                );
            }
            self.memory_kb = self.memory_kb.max(peak);
        }
        answer
    }

    fn remember(&mut self, bytes: &[u8]) {
        use std::io::Seek as _;
        let mut put = || -> std::io::Result<()> {
            self.current.rewind()?;
            self.current.write_all(bytes)?;
            self.current.set_len(bytes.len() as u64)
        };
        put().expect("the build folder can be written to");
    }

    fn fail(&self, bytes: &[u8], kind: &str, words: &str) -> ! {
        let kept = self.folder.join(format!("{}.{kind}", self.name));
        std::fs::write(&kept, bytes).expect("the build folder can be written to");
        self.done();
        eprintln!(
            "{}: {kind} after {} executions: {words}\n  the input is kept; again with {INPUT}={}",
            self.name,
            self.executions,
            kept.display()
        );
        std::process::exit(101);
    }

    fn done(&self) {
        std::fs::remove_file(self.folder.join(format!("{}.current", self.name))).ok();
    }
}

/// Ends the process when one input gives no answer.
fn watch(name: &'static str, current: PathBuf, kept: PathBuf) {
    now_ms();
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(Duration::from_millis(200));
            let begun = BEGUN_MS.load(Ordering::SeqCst);
            if begun > 0 && now_ms() > begun + HANGS_S * 1000 {
                std::fs::rename(&current, &kept).ok();
                eprintln!(
                    "{name}: no answer within {HANGS_S} s; the input is kept in {}",
                    kept.display()
                );
                std::process::exit(102);
            }
        }
    });
}

/// Milliseconds since the first call, from 1.
fn now_ms() -> u64 {
    static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    START.get_or_init(Instant::now).elapsed().as_millis() as u64 + 1
}

/// Most memory that this process has had, kB; `None` where the system does not tell.
fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches(" kB").parse().ok()
}

/// The files of a folder and the folders in it whose path ends in one of the endings, in order of their names.
pub fn files(folder: &Path, endings: &[&str]) -> Vec<(String, Vec<u8>)> {
    let mut list = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("the fixtures are there") {
            let path = entry.expect("a readable folder").path();
            let name = path.to_string_lossy().into_owned();
            if path.is_dir() {
                folders.push(path);
            } else if endings.iter().any(|ending| name.ends_with(ending)) {
                list.push((name, std::fs::read(&path).expect("a readable file")));
            }
        }
    }
    list.sort();
    list
}
