//! Branches of a plan, each on its own lattice.
//!
//! A lattice over all of a model has few places in each part of it. Once the
//! first cuts are chosen, what lies on either side has nothing to do with the
//! other any more: it is solved again with places that its own ends suggest.
//! Each time the best first cut is followed; following the best two or four of
//! them, as a beam search would, found nothing better on the two fixtures on
//! which it was tried.

use solid::{Bounds, KernelError, Solid};

use crate::candidates::places::{Candidates, thinned};
use crate::candidates::section_profile::Cut;
use crate::cost::four_corners::Crossings;
use crate::cost::piece_cost::MISFIT;
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::BoxRange;
use crate::lattice::part::Part;
use crate::search::solution::Solution;
use crate::strategy::coarse_to_fine::{Sections, Sought, chosen};

/// The most ranges of boxes that a search in a branch looks at.
const BRANCH_RANGES: usize = 100_000;
/// A branch of fewer pieces is left as it is.
const LEAST_PIECES: usize = 6;
/// With so many solved, those that follow are left as they are: of a plan of hundreds of
/// pieces each takes long to cut into boxes and saves next to nothing.
const MOST_BRANCHES: usize = 80;
/// A branch is left as it is unless this share of a piece is saved, so that branches
/// that are alike stay so.
const LEAST_GAIN: f64 = 0.3;
/// Bodies lie apart where there is this much air between them.
const LEAST_GAP_MM: f64 = 5.0;
/// So much of the model is kept beyond the walls of a branch, for what meets
/// there.
const SKIN_MM: f64 = 1.0;

impl Sought<'_> {
    /// A plan with each branch solved on its own lattice, from the trunk
    /// up, where that makes it better; and how many were solved.
    pub(crate) fn branched(
        &self,
        along: &Sections,
        bounds: Bounds,
        tree: Solution,
    ) -> Result<(Solution, usize), KernelError> {
        let crossings = Crossings::weighing(self.prices.four_corners);
        let mut branching = Branching::new(self, along, bounds);
        let tree =
            branching.both_sides(tree, Part::WHOLE, self.model, &crossings, Branching::branch)?;
        Ok((tree, branching.solved))
    }
}

/// How a branch is solved: that of the plan so far, the part of space that it
/// divides, what the model has there.
type Solve<'a> =
    fn(&mut Branching<'a>, Solution, Part, &Solid, &Crossings) -> Result<Solution, KernelError>;

/// Solves branches on their own lattices.
pub(crate) struct Branching<'a> {
    sought: &'a Sought<'a>,
    along: &'a Sections<'a>,
    bounds: Bounds,
    /// How many were.
    pub(crate) solved: usize,
    /// How many places their lattices had.
    pub(crate) places: usize,
    /// The fewest pieces of any plans of all parts of a plan, together.
    pub(crate) fewest: usize,
}

impl<'a> Branching<'a> {
    pub(crate) fn new(sought: &'a Sought<'a>, along: &'a Sections<'a>, bounds: Bounds) -> Self {
        Self {
            sought,
            along,
            bounds,
            solved: 0,
            places: 0,
            fewest: 0,
        }
    }

    /// A plan whose leaves are parts of several beds, each of them solved.
    pub(crate) fn each_part(
        &mut self,
        tree: Solution,
        model: &Solid,
    ) -> Result<Solution, KernelError> {
        let crossings = Crossings::weighing(self.sought.prices.four_corners);
        self.part(tree, Part::WHOLE, model, &crossings)
    }

    fn part(
        &mut self,
        tree: Solution,
        part: Part,
        model: &Solid,
        crossings: &Crossings,
    ) -> Result<Solution, KernelError> {
        let model = part.of(model, SKIN_MM)?;
        let tree = match tree {
            Solution::Left { .. } => match self.through_thin_air(part, &model) {
                Some(apart) => apart,
                None => {
                    let (tree, fewest) = self.on_own_lattice(&tree, part, &model, crossings)?;
                    self.fewest += fewest;
                    return Ok(tree);
                }
            },
            cut => cut,
        };
        self.both_sides(tree, part, &model, crossings, Self::part)
    }

