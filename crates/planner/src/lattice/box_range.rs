//! Ranges of little boxes.

/// A place along an axis of a lattice in the byte that ranges are counted in.
///
/// # Panics
///
/// When there are more boxes along an axis than a lattice is ever given.
pub(crate) fn index(place: usize) -> u8 {
    u8::try_from(place).expect("a lattice has no more than 255 boxes along an axis")
}

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
            high: counts.map(index),
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
pub(crate) const fn shorter(end: usize) -> usize {
    end * (end - 1) / 2
}

impl RangeIndex {
    pub(crate) fn over(domain: BoxRange) -> Self {
        let mut order = [0, 1, 2];
        order.sort_by_key(|&axis| domain.span(axis));
        Self::in_order(domain, order)
    }

    /// The same for a range within, whose rows are along the same axis.
    pub(crate) fn within(&self, domain: BoxRange) -> Self {
        Self::in_order(domain, self.order)
    }

    fn in_order(domain: BoxRange, order: [usize; 3]) -> Self {
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

    /// The axis along which the ranges of a row differ.
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
    pub(crate) fn row(&self) -> usize {
        self.strides[self.order[1]]
    }

    /// For each such row the range that has all boxes of that axis; together
    /// those that span as many boxes along each other axis, the small before
    /// the large.
    pub(crate) fn blocks(&self) -> impl Iterator<Item = Vec<BoxRange>> + use<> {
        let Self { domain, order, .. } = *self;
        let [first, second, _] = order;
        let spans = [first, second].map(|axis| domain.span(axis));
        let places = move |axis: usize, span: usize| {
            (0..=domain.span(axis) - span).map(move |from| {
                let low = domain.low[axis] + index(from);
                (low, low + index(span))
            })
        };
        let sizes = (1..=spans[0]).flat_map(move |x| (1..=spans[1]).map(move |y| (x, y)));
        sizes.map(move |(x, y)| {
            places(first, x)
                .flat_map(|x| places(second, y).map(move |y| (x, y)))
                .map(|(x, y)| {
                    let mut block = domain;
                    (block.low[first], block.high[first]) = x;
                    (block.low[second], block.high[second]) = y;
                    block
                })
                .collect()
        })
    }

    /// The ranges of a block's row, in the order of the list.
    pub(crate) fn ranges(&self, block: BoxRange) -> impl Iterator<Item = BoxRange> {
        let along = self.along();
        (block.low[along] + 1..=block.high[along]).flat_map(move |high| {
            (block.low[along]..high).map(move |low| {
                let mut range = block;
                (range.low[along], range.high[along]) = (low, high);
                range
            })
        })
    }

    /// The blocks with one slab of boxes less across the other axes, each with
    /// the slab, by where their rows begin.
    pub(crate) fn shrunk_across(&self, block: BoxRange) -> Vec<(usize, usize)> {
        let start = |block: BoxRange| self.first(block);
        (0..3)
            .filter(|&axis| axis != self.along() && block.span(axis) > 1)
            .flat_map(|axis| {
                let (first, rest) = block.divided(axis, block.low[axis]);
                let (most, last) = block.divided(axis, block.high[axis] - 2);
                [(start(rest), start(first)), (start(most), start(last))]
            })
            .collect()
    }

    /// Where a block's row begins.
    pub(crate) fn first(&self, block: BoxRange) -> usize {
        self.of(block) / self.row() * self.row()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_range_has_a_place_of_its_own() {
        for high in [[6, 3, 4], [5, 9, 2], [4, 2, 9]] {
            let domain = BoxRange {
                low: [2, 0, 1],
                high,
            };
            let index = RangeIndex::over(domain);
            let mut places = Vec::new();
            for block in index.blocks().flatten() {
                let ranges = index.ranges(block).map(|range| index.of(range));
                let first = index.first(block);
                assert!(ranges.eq(first..first + index.row()));
                places.extend(first..first + index.row());
                assert_eq!(block.span(index.along()), domain.span(index.along()));
            }
            places.sort_unstable();
            assert_eq!(places, (0..index.count()).collect::<Vec<_>>());
            let spans = [0, 1, 2].map(|axis| shorter(domain.span(axis) + 1));
            assert_eq!(index.count(), spans.iter().product::<usize>());
        }
    }

    #[test]
    fn a_part_of_a_range_has_its_runs_along_the_same_axis() {
        let all = BoxRange::all([3, 4, 5]);
        let (part, _) = all.divided(2, 0);
        let index = RangeIndex::over(all);
        assert_eq!(index.within(part).along(), index.along());
        assert_ne!(RangeIndex::over(part).along(), index.along());
    }
}
