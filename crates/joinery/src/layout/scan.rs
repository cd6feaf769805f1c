//! Scan lines over a seam: where strips along the slide are covered.

use solid::Outline;

/// The stretches along `v` in which a line of constant `u` lies in an outline
/// (even-odd rule), in rising order.
///
/// ```
/// let square = solid::rectangle([0.0, 0.0], [4.0, 2.0]);
/// assert_eq!(joinery::stretches(&square, 1.0), [(0.0, 2.0)]);
/// ```
pub fn stretches(outline: &Outline, u: f64) -> Vec<(f64, f64)> {
    let mut crossed: Vec<f64> = Vec::new();
    for polygon in outline {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            for edge in ring.lines() {
                let (a, b) = (edge.start, edge.end);
                // Half-open, so that a corner on the line counts once.
                if (a.x <= u) != (b.x <= u) {
                    crossed.push(a.y + (b.y - a.y) * (u - a.x) / (b.x - a.x));
                }
            }
        }
    }
    crossed.sort_by(f64::total_cmp);
    crossed
        .chunks_exact(2)
        .map(|pair| (pair[0], pair[1]))
        .collect()
}

/// Stretches that both lists have.
fn common(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let (mut i, mut j, mut out) = (0, 0, Vec::new());
    while i < a.len() && j < b.len() {
        let (low, high) = (a[i].0.max(b[j].0), a[i].1.min(b[j].1));
        if low < high {
            out.push((low, high));
        }
        if a[i].1 < b[j].1 { i += 1 } else { j += 1 }
    }
    out
}

/// Stretches that either list has, gaps up to `gap` closed.
fn either<'a, L: AsRef<[(f64, f64)]> + ?Sized + 'a>(
    lists: impl IntoIterator<Item = &'a L>,
    gap: f64,
) -> Vec<(f64, f64)> {
    let mut all: Vec<(f64, f64)> = (lists.into_iter().flat_map(AsRef::as_ref).copied()).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Vec<(f64, f64)> = Vec::new();
    for (low, high) in all {
        match out.last_mut() {
            Some(last) if low <= last.1 + gap => last.1 = last.1.max(high),
            _ => out.push((low, high)),
        }
    }
    out
}

/// Scan lines over an outline at an even spacing along `u`.
pub(crate) struct Scan {
    outline: Outline,
    first_mm: f64,
    lines: Vec<Vec<(f64, f64)>>,
    /// Stretches that each line and those after it have in common.
    in_all: Runs,
    /// Stretches that any of them has.
    in_any: Runs,
}

/// What runs of one, two, four, … lines come to, so that any run is put together
/// from few (a sparse table: Bender & Farach-Colton 2000, *The LCA problem
/// revisited*).
struct Runs(Vec<Vec<Vec<(f64, f64)>>>);

/// How often the runs are doubled: strips are seldom wider than the longest.
const DOUBLED: usize = 6;

impl Runs {
    fn over(
        lines: &[Vec<(f64, f64)>],
        merge: impl Fn(&[(f64, f64)], &[(f64, f64)]) -> Vec<(f64, f64)>,
    ) -> Self {
        let mut runs = vec![lines.to_vec()];
        for k in 0..DOUBLED {
            let (half, last) = (1 << k, &runs[k]);
            if last.len() <= half {
                break;
            }
            runs.push(
                (half..last.len())
                    .map(|i| merge(&last[i - half], &last[i]))
                    .collect(),
            );
        }
        Self(runs)
    }

    /// The runs that make up a run of lines, some lines in two of them.
    fn of(&self, from: usize, to: usize) -> impl Iterator<Item = &Vec<(f64, f64)>> {
        let most = (to.saturating_sub(from)).max(1).ilog2() as usize;
        let level = most.min(self.0.len() - 1);
        let length = 1 << level;
        (from..to)
            .step_by(length)
            .map(move |k| &self.0[level][k.min(to - length)])
    }
}

/// A slant steeper than this against the line across is a step.
const STEEPEST: f64 = 1.3;

/// Spacing of scan lines.
pub(crate) const SCAN_MM: f64 = 0.5;

impl Scan {
    pub(crate) fn over(outline: &Outline, low_mm: f64, high_mm: f64) -> Self {
        let count = ((high_mm - low_mm) / SCAN_MM).ceil().max(0.0) as usize + 1;
        let lines: Vec<_> = (0..count)
            .map(|k| stretches(outline, low_mm + SCAN_MM * k as f64))
            .collect();
        Self {
            outline: outline.clone(),
            first_mm: low_mm,
            in_all: Runs::over(&lines, common),
            in_any: Runs::over(&lines, |a, b| either([a, b], 0.0)),
            lines,
        }
    }

