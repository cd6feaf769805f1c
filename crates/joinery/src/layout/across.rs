//! Where across a seam tails may stand, and how they are spread there.

use crate::layout::scan::{SCAN_MM, Scan};
use crate::shape::lane::Lane;
use crate::sizing::TailSize;

/// Ranges of `u` in which a strip for this size is covered far enough.
pub(crate) fn centres(scan: &Scan, size: &TailSize, within: (f64, f64)) -> Vec<(f64, f64)> {
    let half = size.strip_mm() / 2.0;
    ranges(within.0 + half, within.1 - half, |u| {
        scan.covered(u - half, u + half)
            .iter()
            .any(|s| s.1 - s.0 >= size.least_run_mm)
    })
}

/// The parts of some ranges in which a lane is open.
pub(crate) fn open_runs(
    centres: &[(f64, f64)],
    lane_at: &dyn Fn(f64) -> Option<Lane>,
) -> Vec<(f64, f64)> {
    centres
        .iter()
        .flat_map(|&(low, high)| ranges(low, high, |u| lane_at(u).is_some()))
        .collect()
}

/// Maximal ranges of evenly spaced samples that pass a test.
pub(crate) fn ranges(low: f64, high: f64, test: impl Fn(f64) -> bool) -> Vec<(f64, f64)> {
    if high < low - 1e-9 {
        return Vec::new();
    }
    let steps = ((high - low) / SCAN_MM).ceil().max(1.0);
    let mut out: Vec<(f64, f64)> = Vec::new();
    let mut run: Option<(f64, f64)> = None;
    for k in 0..=steps as usize {
        let u = low + (high - low) * k as f64 / steps;
        if test(u) {
            run = Some(run.map_or((u, u), |r| (r.0, u)));
        } else if let Some(r) = run.take() {
            out.push(r);
        }
    }
    out.extend(run);
    out
}

/// Middle lines spread evenly over a range, a land of so many widths apart.
pub(crate) fn spread(low: f64, high: f64, size: &TailSize, land_ratio: f64) -> Vec<f64> {
    let pitch = size.width_mm * (1.0 + land_ratio);
    let count = (((high - low) / pitch).floor() as usize).max(1);
    // Two fit where the range is not long enough for two pitches but its ends
    // are a good land apart.
    let two = size.width_mm + size.wall_mm.max(0.5 * size.width_mm);
    if count == 1 && high - low >= two {
        return vec![
            low + (high - low - two) / 4.0,
            high - (high - low - two) / 4.0,
        ];
    }
    (0..count)
        .map(|i| low + (high - low) * (i as f64 + 0.5) / count as f64)
        .collect()
}
