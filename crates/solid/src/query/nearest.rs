//! How near two solids come to each other.

use parry3d::query::PointQuery;
use parry3d::query::details::closest_points_segment_segment_with_locations_nD;
use parry3d::shape::Triangle;

use crate::Point;
use crate::bounds::Bounds;
use crate::mesh::solid_type::{Solid, TriangleCorners};
use crate::query::rays::parry;
use crate::query::shared::near::overlapping;

/// How far the surfaces of two solids are apart, and where, if that is no more than so much.
pub(crate) fn nearest(one: &Solid, other: &Solid, within_mm: f64) -> Option<(f64, Point)> {
    let boxes = |solid: &Solid| -> Vec<Bounds> {
        let each = solid.triangle_corners().filter_map(Bounds::of);
        each.map(|b| b.grown(within_mm / 2.0)).collect()
    };
    let mut best: Option<(f64, Point)> = None;
    overlapping(&boxes(one), &boxes(other), |a, b| {
        let found = between(&one.corners(a), &other.corners(b));
        if found.0 <= within_mm && best.is_none_or(|(least, _)| found.0 < least) {
            best = Some(found);
        }
    });
    best
}

/// How far two triangles that do not cross are apart, and where: between a corner and a face,
/// or two sides.
fn between(one: &TriangleCorners, other: &TriangleCorners) -> (f64, Point) {
    let mut best = (f64::INFINITY, one[0]);
    let mut keep = |p: Point, q: Point| {
        let width = (p - q).norm();
        if width < best.0 {
            best = (width, nalgebra::center(&p, &q));
        }
    };
    let at = |v: parry3d::math::Vector| Point::new(v.x, v.y, v.z);
    for (corners, face) in [(one, other), (other, one)] {
        let [a, b, c] = face.map(|p| parry(&p.coords));
        let face = Triangle::new(a, b, c);
        for p in corners {
            let projected = face.project_local_point(parry(&p.coords), false);
            keep(*p, at(projected.point));
        }
    }
    for k in 0..3 {
        for j in 0..3 {
            let side =
                |t: &TriangleCorners, k: usize| [t[k], t[(k + 1) % 3]].map(|p| parry(&p.coords));
            let (p, q) = (side(one, k), side(other, j));
            let (s, t) =
                closest_points_segment_segment_with_locations_nD((&p[0], &p[1]), (&q[0], &q[1]));
            let on = |[a, b]: [parry3d::math::Vector; 2], w: [f64; 2]| at(a * w[0] + b * w[1]);
            keep(
                on(p, s.barycentric_coordinates()),
                on(q, t.barycentric_coordinates()),
            );
        }
    }
    best
}
