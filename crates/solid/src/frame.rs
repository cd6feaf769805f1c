//! Axes at a place, and the plane that they span.

use nalgebra::{Matrix3, Rotation3, Translation3, UnitQuaternion};

use crate::{Isometry, Point, Vector};

/// A right-handed set of axes at a place: `u × v = n`.
///
/// The plane through the origin, square to `n`, is the frame's plane; its
/// positive side is where `n` points. Outlines taken from a solid are given in
/// the frame's `(u, v)`.
///
/// ```
/// use solid::{Frame, Point, Vector};
///
/// let f = Frame::facing(Point::new(0.0, 0.0, 5.0), Vector::z());
/// let p = f.place(1.0, 2.0, 3.0);
/// assert!((f.height(&p) - 3.0).abs() < 1e-12);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Where `(0, 0, 0)` is.
    pub origin: Point,
    /// First axis in the plane, of length one.
    pub u: Vector,
    /// Second axis in the plane, of length one.
    pub v: Vector,
    /// The plane's normal, of length one.
    pub n: Vector,
}

impl Frame {
    /// The plane square to an axis at a place along it; `u` runs along the next
    /// axis.
    ///
    /// ```
    /// let plane = solid::Frame::across_axis(2, 40.0);
    /// assert_eq!(plane.height(&solid::Point::new(1.0, 2.0, 43.0)), 3.0);
    /// ```
    pub fn across_axis(axis: usize, at_mm: f64) -> Self {
        let n = Vector::ith(axis, 1.0);
        Self::with_axes(Point::from(n * at_mm), n, Vector::ith((axis + 1) % 3, 1.0))
    }

    /// A frame with a given normal; the axes in the plane are chosen the same
    /// way each time: along model axes where the normal is one.
    pub fn facing(origin: Point, normal: Vector) -> Self {
        let n = normal.normalize();
        let least = n.map(f64::abs).imin();
        let mut start = Vector::zeros();
        start[least] = 1.0;
        let u = (start - n * n.dot(&start)).normalize();
        Self {
            origin,
            u,
            v: n.cross(&u),
            n,
        }
    }

    /// A frame with a given normal and first axis. The part of `u` along the
    /// normal is dropped.
    pub fn with_axes(origin: Point, normal: Vector, u: Vector) -> Self {
        let n = normal.normalize();
        let u = (u - n * n.dot(&u)).normalize();
        Self {
            origin,
            u,
            v: n.cross(&u),
            n,
        }
    }

    /// Origin, `u`, `v` and `n` as plain numbers, for files.
    ///
    /// ```
    /// use solid::{Frame, Point, Vector};
    ///
    /// let f = Frame::facing(Point::new(1.0, 2.0, 3.0), Vector::y());
    /// assert_eq!(Frame::from_rows(f.rows()), f);
    /// ```
    pub fn rows(&self) -> [[f64; 3]; 4] {
        let [u, v, n] = [self.u, self.v, self.n].map(Into::into);
        [self.origin.into(), u, v, n]
    }

    /// The frame of such numbers.
    pub fn from_rows([origin, u, v, n]: [[f64; 3]; 4]) -> Self {
        Self {
            origin: origin.into(),
            u: u.into(),
            v: v.into(),
            n: n.into(),
        }
    }

    /// The place of frame coordinates.
    pub fn place(&self, u: f64, v: f64, n: f64) -> Point {
        self.origin + self.u * u + self.v * v + self.n * n
    }

    /// Frame coordinates of a place.
    pub fn coordinates(&self, p: &Point) -> Vector {
        let d = p - self.origin;
        Vector::new(d.dot(&self.u), d.dot(&self.v), d.dot(&self.n))
    }

    /// Signed distance of a place from the frame's plane.
    pub fn height(&self, p: &Point) -> f64 {
        (p - self.origin).dot(&self.n)
    }

    /// The same axes, moved along the normal.
    pub fn raised(&self, by_mm: f64) -> Self {
        Self {
            origin: self.origin + self.n * by_mm,
            ..*self
        }
    }

    /// The same plane seen from its other side: `n` and `v` point the other way.
    pub fn flipped(&self) -> Self {
        Self {
            origin: self.origin,
            u: self.u,
            v: -self.v,
            n: -self.n,
        }
    }

    /// The rigid motion that takes `(x, y, z)` to `place(x, y, z)`.
    pub fn isometry(&self) -> Isometry {
        let turn =
            Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[self.u, self.v, self.n]));
        Isometry::from_parts(
            Translation3::from(self.origin.coords),
            UnitQuaternion::from_rotation_matrix(&turn),
        )
    }
}
