//! What makes a part of a model a leg: straight, and much the same along its
//! axis.

use geo::{Area, BooleanOps, Contains};
use nalgebra::Matrix3;
use solid::{Frame, Point, Solid, Vector};

/// Share of a leg's surface that looks square to its axis.
const LATERAL: f64 = 0.7;
/// How far on either side a leg must go on as it is.
const STEADY_MM: f64 = 24.0;
/// By how much of its area the section may differ there: legs taper.
const UNSTEADY: f64 = 0.2;

/// The direction to which the surface of a body is most nearly parallel
/// everywhere, to the side of a normal: the least eigenvector of the sum of its
/// normals' squares. Faces that look along it are left out the second time.
/// `None` where the body is no leg.
pub(crate) fn axis_of(body: &Solid, normal: &Vector) -> Option<Vector> {
    let faces: Vec<(Vector, f64)> = body
        .triangle_corners()
        .enumerate()
        .map(|(t, [a, b, c])| (body.normal(t), (b - a).cross(&(c - a)).norm() / 2.0))
        .collect();
    axis_of_faces(&faces).map(|axis| axis * axis.dot(normal).signum())
}

/// The same of faces, each with its normal and its area; the axis may run either way.
pub(crate) fn axis_of_faces(faces: &[(Vector, f64)]) -> Option<Vector> {
    let least = |keep: &dyn Fn(&Vector) -> bool| {
        let mut sum = Matrix3::zeros();
        for (n, area) in faces.iter().filter(|f| keep(&f.0)) {
            sum += n * n.transpose() * *area;
        }
        let eigen = sum.symmetric_eigen();
        eigen
            .eigenvectors
            .column(eigen.eigenvalues.imin())
            .into_owned()
    };
    let first = least(&|_| true);
    let axis = least(&|n| n.dot(&first).abs() < 0.5);
    let area = |keep: &dyn Fn(&Vector) -> bool| -> f64 {
        faces.iter().filter(|f| keep(&f.0)).map(|f| f.1).sum()
    };
    let lateral = area(&|n| n.dot(&axis).abs() < 0.2);
    (lateral > LATERAL * area(&|_| true)).then_some(axis)
}

/// The area of the section about a plane's origin, where it stays much the same
/// on both sides.
pub(crate) fn steady_area(content: &Solid, plane: &Frame) -> Option<f64> {
    let island = |h: f64| {
        let section = content.section(&plane.raised(h));
        let middle = geo::Point::new(0.0, 0.0);
        section.into_iter().find(|p| p.contains(&middle))
    };
    let here = island(0.0)?;
    let area = here.unsigned_area();
    let steady = [-STEADY_MM, STEADY_MM]
        .into_iter()
        .all(|h| island(h).is_some_and(|there| here.xor(&there).unsigned_area() < UNSTEADY * area));
    steady.then_some(area)
}

/// The body that holds a point.
pub(crate) fn body_at<'a>(bodies: &'a [Solid], p: &Point) -> Option<&'a Solid> {
    bodies.iter().find(|b| {
        b.bounds().is_some_and(|b| b.contains(p, 0.0))
            && solid::RayCaster::new(b).is_some_and(|c| c.contains(p))
    })
}

/// A bar of 30 × 30 that leans by an angle in x, from a foot outwards.
#[cfg(test)]
pub(crate) fn bar(foot: Point, lean_deg: f64, length: f64) -> Solid {
    let turn = nalgebra::Rotation3::from_axis_angle(&Vector::y_axis(), lean_deg.to_radians());
    let block = Solid::cuboid(
        Point::new(-15.0, -15.0, 0.0),
        Point::new(15.0, 15.0, length),
    );
    let moved = solid::Isometry::from_parts(
        nalgebra::Translation3::from(foot.coords),
        nalgebra::UnitQuaternion::from_rotation_matrix(&turn),
    );
    block.moved(&moved)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_leaning_bar_shows_its_axis() {
        let bar = bar(Point::new(10.0, 20.0, 30.0), 12.0, 300.0);
        let axis = axis_of(&bar, &Vector::z()).unwrap();
        assert!((axis.z.acos().to_degrees() - 12.0).abs() < 1e-6);
        assert!(axis.x > 0.0);
    }
}
