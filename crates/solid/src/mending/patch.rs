//! The faces of least area that close a ring of corners anywhere in space.

use std::collections::HashSet;

use crate::mending::loose::Loose;
use crate::{Point, Vector};

/// Rings of more corners lose ears first: the least face takes time with the third power of
/// their number.
const MOST_CORNERS: usize = 160;

/// Fills a ring, run along as the faces that close it do, with the triangles on its corners
/// that have the least area of all (Barequet & Sharir 1995, *Filling gaps in the boundary of a
/// polyhedron*), of a long ring when its smallest ears are off. Edges that are `taken` by two
/// faces already are not run along again. `None` where that leaves none.
pub(super) fn least_faces(
    loose: &Loose,
    ring: &[u32],
    taken: &HashSet<[u32; 2]>,
) -> Option<Vec<[u32; 3]>> {
    let mut ring = ring.to_vec();
    let mut out = Vec::new();
    while ring.len() > MOST_CORNERS {
        let n = ring.len();
        let ear = |k: usize| [ring[(k + n - 1) % n], ring[k], ring[(k + 1) % n]];
        let free = |k: &usize| {
            let [a, _, c] = ear(*k);
            !taken.contains(&[a.min(c), a.max(c)])
        };
        let area = |k: &usize| area_mm2(loose, &ear(*k));
        let least = (0..n)
            .filter(free)
            .min_by(|a, b| area(a).total_cmp(&area(b)))?;
        out.push(ear(least));
        ring.remove(least);
    }
    out.extend(of_least_area(loose, &ring, taken)?);
    Some(out)
}

/// The area of a triangle.
pub(super) fn area_mm2(loose: &Loose, t: &[u32; 3]) -> f64 {
    let [a, b, c]: [Point; 3] = t.map(|v| loose.at(v));
    let across: Vector = (b - a).cross(&(c - a));
    across.norm() / 2.0
}

fn of_least_area(loose: &Loose, ring: &[u32], taken: &HashSet<[u32; 2]>) -> Option<Vec<[u32; 3]>> {
    let n = ring.len();
    if n < 3 {
        return None;
    }
    let side = |i: usize, j: usize| [ring[i].min(ring[j]), ring[i].max(ring[j])];
    let is_rim = |i: usize, j: usize| j == i + 1 || (i == 0 && j == n - 1);
    // What the part of the ring from one corner to another costs, and its third corner.
    let mut least = vec![vec![(0.0, 0); n]; n];
    for span in 2..n {
        for i in 0..n - span {
            let j = i + span;
            let mut best = (f64::INFINITY, 0);
            if is_rim(i, j) || !taken.contains(&side(i, j)) {
                for k in i + 1..j {
                    let own = area_mm2(loose, &[ring[i], ring[k], ring[j]]);
                    let all = least[i][k].0 + least[k][j].0 + own;
                    if all < best.0 {
                        best = (all, k);
                    }
                }
            }
            least[i][j] = best;
        }
    }
    if !least[0][n - 1].0.is_finite() {
        return None;
    }
    let (mut out, mut open) = (Vec::new(), vec![(0, n - 1)]);
    while let Some((i, j)) = open.pop() {
        if j < i + 2 {
            continue;
        }
        let k = least[i][j].1;
        out.push([ring[i], ring[k], ring[j]]);
        open.extend([(i, k), (k, j)]);
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loose(places: &[[f64; 3]]) -> Loose {
        Loose {
            vertices: places.iter().copied().map(Point::from).collect(),
            triangles: Vec::new(),
        }
    }

    #[test]
    fn a_bent_ring_gets_the_fold_of_less_area() {
        // Two squares that meet at a right angle: folded along their common side.
        let loose = loose(&[
            [0., 0., 0.],
            [1., 0., 0.],
            [1., 1., 0.],
            [1., 1., 1.],
            [0., 1., 1.],
            [0., 1., 0.],
        ]);
        let faces = least_faces(&loose, &[0, 1, 2, 3, 4, 5], &HashSet::new()).unwrap();
        let area: f64 = faces.iter().map(|t| area_mm2(&loose, t)).sum();
        assert_eq!(faces.len(), 4);
        assert!((area - 2.0).abs() < 1e-12, "{area}");
        // With that fold taken it has to be another.
        let taken = HashSet::from([[2, 5]]);
        let faces = least_faces(&loose, &[0, 1, 2, 3, 4, 5], &taken).unwrap();
        let area: f64 = faces.iter().map(|t| area_mm2(&loose, t)).sum();
        assert!(area > 2.1, "{area}");
    }

    #[test]
    fn a_long_ring_is_filled_all_around() {
        let places: Vec<[f64; 3]> = (0..500)
            .map(|k| {
                let a = std::f64::consts::TAU * f64::from(k) / 500.0;
                [100.0 * a.cos(), 100.0 * a.sin(), 5.0 * (3.0 * a).sin()]
            })
            .collect();
        let loose = loose(&places);
        let ring: Vec<u32> = (0..500).collect();
        let faces = least_faces(&loose, &ring, &HashSet::new()).unwrap();
        assert_eq!(faces.len(), 498);
    }
}
