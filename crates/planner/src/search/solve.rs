//! Every range of boxes solved, the small before the large.
//!
//! Ranges that differ only in their interval of the axis with most boxes, a
//! row, are solved together: a cut square to another axis divides all of them,
//! and the costs of its two sides follow each other in memory.

use design::Tally;
use rayon::prelude::*;

use crate::cost::four_corners::Crossings;
use crate::cost::piece_cost::MISFIT;
use crate::lattice::box_range::{BoxRange, RangeIndex};
use crate::search::question::{Best, Question};
use crate::search::row::{Begun, Known, Row};
use crate::search::table::Table;

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
                    if left.cost < MISFIT && !left.divisible {
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
                if before.divisible {
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

    /// With the best of every range filled in, the small before the large.
    fn filled(
        mut self,
        question: &Question,
        crossings: &Crossings,
        begin: impl Fn(&Self, BoxRange) -> Begun + Sync,
    ) -> Self {
        Tally::RangesSolved.expect(self.index.count());
        for blocks in self.index.blocks() {
            let solved: Vec<(usize, Vec<Best>)> = blocks
                .into_par_iter()
                .map(|block| {
                    let row = Row::of(&self, block, question, crossings);
                    let solved = row.solved(begin(&self, block));
                    Tally::RangesSolved.did(solved.len());
                    (row.first, solved)
                })
                .collect();
            for (first, row) in solved {
                self.enter(first, row);
            }
        }
        self
    }
}
