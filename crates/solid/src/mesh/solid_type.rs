//! The closed, oriented triangle mesh.

use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use crate::boolean::kernel::Kernel;
use crate::boolean::kernel_error::KernelError;
use crate::bounds::Bounds;
use crate::{Isometry, Point, Vector};

/// The three corners of a triangle, counter-clockwise seen from outside.
pub type TriangleCorners = [Point; 3];

/// A closed, consistently oriented triangle mesh in millimetres.
///
/// Every edge is shared by exactly two triangles that run along it in opposite
/// directions, and outward is outward. It may consist of several bodies, have
/// cavities, or be empty. Cloning is cheap: the triangles are shared.
///
/// ```
/// use solid::{Point, Solid};
///
/// let block = Solid::cuboid(Point::origin(), Point::new(10.0, 20.0, 30.0));
/// let again = Solid::from_triangles(block.triangle_corners()).unwrap();
/// assert_eq!(again.triangles().len(), 12);
/// ```
#[derive(Clone)]
pub struct Solid {
    inner: Arc<Inner>,
}

struct Inner {
    vertices: Vec<Point>,
    triangles: Vec<[u32; 3]>,
    kernel: OnceLock<Result<Kernel, String>>,
}

impl Solid {
    /// The solid without any points.
    pub fn empty() -> Self {
        Self::trusted(Vec::new(), Vec::new())
    }

    pub(crate) fn trusted(vertices: Vec<Point>, triangles: Vec<[u32; 3]>) -> Self {
        Self {
            inner: Arc::new(Inner {
                vertices,
                triangles,
                kernel: OnceLock::new(),
            }),
        }
    }

    pub(crate) fn from_kernel(kernel: Kernel) -> Self {
        let (vertices, triangles) = kernel.mesh();
        let held = OnceLock::new();
        let _ = held.set(Ok(kernel));
        Self {
            inner: Arc::new(Inner {
                vertices,
                triangles,
                kernel: held,
            }),
        }
    }

    pub(crate) fn kernel(&self) -> Result<&Kernel, KernelError> {
        self.inner
            .kernel
            .get_or_init(|| Kernel::new(&self.inner.vertices, &self.inner.triangles))
            .as_ref()
            .map_err(|why| KernelError { why: why.clone() })
    }

    /// The same solid with its vertices in the order of their places and its triangles in the
    /// order of their vertices, each from its first: however a file has them, nothing that is
    /// made of it depends on that.
    ///
    /// ```
    /// use solid::{Point, Solid};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
    /// let mut soup: Vec<_> = block.triangle_corners().map(|[a, b, c]| [c, a, b]).collect();
    /// soup.reverse();
    /// let again = Solid::from_triangles(soup).unwrap().in_order();
    /// assert_eq!(again.vertices(), block.in_order().vertices());
    /// assert_eq!(again.triangles(), block.in_order().triangles());
    /// ```
    #[must_use]
    pub fn in_order(&self) -> Self {
        let places = &self.inner.vertices;
        let mut order: Vec<u32> = (0..places.len() as u32).collect();
        let key = |k: u32| places[k as usize];
        order.par_sort_by(|&a, &b| {
            let (a, b) = (key(a), key(b));
            let axis = |k: usize| a[k].total_cmp(&b[k]);
            axis(0).then(axis(1)).then(axis(2))
        });
        let mut rank = vec![0u32; places.len()];
        for (k, &vertex) in order.iter().enumerate() {
            rank[vertex as usize] = k as u32;
        }
        let mut triangles: Vec<[u32; 3]> = self.inner.triangles.clone();
        for t in &mut triangles {
            *t = t.map(|k| rank[k as usize]);
            let least = (0..3).min_by_key(|&k| t[k]).unwrap_or_default();
            t.rotate_left(least);
        }
        triangles.par_sort_unstable();
        let vertices = order.iter().map(|&k| key(k)).collect();
        Self::trusted(vertices, triangles)
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.inner.triangles.is_empty()
    }

    /// Vertex places.
    pub fn vertices(&self) -> &[Point] {
        &self.inner.vertices
    }

    /// Vertex indices of each triangle, counter-clockwise seen from outside.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.inner.triangles
    }

    /// The corners of one triangle.
    pub fn corners(&self, triangle: usize) -> TriangleCorners {
        self.inner.triangles[triangle].map(|i| self.inner.vertices[i as usize])
    }

    /// The corners of every triangle.
    pub fn triangle_corners(&self) -> impl ExactSizeIterator<Item = TriangleCorners> + '_ {
        self.inner
            .triangles
            .iter()
            .map(|t| t.map(|i| self.inner.vertices[i as usize]))
    }

    /// The outward normal of a triangle, of length one; zero where the
    /// triangle has no area.
    pub fn normal(&self, triangle: usize) -> Vector {
        let [a, b, c] = self.corners(triangle);
        (b - a)
            .cross(&(c - a))
            .try_normalize(0.0)
            .unwrap_or_else(Vector::zeros)
    }

    /// The least axis-aligned box around it, or `None` when it is empty.
    pub fn bounds(&self) -> Option<Bounds> {
        Bounds::of(self.inner.vertices.iter().copied())
    }

    /// The solid after a rigid motion.
    pub fn moved(&self, motion: &Isometry) -> Self {
        let matrix = motion.rotation.to_rotation_matrix();
        // A turn by quarter turns comes out of the quaternion with the noise
        // of its last bit, which would tilt every flat face of a piece.
        let matrix = matrix.matrix().map(|x| {
            let whole = x.round();
            if (x - whole).abs() < 1e-14 { whole } else { x }
        });
        let shift = motion.translation.vector;
        let vertices = self
            .inner
            .vertices
            .iter()
            .map(|p| Point::from(matrix * p.coords + shift))
            .collect();
        Self::trusted(vertices, self.inner.triangles.clone())
    }

    /// The solid shifted by a vector.
    pub fn shifted(&self, by: Vector) -> Self {
        let vertices = self.inner.vertices.iter().map(|p| p + by).collect();
        Self::trusted(vertices, self.inner.triangles.clone())
    }

    /// The solid scaled about the origin by a positive factor.
    ///
    /// # Panics
    ///
    /// When the factor is not positive and finite.
    pub fn scaled(&self, factor: f64) -> Self {
        assert!(
            factor > 0.0 && factor.is_finite(),
            "a scale must be positive"
        );
        let vertices = self.inner.vertices.iter().map(|p| p * factor).collect();
        Self::trusted(vertices, self.inner.triangles.clone())
    }
}

impl std::fmt::Debug for Solid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "Solid({} triangles, {:?})",
            self.inner.triangles.len(),
            self.bounds()
        )
    }
}
