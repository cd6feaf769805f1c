//! Square cuts: a first lattice, then finer ones near the cuts that it chose.

use joinery::JointRules;
use solid::{Bounds, KernelError, Solid};

use crate::candidates::axis_sections::AxisSections;
use crate::candidates::places::{Candidates, thinned};
use crate::candidates::section_profile::Cut;
use crate::constraint::constraints::Constraints;
use crate::cost::four_corners::Crossings;
use crate::cost::piece_cost::{MISFIT, PieceCost};
use crate::cost::seam_cost::SeamCost;
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::BoxRange;
use crate::lattice::part::Part;
use crate::lattice::place::{is_among, is_same_place};
use crate::search::question::Question;
use crate::search::solution::Solution;
use crate::search::table::Table;
use design::{Emphasis, Prices};
use printing::{PrintProfile, Printer};

/// The most ranges of boxes that a search looks at.
pub(crate) const RANGES: usize = 1_250_000;
/// The most where the model is heavy, so that it takes long to cut into boxes.
const HEAVY_RANGES: usize = 250_000;
/// The most that one looks at among places that were left out before, and how
/// many such searches there are where there are two pieces more than enough.
const LEFT_OUT_RANGES: usize = 500_000;
const LEFT_OUT_ROUNDS: usize = 3;
/// The most that the first looks at where fewer give no plan: a model of many
/// beds.
const MANY_RANGES: usize = 4_000_000;
/// So many times as many as usual around pieces that are there already: the
/// places where those end take up most of a lattice.
const AROUND_PRINTED: usize = 3;
/// How often the lattice is refined.
const ROUNDS: usize = 2;
/// A plan of more pieces, whose lattice had no room for all places, is worth
/// the time to solve its branches each on its own, whatever would be enough.
const LARGE: usize = 48;

/// What square cuts are sought for.
pub(crate) struct Sought<'a> {
    pub(crate) model: &'a Solid,
    pub(crate) printers: &'a [Printer],
    pub(crate) rules: &'a JointRules,
    /// Pieces are counted longer by this, forward and back, at every seam.
    pub(crate) reach_mm: (f64, f64),
    /// Whether keys may hold what has no room for that.
    pub(crate) keys: bool,
    pub(crate) prices: Prices,
    pub(crate) profile: PrintProfile,
    pub(crate) constraints: &'a Constraints,
    /// With no more pieces than this it is not worth looking at places that were
    /// left out, nor solving branches on their own.
    pub(crate) enough: usize,
    /// Whether what fits as it is may be left so without a look at other plans.
    pub(crate) whole_if_it_fits: bool,
    /// Whether the model stands in for one of many triangles.
    pub(crate) heavy: bool,
}

/// The best plan that was found, and on which lattice.
pub(crate) struct SquareCuts {
    pub(crate) lattice: Lattice,
    pub(crate) solution: Solution,
    /// The fewest pieces on any lattice that was looked at.
    pub(crate) fewest: usize,
    /// Places that were looked at.
    pub(crate) places: usize,
    /// Places that were found but left out of the lattice.
    pub(crate) left_out: usize,
    /// Branches that were solved on their own lattices.
    pub(crate) branches: usize,
    /// How many beds large the parts were into which it was cut first; 0 where
    /// there was a lattice over all of the model.
    pub(crate) beds_a_part: usize,
}

/// The sections along each axis that may be cut.
pub(crate) type Sections<'a> = [Option<AxisSections<'a>>; 3];

