//! Shells of negative volume: cavities in others, or bodies turned inside out.

use std::cell::OnceCell;

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
    let casters = Casters::new(shells.len());
    for i in negative {
        if !is_cavity(&shells, &casters, i) {
            tally.add(DefectKind::InsideOut, shells[i].vertices()[0]);
        }
    }
    tally.result()
}

/// So many faces of a shell are looked at, spread over all of it.
const PROBES: usize = 256;
/// So far before a face, as a share of the shell's size, it is looked whether that lies in
/// another.
const BESIDE: f64 = 1e-4;

/// Whether a negative shell is a cavity: what it keeps free lies wholly in others that are
/// not negative, though it may reach their skin. One that stands out of all others is a body
/// turned inside out, whichever of its corners comes first.
fn is_cavity(shells: &[Solid], casters: &Casters, inner: usize) -> bool {
    let others = (0..shells.len()).filter(|j| *j != inner);
    let outers = others.filter(|j| shells[*j].volume_mm3() > 0.0);
    lies_in(shells, casters, inner, &outers.collect::<Vec<_>>())
}

/// What shoots rays at shells, made when one is first asked; whichever way its faces look.
struct Casters(Vec<OnceCell<Option<RayCaster>>>);

impl Casters {
    fn new(shells: usize) -> Self {
        Self((0..shells).map(|_| OnceCell::new()).collect())
    }

    fn of(&self, shells: &[Solid], k: usize) -> Option<&RayCaster> {
        let made = self.0[k].get_or_init(|| match shells[k].volume_mm3() > 0.0 {
            true => RayCaster::new(&shells[k]),
            false => RayCaster::new(&other_way_round(&shells[k])),
        });
        made.as_ref()
    }
}

/// Whether what a shell parts off from the rest lies in some others: by places just within
/// it, before faces spread over all of it.
fn lies_in(shells: &[Solid], casters: &Casters, inner: usize, outers: &[usize]) -> bool {
    let inner = &shells[inner];
    let Some(own) = inner.bounds() else {
        return false;
    };
    let near = |o: &usize| shells[*o].bounds().is_some_and(|b| b.overlaps(&own, 0.0));
    let near = outers.iter().copied().filter(near);
    let casters: Vec<&RayCaster> = near.filter_map(|o| casters.of(shells, o)).collect();
    if casters.is_empty() {
        return false;
    }
    // Into the body that it bounds, or the void: away from where its faces look, or not.
    let inward = if inner.volume_mm3() > 0.0 { -1.0 } else { 1.0 };
    let by = inward * BESIDE * own.diagonal_mm();
    let count = inner.triangles().len();
    let mut probes = (0..count).step_by(count.div_ceil(PROBES).max(1)).map(|k| {
        let [a, b, c] = inner.corners(k);
        Point::from((a.coords + b.coords + c.coords) / 3.0) + inner.normal(k) * by
    });
    probes.all(|p| casters.iter().any(|c| c.contains(&p)))
}

/// Shells with every one that is inside out turned, how many were, and where the first is.
///
/// Outer shells are judged first. Within one that was turned, those that alternate with it,
/// as the cavities of a hollow body do, are turned with it.
pub(crate) fn shells_outward(mut shells: Vec<Solid>) -> (Vec<Solid>, Option<(usize, Point)>) {
    let drawn: Vec<bool> = shells.iter().map(|s| s.volume_mm3() > 0.0).collect();
    if drawn.iter().all(|outward| *outward) {
        return (shells, None);
    }
    let casters = Casters::new(shells.len());
    let about: Vec<Vec<usize>> = (0..shells.len())
        .map(|k| {
            let others = (0..shells.len()).filter(|&o| o != k);
            others
                .filter(|&o| shells[o].volume_mm3().abs() > shells[k].volume_mm3().abs())
                .filter(|&o| lies_in(&shells, &casters, k, &[o]))
                .collect()
        })
        .collect();
    let mut order: Vec<usize> = (0..shells.len()).collect();
    order.sort_by_key(|&k| about[k].len());
    let mut turned = vec![false; shells.len()];
    let mut bodies: Vec<usize> = Vec::new();
    for k in order {
        // The one just about it is the deepest of those about it.
        let parent = about[k].iter().copied().max_by_key(|&o| about[o].len());
        let with_it = parent.is_some_and(|p| turned[p] && drawn[p] != drawn[k]);
        let alone = !drawn[k] && !with_it && !is_cavity(&shells, &casters, k);
        if with_it || alone {
            shells[k] = other_way_round(&shells[k]);
            turned[k] = true;
        }
        if alone {
            bodies.push(k);
        }
    }
    let first = bodies.iter().min().map(|&k| shells[k].vertices()[0]);
    (shells, first.map(|at| (bodies.len(), at)))
}

/// A shell with its faces turned.
fn other_way_round(shell: &Solid) -> Solid {
    let turned = shell.triangles().iter().map(|[a, b, c]| [*a, *c, *b]);
    Solid::trusted(shell.vertices().to_vec(), turned.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mending::remedy::{Mended, Mending, Remedy};

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

    fn drawn(shells: &[(f64, f64, bool)]) -> Vec<crate::TriangleCorners> {
        let cube = |&(low, high, outward): &(f64, f64, bool)| {
            let cube = Solid::cuboid(Point::from([low; 3]), Point::from([high; 3]));
            let cube = if outward {
                cube
            } else {
                other_way_round(&cube)
            };
            cube.triangle_corners().collect::<Vec<_>>()
        };
        shells.iter().flat_map(cube).collect()
    }

    #[test]
    fn shells_in_shells_are_judged_from_outside_in() {
        let hollow = 1000.0 - 512.0;
        for (shells, volume) in [
            // As it should be: a body, a void in it, a core in that.
            (
                vec![(0., 10., true), (1., 9., false), (4., 6., true)],
                hollow + 8.0,
            ),
            // All of it inside out.
            (
                vec![(0., 10., false), (1., 9., true), (4., 6., false)],
                hollow + 8.0,
            ),
            // The outer one alone.
            (vec![(0., 10., false), (1., 9., false)], hollow),
        ] {
            let mut turned = shells.clone();
            turned.reverse();
            for shells in [shells, turned] {
                let solid = Solid::mended(drawn(&shells)).unwrap().solid;
                assert!((solid.volume_mm3() - volume).abs() < 1e-9, "{shells:?}");
            }
        }
    }

    #[test]
    fn a_void_may_reach_the_skin_and_a_body_may_share_a_corner() {
        // A pocket drawn as a void that is flush with the top.
        let mut soup = drawn(&[(0., 10., true)]);
        let pocket = Solid::cuboid(Point::new(2., 2., 6.), Point::new(8., 8., 10.));
        soup.extend(other_way_round(&pocket).triangle_corners());
        let mended = Solid::mended(soup).unwrap();
        assert!(mended.done.is_empty(), "{:?}", mended.done);
        assert!((mended.solid.volume_mm3() - (1000.0 - 144.0)).abs() < 1e-9);
        // An inverted body at the corner of a larger one.
        let mended = Solid::mended(drawn(&[(0., 10., true), (10., 12., false)])).unwrap();
        assert!((mended.solid.volume_mm3() - 1008.0).abs() < 1e-9);
        assert_eq!(
            (turned(&mended.done), mended.solid.bodies().len()),
            (vec![1], 2)
        );
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