    /// The evenly spaced lines strictly inside a strip: the first, and the one
    /// after the last.
    fn inside(&self, low_mm: f64, high_mm: f64) -> (usize, usize) {
        let index = |x: f64| ((x - self.first_mm) / SCAN_MM).clamp(0.0, self.lines.len() as f64);
        let (a, b) = (
            index(low_mm).floor() as usize + 1,
            index(high_mm).ceil() as usize,
        );
        (a.min(b), b)
    }

    /// Stretches in which one line is covered, wherever it is.
    pub(crate) fn covered_at(&self, u_mm: f64) -> Vec<(f64, f64)> {
        stretches(&self.outline, u_mm)
    }

    /// Stretches in which every line of a strip is covered.
    pub(crate) fn covered(&self, low_mm: f64, high_mm: f64) -> Vec<(f64, f64)> {
        // The edges of the strip are scanned where they are; a hair inside,
        // so that a strip as wide as its wall is covered by it.
        let edges = [low_mm + 1e-6, high_mm - 1e-6].map(|u| stretches(&self.outline, u));
        let both = common(&edges[0], &edges[1]);
        let (from, to) = self.inside(low_mm, high_mm);
        let runs = self.in_all.of(from, to);
        runs.fold(both, |held, run| common(&held, run))
    }

    /// Whether a covered stretch of a strip begins and ends smoothly: from one
    /// line to the next its ends shift by no more than a slant does. A jump is
    /// a step in the outline, whose flank would run beside the tail.
    pub(crate) fn ends_smoothly(
        &self,
        low_mm: f64,
        high_mm: f64,
        stretch: (f64, f64),
    ) -> [bool; 2] {
        let middle = (stretch.0 + stretch.1) / 2.0;
        let mut lines = vec![stretches(&self.outline, low_mm + 1e-6)];
        let (from, to) = self.inside(low_mm, high_mm);
        lines.extend_from_slice(&self.lines[from..to]);
        lines.push(stretches(&self.outline, high_mm - 1e-6));
        let held: Vec<(f64, f64)> = lines
            .iter()
            .filter_map(|line| {
                line.iter()
                    .copied()
                    .find(|s| s.0 <= middle && middle <= s.1)
            })
            .collect();
        let smooth = |end: fn(&(f64, f64)) -> f64| {
            held.windows(2)
                .all(|w| (end(&w[0]) - end(&w[1])).abs() <= STEEPEST * SCAN_MM)
        };
        [smooth(|s| s.0), smooth(|s| s.1)]
    }

    /// Stretches in which some line of a strip is covered, gaps closed.
    pub(crate) fn touched(&self, low_mm: f64, high_mm: f64, gap_mm: f64) -> Vec<(f64, f64)> {
        let edges = [low_mm, high_mm].map(|u| stretches(&self.outline, u));
        let (from, to) = self.inside(low_mm, high_mm);
        let inside = self.in_any.of(from, to);
        either(inside.chain(&edges), gap_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strip_beyond_the_lines_has_nothing() {
        let scan = Scan::over(&solid::rectangle([0.0, 0.0], [4.0, 2.0]), -1.0, 5.0);
        for (low, high) in [(5.0, 9.0), (7.0, 9.0), (-9.0, -7.0)] {
            assert_eq!(scan.covered(low, high), []);
            assert_eq!(scan.touched(low, high, 0.1), []);
            assert_eq!(scan.ends_smoothly(low, high, (0.0, 2.0)), [true; 2]);
        }
    }

    #[test]
    fn an_l_shape_is_covered_where_both_arms_are() {
        use geo::BooleanOps;
        let l = solid::rectangle([0.0, 0.0], [10.0, 40.0])
            .union(&solid::rectangle([0.0, 0.0], [40.0, 10.0]));
        let scan = Scan::over(&l, -1.0, 41.0);
        let close = |got: &[(f64, f64)], want: (f64, f64)| {
            assert_eq!(got.len(), 1);
            assert!(
                (got[0].0 - want.0).abs() < 1e-4 && (got[0].1 - want.1).abs() < 1e-4,
                "{got:?}"
            );
        };
        close(&scan.covered(2.0, 8.0), (0.0, 40.0));
        close(&scan.covered(2.0, 18.0), (0.0, 10.0));
        close(&scan.touched(2.0, 18.0, 0.0), (0.0, 40.0));
        assert!(scan.covered(-5.0, 5.0).is_empty());
    }
}
