//! A flat face of any number of corners, in triangles.

use geo::{LineString, Polygon, TriangulateEarcut};

use crate::cut::cap::filled;
use crate::frame::Frame;
use crate::{Point, Vector};

/// Triangles that fill a face, by the places of its corners: each side of the face belongs
/// to one of them, run along as the face runs along it. The face may be concave, have corners
/// in line, and be a ring cut open by a bridge that it runs along twice.
///
/// The method is a fan where the face is convex, the constrained Delaunay triangulation (Chew
/// 1989) elsewhere, and ear clipping (Held 2001, *FIST*) where a side is run along twice.
/// Corners that are not quite flat are taken as they lie along the normal of Newell (in
/// Sutherland, Sproull and Schumacker 1974).
///
/// ```
/// use solid::{Point, facet};
///
/// // An L: a fan from its first corner would leave it.
/// let l = [[0., 0.], [1., 0.], [1., 2.], [3., 2.], [3., 3.], [0., 3.]];
/// let l = l.map(|[x, y]| Point::new(x, y, 0.0));
/// let area: f64 = facet(&l)
///     .iter()
///     .map(|t| t.map(|k| l[k]))
///     .map(|[a, b, c]| (b - a).cross(&(c - a)).z / 2.0)
///     .sum();
/// assert_eq!((facet(&l).len(), area), (4, 5.0));
/// ```
pub fn facet(corners: &[Point]) -> Vec<[usize; 3]> {
    let fan = || (2..corners.len()).map(|k| [0, k - 1, k]).collect();
    let normal = newell(corners);
    if corners.len() < 4 || normal == Vector::zeros() {
        return fan();
    }
    let turns_left = |[a, b, c]: [usize; 3]| {
        let [a, b, c] = [a, b, c].map(|k| corners[k]);
        (b - a).cross(&(c - b)).dot(&normal) > 0.0
    };
    let n = corners.len();
    if (0..n).all(|k| turns_left([k, (k + 1) % n, (k + 2) % n])) && winds_once(corners, &normal) {
        return fan();
    }
    let frame = Frame::facing(corners[0], normal.normalize());
    let rim: Vec<[u32; 2]> = (0..n).map(|k| [k as u32, ((k + 1) % n) as u32]).collect();
    match filled(&rim, &frame, |k| corners[k as usize]) {
        Some(triangles) if triangles.len() == n - 2 => {
            let places = triangles.iter().map(|t| t.map(|k| k as usize));
            places.collect()
        }
        _ => clipped(corners, &frame),
    }
}

/// Of twice the length of the face's area, along the way about which it winds.
fn newell(corners: &[Point]) -> Vector {
    let next = corners.iter().cycle().skip(1);
    let Some(first) = corners.first() else {
        return Vector::zeros();
    };
    corners
        .iter()
        .zip(next)
        .map(|(a, b)| (a - first).cross(&(b - first)))
        .sum()
}

/// Whether a face that always turns left does so once round, and is no star.
fn winds_once(corners: &[Point], normal: &Vector) -> bool {
    let first = corners[0];
    let spokes = corners[1..].windows(2);
    let mut turns = spokes.map(|w| (w[0] - first).cross(&(w[1] - first)).dot(normal));
    turns.all(|t| t > 0.0)
}

fn clipped(corners: &[Point], frame: &Frame) -> Vec<[usize; 3]> {
    let flat = |p: &Point| {
        let c = frame.coordinates(p);
        (c.x, c.y)
    };
    let line: LineString<f64> = corners.iter().map(flat).collect();
    let raw = Polygon::new(line, Vec::new()).earcut_triangles_raw();
    let n = corners.len();
    let left = |t: &[usize; 3]| {
        let [a, b, c] = t.map(|k| corners[k]);
        (b - a).cross(&(c - a)).dot(&frame.n) >= 0.0
    };
    raw.triangle_indices
        .chunks_exact(3)
        .map(|t| [t[0] % n, t[1] % n, t[2] % n])
        .map(|t| if left(&t) { t } else { [t[0], t[2], t[1]] })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    /// No triangle is turned over, together they have the area that the shoelace formula
    /// gives, and each side of the face is once a side of a triangle.
    fn fills(flat: &[[f64; 2]]) {
        let corners: Vec<Point> = flat.iter().map(|p| Point::new(p[0], p[1], 7.0)).collect();
        let n = corners.len();
        let next = |k: usize| (k + 1) % n;
        let cross = |k: usize| flat[k][0] * flat[next(k)][1] - flat[next(k)][0] * flat[k][1];
        let area: f64 = (0..n).map(cross).sum::<f64>() / 2.0;
        let triangles = facet(&corners);
        let areas = areas(&corners, &triangles);
        assert!(areas.iter().all(|a| *a >= 0.0), "{triangles:?}");
        let found: f64 = areas.iter().sum();
        assert!(
            (found - area).abs() < 1e-9,
            "{found} of {area}: {triangles:?}"
        );
        let mut way: BTreeMap<[usize; 2], i32> = BTreeMap::new();
        let mut run = |p: usize, q: usize, times: i32| {
            *way.entry([p.min(q), p.max(q)]).or_default() += if p < q { times } else { -times };
        };
        for [a, b, c] in triangles {
            run(a, b, 1);
            run(b, c, 1);
            run(c, a, 1);
        }
        (0..n).for_each(|k| run(k, next(k), -1));
        assert!(way.values().all(|w| *w == 0), "{way:?}");
    }

    fn areas(corners: &[Point], triangles: &[[usize; 3]]) -> Vec<f64> {
        let each = triangles.iter().map(|t| t.map(|k| corners[k]));
        each.map(|[a, b, c]| (b - a).cross(&(c - a)).z / 2.0)
            .collect()
    }

    #[test]
    fn faces_of_every_kind_are_filled() {
        fills(&[[0., 0.], [2., 0.], [2., 2.], [0., 2.]]);
        // A dart, from each corner on: one diagonal of a concave quadrangle lies outside.
        let dart = [[0., 0.], [2., 1.], [0., 2.], [1., 1.]];
        for first in 0..4 {
            let mut turned = dart;
            turned.rotate_left(first);
            fills(&turned);
        }
        // Corners in line.
        fills(&[[0., 0.], [1., 0.], [2., 0.], [2., 1.], [2., 2.], [0., 2.]]);
        // A comb.
        fills(&[
            [0., 0.],
            [5., 0.],
            [5., 3.],
            [4., 1.],
            [3., 3.],
            [2., 1.],
            [1., 3.],
            [0., 1.],
        ]);
    }

    #[test]
    fn a_ring_cut_open_is_filled() {
        // A frame of 4 about a hole of 2, with a bridge that is run along twice.
        let ring = [
            [0., 0.],
            [4., 0.],
            [4., 4.],
            [0., 4.],
            [0., 0.],
            [1., 1.],
            [1., 3.],
            [3., 3.],
            [3., 1.],
            [1., 1.],
        ];
        let corners: Vec<Point> = ring.iter().map(|p| Point::new(p[0], p[1], 0.0)).collect();
        let area: f64 = areas(&corners, &facet(&corners)).iter().sum();
        assert!((area - 12.0).abs() < 1e-9, "{area}");
    }
}
