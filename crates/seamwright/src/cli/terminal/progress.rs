//! How far a run is, told as it goes.

use std::fmt::Write;
use std::io::IsTerminal;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use design::{Counted, Tally};
use indicatif::{ProgressBar, ProgressState, ProgressStyle};

use crate::cli::args::Voice;

/// Tells how far a run is: a bar on a terminal with what is counted of the stage that runs,
/// plain lines elsewhere.
pub(crate) struct Progress {
    bar: Option<ProgressBar>,
    begun: Arc<Mutex<Begun>>,
    plain: bool,
}

/// When a stage began, and what was counted then.
#[derive(Clone, Copy)]
struct Begun {
    at: Instant,
    counted: [Counted; 4],
}

impl Begun {
    fn now() -> Self {
        Self {
            at: Instant::now(),
            counted: TALLIES.map(|(tally, _)| tally.so_far()),
        }
    }
}

/// What is counted, in words: of ranges nobody knows before how many there will be.
const TALLIES: [(Tally, &str); 4] = [
    (Tally::RangesSolved, "ways to divide looked at"),
    (Tally::SeamsJoined, "seams joined"),
    (Tally::LooksTaken, "looks taken"),
    (Tally::PicturesDrawn, "pictures drawn"),
];

impl Progress {
    pub(crate) fn new(steps: u64, voice: Voice) -> Self {
        let is_told = !voice.quiet && !voice.json;
        let is_terminal = std::io::stderr().is_terminal();
        let begun = Arc::new(Mutex::new(Begun::now()));
        Self {
            bar: (is_told && is_terminal).then(|| bar(steps, Arc::clone(&begun))),
            begun,
            plain: is_told && !is_terminal,
        }
    }

    pub(crate) fn stage(&self, what: &str) {
        if let Some(bar) = &self.bar {
            *self.begun.lock().unwrap_or_else(PoisonError::into_inner) = Begun::now();
            bar.inc(1);
            bar.set_message(what.to_owned());
        } else if self.plain {
            warn!("{what}");
        }
    }

    pub(crate) fn done(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

fn bar(steps: u64, begun: Arc<Mutex<Begun>>) -> ProgressBar {
    let bar = ProgressBar::new(steps);
    let style = ProgressStyle::with_template("{bar:24} {pos}/{len} {msg}\n  {counted}");
    if let Ok(style) = style {
        let counted = move |_: &ProgressState, out: &mut dyn Write| {
            let Begun { at, counted } = *begun.lock().unwrap_or_else(PoisonError::into_inner);
            let now = TALLIES.map(|(tally, _)| tally.so_far());
            // Where the terminal takes no more, it takes no more.
            let _ = out.write_str(&so_far(counted, now, at.elapsed()));
        };
        bar.set_style(style.progress_chars("■□ ").with_key("counted", counted));
    }
    bar.enable_steady_tick(Duration::from_millis(120));
    bar
}

/// What was counted of a stage since it began so long ago, and how long it will take still
/// where that can be told.
fn so_far(begun: [Counted; 4], now: [Counted; 4], since: Duration) -> String {
    let mut out: Vec<String> = Vec::new();
    let mut left_s: Option<f64> = None;
    for ((before, now), (tally, what)) in begun.iter().zip(&now).zip(TALLIES) {
        let done = now.done - before.done;
        let expected = now.expected.saturating_sub(before.done);
        if done == 0 {
            continue;
        }
        out.push(match tally {
            Tally::RangesSolved => format!("{} {what}", grouped(done)),
            _ => format!("{} of {} {what}", grouped(done), grouped(expected)),
        });
        left_s = match tally {
            // Another plan may be sought, or not.
            Tally::RangesSolved | Tally::SeamsJoined => None,
            _ => Some(since.as_secs_f64() * expected.saturating_sub(done) as f64 / done as f64),
        };
    }
    // Soon told is soon done.
    if let Some(left) = left_s.filter(|left| *left >= 1.0) {
        out.push(format!("some {left:.0} s left"));
    }
    out.join(" · ")
}

/// A count with its thousands apart.
fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (k, digit) in digits.chars().enumerate() {
        if k > 0 && (digits.len() - k).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOTHING: Counted = Counted {
        done: 0,
        expected: 0,
    };

    fn counted(done: u64, expected: u64) -> Counted {
        Counted { done, expected }
    }

    #[test]
    fn what_is_counted_of_a_stage_is_told_and_what_is_left_of_its_time() {
        let begun = [NOTHING, counted(5, 5), NOTHING, NOTHING];
        let planning = [
            counted(1_234_567, 2_000_000),
            counted(12, 17),
            NOTHING,
            NOTHING,
        ];
        assert_eq!(
            so_far(begun, planning, Duration::from_secs(4)),
            "1,234,567 ways to divide looked at · 7 of 12 seams joined"
        );
        let begun = planning;
        let judging = [begun[0], begun[1], counted(30, 90), NOTHING];
        assert_eq!(
            so_far(begun, judging, Duration::from_secs(4)),
            "30 of 90 looks taken · some 8 s left"
        );
        assert_eq!(so_far(begun, begun, Duration::from_secs(1)), "");
    }
}
