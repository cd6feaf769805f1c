//! What the boolean kernel was asked to do so far.

use std::sync::atomic::{AtomicU64, Ordering};

static BOOLEANS: AtomicU64 = AtomicU64::new(0);
static TRIANGLES: AtomicU64 = AtomicU64::new(0);

/// What the boolean kernel was asked to do since the process began, by all of its
/// threads: counts that no machine's speed changes.
///
/// ```
/// use solid::{KernelWork, Point, Solid};
///
/// let before = KernelWork::so_far();
/// let block = Solid::cuboid(Point::origin(), Point::new(1.0, 1.0, 1.0));
/// block.union(&block).unwrap();
/// assert!(KernelWork::so_far().booleans > before.booleans);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KernelWork {
    /// Booleans of two solids, and cuts that the kernel made.
    pub booleans: u64,
    /// Triangles that were handed to it.
    pub triangles: u64,
}

impl KernelWork {
    /// That of the process up to now.
    pub fn so_far() -> Self {
        Self {
            booleans: BOOLEANS.load(Ordering::Relaxed),
            triangles: TRIANGLES.load(Ordering::Relaxed),
        }
    }

    pub(super) fn count_boolean() {
        BOOLEANS.fetch_add(1, Ordering::Relaxed);
    }

    pub(super) fn count_triangles(count: usize) {
        TRIANGLES.fetch_add(count as u64, Ordering::Relaxed);
    }
}
