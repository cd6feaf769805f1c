//! How much of a long run is done, counted while it goes on.

use std::sync::atomic::{AtomicU64, Ordering};

/// What is counted of a run, by all of its threads, since the process began. Nothing that is
/// computed depends on it: who shows how far a run is reads it now and then.
///
/// ```
/// use design::Tally;
///
/// let before = Tally::SeamsJoined.so_far();
/// Tally::SeamsJoined.expect(2);
/// Tally::SeamsJoined.did(1);
/// let now = Tally::SeamsJoined.so_far();
/// assert!(now.done > before.done && now.expected >= before.expected + 2);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tally {
    /// Ranges of a lattice's boxes of which the cheapest division is known.
    RangesSolved,
    /// Seams of which joints are laid out, over all plans that are carried out.
    SeamsJoined,
    /// Looks at pieces: at their walls, at their surfaces, at pairs on their way.
    LooksTaken,
    /// Pictures of pieces and steps.
    PicturesDrawn,
}

/// A count, and what it will come to as far as is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counted {
    /// What is done.
    pub done: u64,
    /// What is known to be done in all, what is done included.
    pub expected: u64,
}

static DONE: [AtomicU64; 4] = [const { AtomicU64::new(0) }; 4];
static EXPECTED: [AtomicU64; 4] = [const { AtomicU64::new(0) }; 4];

impl Tally {
    /// So many more are to be done.
    pub fn expect(self, count: usize) {
        EXPECTED[self as usize].fetch_add(count as u64, Ordering::Relaxed);
    }

    /// So many more are done.
    pub fn did(self, count: usize) {
        DONE[self as usize].fetch_add(count as u64, Ordering::Relaxed);
    }

    /// What was counted since the process began.
    pub fn so_far(self) -> Counted {
        let [done, expected] =
            [&DONE, &EXPECTED].map(|of| of[self as usize].load(Ordering::Relaxed));
        Counted { done, expected }
    }
}