    /// A part of several bodies, cut where a gap lies between them: they have
    /// nothing to do with each other, and would crowd one lattice.
    fn through_thin_air(&self, part: Part, model: &Solid) -> Option<Solution> {
        let bodies = model.bodies();
        let boxes: Vec<Bounds> = bodies.iter().filter_map(Solid::bounds).collect();
        (0..3).find_map(|axis| {
            let at_mm = gap(boxes.iter().map(|b| part.within(b)), axis)?;
            let cut = self.along[axis].as_ref()?.cut(at_mm).pop()?;
            let unsolved = || {
                Box::new(Solution::Left {
                    pieces: Vec::new(),
                    cost: MISFIT,
                })
            };
            Some(Solution::Cut {
                axis,
                cut: Box::new(cut),
                cost: 0.0,
                below: unsolved(),
                above: unsolved(),
            })
        })
    }

    /// A branch, solved anew unless it is too small for that to gain anything.
    fn branch(
        &mut self,
        tree: Solution,
        part: Part,
        model: &Solid,
        crossings: &Crossings,
    ) -> Result<Solution, KernelError> {
        if tree.pieces() < LEAST_PIECES || self.solved >= MOST_BRANCHES {
            return Ok(tree);
        }
        let model = part.of(model, SKIN_MM)?;
        let (own, _) = self.on_own_lattice(&tree, part, &model, crossings)?;
        let best = if own.cost() < tree.cost() - LEAST_GAIN * self.sought.prices.piece {
            own
        } else {
            tree
        };
        self.both_sides(best, part, &model, crossings, Self::branch)
    }

    /// What lies on either side of a plan's first cut, solved by `solve`.
    fn both_sides(
        &mut self,
        tree: Solution,
        part: Part,
        model: &Solid,
        crossings: &Crossings,
        solve: Solve<'a>,
    ) -> Result<Solution, KernelError> {
        let Solution::Cut {
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
        let below = solve(self, *below, low, model, crossings)?;
        let ending = below.endings(axis, &cut, low);
        let above = solve(self, *above, high, model, &crossings.with(ending))?;
        Ok(Solution::Cut {
            axis,
            cut,
            cost,
            below: Box::new(below),
            above: Box::new(above),
        })
    }

    /// The best plan of a branch on its own lattice, and the fewest pieces
    /// of any.
    fn on_own_lattice(
        &mut self,
        tree: &Solution,
        part: Part,
        model: &Solid,
        crossings: &Crossings,
    ) -> Result<(Solution, usize), KernelError> {
        let Some(bounds) = model.bounds() else {
            return Ok((tree.clone(), tree.pieces()));
        };
        self.solved += 1;
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
        self.places += cuts.iter().map(Vec::len).sum::<usize>();
        let lattice = Lattice::over(model, cuts, self.sought.constraints)?;
        Ok(self.sought.on(&lattice, self.bounds, domain, crossings))
    }

    /// The cut at a wall.
    fn wall(&self, axis: usize, at_mm: Option<f64>) -> Vec<Cut> {
        match (at_mm, &self.along[axis]) {
            (Some(at), Some(all)) => all.cut(at),
            _ => Vec::new(),
        }
    }
}

/// The middle of the widest gap between some boxes along an axis.
fn gap(boxes: impl Iterator<Item = Bounds>, axis: usize) -> Option<f64> {
    let mut ends: Vec<(f64, f64)> = boxes.map(|b| (b.min[axis], b.max[axis])).collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut reached = ends.first()?.1;
    let mut widest: Option<(f64, f64)> = None;
    for (low, high) in ends {
        let width = low - reached;
        if width > LEAST_GAP_MM && widest.is_none_or(|w| width > w.0) {
            widest = Some((width, (low + reached) / 2.0));
        }
        reached = reached.max(high);
    }
    widest.map(|w| w.1)
}
