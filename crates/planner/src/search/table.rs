//! The best that can be done with every range of boxes, by places of a list.

use crate::lattice::box_range::{BoxRange, RangeIndex};
use crate::search::question::Best;

/// The best of every range within a range.
pub(crate) struct Table {
    pub(crate) index: RangeIndex,
    /// What each costs, and apart from it the rest, because far more are looked
    /// at than chosen.
    pub(crate) costs: Vec<f64>,
    pub(crate) fewest: Vec<u16>,
    others: Vec<Other>,
}

/// What else is known of the best of a range.
#[derive(Clone, Copy)]
pub(crate) struct Other {
    pub(crate) pieces: u16,
    cut: Option<(u8, u8)>,
    pub(crate) too_large: bool,
    divisible: bool,
}

impl Table {
    /// One in which nothing is solved yet.
    pub(crate) fn empty(index: RangeIndex) -> Self {
        let nothing = Best::NOTHING;
        let other = Other {
            pieces: nothing.pieces,
            cut: nothing.cut,
            too_large: nothing.too_large,
            divisible: nothing.divisible,
        };
        Self {
            index,
            costs: vec![nothing.cost; index.count()],
            fewest: vec![nothing.fewest; index.count()],
            others: vec![other; index.count()],
        }
    }

    /// Enters the best of the ranges from a place on.
    pub(crate) fn enter(&mut self, first: usize, row: Vec<Best>) {
        for (at, best) in (first..).zip(row) {
            self.costs[at] = best.cost;
            self.fewest[at] = best.fewest;
            self.others[at] = Other {
                pieces: best.pieces,
                cut: best.cut,
                too_large: best.too_large,
                divisible: best.divisible,
            };
        }
    }

    /// The best of a range.
    pub(crate) fn of(&self, range: BoxRange) -> Best {
        self.at(self.index.of(range))
    }

    /// The best of the range at a place of the list.
    pub(crate) fn at(&self, place: usize) -> Best {
        let other = self.others[place];
        Best {
            cost: self.costs[place],
            pieces: other.pieces,
            fewest: self.fewest[place],
            cut: other.cut,
            too_large: other.too_large,
            divisible: other.divisible,
        }
    }

    /// What else is known of the ranges of a row.
    pub(crate) fn others(&self, first: usize) -> &[Other] {
        &self.others[first..first + self.index.row()]
    }
}
