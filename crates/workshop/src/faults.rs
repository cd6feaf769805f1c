use planner::PLAIN_CONTACT;

use crate::{Build, Remark};

/// What is not as one would wish it in a build.
pub(crate) struct Faults {
    pub(crate) pieces: usize,
    pub(crate) keys: usize,
    pub(crate) plain: usize,
    pub(crate) misfits: usize,
}

/// What a key weighs, which is small but has to be printed and driven in.
const KEY: f64 = 0.25;
/// What a piece that does not fit weighs.
const MISFIT: f64 = 20.0;

impl Faults {
    /// Those of a build, in which pieces that are `spared` need no bed.
    pub(crate) fn of(build: &Build, spared: impl Fn(usize) -> bool) -> Self {
        let keys = build.pieces.iter().filter(|p| p.cell.is_none()).count();
        let is_plain = |r: &&Remark| matches!(r, Remark::PlainContact { .. });
        let pieces = build.pieces.iter().enumerate();
        Self {
            pieces: build.pieces.len() - keys,
            keys,
            plain: build.remarks.iter().filter(is_plain).count(),
            misfits: pieces
                .filter(|(k, p)| p.placement.is_err() && !spared(*k))
                .count(),
        }
    }

    /// In pieces.
    pub(crate) fn weight(&self) -> f64 {
        self.pieces as f64
            + KEY * self.keys as f64
            + PLAIN_CONTACT * self.plain as f64
            + MISFIT * self.misfits as f64
    }
}
