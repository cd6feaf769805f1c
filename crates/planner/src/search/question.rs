//! The best guillotine plan over a lattice of candidate cuts, by dynamic
//! programming on boxes (the scheme of Gilmore & Gomory 1966, *The theory and
//! computation of knapsack functions*, for guillotine cutting, in three
//! dimensions).

use crate::cost::piece_cost::{Left, MISFIT, PieceCost};
use crate::cost::seam_cost::SeamCost;
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::{BoxRange, index};
use crate::lattice::place::is_among;

/// What the search asks of a plan.
pub(crate) struct Question<'a> {
    pub(crate) lattice: &'a Lattice,
    pub(crate) pieces: PieceCost<'a>,
    pub(crate) seams: SeamCost<'a>,
    /// Candidates of each axis at which there must be a cut.
    pub(crate) forced: [Vec<u8>; 3],
}

impl<'a> Question<'a> {
    pub(crate) fn new(
        lattice: &'a Lattice,
        pieces: PieceCost<'a>,
        seams: SeamCost<'a>,
        forced_mm: &[Vec<f64>; 3],
    ) -> Self {
        Self {
            lattice,
            pieces,
            seams,
            forced: [0, 1, 2].map(|axis| {
                let cuts = lattice.cuts[axis].iter().enumerate();
                cuts.filter(|(_, c)| is_among(c.at_mm, &forced_mm[axis]))
                    .map(|(k, _)| index(k))
                    .collect()
            }),
        }
    }

    /// A cut that must be divides whatever lies on both its sides.
    pub(crate) fn forced(&self, range: BoxRange) -> Option<(u8, u8)> {
        (0..3).find_map(|axis| {
            let mut cuts = self.forced[axis].iter();
            cuts.find(|k| range.cuts(axis).contains(k))
                .map(|&k| (index(axis), k))
        })
    }
}

/// The best that can be done with a range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Best {
    pub(crate) cost: f64,
    pub(crate) pieces: u16,
    /// The fewest pieces that fit, whatever they cost otherwise.
    pub(crate) fewest: u16,
    /// Axis and candidate at which it is divided; `None` where it is left.
    pub(crate) cut: Option<(u8, u8)>,
    /// Whether it holds a piece that is too large even without joints.
    pub(crate) too_large: bool,
    /// Whether it may be left as it is, and divided all the same.
    pub(crate) divisible: bool,
}

impl Best {
    /// That of a range that holds nothing.
    pub(crate) const NOTHING: Self = Self {
        cost: 0.0,
        pieces: 0,
        fewest: 0,
        cut: None,
        too_large: false,
        divisible: false,
    };

    /// That of one that cannot be left as it is, until a plan is found for it.
    pub(crate) const UNFIT: Self = Self {
        cost: f64::INFINITY,
        pieces: NO_PLAN,
        fewest: NO_PLAN,
        cut: None,
        too_large: true,
        divisible: false,
    };

    /// A range left as it is.
    pub(crate) fn left(left: Left) -> Self {
        Self {
            cost: left.cost,
            pieces: left.pieces,
            fewest: if left.cost < MISFIT {
                left.pieces
            } else {
                NO_PLAN
            },
            cut: None,
            too_large: left.too_large,
            divisible: left.divisible && left.cost < MISFIT,
        }
    }
}

