//! What cuts through ranges of boxes cost.

use design::Prices;
use solid::Bounds;

use crate::constraint::constraints::Constraints;
use crate::constraint::fixed::Wall;
use crate::cost::piece_cost::MISFIT;
use crate::cost::seam_terms::{SeamMeasures, SeamTerms};
use crate::lattice::box_lattice::Lattice;
use crate::lattice::box_range::{BoxRange, index};
use crate::lattice::face_areas::FaceAreas;
use crate::lattice::place::is_same_place;
use crate::lattice::summed_area::SummedArea;

/// Judges cuts through ranges of boxes.
pub(crate) struct SeamCost<'a> {
    lattice: &'a Lattice,
    prices: Prices,
    /// For each axis what the faces of cuts meet, and how many of them have a box
    /// to keep out of on them.
    faces: [SummedArea<8>; 3],
    bounds: Bounds,
    /// Contacts that are there already: axis, cut and box behind their middle,
    /// and the way in which they go together.
    kept: Vec<(usize, u8, [u8; 3], usize)>,
}

impl<'a> SeamCost<'a> {
    pub(crate) fn new(
        lattice: &'a Lattice,
        prices: Prices,
        bounds: Bounds,
        constraints: &'a Constraints,
    ) -> Self {
        let faces = |axis: usize| {
            SummedArea::over(axis, lattice.counts(), |cut, j, l| {
                let face = lattice.face_index(axis, cut, j, l);
                let kept_out = f64::from(u8::from(lattice.kept_out[axis][face]));
                lattice.areas[axis][face].row(kept_out)
            })
        };
        Self {
            lattice,
            prices,
            faces: [0, 1, 2].map(faces),
            bounds,
            kept: kept(lattice, constraints),
        }
    }

    /// Whether a cut goes through a keep-out.
    pub(crate) fn forbidden(&self, range: BoxRange, axis: usize, cut: u8) -> bool {
        let (_, kept_out) = FaceAreas::of_row(self.faces[axis].sum(range, cut));
        kept_out > 0.0 || self.parts_ways(range, axis, cut)
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
        let (areas, kept_out) = FaceAreas::of_row(self.faces[axis].sum(range, cut));
        if areas.all_mm2 < 0.05 {
            return 0.0;
        }
        if kept_out > 0.0 || self.parts_ways(range, axis, cut) {
            return MISFIT;
        }
        let Bounds { min, max } = &self.bounds;
        let (low, high) = (min[axis], max[axis]);
        let place = &self.lattice.cuts[axis][usize::from(cut)];
        let measures = SeamMeasures {
            areas,
            flush: place.flush,
            middle: 1.0 - (2.0 * (place.at_mm - low) / (high - low) - 1.0).abs(),
        };
        SeamTerms::of(&measures, &self.prices).total()
    }
}

/// Where kept contacts stand in a lattice.
fn kept(lattice: &Lattice, constraints: &Constraints) -> Vec<(usize, u8, [u8; 3], usize)> {
    let place = |wall: &Wall| {
        let centre = wall.bounds.centre();
        let cut = lattice.cuts[wall.axis]
            .iter()
            .position(|c| is_same_place(c.at_mm, wall.at_mm))?;
        let mut at = [0, 1, 2].map(|k| {
            let cuts = lattice.cuts[k].iter();
            index(cuts.take_while(|c| c.at_mm < centre[k]).count())
        });
        let cut = index(cut);
        at[wall.axis] = cut;
        Some((wall.axis, cut, at, wall.way))
    };
    constraints.walls.iter().filter_map(place).collect()
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use solid::{Point, Solid};

    use super::*;
    use crate::candidates::section_profile::Profiler;
    use crate::constraint::keep_out::KeepOut;

    #[test]
    fn a_cut_through_a_keep_out_is_forbidden_and_one_through_air_is_free() {
        // Two posts on a sill, with air between them above it.
        let block = |a: [f64; 3], b: [f64; 3]| Solid::cuboid(Point::from(a), Point::from(b));
        let model = Solid::union_of([
            &block([0.0; 3], [200.0, 40.0, 30.0]),
            &block([0.0, 0.0, 30.0], [40.0, 40.0, 200.0]),
            &block([160.0, 0.0, 30.0], [200.0, 40.0, 200.0]),
        ])
        .unwrap();
        let bounds = model.bounds().unwrap();
        let rules = JointRules::default();
        let cuts = |axis, at: &[f64]| Profiler::new(&model, axis, &rules, 8.0).cuts(at);
        let kept_out = Bounds {
            min: Point::new(-1.0, -1.0, 90.0),
            max: Point::new(41.0, 41.0, 110.0),
        };
        let constraints = Constraints {
            keep_out: vec![KeepOut::from(kept_out)],
            ..Constraints::default()
        };
        let cuts = [cuts(0, &[100.0]), Vec::new(), cuts(2, &[60.0, 100.0])];
        let lattice = Lattice::over(&model, cuts, &constraints).unwrap();
        let prices = Prices::of(&design::Settings::default());
        let seams = SeamCost::new(&lattice, prices, bounds, &constraints);
        let whole = BoxRange::all(lattice.counts());
        let (left, right) = whole.divided(0, 0);
        assert!(seams.forbidden(left, 2, 1) && seams.of(left, 2, 1) == MISFIT);
        assert!(!seams.forbidden(right, 2, 1));
        assert!(!seams.forbidden(left, 2, 0));
        let (_, above) = whole.divided(2, 0);
        assert_eq!(seams.of(above, 0, 0), 0.0, "nothing is cut there");
        // One seam through both posts costs less than one through each: its size is
        // counted in the walls of the pieces.
        let one = seams.of(right, 2, 0);
        assert!(one > 0.0 && seams.of(whole, 2, 0) < 2.0 * one);
    }
}
