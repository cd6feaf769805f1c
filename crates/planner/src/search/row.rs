//! Ranges that differ along one axis only, solved together.

use crate::cost::four_corners::Crossings;
use crate::lattice::box_range::{BoxRange, index, shorter};
use crate::search::question::{Best, NO_PLAN, Question};
use crate::search::table::Table;

/// Ranges that differ only in their interval of one axis, to be solved when all
/// smaller ones are.
pub(crate) struct Row<'a> {
    table: &'a Table,
    question: &'a Question<'a>,
    crossings: &'a Crossings,
    /// The range that has all boxes of that axis.
    block: BoxRange,
    /// Where the row begins in the table's list.
    pub(crate) first: usize,
    /// The cuts that divide all of its ranges.
    through: Vec<Through>,
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

/// What is to be done with a range of a row.
#[derive(Clone, Copy, Debug, PartialEq)]
enum State {
    /// Nothing.
    Settled,
    /// It is what this smaller range is: a layer at its end is empty.
    Is(usize),
    /// It is divided at this cut of an axis.
    Forced((u8, u8)),
    /// The best cut is sought.
    Open,
}

/// A cut square to another axis than that along which a row's ranges differ.
#[derive(Clone, Copy)]
struct Through {
    axis: usize,
    cut: u8,
    /// Where the rows of its two sides begin.
    sides: [usize; 2],
}

/// A cut is only better where it saves more, so that rounding decides nothing.
const LEAST_GAIN: f64 = 1e-9;

/// The place of an interval in a row.
fn place(low: usize, high: usize) -> usize {
    shorter(high) + low
}

impl<'a> Row<'a> {
    pub(crate) fn of(
        table: &'a Table,
        block: BoxRange,
        question: &'a Question,
        crossings: &'a Crossings,
    ) -> Self {
        let index = &table.index;
        let through = (0..3).filter(|&axis| axis != index.along());
        let through = through.flat_map(|axis| {
            block.cuts(axis).map(move |cut| {
                let (below, above) = block.divided(axis, cut);
                Through {
                    axis,
                    cut,
                    sides: [below, above].map(|side| index.first(side)),
                }
            })
        });
        Self {
            table,
            question,
            crossings,
            block,
            first: index.first(block),
            through: through.collect(),
        }
    }

    /// One of the ranges, by the ends of its interval from the row's first box.
    fn range(&self, low: usize, high: usize) -> BoxRange {
        let along = self.table.index.along();
        let mut range = self.block;
        range.low[along] = self.block.low[along] + index(low);
        range.high[along] = self.block.low[along] + index(high);
        range
    }

    /// What a cut of a range costs.
    fn seam(&self, range: BoxRange, axis: usize, cut: u8) -> f64 {
        self.question.seams.of(range, axis, cut)
            + self.crossings.cost(self.question.lattice, range, axis, cut)
    }

    /// The best of all ranges.
    pub(crate) fn solved(&self, begun: Begun) -> Vec<Best> {
        let Begun { mut best, known } = begun;
        if known.iter().all(|k| *k == Known::Settled) {
            return best;
        }
        let states = self.states(&mut best, &known);
        self.divide_through(&mut best, &states);
        self.divide_along(&mut best, &states);
        best
    }

    /// What is to be done with each range; those of which it can be told already
    /// are given what they are.
    fn states(&self, best: &mut [Best], known: &[Known]) -> Vec<State> {
        let shrunk = self.table.index.shrunk_across(self.block);
        let empty: Vec<bool> = (0..self.layers())
            .map(|l| self.is_empty(l, &shrunk))
            .collect();
        let state = |k: usize, low: usize, high: usize, best: &mut Best| {
            if known[k] == Known::Settled {
                return State::Settled;
            }
            if empty[low] && high - low == 1 {
                *best = Best::NOTHING;
                return State::Settled;
            }
            if empty[low] {
                return State::Is(place(low + 1, high));
            }
            if empty[high - 1] {
                return State::Is(place(low, high - 1));
            }
            for &(rest, slab) in &shrunk {
                if self.table.others(slab)[k].pieces == 0 {
                    *best = self.table.at(rest + k);
                    return State::Settled;
                }
            }
            let too_large = |&(rest, _): &(usize, usize)| self.table.others(rest)[k].too_large;
            best.too_large |= shrunk.iter().any(too_large);
            if let Some(cut) = self.question.forced(self.range(low, high)) {
                return State::Forced(cut);
            }
            if known[k] == Known::Whole {
                State::Settled
            } else {
                State::Open
            }
        };
        let mut out = Vec::with_capacity(best.len());
        for high in 1..=self.layers() {
            for low in 0..high {
                let k = out.len();
                out.push(state(k, low, high, &mut best[k]));
            }
        }
        out
    }

    /// Boxes along the axis along which the ranges differ.
    fn layers(&self) -> usize {
        self.block.span(self.table.index.along())
    }

    /// Whether a layer holds nothing.
    fn is_empty(&self, layer: usize, shrunk: &[(usize, usize)]) -> bool {
        match shrunk.first() {
            // Where there is a piece, there is something.
            Some(&(rest, slab)) => {
                let k = place(layer, layer + 1);
                self.table.others(rest)[k].pieces == 0 && self.table.others(slab)[k].pieces == 0
            }
            None => self
                .question
                .lattice
                .ids(self.range(layer, layer + 1).low)
                .is_empty(),
        }
    }

