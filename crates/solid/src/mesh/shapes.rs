//! Simple solids: cuboids, prisms, lofts, extrusions.

use geo::orient::Direction;
use geo::{LineString, Orient, Polygon, TriangulateEarcut};

use crate::boolean::kernel::Kernel;
use crate::boolean::kernel_error::KernelError;
use crate::frame::Frame;
use crate::mesh::defects::Defects;
use crate::mesh::solid_type::Solid;
use crate::polygon::outline::{Outline, Ring};
use crate::{Point, Vector};

/// A simple shape could not be made from its parameters.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum ShapeError {
    /// A length was not positive, or a ring had fewer than three points.
    #[error("{0}")]
    Parameter(String),
    /// The surface came out with defects.
    #[error("the shape does not close: {0}")]
    Defects(#[from] Defects),
}

impl Solid {
    /// The block between two opposite corners.
    ///
    /// # Panics
    ///
    /// When the corners do not span a volume.
    pub fn cuboid(a: Point, b: Point) -> Self {
        let bounds = crate::bounds::Bounds::between(a, b);
        assert!(
            bounds.size_mm().iter().all(|&s| s > 0.0),
            "a block needs three positive sizes"
        );
        const FACES: [[u32; 4]; 6] = [
            [0, 2, 3, 1],
            [4, 5, 7, 6],
            [0, 1, 5, 4],
            [2, 6, 7, 3],
            [0, 4, 6, 2],
            [1, 3, 7, 5],
        ];
        let triangles = FACES
            .iter()
            .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
            .collect();
        Self::trusted(bounds.corners().to_vec(), triangles)
    }

    /// A cylinder from the middle of its base along an axis, its round a
    /// regular polygon with corners at the radius.
    ///
    /// # Errors
    ///
    /// When a length is not positive or there are fewer than three sides.
    pub fn cylinder(
        base: Point,
        axis: Vector,
        radius_mm: f64,
        sides: usize,
    ) -> Result<Self, ShapeError> {
        Self::cone_frustum(base, axis, radius_mm, radius_mm, sides)
    }

    /// A frustum of a cone, from the radius at its base to the radius at the
    /// end of its axis.
    ///
    /// # Errors
    ///
    /// When a length is not positive or there are fewer than three sides.
    pub fn cone_frustum(
        base: Point,
        axis: Vector,
        base_radius_mm: f64,
        end_radius_mm: f64,
        sides: usize,
    ) -> Result<Self, ShapeError> {
        let length = axis.norm();
        if !(length > 0.0 && base_radius_mm > 0.0 && end_radius_mm > 0.0) || sides < 3 {
            return Err(ShapeError::Parameter(
                "a cylinder needs a length, radii and three sides".into(),
            ));
        }
        let ring = |r: f64| -> Ring {
            (0..sides)
                .map(|k| {
                    let angle = std::f64::consts::TAU * k as f64 / sides as f64;
                    [r * angle.cos(), r * angle.sin()]
                })
                .collect()
        };
        Self::loft(
            &Frame::facing(base, axis),
            &[(0.0, ring(base_radius_mm)), (length, ring(end_radius_mm))],
        )
    }

    /// A ring carried along a frame's normal, from one height to another.
    ///
    /// # Errors
    ///
    /// When the ring has fewer than three points, turns clockwise or crosses
    /// itself.
    pub fn prism(frame: &Frame, ring: &Ring, from_mm: f64, to_mm: f64) -> Result<Self, ShapeError> {
        Self::loft(frame, &[(from_mm, ring.clone()), (to_mm, ring.clone())])
    }

