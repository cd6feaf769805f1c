use planner::PLAIN_CONTACT;

use crate::{Build, Remark};

/// What is not as one would wish it in a build.
pub(crate) struct Faults {
    pub(crate) pieces: usize,
    /// Keys where tails found no room on the pieces.
    pub(crate) keys: usize,
    /// Contacts that keys hold because the bed has no room for tails.
    pub(crate) keyed: usize,
    pub(crate) plain: usize,
    pub(crate) misfits: usize,
}

/// What a key weighs, which is small but has to be printed and driven in; and
/// all keys of a contact together where the bed has no room for tails, as they
/// do in a plan.
const KEY: f64 = 0.25;
/// What a piece that does not fit weighs.
const MISFIT: f64 = 20.0;

impl Faults {
    /// Those of a build, in which pieces that are `spared` need no bed.
    pub(crate) fn of(build: &Build, spared: impl Fn(usize) -> bool) -> Self {
        let keys = build.pieces.iter().filter(|p| p.cell.is_none()).count();
        let contacts = || build.seams.iter().flat_map(|s| &s.contacts);
        let keyed = || contacts().filter(|c| c.no_bed_room && !c.keys.is_empty());
        let planned: usize = keyed().map(|c| c.keys.len()).sum();
        let is_plain = |r: &&Remark| matches!(r, Remark::PlainContact { .. });
        let pieces = build.pieces.iter().enumerate();
        Self {
            pieces: build.pieces.len() - keys,
            keys: keys - planned,
            keyed: keyed().count(),
            plain: build.remarks.iter().filter(is_plain).count(),
            misfits: pieces
                .filter(|(k, p)| p.placement.is_err() && !spared(*k))
                .count(),
        }
    }

    /// In pieces.
    pub(crate) fn weight(&self) -> f64 {
        self.pieces as f64
            + KEY * (self.keys + self.keyed) as f64
            + PLAIN_CONTACT * self.plain as f64
            + MISFIT * self.misfits as f64
    }
}