impl Sought<'_> {
    /// The same where keys come in only if nothing else is possible: the first
    /// lattice is solved so, because the second has places near its cuts, and
    /// those that leave room for tails are mostly better ones to begin with.
    fn sparing_keys(&self) -> Self {
        Self {
            prices: Emphasis::KeysLast.on(self.prices),
            ..*self
        }
    }

    /// Coarse to fine: the best plan on a first lattice; then on lattices with
    /// more places near the cuts it chose; then on lattices of places that those
    /// had no room for; then, of a plan that is large or has more pieces than
    /// enough, each branch on its own lattice. `None` where no plan has
    /// fitting pieces.
    pub(crate) fn best(&self) -> Result<Option<SquareCuts>, KernelError> {
        let Some(bounds) = self.model.bounds() else {
            return Ok(None);
        };
        let along: Sections = [0, 1, 2].map(|axis| {
            AxisSections::along(
                axis,
                (self.model, &bounds),
                self.printers,
                self.rules,
                (self.reach_mm, self.keys),
                self.constraints,
            )
        });
        let whole = along.each_ref().map(|c| c.as_ref().map(Candidates::whole));
        let most = match (self.heavy, self.constraints.fixed.is_empty()) {
            (true, true) => HEAVY_RANGES,
            _ => self.many(RANGES),
        };
        let coarse = whole
            .each_ref()
            .map(|c| c.as_ref().map_or_else(Vec::new, Candidates::coarse));
        if let Some(whole) = self.as_it_is(bounds)? {
            return Ok(Some(whole));
        }
        let mut best = self.sparing_keys().thinned(&coarse, bounds, most)?;
        if best.solution.cost() < MISFIT {
            best = self.refined(best, &whole, bounds, most)?;
            best = self.with_left_out(best, &whole, bounds)?;
        } else if most < MANY_RANGES {
            best = self.thinned(&coarse, bounds, MANY_RANGES)?;
        }
        if best.solution.cost() >= MISFIT {
            if best.left_out == 0 {
                return Ok(None);
            }
            return self.by_parts(&along, bounds);
        }
        let large = best.left_out > 0 && best.solution.pieces() > LARGE;
        if best.solution.pieces() > self.enough || large {
            let (refined, branches) = self.branched(&along, bounds, best.solution.clone())?;
            best.branches = branches;
            if self.worth(&refined) < self.worth(&best.solution) - 1e-6 {
                best.solution = refined;
            }
        }
        Ok(Some(best))
    }

    /// What fits as it is, is left so, unless it is to need no support and needs some, it
    /// was seen to fall while it is printed, or a seam was wished.
    fn as_it_is(&self, bounds: Bounds) -> Result<Option<SquareCuts>, KernelError> {
        let is_free = self.whole_if_it_fits
            && self.constraints.fixed.is_empty()
            && self.constraints.forced.iter().all(Vec::is_empty)
            && self.prices.support <= 1.0;
        if !is_free {
            return Ok(None);
        }
        let whole = self.thinned(&[const { Vec::new() }; 3], bounds, RANGES)?;
        Ok(Some(whole).filter(|w| w.solution.cost() < MISFIT))
    }

    /// So many ranges, or more where there are pieces already.
    fn many(&self, ranges: usize) -> usize {
        match self.constraints.fixed.is_empty() {
            true => ranges,
            false => AROUND_PRINTED * ranges,
        }
    }

    /// A plan on lattices with more places near the cuts that it has, again where
    /// that saved a piece.
    fn refined(
        &self,
        mut best: SquareCuts,
        along: &[Option<Candidates>; 3],
        bounds: Bounds,
        most: usize,
    ) -> Result<SquareCuts, KernelError> {
        for _ in 0..ROUNDS {
            let chosen = chosen(&best.solution);
            let ranked = [0, 1, 2].map(|k| match &along[k] {
                Some(c) => c.finer(&best.lattice.cuts[k], &chosen[k]),
                None => Vec::new(),
            });
            let finer = self.thinned(&ranked, bounds, most)?;
            let before = best.solution.pieces();
            best = self.better(best, finer);
            if best.solution.pieces() >= before {
                break;
            }
        }
        Ok(best)
    }

    /// A plan on lattices of the cuts that it has and, before all others, places
    /// that were in none so far, as long as it has more pieces than enough.
    fn with_left_out(
        &self,
        mut best: SquareCuts,
        along: &[Option<Candidates>; 3],
        bounds: Bounds,
    ) -> Result<SquareCuts, KernelError> {
        if best.left_out == 0 || self.heavy {
            return Ok(best);
        }
        let mut seen = [const { Vec::new() }; 3];
        for round in 0..LEFT_OUT_ROUNDS {
            let beyond = best.solution.pieces().saturating_sub(self.enough);
            if beyond == 0 || (beyond == 1 && round > 0) {
                break;
            }
            for (seen, cuts) in seen.iter_mut().zip(&best.lattice.cuts) {
                seen.extend(cuts.iter().map(|c| c.at_mm));
            }
            let chosen = chosen(&best.solution);
            let ranked = [0, 1, 2].map(|k| {
                let Some(candidates) = &along[k] else {
                    return Vec::new();
                };
                let needed = |at: f64| {
                    is_among(at, &self.constraints.forced[k])
                        || chosen[k].iter().any(|c| is_same_place(c.at_mm, at))
                };
                let mut ranked = candidates.finer(&candidates.coarse(), &chosen[k]);
                ranked.sort_by_key(|c| match needed(c.at_mm) {
                    true => 0,
                    false => 1 + u8::from(is_among(c.at_mm, &seen[k])),
                });
                ranked
            });
            let other = self.thinned(&ranked, bounds, self.many(LEFT_OUT_RANGES))?;
            for (seen, cuts) in seen.iter_mut().zip(&other.lattice.cuts) {
                seen.extend(cuts.iter().map(|c| c.at_mm));
            }
            best = self.better(best, other);
        }
        Ok(best)
    }

    /// The better of two, the first where they are as good; what was looked at
    /// for both was looked at.
    fn better(&self, one: SquareCuts, other: SquareCuts) -> SquareCuts {
        let fewest = one.fewest.min(other.fewest);
        let places = one.places + other.places;
        let better = if self.worth(&other.solution) < self.worth(&one.solution) - 1e-6 {
            other
        } else {
            one
        };
        SquareCuts {
            fewest,
            places,
            ..better
        }
    }

    /// What a whole plan costs: pieces that are alike count less, and so do seams in
    /// line with others or in the mirror of them.
    fn worth(&self, tree: &Solution) -> f64 {
        let bounds = self.model.bounds();
        let aligned = bounds.map_or(0, |bounds| aligned(tree, &bounds));
        tree.cost()
            - self.prices.alike * tree.repeated() as f64
            - self.prices.aligned * aligned as f64
    }

    /// The best plan on as many places, the most important first, as leave no
    /// more ranges than `most`.
    pub(crate) fn thinned(
        &self,
        ranked: &[Vec<Cut>; 3],
        bounds: Bounds,
        most: usize,
    ) -> Result<SquareCuts, KernelError> {
        let count = |cuts: &[Vec<Cut>; 3]| cuts.iter().map(Vec::len).sum::<usize>();
        let kept = thinned(ranked.clone(), &bounds, self.longest_mm(), most);
        let places = count(&kept);
        let lattice = Lattice::over(self.model, kept, self.constraints)?;
        let domain = BoxRange::all(lattice.counts());
        let crossings = Crossings::weighing(self.prices.four_corners);
        let (tree, fewest) = self.on(&lattice, bounds, domain, &crossings);
        Ok(SquareCuts {
            solution: tree,
            fewest,
            places,
            left_out: count(ranked) - places,
            branches: 0,
            beds_a_part: 0,
            lattice,
        })
    }

    /// The longest side of a piece.
    pub(crate) fn longest_mm(&self) -> f64 {
        self.printers
            .iter()
            .flat_map(Printer::usable_mm)
            .fold(1.0, f64::max)
    }

    /// The best plan for a range of a lattice, and the fewest pieces of any.
    pub(crate) fn on(
        &self,
        lattice: &Lattice,
        bounds: Bounds,
        domain: BoxRange,
        crossings: &Crossings,
    ) -> (Solution, usize) {
        let question = Question::new(
            lattice,
            PieceCost::new(
                lattice,
                self.printers,
                (self.reach_mm, self.keys),
                (self.prices, self.profile),
                self.constraints,
            ),
            SeamCost::new(lattice, self.prices, bounds, self.constraints),
            &self.constraints.forced,
        );
        let table = Table::solve(&question, domain, crossings);
        let fewest = usize::from(table.of(domain).fewest);
        (Solution::read(&question, &table, domain, crossings), fewest)
    }
}