    /// A flat region, with its holes, carried along a frame's normal from one
    /// height to another. Islands that touch must be one.
    ///
    /// # Errors
    ///
    /// When the heights do not rise, or the kernel refuses the region.
    ///
    /// ```
    /// use solid::{Frame, Point, Solid, Vector, rectangle, unshared};
    ///
    /// let rim = unshared(&rectangle([0.0, 0.0], [5.0, 5.0]), &rectangle([1.0, 1.0], [4.0, 4.0]));
    /// let frame = Frame::facing(Point::origin(), Vector::z());
    /// let frame = Solid::extruded(&frame, &rim, -1.0, 2.0).unwrap();
    /// assert!((frame.volume_mm3() - 16.0 * 3.0).abs() < 1e-6);
    /// ```
    pub fn extruded(
        frame: &Frame,
        region: &Outline,
        from_mm: f64,
        to_mm: f64,
    ) -> Result<Self, KernelError> {
        let rings: Vec<Ring> = region
            .orient(Direction::Default)
            .iter()
            .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
            .map(|ring| ring.coords().skip(1).map(|c| [c.x, c.y]).collect())
            .collect();
        if rings.is_empty() {
            return Ok(Self::empty());
        }
        let (vertices, triangles) = Kernel::extruded(&rings, to_mm - from_mm)?.mesh();
        let placed = vertices
            .iter()
            .map(|p| frame.place(p.x, p.y, if p.z > 0.0 { to_mm } else { from_mm }))
            .collect();
        Ok(Self::trusted(placed, triangles))
    }

    /// Rings of the same number of points at rising heights above a frame's
    /// plane, joined point by point, with flat ends. Each ring runs
    /// counter-clockwise seen from where the normal points.
    ///
    /// # Errors
    ///
    /// When there are fewer than two rings, their sizes differ, or the result
    /// does not close.
    ///
    /// ```
    /// use solid::{Frame, Point, Solid, Vector};
    ///
    /// let square = |h: f64| vec![[-h, -h], [h, -h], [h, h], [-h, h]];
    /// let frame = Frame::facing(Point::origin(), Vector::z());
    /// let spike = Solid::loft(&frame, &[(0.0, square(2.0)), (9.0, square(1.0))]).unwrap();
    /// // Frustum of a pyramid: h/3 (A + B + √(A·B)).
    /// assert!((spike.volume_mm3() - 3.0 * (16.0 + 4.0 + 8.0)).abs() < 1e-9);
    /// ```
    pub fn loft(frame: &Frame, rings: &[(f64, Ring)]) -> Result<Self, ShapeError> {
        let [first, .., last] = rings else {
            return Err(ShapeError::Parameter("a loft needs two rings".into()));
        };
        let count = first.1.len();
        if count < 3 || rings.iter().any(|r| r.1.len() != count) {
            return Err(ShapeError::Parameter(
                "the rings of a loft need equally many points".into(),
            ));
        }
        if rings.windows(2).any(|w| w[0].0 >= w[1].0) {
            return Err(ShapeError::Parameter(
                "the rings of a loft must rise".into(),
            ));
        }
        let vertices: Vec<Point> = rings
            .iter()
            .flat_map(|(height, ring)| ring.iter().map(|p| frame.place(p[0], p[1], *height)))
            .collect();
        let mut triangles: Vec<[u32; 3]> = Vec::new();
        for level in 0..rings.len() - 1 {
            let (low, high) = ((level * count) as u32, ((level + 1) * count) as u32);
            for k in 0..count as u32 {
                let next = (k + 1) % count as u32;
                triangles.push([low + k, low + next, high + next]);
                triangles.push([low + k, high + next, high + k]);
            }
        }
        for t in cap(&first.1)? {
            triangles.push([t[0], t[2], t[1]]);
        }
        let top = ((rings.len() - 1) * count) as u32;
        triangles.extend(cap(&last.1)?.iter().map(|t| t.map(|i| i + top)));
        Ok(Self::from_indexed(vertices, triangles)?)
    }
}

/// Triangles over a ring, counter-clockwise, by ear clipping.
fn cap(ring: &Ring) -> Result<Vec<[u32; 3]>, ShapeError> {
    let line: LineString<f64> = ring.iter().map(|p| (p[0], p[1])).collect();
    let polygon = Polygon::new(line, Vec::new());
    let raw = polygon.earcut_triangles_raw();
    let count = ring.len();
    let signed = |t: &[u32; 3]| {
        let [a, b, c] = t.map(|i| ring[i as usize]);
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let triangles: Vec<[u32; 3]> = raw
        .triangle_indices
        .chunks_exact(3)
        .map(|t| [t[0], t[1], t[2]].map(|i| (i % count) as u32))
        .map(|t| {
            if signed(&t) < 0.0 {
                [t[0], t[2], t[1]]
            } else {
                t
            }
        })
        .collect();
    if triangles.len() != count - 2 {
        return Err(ShapeError::Parameter("a ring crosses itself".into()));
    }
    Ok(triangles)
}
