//! What a cut would rip along its length.

use geo::Area;
use solid::{Outline, shared};

use crate::candidates::same_section::same;

/// The parts of a section that have material far behind them below the cut, above it, and on
/// both sides. What has none on either is thin there: the cut rips a rail, a leg or a ring along
/// its length, and leaves two laths. No joiner saws so. Differences of outlines that share
/// edges fail now and then; areas of what they have in common do not.
#[derive(Clone, Debug)]
pub(crate) struct Backed {
    sides: [Outline; 2],
    both: Outline,
}

/// Less is where a side leans or bulges.
const NOTHING_MM2: f64 = 20.0;

impl Backed {
    /// Of a section, and those far below and above it; `None` where all of it goes on to one
    /// side or the other.
    pub(crate) fn of(here: &Outline, far: [&Outline; 2]) -> Option<Self> {
        if far.iter().any(|far| same(far, here)) {
            return None;
        }
        let sides = far.map(|far| shared(here, far));
        let both = shared(&sides[0], &sides[1]);
        let backed = Self { sides, both };
        let thin = backed.ripped_mm2(here.unsigned_area(), Outline::unsigned_area);
        (thin > NOTHING_MM2).then_some(backed)
    }

    /// How much of a section's area is thin, by a measure of areas.
    pub(crate) fn ripped_mm2(&self, all_mm2: f64, area: impl Fn(&Outline) -> f64) -> f64 {
        let [below, above] = &self.sides;
        (all_mm2 - area(below) - area(above) + area(&self.both)).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use solid::{Point, Solid, Vector};

    use super::*;
    use crate::candidates::section_profile::Profiler;

    fn ripped_mm2(model: &Solid, axis: usize, at_mm: f64) -> f64 {
        let profiler = Profiler::new(model, axis, &JointRules::default(), 8.0);
        let cut = &profiler.cuts(&[at_mm])[0];
        let all = cut.section.unsigned_area();
        let backed = cut.backed.as_ref();
        backed.map_or(0.0, |b| b.ripped_mm2(all, Outline::unsigned_area))
    }

    fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
        Solid::cuboid(Point::from(a), Point::from(b))
    }

    #[test]
    fn a_rail_is_ripped_along_and_not_across_and_a_board_neither() {
        let rail = block([0.0; 3], [600.0, 34.0, 36.0]);
        assert!((ripped_mm2(&rail, 2, 17.0) - 600.0 * 34.0).abs() < 1e-6);
        assert_eq!(ripped_mm2(&rail, 0, 300.0), 0.0);
        let board = block([0.0; 3], [900.0, 300.0, 18.0]);
        assert_eq!(ripped_mm2(&board, 1, 150.0), 0.0);
        assert_eq!(ripped_mm2(&board, 0, 450.0), 0.0);
        // Of legs that go on, only the rail between them is.
        let legs = [0.0, 560.0].map(|x| block([x, 0.0, -200.0], [x + 40.0, 34.0, 300.0]));
        let frame = Solid::union_of([&rail, &legs[0], &legs[1]]).unwrap();
        assert!((ripped_mm2(&frame, 2, 17.0) - 520.0 * 34.0).abs() < 1e-3);
        // A shelf that ends on the face of a side goes on to the other side.
        let side = block([0.0, 0.0, -200.0], [18.0, 200.0, 300.0]);
        let shelf = block([18.0, 0.0, 0.0], [400.0, 200.0, 18.0]);
        let case = side.union(&shelf).unwrap();
        assert_eq!(ripped_mm2(&case, 0, 18.1), 0.0);
    }

    #[test]
    fn a_ring_is_ripped_by_a_cut_in_its_plane_and_a_turned_leg_by_none_across() {
        let disc = |r: f64, z: [f64; 2]| {
            let base = Point::new(0.0, 0.0, z[0]);
            Solid::cylinder(base, Vector::z() * (z[1] - z[0]), r, 64).unwrap()
        };
        let ring = disc(120.0, [0.0, 20.0])
            .difference(&disc(98.0, [-1.0, 21.0]))
            .unwrap();
        let all = std::f64::consts::PI * (120.0f64.powi(2) - 98.0f64.powi(2));
        assert!((ripped_mm2(&ring, 2, 10.0) / all - 1.0).abs() < 0.01);
        let turned = disc(18.0, [-150.0, 150.0]);
        assert_eq!(ripped_mm2(&turned, 2, 0.0), 0.0);
        let leaning = turned.moved(&solid::Isometry::rotation(Vector::x() * 0.2));
        assert!(ripped_mm2(&leaning, 2, 30.0) < 150.0);
    }
}
