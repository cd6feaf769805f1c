//! Shells of negative volume: cavities in others, or bodies turned inside out.

use crate::Point;
use crate::mesh::defects::{DefectKind, Defects, Tally};
use crate::mesh::solid_type::Solid;
use crate::query::rays::RayCaster;

/// Checks that every shell of negative volume is a cavity.
pub(crate) fn none_inside_out(vertices: &[Point], triangles: &[[u32; 3]]) -> Result<(), Defects> {
    let whole = Solid::trusted(vertices.to_vec(), triangles.to_vec());
    let shells = whole.shells();
    let mut tally = Tally::default();
    let negative: Vec<usize> = (0..shells.len())
        .filter(|&i| shells[i].volume_mm3() <= 0.0)
        .collect();
    for i in negative {
        if !is_cavity(&shells, i) {
            tally.add(DefectKind::InsideOut, shells[i].vertices()[0]);
        }
    }
    tally.result()
}

/// So many corners of a shell are looked for in others, spread over all of it.
const PROBES: usize = 256;

/// Whether a negative shell is a cavity: it lies wholly in another that is not negative.
/// One that stands out of all others is a body turned inside out, whichever of its corners
/// comes first.
fn is_cavity(shells: &[Solid], inner: usize) -> bool {
    let mut others = shells.iter().enumerate().filter(|(j, _)| *j != inner);
    others.any(|(_, outer)| outer.volume_mm3() > 0.0 && lies_in(&shells[inner], outer))
}

/// Whether a shell lies wholly in another, by corners spread over all of it.
fn lies_in(inner: &Solid, outer: &Solid) -> bool {
    let (Some(own), Some(about)) = (inner.bounds(), outer.bounds()) else {
        return false;
    };
    if !(about.contains(&own.min, 0.0) && about.contains(&own.max, 0.0)) {
        return false;
    }
    let corners = inner.vertices();
    let step = corners.len().div_ceil(PROBES).max(1);
    let outermost = (0..3).flat_map(|axis| {
        let by = |a: &&Point, b: &&Point| a[axis].total_cmp(&b[axis]);
        [corners.iter().min_by(by), corners.iter().max_by(by)]
    });
    let mut probes = outermost.flatten().chain(corners.iter().step_by(step));
    RayCaster::new(outer).is_some_and(|c| probes.all(|p| c.contains(p)))
}

/// Shells with every one that is inside out turned, how many were, and where the first is.
pub(crate) fn shells_outward(mut shells: Vec<Solid>) -> (Vec<Solid>, Option<(usize, Point)>) {
    let inverted =
        |shells: &[Solid], k: usize| shells[k].volume_mm3() <= 0.0 && !is_cavity(shells, k);
    let outer: Vec<usize> = (0..shells.len())
        .filter(|&k| inverted(&shells, k))
        .collect();
    for &k in &outer {
        shells[k] = other_way_round(&shells[k]);
    }
    // A body that is hollow has its cavities turned with it.
    let within: Vec<usize> = (0..shells.len())
        .filter(|k| !outer.contains(k) && shells[*k].volume_mm3() > 0.0)
        .filter(|&k| outer.iter().any(|&o| lies_in(&shells[k], &shells[o])))
        .collect();
    for &k in &within {
        shells[k] = other_way_round(&shells[k]);
    }
    let first = outer.first().map(|&k| shells[k].vertices()[0]);
    (shells, first.map(|at| (outer.len(), at)))
}

/// A shell with its faces turned.
fn other_way_round(shell: &Solid) -> Solid {
    let turned = shell.triangles().iter().map(|[a, b, c]| [*a, *c, *b]);
    Solid::trusted(shell.vertices().to_vec(), turned.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mending::mended::{Mended, Mending, Remedy};

    fn turned(done: &[Mending]) -> Vec<usize> {
        let bodies = done.iter().filter(|m| m.remedy == Remedy::Bodies);
        bodies.map(|m| m.count).collect()
    }

    /// A leg turned inside out that stands in a top with some of its corners, whichever of
    /// them comes first: it is no cavity, and turned it is a leg again.
    #[test]
    fn an_inverted_leg_in_a_top_is_a_leg_in_any_order() {
        let top = Solid::cuboid(Point::new(0.0, 0.0, 90.0), Point::new(100.0, 100.0, 110.0));
        let leg = Solid::cuboid(Point::new(10.0, 10.0, 0.0), Point::new(30.0, 30.0, 100.0));
        let inverted: Vec<_> = leg.triangle_corners().map(|[a, b, c]| [a, c, b]).collect();
        for first in 0..inverted.len() {
            let mut soup: Vec<_> = top.triangle_corners().collect();
            soup.extend(inverted[first..].iter().chain(&inverted[..first]));
            let defects = Solid::from_triangles(soup.clone()).unwrap_err();
            assert!(
                defects
                    .found
                    .iter()
                    .all(|d| (d.kind, d.count) == (DefectKind::InsideOut, 1))
            );
            let Mended { solid, done, .. } = Solid::mended(soup).unwrap();
            assert_eq!(turned(&done), [1]);
            assert!((solid.volume_mm3() - 200_000.0 - 40_000.0).abs() < 1e-6);
        }
    }

    #[test]
    fn a_hollow_body_inside_out_keeps_its_cavity() {
        let outer = Solid::cuboid(Point::origin(), Point::new(9.0, 9.0, 9.0));
        let inner = Solid::cuboid(Point::new(3.0, 3.0, 3.0), Point::new(6.0, 6.0, 6.0));
        // As it should be the outer looks outward and the inner inward.
        let mut soup: Vec<_> = outer
            .triangle_corners()
            .map(|[a, b, c]| [a, c, b])
            .collect();
        soup.extend(inner.triangle_corners());
        let Mended { solid, done, .. } = Solid::mended(soup).unwrap();
        assert_eq!(turned(&done), [1]);
        assert!((solid.volume_mm3() - (729.0 - 27.0)).abs() < 1e-9);
    }
}
