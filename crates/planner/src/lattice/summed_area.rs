//! Summed-area tables over the faces of cuts.

use crate::lattice::box_range::BoxRange;

/// Sums over the faces of cuts square to one axis, of several numbers at once,
/// in constant time (Crow 1984, *Summed-area tables for texture mapping*).
pub(crate) struct SummedArea<const N: usize> {
    /// The axes along which a cut has faces.
    across: [usize; 2],
    /// Corners of faces along those axes.
    corners: [usize; 2],
    /// For each corner of each cut the sum over all faces before it.
    sums: Vec<[f64; N]>,
}

impl<const N: usize> SummedArea<N> {
    /// The sums for the cuts of an axis through a lattice of so many boxes;
    /// `value` is asked for a cut and a face's places along the two axes after
    /// that one.
    pub(crate) fn over(
        axis: usize,
        counts: [usize; 3],
        value: impl Fn(usize, usize, usize) -> [f64; N],
    ) -> Self {
        let across = [(axis + 1) % 3, (axis + 2) % 3];
        let corners = across.map(|k| counts[k] + 1);
        let mut out = Self {
            across,
            corners,
            sums: vec![[0.0; N]; (counts[axis] - 1) * corners[0] * corners[1]],
        };
        for cut in 0..counts[axis] - 1 {
            for j in 1..corners[0] {
                let mut row = [0.0; N];
                for l in 1..corners[1] {
                    let face = value(cut, j - 1, l - 1);
                    let before = *out.at(cut, j - 1, l);
                    row = std::array::from_fn(|k| row[k] + face[k]);
                    *out.at_mut(cut, j, l) = std::array::from_fn(|k| row[k] + before[k]);
                }
            }
        }
        out
    }

    fn index(&self, cut: usize, j: usize, l: usize) -> usize {
        (cut * self.corners[0] + j) * self.corners[1] + l
    }

    fn at(&self, cut: usize, j: usize, l: usize) -> &[f64; N] {
        &self.sums[self.index(cut, j, l)]
    }

    fn at_mut(&mut self, cut: usize, j: usize, l: usize) -> &mut [f64; N] {
        let index = self.index(cut, j, l);
        &mut self.sums[index]
    }

    /// The sums over the faces that a cut has in a range of boxes.
    pub(crate) fn sum(&self, range: BoxRange, cut: u8) -> [f64; N] {
        let cut = usize::from(cut);
        let [[from, to], [low, high]] = self
            .across
            .map(|k| [range.low[k], range.high[k]].map(usize::from));
        let [all, before, beside, both] = [
            self.at(cut, to, high),
            self.at(cut, from, high),
            self.at(cut, to, low),
            self.at(cut, from, low),
        ];
        std::array::from_fn(|k| all[k] - before[k] - beside[k] + both[k])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_those_of_the_faces_one_by_one() {
        let counts = [3, 4, 5];
        for axis in 0..3 {
            let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
            let value = |cut: usize, j: usize, l: usize| {
                let seed = (axis * 7 + cut * 31 + j * 5 + l * 3) as f64;
                [seed, seed * seed]
            };
            let sums = SummedArea::over(axis, counts, value);
            let mut range = BoxRange::all(counts);
            range.low[b] = 1;
            range.high[c] -= 1;
            for cut in 0..counts[axis] - 1 {
                let mut expected = [0.0; 2];
                for j in 1..counts[b] {
                    for l in 0..counts[c] - 1 {
                        let face = value(cut, j, l);
                        expected = [0, 1].map(|k| expected[k] + face[k]);
                    }
                }
                assert_eq!(sums.sum(range, cut as u8), expected);
            }
        }
    }
}
