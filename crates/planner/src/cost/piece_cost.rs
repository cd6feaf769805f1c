//! What the pieces in ranges of boxes cost.

use nalgebra::Vector3;

use crate::constraint::constraints::Constraints;
use crate::cost::growth::{Grown, Growth};
use crate::cost::kdop_fit::lies;
use crate::cost::lie::Lie;
use crate::cost::piece_terms::{LyingTerms, PieceTerms};
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::{BoxRange, index};
use crate::lattice::connected::Layers;
use crate::lattice::kdop::{DIRECTIONS, Kdop, Owner, directions};
use crate::lattice::part::Part;
use design::{PLAIN_CONTACT, Prices};
use printing::{PrintProfile, Printer};

/// What a piece that fits no printer costs: more than any plan.
pub(crate) const MISFIT: f64 = 1e8;

/// What a piece costs that takes more than a spool or than the hours that a print may
/// take, in pieces: where two others do in its place they are taken, and not where those
/// cost much besides.
const OVER: f64 = 0.8;

/// What the content of a range of boxes costs, left as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Left {
    pub(crate) cost: f64,
    pub(crate) pieces: u16,
    /// Whether a piece is too large for every printer even without joints: so
    /// is all that holds it.
    pub(crate) too_large: bool,
    /// Whether it may be divided all the same, should that be cheaper: a piece fits only
    /// where keys hold it, not tails, or lies so that it costs more than another piece.
    pub(crate) divisible: bool,
}

/// Judges the pieces in ranges of boxes.
pub(crate) struct PieceCost<'a> {
    lattice: &'a Lattice,
    printers: &'a [Printer],
    /// How far joints reach over the cuts above a piece, and below it.
    reach_mm: (f64, f64),
    /// Whether keys, which add to no piece, may hold what has no room for tails.
    keys: bool,
    prices: Prices,
    profile: PrintProfile,
    constraints: &'a Constraints,
    fan: [Vector3<f64>; DIRECTIONS],
}

impl<'a> PieceCost<'a> {
    pub(crate) fn new(
        lattice: &'a Lattice,
        printers: &'a [Printer],
        (reach_mm, keys): ((f64, f64), bool),
        (prices, profile): (Prices, PrintProfile),
        constraints: &'a Constraints,
    ) -> Self {
        Self {
            lattice,
            printers,
            reach_mm,
            keys,
            prices,
            profile,
            constraints,
            fan: directions(),
        }
    }

    /// The cost of the content as it is of all ranges that take some of a block's
    /// boxes along an axis and all along the others, but for those that begin or
    /// end with an empty layer and those that hold something too large, as is
    /// known of some.
    pub(crate) fn each_left(
        &self,
        block: BoxRange,
        along: usize,
        too_large: impl Fn(BoxRange) -> bool,
        mut see: impl FnMut(BoxRange, Left),
    ) {
        let one = |layer: u8| {
            let mut one = block;
            (one.low[along], one.high[along]) = (layer, layer + 1);
            one
        };
        if (block.low[along]..block.high[along]).all(|k| too_large(one(k))) {
            return;
        }
        let layers = Layers::of(self.lattice, block, along);
        for first in 0..block.span(along) {
            let mut range = block;
            range.low[along] += index(first);
            range.high[along] = range.low[along];
            let mut growing = layers.from(first);
            while range.high[along] < block.high[along] {
                range.high[along] += 1;
                if too_large(range) {
                    break;
                }
                if !growing.grow() {
                    if range.span(along) == 1 {
                        break;
                    }
                    continue;
                }
                let left = self.of_components(growing.components(), range);
                see(range, left);
                if left.too_large {
                    break;
                }
            }
        }
    }

    /// The cost of a range's content as it is.
    pub(crate) fn left(&self, range: BoxRange) -> Left {
        self.of_components(self.components(range).iter(), range)
    }

