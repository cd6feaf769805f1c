//! What a cut would rip along its length.

use geo::{Area, Euclidean, Length, LineString, Polygon};
use solid::{Outline, shared, unshared};

use crate::candidates::section_profile::{Segment, same};

/// A strip is as long as this, or it is the end of something.
const LONG_MM: f64 = 150.0;
/// What is narrower in the mean is where a side leans or bulges, and no strip.
const LEAST_WIDTH_MM: f64 = 6.0;

/// The outlines of those parts of a section that are long, and thin across it: behind both
/// sides of the cut the material ends within the distance at which the sections `far` below
/// and above it are taken. No joiner saws a rail, a leg or a ring so: what is left are two
/// laths, with a seam as long as they are.
pub(crate) fn ripped(here: &Outline, far: [&Outline; 2]) -> Vec<Segment> {
    let mut thin = here.clone();
    for beyond in far {
        if same(&thin, beyond) {
            return Vec::new();
        }
        thin = unshared(&thin, &shared(&thin, beyond));
    }
    let strips = thin.iter().filter(|island| {
        let about: f64 = rings(island).map(|ring| Euclidean.length(ring)).sum();
        let width = 2.0 * island.unsigned_area() / about.max(1e-9);
        about / 2.0 >= LONG_MM && width >= LEAST_WIDTH_MM
    });
    let lines = strips.flat_map(|island| rings(island).flat_map(LineString::lines));
    lines
        .map(|l| [[l.start.x, l.start.y], [l.end.x, l.end.y]])
        .collect()
}

fn rings(island: &Polygon) -> impl Iterator<Item = &LineString> {
    std::iter::once(island.exterior()).chain(island.interiors())
}

#[cfg(test)]
mod tests {
    use joinery::JointRules;
    use solid::{Point, Solid, Vector};

    use crate::candidates::section_profile::{Profiler, length_mm};

    fn ripped_mm(model: &Solid, axis: usize, at_mm: f64) -> f64 {
        let profiler = Profiler::new(model, axis, &JointRules::default(), 8.0);
        let cut = &profiler.cuts(&[at_mm])[0];
        cut.ripped.iter().map(length_mm).sum::<f64>() / 2.0
    }

    fn block(a: [f64; 3], b: [f64; 3]) -> Solid {
        Solid::cuboid(Point::from(a), Point::from(b))
    }

    #[test]
    fn a_rail_is_ripped_along_and_not_across_and_a_board_neither() {
        let rail = block([0.0; 3], [600.0, 34.0, 36.0]);
        assert!((ripped_mm(&rail, 2, 17.0) - 634.0).abs() < 1.0);
        assert_eq!(ripped_mm(&rail, 0, 300.0), 0.0);
        let board = block([0.0; 3], [900.0, 300.0, 18.0]);
        assert_eq!(ripped_mm(&board, 1, 150.0), 0.0);
        assert_eq!(ripped_mm(&board, 0, 450.0), 0.0);
        // On a leg that goes on, only the rail between legs is.
        let legs = [0.0, 560.0].map(|x| block([x, 0.0, -200.0], [x + 40.0, 34.0, 300.0]));
        let frame = Solid::union_of([&rail, &legs[0], &legs[1]]).unwrap();
        assert!((ripped_mm(&frame, 2, 17.0) - 554.0).abs() < 1.0);
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
        let middle = std::f64::consts::TAU * 109.0;
        assert!((ripped_mm(&ring, 2, 10.0) - middle).abs() < 5.0);
        let bulge = disc(18.0, [-150.0, 150.0])
            .union(&disc(22.0, [-6.0, 6.0]))
            .unwrap();
        assert_eq!(ripped_mm(&bulge, 2, 0.0), 0.0);
        let leaning = bulge.moved(&solid::Isometry::rotation(Vector::x() * 0.2));
        assert_eq!(ripped_mm(&leaning, 2, 30.0), 0.0);
    }
}
