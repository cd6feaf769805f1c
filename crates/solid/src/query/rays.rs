//! Rays, distances and containment.

use parry3d::math::Vector as ParryVector;
use parry3d::query::{PointQuery, Ray, RayCast, RayCullingMode};
use parry3d::shape::TriMesh;

use crate::mesh::solid_type::Solid;
use crate::{Point, Vector};

/// Where a ray met the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RayHit {
    /// Distance along the ray.
    pub distance_mm: f64,
    /// The triangle it met.
    pub triangle: usize,
}

/// Shoots rays at a solid through a hierarchy of boxes.
///
/// ```
/// use solid::{Point, RayCaster, Solid, Vector};
///
/// let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
/// let caster = RayCaster::new(&plank).unwrap();
/// let hit = caster.first_exit(&Point::new(30.0, 30.0, 0.0), &Vector::z(), 100.0).unwrap();
/// assert!((hit.distance_mm - 18.0).abs() < 1e-9);
/// assert!(caster.contains(&Point::new(1.0, 1.0, 1.0)));
/// ```
pub struct RayCaster {
    mesh: TriMesh,
}

pub(crate) fn parry(v: &Vector) -> ParryVector {
    ParryVector::new(v.x, v.y, v.z)
}

/// A solid as the library of queries has it; `None` for an empty one.
fn trimesh(solid: &Solid) -> Option<TriMesh> {
    let vertices = solid.vertices().iter().map(|p| parry(&p.coords)).collect();
    TriMesh::new(vertices, solid.triangles().to_vec()).ok()
}

impl RayCaster {
    /// Builds the hierarchy; `None` for an empty solid.
    pub fn new(solid: &Solid) -> Option<Self> {
        trimesh(solid).map(|mesh| Self { mesh })
    }

    /// The first place where a ray leaves the solid: the first triangle met
    /// from behind, within `reach_mm`.
    pub fn first_exit(&self, from: &Point, direction: &Vector, reach_mm: f64) -> Option<RayHit> {
        self.first(from, direction, reach_mm, RayCullingMode::IgnoreFrontfaces)
    }

    /// The first place where a ray enters the solid: the first triangle met
    /// from the front, within `reach_mm`.
    pub fn first_entry(&self, from: &Point, direction: &Vector, reach_mm: f64) -> Option<RayHit> {
        self.first(from, direction, reach_mm, RayCullingMode::IgnoreBackfaces)
    }

    fn first(
        &self,
        from: &Point,
        direction: &Vector,
        reach_mm: f64,
        culling: RayCullingMode,
    ) -> Option<RayHit> {
        let ray = Ray::new(parry(&from.coords), parry(direction));
        let reach = reach_mm.min(1e12);
        self.mesh
            .cast_local_ray_with_culling(&ray, reach, culling)
            .map(|hit| RayHit {
                distance_mm: hit.time_of_impact,
                triangle: hit.subshape as usize,
            })
    }

    /// Every crossing of the surface along a ray, nearest first, with `true`
    /// where the ray leaves the solid.
    pub fn crossings(&self, from: &Point, direction: &Vector, reach_mm: f64) -> Vec<(f64, bool)> {
        let ray = Ray::new(parry(&from.coords), parry(direction));
        let reach = reach_mm.min(1e12);
        let mut met: Vec<(f64, bool)> = self
            .mesh
            .bvh()
            .leaves(|node| node.cast_ray(&ray, reach) < f64::MAX)
            .filter_map(|leaf| {
                let triangle = self.mesh.triangle(leaf);
                let t = triangle.cast_local_ray(&ray, reach, false)?;
                let normal = (triangle.b - triangle.a).cross(triangle.c - triangle.a);
                Some((t, normal.dot(ray.dir) > 0.0))
            })
            .collect();
        met.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        met
    }

    /// How far a point lies from the surface, inside or outside.
    pub fn distance_to_surface_mm(&self, p: &Point) -> f64 {
        self.mesh
            .distance_to_local_point(parry(&p.coords), false)
            .abs()
    }

    /// Whether a point lies in the solid: the surface winds about it. The ray
    /// used leans in no special direction, so that it seldom meets an edge.
    pub fn contains(&self, p: &Point) -> bool {
        let direction = Vector::new(0.5772, 0.6131, 0.4913).normalize();
        let winding: i32 = self
            .crossings(p, &direction, f64::INFINITY)
            .iter()
            .map(|&(_, leaves)| if leaves { 1 } else { -1 })
            .sum();
        winding > 0
    }
}
