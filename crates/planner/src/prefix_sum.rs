use crate::box_range::BoxRange;

/// Sums over ranges of boxes in constant time (Crow 1984, *Summed-area tables
/// for texture mapping*, in three dimensions).
pub(crate) struct PrefixSum {
    counts: [usize; 3],
    sums: Vec<f64>,
}

impl PrefixSum {
    pub(crate) fn over(counts: [usize; 3], value: impl Fn([usize; 3]) -> f64) -> Self {
        let n = counts.map(|c| c + 1);
        let mut out = Self {
            counts: n,
            sums: vec![0.0; n.iter().product()],
        };
        for i in 1..n[0] {
            for j in 1..n[1] {
                let mut row = 0.0;
                for k in 1..n[2] {
                    row += value([i - 1, j - 1, k - 1]);
                    let at = out.index(i, j, k);
                    out.sums[at] =
                        row + out.at(i - 1, j, k) + out.at(i, j - 1, k) - out.at(i - 1, j - 1, k);
                }
            }
        }
        out
    }

    fn index(&self, i: usize, j: usize, k: usize) -> usize {
        (i * self.counts[1] + j) * self.counts[2] + k
    }

    fn at(&self, i: usize, j: usize, k: usize) -> f64 {
        self.sums[self.index(i, j, k)]
    }

    pub(crate) fn sum(&self, range: BoxRange) -> f64 {
        let [a, b, c] = range.low.map(usize::from);
        let [x, y, z] = range.high.map(usize::from);
        let side =
            |i: usize| self.at(i, y, z) - self.at(i, b, z) - self.at(i, y, c) + self.at(i, b, c);
        side(x) - side(a)
    }
}