    fn of_components<'r>(
        &self,
        components: impl Iterator<Item = &'r Kdop>,
        range: BoxRange,
    ) -> Left {
        let mut out = Left {
            cost: 0.0,
            pieces: 0,
            too_large: false,
            divisible: false,
        };
        let mut free = false;
        for piece in components {
            out.pieces += 1;
            match piece.owner {
                Owner::Free => free = true,
                Owner::Fixed(_) => {
                    out.cost += self.prices.piece;
                    continue;
                }
                // So is all that holds it.
                Owner::Mixed => {
                    out.too_large = true;
                    out.cost += MISFIT;
                    continue;
                }
            }
            if !self
                .printers
                .iter()
                .any(|p| lies(piece, p).next().is_some())
            {
                out.too_large = true;
                out.cost += MISFIT;
            } else {
                let (cost, divisible) = self.piece(piece, range);
                out.cost += cost;
                out.divisible |= divisible;
            }
        }
        if free {
            let part = self.lattice.part(range);
            let walls = self.constraints.walls.iter();
            out.cost += PLAIN_CONTACT
                * self.prices.piece
                * walls.filter(|w| w.is_bare(&part)).count() as f64;
        }
        out
    }

    /// The connected contents of a range.
    pub(crate) fn components(&self, range: BoxRange) -> Vec<Kdop> {
        let layers = Layers::of(self.lattice, range, 2);
        let mut growing = layers.from(0);
        for _ in 0..range.span(2) {
            growing.grow();
        }
        growing.components().copied().collect()
    }

    /// What joints add to a piece: tails reach over the cuts above it, braces and
    /// fingers over those below it too.
    fn growth(&self, piece: &Kdop, range: BoxRange) -> Grown {
        let mut out = Grown::default();
        for axis in 0..3 {
            let cuts = &self.lattice.cuts[axis];
            let above = cuts.get(usize::from(range.high[axis]) - 1);
            if let Some(c) = above.filter(|c| piece.high[axis] >= c.at_mm - 1e-3) {
                out.push(self.growth_over(piece, axis, c.at_mm, true));
            }
            let below = usize::from(range.low[axis])
                .checked_sub(1)
                .map(|k| &cuts[k]);
            if let Some(c) = below.filter(|c| piece.low[axis] <= c.at_mm + 1e-3) {
                out.push(self.growth_over(piece, axis, c.at_mm, false));
            }
        }
        out
    }

    /// What joints add to a piece over a cut on which it ends, above it or below.
    fn growth_over(&self, piece: &Kdop, axis: usize, at_mm: f64, above: bool) -> Growth {
        let part = Part::between(piece.ends());
        let mut walls = self.constraints.walls_at(axis, at_mm).peekable();
        let is_wall = walls.peek().is_some();
        let kept = walls
            .filter(|w| w.joins(&part))
            .map(|w| w.reach_mm[usize::from(!above)])
            .reduce(f64::max);
        let reach = match kept {
            Some(reach) => reach,
            // The seam is there already and may have its tails on either side.
            None if is_wall => self.reach_mm.0.max(self.reach_mm.1),
            None if above => self.reach_mm.0,
            None => self.reach_mm.1,
        };
        Growth {
            axis,
            by_mm: if above { reach } else { -reach },
            kept: kept.is_some(),
        }
    }

    fn grow(&self, reach: &mut Kdop, axis: usize, by_mm: f64) {
        for k in 0..DIRECTIONS {
            let along = self.fan[k][axis] * by_mm;
            reach.high[k] += along.max(0.0);
            reach.low[k] += along.min(0.0);
        }
    }

    /// What a piece costs, and whether it may be divided all the same.
    fn piece(&self, piece: &Kdop, range: BoxRange) -> (f64, bool) {
        let size = [0, 1, 2].map(|k| piece.high[k] - piece.low[k]);
        let longest = self.constraints.largest_mm;
        if longest.is_some_and(|most| size.iter().any(|&s| s > most + 1e-6)) {
            return (MISFIT, false);
        }
        let Some((lying, keyed)) = self.lying(piece, range) else {
            return (MISFIT, false);
        };
        let is_dear = lying.burden() > self.prices.piece + self.prices.seam;
        let is_over = self.is_over(piece);
        let smallest_mm = self.constraints.smallest_mm;
        let terms = PieceTerms::of(size, smallest_mm, (lying.total(), keyed), &self.prices);
        let over = if is_over {
            OVER * self.prices.piece
        } else {
            0.0
        };
        (terms.total() + over, keyed > 0 || is_dear || is_over)
    }

    /// Whether a piece takes more plastic or more hours than one may, as far as its
    /// surface and its volume tell.
    fn is_over(&self, piece: &Kdop) -> bool {
        let (area, volume) = (piece.skin.area_mm2, piece.volume_mm3);
        let plastic = self.profile.rough_plastic_mm3(area, volume);
        let height = (0..3).map(|k| piece.high[k] - piece.low[k]);
        let lowest = height.fold(f64::INFINITY, f64::min);
        let hours = || self.profile.rough_hours(area, volume, lowest);
        self.constraints.most_mm3.is_some_and(|most| plastic > most)
            || self
                .constraints
                .longest_h
                .is_some_and(|most| hours() > most)
    }

    /// What it costs how a piece lies with its joints, and on how many of its
    /// sides there must be keys instead of tails for it to fit, the fewest
    /// possible.
    fn lying(&self, piece: &Kdop, range: BoxRange) -> Option<(LyingTerms, usize)> {
        let growth = self.growth(piece, range);
        let growth = growth.sides();
        let free = match self.keys {
            true => growth.iter().filter(|g| !g.kept).count(),
            false => 0,
        };
        // Which of the free sides have keys, one bit for each.
        let with = |keyed: u32| {
            let (mut grown, mut bit) = (*piece, 1);
            for side in growth {
                let may_be_keyed = self.keys && !side.kept;
                if !may_be_keyed || keyed & bit == 0 {
                    self.grow(&mut grown, side.axis, side.by_mm);
                }
                bit <<= u32::from(may_be_keyed);
            }
            self.best_lying(piece, &grown)
        };
        (0..=free).find_map(|count| {
            (0..1 << free)
                .filter(|keyed: &u32| keyed.count_ones() as usize == count)
                .filter_map(with)
                .min_by(|a, b| a.total().total_cmp(&b.total()))
                .map(|terms| (terms, count))
        })
    }

    /// The least that it costs how a piece lies, grown by its joints; `None` where it
    /// does not fit.
    fn best_lying(&self, piece: &Kdop, grown: &Kdop) -> Option<LyingTerms> {
        self.printers
            .iter()
            .flat_map(|p| lies(grown, p))
            .flat_map(|lying| [false, true].map(|looks_up| (lying, looks_up)))
            .map(|(lying, looks_up)| {
                let lie = Lie {
                    slenderness: lying.slenderness,
                    ..Lie::on_side(piece, grown, (lying.up, looks_up), &self.profile)
                };
                LyingTerms::of(&lie, &self.prices)
            })
            .min_by(|a, b| a.total().total_cmp(&b.total()))
    }
}

