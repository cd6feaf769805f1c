//! Whether two triangles share a point, by exact signs.

use robust::{Coord3D, orient3d};

use crate::query::self_touch::planar::Along;
use crate::{Point, Vector};

/// A triangle with the numbers of its corners in its solid.
#[derive(Clone, Copy)]
pub(crate) struct Face {
    pub(crate) ids: [u32; 3],
    pub(crate) corners: [Point; 3],
}

impl Face {
    /// The edge against a corner.
    fn against(&self, corner: usize) -> [&Point; 2] {
        [
            &self.corners[(corner + 1) % 3],
            &self.corners[(corner + 2) % 3],
        ]
    }

    fn normal(&self) -> Vector {
        let [a, b, c] = self.corners;
        (b - a).cross(&(c - a))
    }

    /// The sign of a point's side of its plane.
    fn side(&self, p: &Point) -> f64 {
        let [a, b, c] = &self.corners;
        volume(a, b, c, p)
    }

    fn all_on_one_side<'a>(&self, mut points: impl Iterator<Item = &'a Point>) -> bool {
        let Some(first) = points.next().map(|p| self.side(p)) else {
            return true;
        };
        if first > 0.0 {
            points.all(|p| self.side(p) > 0.0)
        } else {
            first < 0.0 && points.all(|p| self.side(p) < 0.0)
        }
    }

    /// Whether it shares a point with a segment (both with their rims).
    fn reached_by(&self, [p, q]: [&Point; 2]) -> bool {
        let (at_p, at_q) = (self.side(p), self.side(q));
        if (at_p > 0.0 && at_q > 0.0) || (at_p < 0.0 && at_q < 0.0) {
            return false;
        }
        let flat = || Along::normal(&self.normal());
        match (at_p == 0.0, at_q == 0.0) {
            (true, true) => flat().reaches([p, q], &self.corners),
            (true, false) => flat().holds(&self.corners, p),
            (false, true) => flat().holds(&self.corners, q),
            (false, false) => {
                let passes: [f64; 3] = std::array::from_fn(|k| {
                    let [a, b] = self.against(k);
                    volume(p, q, a, b)
                });
                passes.iter().all(|x| *x >= 0.0) || passes.iter().all(|x| *x <= 0.0)
            }
        }
    }
}

/// Whether two faces of one surface share a point that is none of their common
/// corners and edges. The signs are exact (Shewchuk 1997, *Adaptive precision
/// floating-point arithmetic and fast robust geometric predicates*).
pub(crate) fn meet_besides(a: &Face, b: &Face) -> bool {
    let common: Vec<(usize, usize)> = (0..3)
        .filter_map(|i| b.ids.iter().position(|id| *id == a.ids[i]).map(|j| (i, j)))
        .collect();
    match common[..] {
        [] => meet(a, b),
        [(i, j)] => {
            if apart_at_corner(a, b, i, j) {
                return false;
            }
            // What both have lies about the common corner, and as it is convex it
            // ends where one of them does: on the edge against that corner.
            let (of_a, of_b) = (a.against(i), b.against(j));
            !(a.all_on_one_side(of_b.into_iter()) || b.all_on_one_side(of_a.into_iter()))
                && (b.reached_by(of_a) || a.reached_by(of_b))
        }
        [(i, j), (k, l)] => folded(a, b, [i, k], 3 - j - l),
        _ => true,
    }
}

/// Far above what rounding does to a difference of two places, and far below what
/// parts two faces of a surface that is sound.
const CLEAR: f64 = 1e-9;

/// Whether a direction plainly parts two faces from each other but for their
/// common corner: from the middle of one towards that of the other, about it.
fn apart_at_corner(a: &Face, b: &Face, i: usize, j: usize) -> bool {
    let at = a.corners[i];
    let [of_a, of_b] = [a.against(i), b.against(j)].map(|edge| {
        edge.map(|p| {
            let way = p - at;
            way / way.norm()
        })
    });
    let way = of_a[0] + of_a[1] - of_b[0] - of_b[1];
    let [one, other] = [of_a, of_b].map(|ways| ways.map(|w| w.dot(&way)));
    one.iter().all(|d| *d > CLEAR) && other.iter().all(|d| *d < -CLEAR)
}

