//! Volume, area and moments.

use nalgebra::{Matrix3, SymmetricEigen};

use crate::mesh::solid_type::Solid;
use crate::{Point, Vector};

/// Volume and first and second moments of a solid of density one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moments {
    /// Volume in mm³.
    pub volume_mm3: f64,
    /// Centre of volume.
    pub centroid: Point,
    /// Covariance of the volume about its centroid, in mm²: the integral of
    /// `(x - c)(x - c)ᵀ` over the solid, divided by its volume.
    pub covariance_mm2: Matrix3<f64>,
}

impl Solid {
    /// Volume in cubic millimetres, by the divergence theorem: the signed
    /// tetrahedra between each triangle and a reference point (Zhang & Chen
    /// 2001, *Efficient feature extraction for 2D/3D objects in mesh
    /// representation*).
    pub fn volume_mm3(&self) -> f64 {
        let Some(&o) = self.vertices().first() else {
            return 0.0;
        };
        self.triangle_corners()
            .map(|[a, b, c]| (a - o).dot(&(b - o).cross(&(c - o))))
            .sum::<f64>()
            / 6.0
    }

    /// Surface area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        self.triangle_corners()
            .map(|[a, b, c]| (b - a).cross(&(c - a)).norm())
            .sum::<f64>()
            / 2.0
    }

    /// Volume, centroid and second moments, by the divergence theorem over
    /// signed tetrahedra; the tetrahedron's second moment is the closed form
    /// of Tonon (2004), *Explicit exact formulas for the 3-D tetrahedron
    /// inertia tensor in terms of its vertex coordinates*. `None` when the
    /// solid has no volume.
    ///
    /// ```
    /// use solid::{Point, Solid};
    ///
    /// let m = Solid::cuboid(Point::origin(), Point::new(2.0, 4.0, 6.0)).moments().unwrap();
    /// assert!((m.centroid - Point::new(1.0, 2.0, 3.0)).norm() < 1e-12);
    /// assert!((m.covariance_mm2[(2, 2)] - 36.0 / 12.0).abs() < 1e-12);
    /// ```
    pub fn moments(&self) -> Option<Moments> {
        let o = *self.vertices().first()?;
        let (mut volume, mut first, mut second) = (0.0, Vector::zeros(), Matrix3::zeros());
        for corners in self.triangle_corners() {
            let [a, b, c] = corners.map(|p| p - o);
            let v = a.dot(&b.cross(&c)) / 6.0;
            let sum = a + b + c;
            volume += v;
            first += sum * (v / 4.0);
            second +=
                (a * a.transpose() + b * b.transpose() + c * c.transpose() + sum * sum.transpose())
                    * (v / 20.0);
        }
        if volume.abs() < f64::MIN_POSITIVE {
            return None;
        }
        let centre = first / volume;
        Some(Moments {
            volume_mm3: volume,
            centroid: o + centre,
            covariance_mm2: second / volume - centre * centre.transpose(),
        })
    }

    /// The principal axes of its volume, longest spread first, as a
    /// right-handed set.
    pub fn principal_axes(&self) -> Option<[Vector; 3]> {
        let eigen = SymmetricEigen::new(self.moments()?.covariance_mm2);
        let mut order = [0, 1, 2];
        order.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
        let u: Vector = eigen.eigenvectors.column(order[0]).into();
        let v: Vector = eigen.eigenvectors.column(order[1]).into();
        Some([u, v, u.cross(&v)])
    }

    /// The least and the greatest reach of its vertices along a direction.
    pub fn reach_along(&self, direction: &Vector) -> Option<(f64, f64)> {
        if self.is_empty() {
            return None;
        }
        Some(
            self.vertices()
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
                    let d = p.coords.dot(direction);
                    (low.min(d), high.max(d))
                }),
        )
    }
}