/// Places that differ by less are in line.
const IN_LINE_MM: f64 = 0.05;

/// How many cuts of a tree lie in line with an earlier one, or where one lies in the
/// mirror of the model's box.
fn aligned(tree: &Solution, bounds: &Bounds) -> usize {
    let mut seen = [const { Vec::new() }; 3];
    let mut count = 0;
    tree.each_cut(Part::WHOLE, &mut |axis, cut, _| {
        let mirrored = bounds.min[axis] + bounds.max[axis] - cut.at_mm;
        let own: &mut Vec<f64> = &mut seen[axis];
        let among = |at: f64| own.iter().any(|s| (s - at).abs() < IN_LINE_MM);
        count += usize::from(among(cut.at_mm) || among(mirrored));
        own.push(cut.at_mm);
    });
    count
}

/// The cuts of a tree, for each axis, each place once.
pub(crate) fn chosen(tree: &Solution) -> [Vec<Cut>; 3] {
    let mut out = [const { Vec::new() }; 3];
    tree.each_cut(Part::WHOLE, &mut |axis, cut, _| {
        let known: &mut Vec<Cut> = &mut out[axis];
        if known.iter().all(|k| !is_same_place(k.at_mm, cut.at_mm)) {
            known.push(cut.clone());
        }
    });
    for cuts in &mut out {
        cuts.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    }
    out
}
