/// A range of little boxes: from `low` up to, not including, `high`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct BoxRange {
    pub(crate) low: [u8; 3],
    pub(crate) high: [u8; 3],
}

impl BoxRange {
    /// All boxes of a lattice.
    pub(crate) fn all(counts: [usize; 3]) -> Self {
        Self {
            low: [0; 3],
            high: counts.map(|n| n as u8),
        }
    }

    /// What lies before a cut of an axis, and what lies behind it.
    pub(crate) fn divided(mut self, axis: usize, cut: u8) -> (Self, Self) {
        let mut above = self;
        self.high[axis] = cut + 1;
        above.low[axis] = cut + 1;
        (self, above)
    }

    /// Its cuts of an axis.
    pub(crate) fn cuts(&self, axis: usize) -> std::ops::Range<u8> {
        self.low[axis]..self.high[axis] - 1
    }

    /// Boxes along an axis.
    pub(crate) fn span(&self, axis: usize) -> usize {
        usize::from(self.high[axis] - self.low[axis])
    }

    /// Its boxes, in order.
    pub(crate) fn boxes(self) -> impl Iterator<Item = [usize; 3]> {
        let Self { low, high } = self;
        (low[0]..high[0]).flat_map(move |i| {
            (low[1]..high[1])
                .flat_map(move |j| (low[2]..high[2]).map(move |k| [i, j, k].map(usize::from)))
        })
    }

    /// The ranges with one slab of boxes less, each with the slab.
    pub(crate) fn shrunk(self) -> impl Iterator<Item = (Self, Self)> {
        (0..3)
            .filter(move |&axis| self.span(axis) > 1)
            .flat_map(move |axis| {
                let (first, rest) = self.divided(axis, self.low[axis]);
                let (most, last) = self.divided(axis, self.high[axis] - 2);
                [(rest, first), (most, last)]
            })
    }
}

/// Gives every range within a range its place in a list.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RangeIndex {
    domain: BoxRange,
}

impl RangeIndex {
    pub(crate) fn over(domain: BoxRange) -> Self {
        Self { domain }
    }

    /// Intervals along an axis.
    fn intervals(&self, axis: usize) -> usize {
        let n = self.domain.span(axis);
        n * (n + 1) / 2
    }

    pub(crate) fn count(&self) -> usize {
        (0..3).map(|k| self.intervals(k)).product()
    }

    pub(crate) fn of(&self, range: BoxRange) -> usize {
        (0..3).fold(0, |at, axis| {
            let low = usize::from(range.low[axis] - self.domain.low[axis]);
            let high = usize::from(range.high[axis] - self.domain.low[axis]);
            at * self.intervals(axis) + high * (high - 1) / 2 + low
        })
    }

    /// All ranges that span so many boxes, summed over the axes.
    pub(crate) fn of_span(&self, sum: usize) -> Vec<BoxRange> {
        let BoxRange { low, .. } = self.domain;
        let n = [0, 1, 2].map(|k| self.domain.span(k));
        let mut out = Vec::new();
        for x in 1..=n[0].min(sum.saturating_sub(2)) {
            for y in 1..=n[1].min(sum - x - 1) {
                let z = sum - x - y;
                if z > n[2] {
                    continue;
                }
                for i in 0..=n[0] - x {
                    for j in 0..=n[1] - y {
                        for k in 0..=n[2] - z {
                            let at = [i, j, k];
                            let size = [x, y, z];
                            out.push(BoxRange {
                                low: [0, 1, 2].map(|a| low[a] + at[a] as u8),
                                high: [0, 1, 2].map(|a| low[a] + (at[a] + size[a]) as u8),
                            });
                        }
                    }
                }
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_range_has_a_place_of_its_own() {
        let domain = BoxRange {
            low: [2, 0, 1],
            high: [6, 3, 3],
        };
        let index = RangeIndex::over(domain);
        let mut places: Vec<usize> = (3..=9)
            .flat_map(|sum| index.of_span(sum))
            .map(|r| index.of(r))
            .collect();
        places.sort_unstable();
        assert_eq!(places, (0..index.count()).collect::<Vec<_>>());
        assert_eq!(index.count(), 10 * 6 * 3);
    }
}
