//! How far a run is, told as it goes.

use std::io::IsTerminal;

use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::args::Voice;

/// Tells how far a run is: a bar on a terminal, plain lines elsewhere.
pub(crate) struct Progress {
    bar: Option<ProgressBar>,
    plain: bool,
}

impl Progress {
    pub(crate) fn new(steps: u64, voice: Voice) -> Self {
        if voice.quiet || voice.json {
            return Self {
                bar: None,
                plain: false,
            };
        }
        if !std::io::stderr().is_terminal() {
            return Self {
                bar: None,
                plain: true,
            };
        }
        let bar = ProgressBar::new(steps);
        if let Ok(style) = ProgressStyle::with_template("{bar:24} {pos}/{len} {msg}") {
            bar.set_style(style.progress_chars("■□ "));
        }
        bar.enable_steady_tick(std::time::Duration::from_millis(120));
        Self {
            bar: Some(bar),
            plain: false,
        }
    }

    pub(crate) fn stage(&self, what: &str) {
        if let Some(bar) = &self.bar {
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