/// More pieces than any plan has.
pub(crate) const NO_PLAN: u16 = u16::MAX / 4;

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use proptest::prelude::*;
    use solid::{Point, Solid};

    use super::*;
    use crate::candidates::section_profile::Profiler;
    use crate::constraint::constraints::Constraints;
    use crate::cost::four_corners::{Crossings, Ending};
    use crate::search::table::Table;
    use design::Prices;
    use printing::{PrintProfile, Printer};

    /// The ranges with one slab of boxes less, each with the slab.
    fn shrunk(range: BoxRange) -> impl Iterator<Item = (BoxRange, BoxRange)> {
        (0..3)
            .filter(move |&axis| range.span(axis) > 1)
            .flat_map(move |axis| {
                let (first, rest) = range.divided(axis, range.low[axis]);
                let (most, last) = range.divided(axis, range.high[axis] - 2);
                [(rest, first), (most, last)]
            })
    }

    /// The least cost and the fewest pieces by trying every tree of cuts, with
    /// nothing left out and nothing remembered.
    fn by_trying_all(question: &Question, range: BoxRange) -> (f64, usize) {
        let empty = |range: BoxRange| range.boxes().all(|at| question.lattice.ids(at).is_empty());
        if empty(range) {
            return (0.0, 0);
        }
        for (rest, slab) in shrunk(range) {
            if empty(slab) {
                return by_trying_all(question, rest);
            }
        }
        let left = question.pieces.left(range);
        let mut best = (f64::INFINITY, usize::MAX / 4);
        if left.cost < MISFIT {
            best = (left.cost, usize::from(left.pieces));
            if !left.divisible {
                return best;
            }
        }
        for axis in 0..3 {
            for cut in range.cuts(axis) {
                let (below, above) = range.divided(axis, cut);
                let low = by_trying_all(question, below);
                let high = by_trying_all(question, above);
                let cost = question.seams.of(range, axis, cut) + low.0 + high.0;
                best = (best.0.min(cost), best.1.min(low.1 + high.1));
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

        #[test]
        fn no_tree_of_cuts_is_cheaper(
            size in (120.0f64..500.0, 120.0f64..400.0, 10.0f64..200.0),
            post in (0.0f64..0.8, 0.0f64..0.8, 20.0f64..300.0),
            places in proptest::collection::vec(0.1f64..0.9, 6),
            (reach, keys, keyed) in (8.0f64..60.0, any::<bool>(), 0.0f64..60.0),
        ) {
            let plate = Solid::cuboid(Point::origin(), Point::new(size.0, size.1, size.2));
            let (x, y) = (post.0 * size.0, post.1 * size.1);
            let post = Solid::cuboid(
                Point::new(x, y, size.2 - 1.0),
                Point::new(x + 30.0, y + 30.0, size.2 + post.2),
            );
            let model = plate.union(&post).unwrap();
            let bounds = model.bounds().unwrap();
            let rules = JointRules::default();
            let cuts = [0, 1, 2].map(|axis| {
                let (low, high) = (bounds.min[axis], bounds.max[axis]);
                let mut at: Vec<f64> =
                    places[2 * axis..2 * axis + 2].iter().map(|p| low + p * (high - low)).collect();
                at.sort_by(f64::total_cmp);
                at.dedup_by(|a, b| (*a - *b).abs() < 1.0);
                Profiler::new(&model, axis, &rules, 8.0).cuts(&at)
            });
            let lattice = Lattice::over(&model, cuts, &Constraints::default()).unwrap();
            let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
            let constraints = Constraints::default();
            let prices = Prices { keyed, ..Prices::of(&design::Settings::default()) };
            let question = Question::new(
                &lattice,
                PieceCost::new(
                    &lattice,
                    &printers,
                    ((reach, 0.0), keys),
                    (prices, PrintProfile::default()),
                    &constraints,
                ),
                SeamCost::new(&lattice, prices, bounds, &constraints),
                &constraints.forced,
            );
            let whole = BoxRange::all(lattice.counts());
            let table = Table::solve(&question, whole, &Crossings::default());
            let best = table.of(whole);
            let (tried, fewest) = by_trying_all(&question, whole);
            // What is solved again where seams end on a face is what all of it
            // solved anew would be.
            for (axis, own) in [(0, 1), (1, 0), (0, 2), (2, 0)] {
                let (Some(face), Some(ends)) = (lattice.cuts[axis].first(), lattice.cuts[own].last())
                else {
                    continue;
                };
                let (low, high) = whole.divided(axis, 0);
                let ending = Ending::on((axis, face), (own, ends.at_mm), lattice.part(low));
                let crossings =
                    Crossings::weighing(5.0).with(ending.into_iter().collect());
                let again = table.again(&question, high, axis, &crossings).of(high);
                let anew = Table::solve(&question, high, &crossings).of(high);
                if anew.cost < MISFIT {
                    prop_assert!((again.cost - anew.cost).abs() < 1e-9);
                    prop_assert_eq!((again.pieces, again.fewest), (anew.pieces, anew.fewest));
                } else {
                    prop_assert!(again.cost >= MISFIT);
                }
            }
            // Misfits cost more than any plan: there the trees need not agree.
            if tried < MISFIT {
                prop_assert!((best.cost - tried).abs() < 1e-9, "{} against {}", best.cost, tried);
                prop_assert_eq!(usize::from(best.fewest), fewest);
            } else {
                prop_assert!(best.cost >= MISFIT);
            }
        }
    }
}
