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
    pub(crate) fn boxes(self) -> impl Iterator<Item = [u8; 3]> {
        let Self { low, high } = self;
        (low[0]..high[0]).flat_map(move |i| {
            (low[1]..high[1]).flat_map(move |j| (low[2]..high[2]).map(move |k| [i, j, k]))
        })
    }
}

/// Gives every range within a range its place in a list. Ranges that differ only
/// in their interval of the axis with most boxes follow each other.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RangeIndex {
    domain: BoxRange,
    /// The axes, that with most boxes last.
    order: [usize; 3],
    /// For each axis, how far apart in the list ranges are that differ by one in
    /// their interval of it.
    strides: [usize; 3],
}

/// The number of intervals of so many boxes that end before the end of one.
const fn shorter(end: usize) -> usize {
    end * (end - 1) / 2
}

impl RangeIndex {
    pub(crate) fn over(domain: BoxRange) -> Self {
        let mut order = [0, 1, 2];
        order.sort_by_key(|&axis| domain.span(axis));
        let mut strides = [1; 3];
        let mut stride = 1;
        for &axis in order.iter().rev() {
            strides[axis] = stride;
            stride *= shorter(domain.span(axis) + 1);
        }
        Self {
            domain,
            order,
            strides,
        }
    }

    pub(crate) fn count(&self) -> usize {
        let first = self.order[0];
        self.strides[first] * shorter(self.domain.span(first) + 1)
    }

    /// The axis with most boxes.
    pub(crate) fn along(&self) -> usize {
        self.order[2]
    }

    pub(crate) fn of(&self, range: BoxRange) -> usize {
        (0..3)
            .map(|axis| self.interval(range, axis) * self.strides[axis])
            .sum()
    }

    fn interval(&self, range: BoxRange, axis: usize) -> usize {
        let [low, high] = self.ends(range, axis);
        shorter(high) + low
    }

    /// Where a range begins and ends, from the beginning of all.
    fn ends(&self, range: BoxRange, axis: usize) -> [usize; 2] {
        [range.low[axis], range.high[axis]].map(|k| usize::from(k - self.domain.low[axis]))
    }

    /// How many ranges follow each other in the list that differ only in their
    /// interval of the axis with most boxes.
    pub(crate) fn run(&self) -> usize {
        self.strides[self.order[1]]
    }

    /// For each such run the range that has all boxes of that axis.
    pub(crate) fn blocks(&self) -> Vec<BoxRange> {
        let [first, second, _] = self.order;
        let intervals = |axis: usize| {
            let BoxRange { low, high } = self.domain;
            (low[axis] + 1..=high[axis])
                .flat_map(move |end| (low[axis]..end).map(move |begin| (begin, end)))
        };
        let block = |x: (u8, u8), y: (u8, u8)| {
            let mut block = self.domain;
            (block.low[first], block.high[first]) = x;
            (block.low[second], block.high[second]) = y;
            block
        };
        intervals(first)
            .flat_map(|x| intervals(second).map(move |y| block(x, y)))
            .collect()
    }

    /// The ranges with one slab of boxes less, each with the slab, by their places.
    pub(crate) fn shrunk(&self, range: BoxRange) -> impl Iterator<Item = (usize, usize)> + use<'_> {
        let at = self.of(range);
        (0..3)
            .filter(move |&axis| range.span(axis) > 1)
            .flat_map(move |axis| {
                let stride = self.strides[axis];
                let [low, high] = self.ends(range, axis);
                let others = at - (shorter(high) + low) * stride;
                let place = |low: usize, high: usize| others + (shorter(high) + low) * stride;
                [
                    (place(low + 1, high), place(low, low + 1)),
                    (place(low, high - 1), place(high - 1, high)),
                ]
            })
    }

    /// The places of what lies before and behind each cut of a range square to
    /// an axis, in the order of the cuts.
    pub(crate) fn divisions(
        &self,
        range: BoxRange,
        axis: usize,
    ) -> impl Iterator<Item = (usize, usize)> + use<> {
        let stride = self.strides[axis];
        let [low, high] = self.ends(range, axis);
        let others = self.of(range) - (shorter(high) + low) * stride;
        let mut below = others + (shorter(low + 1) + low) * stride;
        let mut above = others + (shorter(high) + low) * stride;
        (low + 1..high).map(move |middle| {
            let out = (below, above + stride);
            below += middle * stride;
            above += stride;
            out
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

    #[test]
    fn a_block_stands_where_its_run_does() {
        for high in [[6, 3, 4], [5, 9, 2], [4, 2, 9]] {
            let domain = BoxRange {
                low: [2, 0, 1],
                high,
            };
            let index = RangeIndex::over(domain);
            let blocks = index.blocks();
            assert_eq!(blocks.len() * index.run(), index.count());
            for (nth, block) in blocks.into_iter().enumerate() {
                assert_eq!(index.of(block) / index.run(), nth);
                assert_eq!(block.span(index.along()), domain.span(index.along()));
            }
        }
    }

    #[test]
    fn divisions_have_the_places_of_their_two_sides() {
        let domain = BoxRange {
            low: [2, 0, 1],
            high: [6, 5, 5],
        };
        let index = RangeIndex::over(domain);
        for range in (3..=13).flat_map(|sum| index.of_span(sum)) {
            for axis in 0..3 {
                let expected: Vec<_> = range
                    .cuts(axis)
                    .map(|cut| {
                        let (below, above) = range.divided(axis, cut);
                        (index.of(below), index.of(above))
                    })
                    .collect();
                assert_eq!(index.divisions(range, axis).collect::<Vec<_>>(), expected);
            }
        }
    }
}
