//! The best that can be done with every range of boxes.
//!
//! Ranges that differ only in their interval of the axis with most boxes, a
//! row, are solved together: a cut square to another axis divides all of them,
//! and the costs of its two sides follow each other in memory.

use rayon::prelude::*;

use crate::cost::four_corners::Crossings;
use crate::cost::piece_cost::MISFIT;
use crate::lattice::box_range::{BoxRange, RangeIndex};
use crate::search::question::{Best, Question};
use crate::search::row::Row;

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
    keyed: bool,
}

/// The best of the ranges of a row so far, and what is known of each.
pub(crate) struct Begun {
    pub(crate) best: Vec<Best>,
    pub(crate) known: Vec<Known>,
}

/// What is known of a range before it is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Known {
    /// All.
    Settled,
    /// That it is left as it is unless it must be divided.
    Whole,
    /// What it costs left as it is, if it can be.
    Open,
}

impl Table {
    /// Solves all ranges within one, the small before the large. Cuts that
    /// meet others at a crossing cost what `crossings` says on top.
    pub(crate) fn solve(question: &Question, domain: BoxRange, crossings: &Crossings) -> Self {
        let index = RangeIndex::over(domain);
        Self::empty(index).filled(question, crossings, |table, block| {
            let mut best = vec![Best::UNFIT; index.row()];
            let shrunk = index.shrunk_across(block);
            let too_large = |range: BoxRange| {
                let k = index.of(range) % index.row();
                let too_large = |&(rest, _): &(usize, usize)| table.others(rest)[k].too_large;
                shrunk.iter().any(too_large)
            };
            let mut known = vec![Known::Open; best.len()];
            let along = index.along();
            question
                .pieces
                .each_left(block, along, too_large, |range, left| {
                    let k = index.of(range) % index.row();
                    best[k] = Best::left(left);
                    if left.cost < MISFIT && !left.keyed {
                        known[k] = Known::Whole;
                    }
                });
            Begun { best, known }
        })
    }

    /// The table of a domain within this one's, where cuts meet others across
    /// the domain's lower face of an axis too. Only what lies on that face is
    /// solved again, and what fits a bed is known.
    pub(crate) fn again(
        &self,
        question: &Question,
        domain: BoxRange,
        axis: usize,
        crossings: &Crossings,
    ) -> Self {
        let index = self.index.within(domain);
        Self::empty(index).filled(question, crossings, |_, block| {
            let known = |range: BoxRange| {
                let before = self.of(range);
                // What crosses what has no part in how a piece fits.
                let fits = before.cut.is_none() && before.cost < MISFIT;
                if range.low[axis] > domain.low[axis] || fits {
                    return (before, Known::Settled);
                }
                if before.keyed {
                    return (Best::left(question.pieces.left(range)), Known::Open);
                }
                let unfit = Best {
                    too_large: before.too_large,
                    ..Best::UNFIT
                };
                (unfit, Known::Open)
            };
            let (best, known) = index.ranges(block).map(known).unzip();
            Begun { best, known }
        })
    }

    fn empty(index: RangeIndex) -> Self {
        let nothing = Best::NOTHING;
        let other = Other {
            pieces: nothing.pieces,
            cut: nothing.cut,
            too_large: nothing.too_large,
            keyed: nothing.keyed,
        };
        Self {
            index,
            costs: vec![nothing.cost; index.count()],
            fewest: vec![nothing.fewest; index.count()],
            others: vec![other; index.count()],
        }
    }

    /// With the best of every range filled in, the small before the large.
    fn filled(
        mut self,
        question: &Question,
        crossings: &Crossings,
        begin: impl Fn(&Self, BoxRange) -> Begun + Sync,
    ) -> Self {
        for blocks in self.index.blocks() {
            let solved: Vec<(usize, Vec<Best>)> = blocks
                .into_par_iter()
                .map(|block| {
                    let row = Row::of(&self, block, question, crossings);
                    (row.first, row.solved(begin(&self, block)))
                })
                .collect();
            for (first, row) in solved {
                for (at, best) in (first..).zip(row) {
                    self.costs[at] = best.cost;
                    self.fewest[at] = best.fewest;
                    self.others[at] = Other {
                        pieces: best.pieces,
                        cut: best.cut,
                        too_large: best.too_large,
                        keyed: best.keyed,
                    };
                }
            }
        }
        self
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
            keyed: other.keyed,
        }
    }

    /// What else is known of the ranges of a row.
    pub(crate) fn others(&self, first: usize) -> &[Other] {
        &self.others[first..first + self.index.row()]
    }
}