#[cfg(test)]
mod tests {
    use design::Settings;
    use joinery::JointRules;
    use solid::{Point, Solid};

    use super::*;
    use crate::candidates::section_profile::Profiler;

    /// A bar of some length cut at 100 mm, judged for a bed that takes 210 mm.
    fn judged(long: f64, reach_mm: f64, keys: bool, constraints: &Constraints) -> [Left; 3] {
        let bar = Solid::cuboid(Point::origin(), Point::new(long, 190.0, 205.0));
        let cuts = Profiler::new(&bar, 0, &JointRules::default(), 8.0).cuts(&[100.0]);
        let lattice = Lattice::over(&bar, [cuts, Vec::new(), Vec::new()], constraints).unwrap();
        let mut printer = Printer::rectangular("bed-1", 210.0, 205.0, 210.0);
        printer.margin_mm = 0.0;
        let printers = [printer];
        let pieces = PieceCost::new(
            &lattice,
            &printers,
            ((reach_mm, 0.0), keys),
            (Prices::of(&Settings::default()), PrintProfile::default()),
            constraints,
        );
        let whole = BoxRange::all(lattice.counts());
        let (low, high) = whole.divided(0, 0);
        [whole, low, high].map(|range| pieces.left(range))
    }

    #[test]
    fn what_fits_costs_as_a_piece_and_what_does_not_more_than_any_plan() {
        let free = Constraints::default();
        let [whole, low, high] = judged(300.0, 8.0, false, &free);
        assert!(whole.too_large && whole.cost >= MISFIT);
        assert!(!low.too_large && low.cost < MISFIT && low.pieces == 1);
        assert!(high.cost < MISFIT);
        let [whole, ..] = judged(200.0, 8.0, false, &free);
        assert!(whole.cost < MISFIT && whole.pieces == 1);
    }

    #[test]
    fn a_piece_that_has_no_room_for_tails_fits_with_keys_only() {
        let free = Constraints::default();
        let [_, low, _] = judged(300.0, 120.0, false, &free);
        assert!(low.cost >= MISFIT && !low.too_large);
        let [_, low, high] = judged(300.0, 120.0, true, &free);
        assert!(low.cost < MISFIT && low.divisible);
        assert!(!high.divisible, "tails add to what lies below them only");
    }

    #[test]
    fn no_piece_is_longer_than_the_longest_that_was_wished() {
        let short = Constraints {
            largest_mm: Some(206.0),
            ..Constraints::default()
        };
        let [_, low, _] = judged(307.0, 8.0, false, &short);
        assert!(low.cost < MISFIT);
        let [_, _, high] = judged(307.0, 8.0, false, &short);
        assert!(high.cost >= MISFIT && !high.too_large);
    }
}
