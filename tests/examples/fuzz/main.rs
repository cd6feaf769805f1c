//! Bytes and words that were changed at random, given to whatever reads them.
//!
//! ```text
//! fuzz [--seconds N] [--cases N] [--seed N] [--only TARGET]
//! ```
//!
//! Each target gets so many seconds or cases. A case that panics, takes over a
//! second or over 256 MB of memory is written to `target/fuzz` and ends the
//! run with 1, as one that ends the process does: the case it was at is there.

mod change;
mod target;

use std::fs::{self, File};
use std::io::{Seek, SeekFrom, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use peak_alloc::PeakAlloc;

use crate::change::Dice;
use crate::target::{Target, targets};

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// A case may take so long: everything that is read here is small.
const LONGEST: Duration = Duration::from_secs(1);
/// A case may take so much memory.
const MOST_MB: f32 = 256.0;

struct Wanted {
    seconds: f64,
    cases: u64,
    seed: u64,
    only: Option<String>,
}

impl Wanted {
    fn of(words: &[String]) -> Result<Self, String> {
        let mut out = Self {
            seconds: 10.0,
            cases: u64::MAX,
            seed: 1,
            only: None,
        };
        for pair in words.chunks(2) {
            let [option, value] = pair else {
                return Err(format!("{} needs a value", pair[0]));
            };
            let bad = |_| format!("{option} {value}: not a number");
            match option.as_str() {
                "--seconds" => out.seconds = value.parse().map_err(|_| bad(()))?,
                "--cases" => out.cases = value.parse().map_err(|_| bad(()))?,
                "--seed" => out.seed = value.parse().map_err(|_| bad(()))?,
                "--only" => out.only = Some(value.clone()),
                other => return Err(format!("no option {other}")),
            }
        }
        Ok(out)
    }
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let wanted = match Wanted::of(&words) {
        Ok(wanted) => wanted,
        Err(why) => {
            eprintln!("{why}");
            return ExitCode::from(2);
        }
    };
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/fuzz");
    if let Err(e) = fs::create_dir_all(&folder) {
        eprintln!("{}: {e}", folder.display());
        return ExitCode::from(4);
    }
    // What panics is told once, with its case.
    std::panic::set_hook(Box::new(|_| {}));
    let mut bad = 0;
    let named = |name: &String| targets().iter().any(|t| t.name == name.as_str());
    if wanted.only.as_ref().is_some_and(|only| !named(only)) || !wanted.seconds.is_finite() {
        eprintln!("no such target, or no such time");
        return ExitCode::from(2);
    }
    let is_wanted = |t: &Target| wanted.only.as_ref().is_none_or(|only| *only == t.name);
    for target in targets().into_iter().filter(is_wanted) {
        bad += fuzzed(&target, &wanted, &folder);
    }
    ExitCode::from(u8::from(bad > 0))
}

/// Runs one target; how many of its cases were bad.
fn fuzzed(target: &Target, wanted: &Wanted, folder: &Path) -> u64 {
    let mut dice = Dice::seeded(wanted.seed);
    let begun = Instant::now();
    let at = folder.join(format!("{}.now", target.name));
    let mut now = File::create(&at).ok();
    let (mut cases, mut bad) = (0, 0);
    let (mut slowest, mut largest) = (Duration::ZERO, 0.0f32);
    while cases < wanted.cases && begun.elapsed().as_secs_f64() < wanted.seconds {
        let case = target.case(&mut dice);
        // Some ends no hook sees: what was at fault is on disk by then.
        let _ = now.as_mut().map(|now| put(now, &case));
        MEMORY.reset_peak_usage();
        let before = MEMORY.current_usage_as_mb();
        let started = Instant::now();
        let outcome = catch_unwind(AssertUnwindSafe(|| (target.reads)(&case)));
        let mut took = started.elapsed();
        if outcome.is_ok() && took > LONGEST {
            // The machine may have been busy with something else.
            let again = Instant::now();
            let _ = (target.reads)(&case);
            took = took.min(again.elapsed());
        }
        let took_mb = MEMORY.peak_usage_as_mb() - before;
        slowest = slowest.max(took);
        largest = largest.max(took_mb);
        cases += 1;
        let why = match outcome {
            Err(panic) => Some(format!("panicked: {}", words_of(&*panic))),
            Ok(Err(why)) => Some(why),
            Ok(Ok(())) if took > LONGEST => Some(format!("took {took:?}")),
            Ok(Ok(())) if took_mb > MOST_MB => Some(format!("took {took_mb:.0} MB")),
            Ok(Ok(())) => None,
        };
        if let Some(why) = why {
            bad += 1;
            let kept: PathBuf = folder.join(format!("{}-{bad}.case", target.name));
            let _ = fs::write(&kept, &case);
            println!("{}: {why} ({})", target.name, kept.display());
            if bad >= 5 {
                break;
            }
        }
    }
    let _ = fs::remove_file(&at);
    println!(
        "{:<12} {cases:>9} cases in {:>5.0} s, {bad} bad; at the most {:.3} s and {largest:.1} MB",
        target.name,
        begun.elapsed().as_secs_f64(),
        slowest.as_secs_f64(),
    );
    bad
}

/// Puts a case into a file in the place of the one before.
fn put(file: &mut File, case: &[u8]) -> std::io::Result<()> {
    file.set_len(0)?;
    file.seek(SeekFrom::Start(0))?;
    file.write_all(case)
}

fn words_of(panic: &(dyn std::any::Any + Send)) -> String {
    let text = panic.downcast_ref::<String>().cloned();
    text.or_else(|| panic.downcast_ref::<&str>().map(|s| (*s).to_owned()))
        .unwrap_or_else(|| "no words".to_owned())
}
