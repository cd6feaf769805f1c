use joinery::JointRules;
use solid::{Bounds, KernelError, Solid};

use crate::box_range::BoxRange;
use crate::candidates::{Candidates, thinned};
use crate::constraints::Constraints;
use crate::cut_tree::CutTree;
use crate::lattice::Lattice;
use crate::piece_cost::{MISFIT, PieceCost};
use crate::seam_cost::SeamCost;
use crate::search::{Question, Table};
use crate::section_profile::Cut;
use crate::{PrintProfile, Printer, Weights};

/// The most ranges of boxes that the first search looks at.
const COARSE_RANGES: usize = 200_000;
/// The most that it looks at where fewer give no plan: a model of many beds.
const MANY_RANGES: usize = 4_000_000;
/// The most that a search looks at after the lattice was refined.
const FINE_RANGES: usize = 250_000;
/// How often the lattice is refined.
const ROUNDS: usize = 2;

/// What square cuts are sought for.
pub(crate) struct Sought<'a> {
    pub(crate) model: &'a Solid,
    pub(crate) printers: &'a [Printer],
    pub(crate) rules: &'a JointRules,
    /// Pieces are counted longer by this, forward and back, at every seam.
    pub(crate) reach_mm: (f64, f64),
    pub(crate) weights: Weights,
    pub(crate) profile: PrintProfile,
    pub(crate) constraints: &'a Constraints,
}

/// The best plan that was found, and on which lattice.
pub(crate) struct SquareCuts {
    pub(crate) lattice: Lattice,
    pub(crate) tree: CutTree,
    pub(crate) pieces: usize,
    /// The fewest pieces on any lattice that was looked at.
    pub(crate) fewest: usize,
    /// Places that were looked at.
    pub(crate) places: usize,
    /// Places that were found but left out of the lattice.
    pub(crate) left_out: usize,
}

impl Sought<'_> {
    /// Coarse to fine: the best plan on a first lattice, then on lattices with
    /// more places near the cuts it chose, as long as that makes it better.
    /// `None` where no plan has fitting pieces.
    pub(crate) fn best(&self) -> Result<Option<SquareCuts>, KernelError> {
        let Some(bounds) = self.model.bounds() else {
            return Ok(None);
        };
        let along = [0, 1, 2].map(|axis| {
            Candidates::along(
                axis,
                (self.model, &bounds),
                self.printers,
                self.rules,
                self.reach_mm,
                self.constraints,
            )
        });
        let coarse = along
            .each_ref()
            .map(|c| c.as_ref().map_or_else(Vec::new, Candidates::coarse));
        let mut best = self.thinned(&coarse, &bounds, COARSE_RANGES)?;
        if best.tree.cost >= MISFIT {
            // So large a lattice is not refined.
            best = self.thinned(&coarse, &bounds, MANY_RANGES)?;
            return Ok((best.tree.cost < MISFIT).then_some(best));
        }
        for _ in 0..ROUNDS {
            let ranked = [0, 1, 2].map(|k| {
                let cuts = &best.lattice.cuts[k];
                let mut chosen = vec![false; cuts.len()];
                for c in best.tree.cuts.iter().filter(|c| c.axis == k) {
                    chosen[usize::from(c.cut)] = true;
                }
                along[k]
                    .as_ref()
                    .map_or_else(Vec::new, |c| c.finer(cuts, &chosen))
            });
            let finer = self.thinned(&ranked, &bounds, FINE_RANGES)?;
            let fewest = finer.fewest.min(best.fewest);
            let places = best.places + finer.places;
            let better = finer.tree.cost < best.tree.cost - 1e-6;
            if better {
                best = finer;
            }
            best.fewest = fewest;
            best.places = places;
            if !better {
                break;
            }
        }
        Ok((best.tree.cost < MISFIT).then_some(best))
    }

    /// The best plan on as many places, the most important first, as leave no
    /// more ranges than `most`.
    fn thinned(
        &self,
        ranked: &[Vec<Cut>; 3],
        bounds: &Bounds,
        most: usize,
    ) -> Result<SquareCuts, KernelError> {
        let count = |cuts: &[Vec<Cut>; 3]| cuts.iter().map(Vec::len).sum::<usize>();
        let kept = thinned(ranked.clone(), bounds, self.longest_mm(), most);
        let left_out = count(ranked) - count(&kept);
        Ok(SquareCuts {
            left_out,
            ..self.on(kept)?
        })
    }

    fn longest_mm(&self) -> f64 {
        self.printers
            .iter()
            .flat_map(Printer::usable_mm)
            .fold(1.0, f64::max)
    }

    fn on(&self, cuts: [Vec<Cut>; 3]) -> Result<SquareCuts, KernelError> {
        let lattice = Lattice::over(self.model, cuts, self.constraints)?;
        let domain = BoxRange::all(lattice.counts());
        let question = self.question(&lattice);
        let crossings = crate::crossing::Crossings::default();
        let table = Table::solve(&question, domain, &crossings);
        let whole = table.of(domain);
        let mut tree = CutTree::read(&question, &table, domain, self.weights.four_corners);
        tree.cost -= self.weights.alike * tree.repeated(&question) as f64;
        let places = lattice.cuts.iter().map(Vec::len).sum();
        let pieces = tree.pieces(&question);
        Ok(SquareCuts {
            tree,
            pieces,
            fewest: usize::from(whole.fewest),
            places,
            left_out: 0,
            lattice,
        })
    }

    fn question<'a>(&'a self, lattice: &'a Lattice) -> Question<'a> {
        Question::new(
            lattice,
            PieceCost::new(
                lattice,
                self.printers,
                self.reach_mm,
                (self.weights, self.profile),
                self.constraints,
            ),
            SeamCost::new(lattice, self.weights, self.constraints),
            &self.constraints.forced,
        )
    }
}
