//! A region of the plane as stretches of parallel lines.

/// A region of the plane: of each of many lines along x, evenly apart, the stretches
/// that lie in it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ScanLines {
    apart_mm: f64,
    lines: Vec<Vec<Stretch>>,
}

/// From one x to another.
type Stretch = [f64; 2];

impl ScanLines {
    /// The region within closed chains of segments, by the rule of even and odd; lines
    /// begin half of their distance above `low_mm`.
    pub(crate) fn within(
        segments: impl Iterator<Item = [[f64; 2]; 2]>,
        low_mm: f64,
        apart_mm: f64,
        count: usize,
    ) -> Self {
        let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); count];
        let first_at = |y: f64| ((y - low_mm) / apart_mm - 0.5).ceil().max(0.0) as usize;
        for [a, b] in segments {
            let (low, high) = if a[1] <= b[1] { (a, b) } else { (b, a) };
            let rise = high[1] - low[1];
            let (first, end) = (first_at(low[1]), first_at(high[1]).min(count));
            let crossed = crossings.iter_mut().enumerate().take(end).skip(first);
            for (k, line) in crossed {
                let y = low_mm + (k as f64 + 0.5) * apart_mm;
                let t = ((y - low[1]) / rise).clamp(0.0, 1.0);
                line.push(low[0] + t * (high[0] - low[0]));
            }
        }
        let lines = crossings.into_iter().map(|mut xs| {
            xs.sort_by(f64::total_cmp);
            xs.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
        });
        Self {
            apart_mm,
            lines: lines.collect(),
        }
    }

    /// Its area.
    pub(crate) fn area_mm2(&self) -> f64 {
        let stretches = self.lines.iter().flatten();
        self.apart_mm * stretches.map(|[a, b]| b - a).sum::<f64>()
    }

    /// What is in both; the other has the same lines.
    pub(crate) fn shared(&self, other: &Self) -> Self {
        let lines = self.lines.iter().zip(&other.lines);
        Self {
            apart_mm: self.apart_mm,
            lines: lines.map(|(a, b)| shared(a, b, 0.0)).collect(),
        }
    }

    /// Every place of the region about which a disc of some radius lies in it: its
    /// erosion (Serra 1982, *Image analysis and mathematical morphology*), line by
    /// line. The disc is as exact as the lines are close.
    pub(crate) fn eroded(&self, radius_mm: f64) -> Self {
        let reach = (radius_mm / self.apart_mm + 1e-9).floor() as usize;
        let half = |off: usize| {
            let off = off as f64 * self.apart_mm;
            (radius_mm * radius_mm - off * off).max(0.0).sqrt()
        };
        let halves: Vec<f64> = (0..=reach).map(half).collect();
        let line = |k: usize| {
            if k < reach || k + reach >= self.lines.len() {
                return Vec::new();
            }
            let mut out = self.lines[k].clone();
            for s in &mut out {
                *s = [s[0] + halves[0], s[1] - halves[0]];
            }
            out.retain(|s| s[1] > s[0]);
            for off in (1..=reach).rev() {
                for beside in [k - off, k + off] {
                    if out.is_empty() {
                        return out;
                    }
                    out = shared(&out, &self.lines[beside], halves[off]);
                }
            }
            out
        };
        Self {
            apart_mm: self.apart_mm,
            lines: (0..self.lines.len()).map(line).collect(),
        }
    }
}

/// What is in stretches of one line and of another, these shorter by `less` at each end.
fn shared(one: &[Stretch], other: &[Stretch], less: f64) -> Vec<Stretch> {
    let mut out = Vec::with_capacity(one.len());
    let (mut i, mut j) = (0, 0);
    while i < one.len() && j < other.len() {
        let (a, b) = (one[i], [other[j][0] + less, other[j][1] - less]);
        let both = [a[0].max(b[0]), a[1].min(b[1])];
        if both[1] > both[0] {
            out.push(both);
        }
        if a[1] < b[1] { i += 1 } else { j += 1 }
    }
    out
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn ring(points: &[[f64; 2]]) -> impl Iterator<Item = [[f64; 2]; 2]> + '_ {
        let next = points.iter().skip(1).chain(points.iter().take(1));
        points.iter().zip(next).map(|(a, b)| [*a, *b])
    }

    fn rectangle(low: [f64; 2], high: [f64; 2]) -> [[f64; 2]; 4] {
        [low, [high[0], low[1]], high, [low[0], high[1]]]
    }

    proptest! {
        /// A frame about a hole: outside a rectangle that shrinks, inside a rectangle
        /// with round corners that grows, by the formulas for both (Steiner).
        #[test]
        fn erosion_of_a_frame_is_that_of_the_formulas(
            w in 30.0f64..120.0, h in 30.0f64..120.0, r in 0.5f64..3.0, rim in 8.0f64..12.0,
        ) {
            let outer = rectangle([0.0, 0.0], [w, h]);
            let inner = rectangle([rim, rim], [w - rim, h - rim]);
            let apart = r / 8.0;
            let count = (h / apart).ceil() as usize;
            let frame = ScanLines::within(ring(&outer).chain(ring(&inner)), 0.0, apart, count);
            let (iw, ih) = (w - 2.0 * rim, h - 2.0 * rim);
            let exact = (w - 2.0 * r) * (h - 2.0 * r)
                - (iw * ih + 2.0 * r * (iw + ih) + std::f64::consts::PI * r * r);
            let eroded = frame.eroded(r);
            prop_assert!((eroded.area_mm2() - exact).abs() < 2.0 * apart * (w + iw), "{} {exact}", eroded.area_mm2());
            prop_assert!((frame.area_mm2() - (w * h - iw * ih)).abs() < 2.0 * apart * (w + iw));
        }
    }

    #[test]
    fn what_two_regions_share_is_their_overlap() {
        let lines = |low, high| {
            let corners = rectangle(low, high);
            ScanLines::within(ring(&corners), 0.0, 0.25, 80)
        };
        let one = lines([0.0, 0.0], [10.0, 10.0]);
        let other = lines([4.0, 5.0], [20.0, 20.0]);
        assert!((one.shared(&other).area_mm2() - 30.0).abs() < 1e-9);
        assert_eq!(one.shared(&other), other.shared(&one));
        assert!(one.eroded(6.0).area_mm2() == 0.0);
    }
}