    /// Looks at the cuts that divide all of the ranges.
    fn divide_through(&self, best: &mut [Best], states: &[State]) {
        let costs = |side: usize| &self.table.costs[side..side + states.len()];
        let fewest = |side: usize| &self.table.fewest[side..side + states.len()];
        // The cut whose two sides are cheapest bounds what a better one may cost:
        // most are dearer before their seam is looked at.
        let mut least = vec![(f64::INFINITY, 0); states.len()];
        for (nth, through) in self.through.iter().enumerate() {
            let [below, above] = through.sides.map(costs);
            for ((least, a), b) in least.iter_mut().zip(below).zip(above) {
                if a + b < least.0 {
                    *least = (a + b, nth);
                }
            }
        }
        let ranges: Vec<BoxRange> = self.table.index.ranges(self.block).collect();
        let bounds: Vec<f64> = states
            .iter()
            .zip(&ranges)
            .zip(least.iter().zip(&*best))
            .map(|((state, range), (&(sides, nth), best))| match state {
                State::Open if sides < best.cost => {
                    let Through { axis, cut, .. } = self.through[nth];
                    sides + self.seam(*range, axis, cut)
                }
                _ => f64::NEG_INFINITY,
            })
            .collect();
        let mut few: Vec<u16> = states
            .iter()
            .zip(&*best)
            .map(|(state, best)| {
                if *state == State::Open {
                    best.fewest
                } else {
                    0
                }
            })
            .collect();
        for &Through { axis, cut, sides } in &self.through {
            let ([below, above], [few_below, few_above]) = (sides.map(costs), sides.map(fewest));
            for k in 0..states.len() {
                let fewer = few_below[k] + few_above[k];
                if fewer < few[k] && !self.question.seams.forbidden(ranges[k], axis, cut) {
                    few[k] = fewer;
                }
                let both = below[k] + above[k];
                if both > bounds[k] || both >= best[k].cost - LEAST_GAIN {
                    continue;
                }
                let cost = both + self.seam(ranges[k], axis, cut);
                if cost < best[k].cost - LEAST_GAIN {
                    let pieces = sides.map(|side| self.table.others(side)[k].pieces);
                    best[k].cost = cost;
                    best[k].pieces = pieces[0] + pieces[1];
                    best[k].cut = Some((index(axis), cut));
                }
            }
        }
        for ((best, few), state) in best.iter_mut().zip(few).zip(states) {
            if *state == State::Open {
                best.fewest = few;
            }
        }
    }

    /// Looks at the cuts square to the axis along which the ranges differ, the
    /// smaller ranges before those that hold them; and at ranges that are what a
    /// smaller one is or must be divided.
    fn divide_along(&self, best: &mut [Best], states: &[State]) {
        let along = self.table.index.along();
        for high in 1..=self.layers() {
            for low in (0..high).rev() {
                let (k, range) = (place(low, high), self.range(low, high));
                match states[k] {
                    State::Settled => {}
                    State::Is(smaller) => best[k] = best[smaller],
                    State::Forced(cut) => best[k] = self.divided_at(range, cut, best),
                    State::Open => {
                        for middle in low + 1..high {
                            let cut = range.low[along] + index(middle - low - 1);
                            let sides = [place(low, middle), place(middle, high)];
                            self.take_cut(range, cut, sides, k, best);
                        }
                    }
                }
                if high - low > 1 && matches!(states[k], State::Forced(_) | State::Open) {
                    let rests = [place(low + 1, high), place(low, high - 1)];
                    best[k].too_large |= rests.iter().any(|&r| best[r].too_large);
                }
            }
        }
    }

    /// Takes a cut square to that axis where it is better than the best of a
    /// range.
    fn take_cut(
        &self,
        range: BoxRange,
        cut: u8,
        [below, above]: [usize; 2],
        k: usize,
        best: &mut [Best],
    ) {
        let along = self.table.index.along();
        let fewest = best[below].fewest + best[above].fewest;
        if fewest < best[k].fewest && !self.question.seams.forbidden(range, along, cut) {
            best[k].fewest = fewest;
        }
        let sides = best[below].cost + best[above].cost;
        if sides >= best[k].cost - LEAST_GAIN {
            return;
        }
        let cost = sides + self.seam(range, along, cut);
        if cost < best[k].cost - LEAST_GAIN {
            best[k].cost = cost;
            best[k].pieces = best[below].pieces + best[above].pieces;
            best[k].cut = Some((index(along), cut));
        }
    }

    /// A range divided where it must be.
    fn divided_at(&self, range: BoxRange, (axis, cut): (u8, u8), best: &[Best]) -> Best {
        let index = &self.table.index;
        let (below, above) = range.divided(usize::from(axis), cut);
        let of = |side: BoxRange| match usize::from(axis) == index.along() {
            true => best[index.of(side) % index.row()],
            false => self.table.of(side),
        };
        let (low, high) = (of(below), of(above));
        Best {
            cost: low.cost + high.cost + self.seam(range, usize::from(axis), cut),
            pieces: low.pieces + high.pieces,
            fewest: (low.fewest + high.fewest).min(NO_PLAN),
            cut: Some((axis, cut)),
            divisible: false,
            too_large: best[index.of(range) % index.row()].too_large,
        }
    }
}
