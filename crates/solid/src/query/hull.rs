//! The convex hull of a solid and its faces.

use std::collections::HashMap;

use parry3d::math::Vector as ParryVector;
use parry3d::transformation::try_convex_hull;

use crate::mesh::solid_type::Solid;
use crate::{Point, Vector};

/// The convex hull of a solid.
#[derive(Clone, Debug)]
pub struct Hull {
    /// Corners of the hull.
    pub vertices: Vec<Point>,
    /// Triangles of the hull, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

/// One flat side of a hull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HullFace {
    /// Outward normal, of length one.
    pub normal: Vector,
    /// Area in mm².
    pub area_mm2: f64,
}

impl Hull {
    /// The hull of a solid (quickhull: Barber, Dobkin & Huhdanpaa 1996), or
    /// `None` when the points are all in a plane.
    ///
    /// ```
    /// use solid::{Hull, Point, Solid};
    ///
    /// let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
    /// assert_eq!(Hull::of(&block).unwrap().faces().len(), 6);
    /// ```
    pub fn of(solid: &Solid) -> Option<Self> {
        Self::about(solid.vertices())
    }

    /// The hull of some points, or `None` when they are all in a plane.
    ///
    /// ```
    /// use solid::{Hull, Point, Solid};
    ///
    /// let block = |x: f64| Solid::cuboid(Point::new(x, 0.0, 0.0), Point::new(x + 1.0, 2.0, 3.0));
    /// let both = [block(0.0).vertices(), block(5.0).vertices()].concat();
    /// assert_eq!(Hull::about(&both).unwrap().vertices.len(), 8);
    /// ```
    pub fn about(points: &[Point]) -> Option<Self> {
        let points: Vec<ParryVector> = points
            .iter()
            .map(|p| ParryVector::new(p.x, p.y, p.z))
            .collect();
        if points.len() < 4 {
            return None;
        }
        let (vertices, triangles) = try_convex_hull(&points).ok()?;
        Some(Self {
            vertices: vertices.iter().map(|v| Point::new(v.x, v.y, v.z)).collect(),
            triangles,
        })
    }

    /// Its flat sides, triangles with nearly the same normal joined, largest
    /// first.
    pub fn faces(&self) -> Vec<HullFace> {
        let mut faces: Vec<(Vector, f64)> = Vec::new();
        // By where their normals were when they were first seen, in cells much wider than
        // normals of one face differ.
        let mut near: HashMap<[i32; 3], Vec<usize>> = HashMap::new();
        for t in &self.triangles {
            let [a, b, c] = t.map(|i| self.vertices[i as usize]);
            let cross = (b - a).cross(&(c - a));
            let doubled = cross.norm();
            if doubled < 1e-9 {
                continue;
            }
            let normal = cross / doubled;
            let cell = |n: &Vector| [n.x, n.y, n.z].map(|x| (x / CELL).floor() as i32);
            let here = cell(&normal);
            let about = (0..27).map(|k| {
                let [x, y, z] = here;
                [x + k % 3 - 1, y + k / 3 % 3 - 1, z + k / 9 - 1]
            });
            let known = about.filter_map(|c| near.get(&c)).flatten().copied();
            let alike = |k: &usize| faces[*k].0.normalize().dot(&normal) > 1.0 - 1e-7;
            match known.filter(alike).min() {
                Some(k) => {
                    faces[k].0 += cross;
                    faces[k].1 += doubled / 2.0;
                }
                None => {
                    near.entry(here).or_default().push(faces.len());
                    faces.push((cross, doubled / 2.0));
                }
            }
        }
        let mut faces: Vec<HullFace> = faces
            .into_iter()
            .map(|(sum, area_mm2)| HullFace {
                normal: sum.normalize(),
                area_mm2,
            })
            .collect();
        faces.sort_by(|a, b| {
            b.area_mm2
                .total_cmp(&a.area_mm2)
                .then_with(|| order_key(&a.normal).cmp(&order_key(&b.normal)))
        });
        faces
    }
}

/// The size of a cell of normals: normals of one face differ by half a thousandth at most,
/// and those that are joined with it draw its middle by as much again.
const CELL: f64 = 0.005;

/// A total order on directions that small noise does not change.
fn order_key(n: &Vector) -> [i64; 3] {
    [n.z, n.y, n.x].map(|x| (x * 1e6).round() as i64)
}
