//! Branches of a plan, each on a lattice of its own.
//!
//! A lattice over all of a model has few places in each part of it. Once the
//! first cuts are chosen, what lies on either side has nothing to do with the
//! other any more: it is solved again with places that its own ends suggest.
//! Each time the best first cut is followed; following the best two or four of
//! them, as a beam search would, found nothing better on the two fixtures on
//! which it was tried.

use solid::{KernelError, Solid};

use crate::box_range::BoxRange;
use crate::candidates::{Candidates, thinned};
use crate::crossing::Crossings;
use crate::cut_tree::CutTree;
use crate::lattice::Lattice;
use crate::part::Part;
use crate::seam_cost::Scale;
use crate::section_profile::Cut;
use crate::square_cuts::{Sections, Sought, chosen};

/// The most ranges of boxes that a search in a branch looks at.
const BRANCH_RANGES: usize = 100_000;
/// A branch of fewer pieces is left as it is.
const LEAST_PIECES: usize = 6;
/// A branch is left as it is unless this is saved, so that branches that are
/// alike stay so.
const LEAST_GAIN: f64 = 0.3;
/// So much of the model is kept beyond the walls of a branch, for what meets
/// there.
const SKIN_MM: f64 = 1.0;

impl Sought<'_> {
    /// A plan with each branch solved on a lattice of its own, from the trunk
    /// up, where that makes it better; and how many were solved.
    pub(crate) fn branched(
        &self,
        along: &Sections,
        scale: Scale,
        tree: CutTree,
    ) -> Result<(CutTree, usize), KernelError> {
        let crossings = Crossings::weighing(self.weights.four_corners);
        let mut branching = Branching {
            sought: self,
            along,
            scale,
            solved: 0,
        };
        let tree = branching.both_sides(tree, Part::WHOLE, self.model, &crossings)?;
        Ok((tree, branching.solved))
    }
}

struct Branching<'a> {
    sought: &'a Sought<'a>,
    along: &'a Sections<'a>,
    scale: Scale,
    /// Branches solved on lattices of their own.
    solved: usize,
}

impl Branching<'_> {
    /// A branch, solved anew unless it is too small for that to gain anything.
    fn branch(
        &mut self,
        tree: CutTree,
        part: Part,
        model: &Solid,
        crossings: &Crossings,
    ) -> Result<CutTree, KernelError> {
        if tree.pieces() < LEAST_PIECES {
            return Ok(tree);
        }
        let model = part.of(model, SKIN_MM)?;
        self.solved += 1;
        let own = self.on_own_lattice(&tree, part, &model, crossings)?;
        let best = if own.cost() < tree.cost() - LEAST_GAIN {
            own
        } else {
            tree
        };
        self.both_sides(best, part, &model, crossings)
    }

    fn both_sides(
        &mut self,
        tree: CutTree,
        part: Part,
        model: &Solid,
        crossings: &Crossings,
    ) -> Result<CutTree, KernelError> {
        let CutTree::Cut {
            axis,
            cut,
            cost,
            below,
            above,
        } = tree
        else {
            return Ok(tree);
        };
        let (low, high) = part.divided(axis, cut.at_mm);
        let below = self.branch(*below, low, model, crossings)?;
        let ending = below.endings(axis, &cut, low);
        let above = self.branch(*above, high, model, &crossings.with(ending))?;
        Ok(CutTree::Cut {
            axis,
            cut,
            cost,
            below: Box::new(below),
            above: Box::new(above),
        })
    }

    fn on_own_lattice(
        &self,
        tree: &CutTree,
        part: Part,
        model: &Solid,
        crossings: &Crossings,
    ) -> Result<CutTree, KernelError> {
        let Some(bounds) = model.bounds() else {
            return Ok(tree.clone());
        };
        let bounds = part.within(&bounds);
        let chosen = chosen(tree);
        let ranked = [0, 1, 2].map(|k| match &self.along[k] {
            Some(all) => {
                let ends = [bounds.min[k], bounds.max[k]];
                let profiler = all.profiler.within(model);
                let candidates = Candidates::between(all, &profiler, ends, part.walls(k));
                candidates.finer(&candidates.coarse(), &chosen[k])
            }
            None => Vec::new(),
        });
        let longest_mm = self.sought.longest_mm();
        let mut cuts = thinned(ranked, &bounds, longest_mm, BRANCH_RANGES);
        let mut domain = BoxRange::all(cuts.each_ref().map(|c| c.len() + 1));
        for (axis, inner) in cuts.iter_mut().enumerate() {
            let [low, high] = part.walls(axis).map(|at| self.wall(axis, at));
            if !low.is_empty() {
                domain.low[axis] += 1;
                domain.high[axis] += 1;
            }
            *inner = [low, std::mem::take(inner), high].concat();
        }
        let lattice = Lattice::over(model, cuts, self.sought.constraints)?;
        let (tree, _) = self.sought.on(&lattice, self.scale, domain, crossings);
        Ok(tree)
    }

    /// The cut at a wall.
    fn wall(&self, axis: usize, at_mm: Option<f64>) -> Vec<Cut> {
        match (at_mm, &self.along[axis]) {
            (Some(at), Some(all)) => all.cut(at),
            _ => Vec::new(),
        }
    }
}