/// Whether a direction in the plane of one of two faces, square to one of its
/// edges, plainly parts them.
fn apart_beside_edge(a: &Face, b: &Face) -> bool {
    let normal = a.normal();
    (0..3).any(|k| {
        let [from, to] = a.against(k);
        let out = (to - from).cross(&normal);
        let clear = CLEAR * out.norm();
        let beyond = |p: &Point| (p - from).dot(&out) > clear;
        // Its own normal may be off where it is a needle.
        b.corners.iter().all(beyond) && !a.corners.iter().any(beyond)
    })
}

fn meet(a: &Face, b: &Face) -> bool {
    if apart_beside_edge(a, b) || apart_beside_edge(b, a) {
        return false;
    }
    if a.all_on_one_side(b.corners.iter()) || b.all_on_one_side(a.corners.iter()) {
        return false;
    }
    (0..3).any(|k| b.reached_by(a.against(k)) || a.reached_by(b.against(k)))
}

/// Whether two faces with a common edge lie on each other.
fn folded(a: &Face, b: &Face, [from, to]: [usize; 2], apex_of_b: usize) -> bool {
    let apex = &b.corners[apex_of_b];
    let (one, other) = (a.normal(), b.normal());
    if one.dot(&other) > -0.5 * one.norm() * other.norm() {
        return false;
    }
    if a.side(apex) != 0.0 {
        return false;
    }
    let flat = Along::normal(&a.normal());
    let [p, q, own] = [from, to, 3 - from - to].map(|k| &a.corners[k]);
    (flat.turn([p, q, own]) > 0.0) == (flat.turn([p, q, apex]) > 0.0)
}

fn volume(a: &Point, b: &Point, c: &Point, d: &Point) -> f64 {
    let [a, b, c, d] = [a, b, c, d].map(|p| Coord3D {
        x: p.x,
        y: p.y,
        z: p.z,
    });
    orient3d(a, b, c, d)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn face(ids: [u32; 3], corners: [[f64; 3]; 3]) -> Face {
        Face {
            ids,
            corners: corners.map(Point::from),
        }
    }

    const FLAT: [[f64; 3]; 3] = [[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.0, 2.0, 0.0]];

    #[test]
    fn a_corner_on_a_face_touches_it_and_a_hair_above_does_not() {
        let a = face([0, 1, 2], FLAT);
        let standing = |z: f64| {
            let corners = [[0.5, 0.5, z], [0.5, 0.5, 1.0], [0.7, 0.5, 1.0]];
            meet_besides(&a, &face([3, 4, 5], corners))
        };
        assert!(standing(0.0) && standing(-0.1));
        assert!(!standing(f64::MIN_POSITIVE));
    }

    #[test]
    fn neighbours_meet_only_where_they_are_folded() {
        let a = face([0, 1, 2], FLAT);
        let over = |apex: [f64; 3]| {
            let corners = [FLAT[1], FLAT[0], apex];
            meet_besides(&a, &face([1, 0, 3], corners))
        };
        assert!(!over([1.0, -1.0, 0.0]) && !over([1.0, 1.0, 1e-300]));
        assert!(over([1.0, 1.0, 0.0]));
    }

    #[test]
    fn faces_at_a_corner_meet_where_one_goes_through_the_other() {
        let a = face([0, 1, 2], FLAT);
        let at_corner = |p: [f64; 3], q: [f64; 3]| {
            let corners = [FLAT[0], p, q];
            meet_besides(&a, &face([0, 3, 4], corners))
        };
        assert!(!at_corner([-1.0, 0.0, 1.0], [-1.0, -1.0, 0.0]));
        assert!(!at_corner([1.0, 1.0, 1.0], [0.0, 1.0, 1.0]));
        assert!(at_corner([1.0, 1.0, 1.0], [0.5, 0.5, -1.0]));
        assert!(at_corner([0.5, 0.5, 0.0], [-1.0, 0.0, 3.0]));
        assert!(at_corner([1.0, 3.0, 0.0], [3.0, 1.0, 0.0]));
    }
}
