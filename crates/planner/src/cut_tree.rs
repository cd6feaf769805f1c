use crate::box_range::BoxRange;
use crate::crossing::{Crossings, PlanCut, endings};
use crate::search::{Question, Table};

/// A plan on a lattice: its cuts, each before those of its two sides, and
/// what it costs.
#[derive(Clone, Debug, Default)]
pub(crate) struct CutTree {
    /// Cuts in the order in which they are made.
    pub(crate) cuts: Vec<PlanCut>,
    /// For each cut the cut that it comes after, and whether it lies above it.
    pub(crate) parents: Vec<Option<(usize, bool)>>,
    /// Ranges that are left as they are.
    pub(crate) leaves: Vec<BoxRange>,
    /// The sum of what pieces, seams and crossings cost.
    pub(crate) cost: f64,
}

impl CutTree {
    /// The best tree of a solved question. Seams are staggered: what lies
    /// above a cut is solved again where seams that end on the cut from below
    /// would be met by others.
    pub(crate) fn read(question: &Question, table: &Table, domain: BoxRange, weight: f64) -> Self {
        let mut tree = Self::default();
        let crossings = Crossings::weighing(weight);
        tree.grow(question, table, domain, None, &crossings);
        tree
    }

    fn grow(
        &mut self,
        question: &Question,
        table: &Table,
        range: BoxRange,
        parent: Option<(usize, bool)>,
        crossings: &Crossings,
    ) {
        let best = table.of(range);
        let Some((axis, cut)) = best.cut else {
            if best.pieces > 0 {
                self.cost += best.cost;
                self.leaves.push(range);
            }
            return;
        };
        let axis = usize::from(axis);
        let here = self.cuts.len();
        self.cuts.push(PlanCut { axis, cut, range });
        self.parents.push(parent);
        self.cost += question.seams.of(range, axis, cut)
            + crossings.cost(question.lattice, range, axis, cut);
        let (below, above) = range.divided(axis, cut);
        self.grow(question, table, below, Some((here, false)), crossings);
        let ending = endings(question.lattice, (axis, cut), &self.cuts[here + 1..]);
        if ending.is_empty() {
            self.grow(question, table, above, Some((here, true)), crossings);
        } else {
            let crossings = crossings.with(ending);
            let again = Table::solve(question, above, &crossings);
            self.grow(question, &again, above, Some((here, true)), &crossings);
        }
    }
}

impl CutTree {
    /// How many pieces the cuts leave.
    pub(crate) fn pieces(&self, question: &Question) -> usize {
        let leaves = self.leaves.iter();
        leaves.map(|&r| question.pieces.components(r).len()).sum()
    }

    /// How many pieces are like an earlier one, as far as their sizes and
    /// volumes show.
    pub(crate) fn repeated(&self, question: &Question) -> usize {
        let mut seen: Vec<[f64; 4]> = Vec::new();
        let mut repeated = 0;
        for &range in &self.leaves {
            for piece in question.pieces.components(range) {
                let mut size = [0, 1, 2].map(|k| piece.high[k] - piece.low[k]);
                size.sort_by(f64::total_cmp);
                let shape = [size[0], size[1], size[2], piece.volume_mm3.cbrt()];
                let like = |s: &[f64; 4]| s.iter().zip(shape).all(|(a, b)| (a - b).abs() < 0.05);
                if seen.iter().any(like) {
                    repeated += 1;
                } else {
                    seen.push(shape);
                }
            }
        }
        repeated
    }
}
