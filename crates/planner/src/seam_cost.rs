use solid::Bounds;

use crate::Weights;
use crate::around::Wall;
use crate::box_range::BoxRange;
use crate::constraints::Constraints;
use crate::lattice::Lattice;
use crate::piece_cost::MISFIT;
use crate::prefix_sum::PrefixSum;

/// With this section that has room for joints, a square bar of 20 mm, a seam
/// counts as half as strong as can be.
const WEAK_MM2: f64 = 400.0;

/// Judges cuts through ranges of boxes.
pub(crate) struct SeamCost<'a> {
    lattice: &'a Lattice,
    weights: Weights,
    constraints: &'a Constraints,
    /// For each axis: area of the section, its sound, its roomy and its deep
    /// part, the length of feather edges, and how many faces have a box to be
    /// spared on them.
    faces: [PrefixSum<6>; 3],
    scale: Scale,
    /// Contacts that are there already: axis, cut and box behind their middle,
    /// and the way in which they go together.
    kept: Vec<(usize, u8, [u8; 3], usize)>,
}

/// What seams of one model are measured by.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    /// The largest section along any axis.
    pub(crate) largest_mm2: f64,
    /// The model's box.
    pub(crate) bounds: Bounds,
}

impl<'a> SeamCost<'a> {
    pub(crate) fn new(
        lattice: &'a Lattice,
        weights: Weights,
        scale: Scale,
        constraints: &'a Constraints,
    ) -> Self {
        let faces = |axis: usize| {
            PrefixSum::over(axis, lattice.counts(), |cut, j, l| {
                let face = lattice.face_index(axis, cut, j, l);
                let [all, sound, roomy, deep, feather_mm] = lattice.areas[axis][face];
                let spared = f64::from(u8::from(lattice.spared[axis][face]));
                [all, sound, roomy, deep, feather_mm, spared]
            })
        };
        Self {
            lattice,
            weights,
            constraints,
            faces: [0, 1, 2].map(faces),
            scale,
            kept: kept(lattice, constraints),
        }
    }

    /// Whether a cut goes through what is to be spared.
    pub(crate) fn forbidden(&self, range: BoxRange, axis: usize, cut: u8) -> bool {
        let [.., spared] = self.faces[axis].sum(range, cut);
        spared > 0.0 || self.parts_ways(range, axis, cut)
    }

    /// Whether contacts that are there already lie on a cut through a range and
    /// go together in different moves: they lie on no one seam.
    fn parts_ways(&self, range: BoxRange, axis: usize, cut: u8) -> bool {
        let lies_there = |at: &[u8; 3]| {
            (0..3).all(|k| k == axis || (range.low[k] <= at[k] && at[k] < range.high[k]))
        };
        let mut ways = self
            .kept
            .iter()
            .filter(|k| (k.0, k.1) == (axis, cut) && lies_there(&k.2))
            .map(|k| k.3);
        let first = ways.next();
        ways.any(|way| Some(way) != first)
    }

    /// What a cut through a range costs.
    pub(crate) fn of(&self, range: BoxRange, axis: usize, cut: u8) -> f64 {
        let [all, sound, roomy, deep, feather_mm, spared] = self.faces[axis].sum(range, cut);
        if all < 0.05 {
            return 0.0;
        }
        if spared > 0.0 || self.parts_ways(range, axis, cut) {
            return MISFIT;
        }
        let hidden = &self.constraints.hidden;
        let shown = (0..3).any(|k| k != axis && hidden[k]);
        // 1 in the middle of the model, 0 at its ends.
        let Bounds { min, max } = &self.scale.bounds;
        let (low, high) = (min[axis], max[axis]);
        let place = &self.lattice.cuts[axis][usize::from(cut)];
        let middle = 1.0 - (2.0 * (place.at_mm - low) / (high - low) - 1.0).abs();
        let roomless = if sound > 0.0 {
            (1.0 - roomy / sound).max(0.0)
        } else {
            1.0
        };
        self.weights.seam
            + self.weights.unsound * (1.0 - sound / all)
            + self.weights.roomless * roomless
            + self.weights.weak / (1.0 + roomy / WEAK_MM2)
            + self.weights.shallow * (1.0 - deep / all).max(0.0)
            + self.weights.feather * (feather_mm / 100.0).max(0.0)
            + self.weights.area * all / self.scale.largest_mm2
            + if shown { self.weights.shown } else { 0.0 }
            + if place.flush {
                self.weights.housed
            } else {
                0.0
            }
            + self.weights.mid_span * middle
    }
}

/// Where kept contacts stand in a lattice.
fn kept(lattice: &Lattice, constraints: &Constraints) -> Vec<(usize, u8, [u8; 3], usize)> {
    let place = |wall: &Wall| {
        let centre = wall.bounds.centre();
        let cut = lattice.cuts[wall.axis]
            .iter()
            .position(|c| c.at_mm == wall.at_mm)?;
        let mut at = [0, 1, 2].map(|k| {
            let cuts = lattice.cuts[k].iter();
            cuts.take_while(|c| c.at_mm < centre[k]).count() as u8
        });
        at[wall.axis] = cut as u8;
        Some((wall.axis, cut as u8, at, wall.way))
    };
    constraints.walls.iter().filter_map(place).collect()
}
