//! The boolean kernel, wrapped. No other file names its crate.
//!
//! The method is that of Smith (2009), *Towards robust inexact geometric
//! computation*: symbolic perturbation, so that every decision is consistent
//! and the result is a closed oriented mesh whatever the rounding.

use manifold_rust::linalg::{Vec2, Vec3};
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error, MeshGL64, OpType};

use crate::boolean::kernel_work::KernelWork;
use crate::frame::Frame;
use crate::polygon::outline::Ring;
use crate::{Point, Vector};

/// Opaque kernel form of a solid.
#[derive(Clone)]
pub(crate) struct Kernel(Manifold);

/// Vertices and triangles, the only thing that passes in and out.
pub(crate) type Mesh = (Vec<Point>, Vec<[u32; 3]>);

/// The same triangle from its least vertex on.
fn least_first(&[a, b, c]: &[u32; 3]) -> [u32; 3] {
    if a < b && a < c {
        [a, b, c]
    } else if b < c {
        [b, c, a]
    } else {
        [c, a, b]
    }
}

#[derive(Clone, Copy)]
pub(crate) enum Operation {
    Union,
    Difference,
    Intersection,
}

impl Kernel {
    pub(crate) fn new(vertices: &[Point], triangles: &[[u32; 3]]) -> Result<Self, String> {
        KernelWork::count_triangles(triangles.len());
        let mesh = MeshGL64 {
            num_prop: 3,
            vert_properties: vertices.iter().flat_map(|p| [p.x, p.y, p.z]).collect(),
            tri_verts: triangles.iter().flatten().map(|&i| u64::from(i)).collect(),
            ..MeshGL64::default()
        };
        Self(Manifold::from_mesh_gl64(&mesh)).checked()
    }

    /// Rings, counter-clockwise about material and clockwise about holes,
    /// carried up from the plane z = 0.
    pub(crate) fn extruded(rings: &[Ring], height_mm: f64) -> Result<Self, String> {
        let polygons = rings
            .iter()
            .map(|ring| ring.iter().map(|p| Vec2::new(p[0], p[1])).collect())
            .collect();
        Self(Manifold::extrude(
            &polygons,
            height_mm,
            0,
            0.0,
            Vec2::new(1.0, 1.0),
        ))
        .checked()
    }

    pub(crate) fn shifted(&self, by: &Vector) -> Self {
        Self(self.0.translate(Vec3::new(by.x, by.y, by.z)))
    }

    pub(crate) fn mesh(&self) -> Mesh {
        let out = self.0.get_mesh_gl64(-1);
        let stride = out.num_prop.max(3) as usize;
        let vertices = out
            .vert_properties
            .chunks_exact(stride)
            .map(|p| Point::new(p[0], p[1], p[2]))
            .collect();
        let mut to: Vec<u32> = (0..out.num_vert() as u32).collect();
        for (&from, &target) in out.merge_from_vert.iter().zip(&out.merge_to_vert) {
            to[from as usize] = target as u32;
        }
        let mut triangles: Vec<[u32; 3]> = out
            .tri_verts
            .chunks_exact(3)
            .map(|t| [to[t[0] as usize], to[t[1] as usize], to[t[2] as usize]])
            .collect();
        // They come in the order in which the operands were made, which is that of
        // the threads.
        triangles.sort_by_key(least_first);
        (vertices, triangles)
    }

    pub(crate) fn combine(&self, other: &Self, operation: Operation) -> Result<Self, String> {
        let op = match operation {
            Operation::Union => OpType::Add,
            Operation::Difference => OpType::Subtract,
            Operation::Intersection => OpType::Intersect,
        };
        KernelWork::count_boolean();
        Self(self.0.boolean(&other.0, op)).checked()
    }

    /// What lies on the positive and on the negative side of a frame's plane.
    pub(crate) fn split(&self, plane: &Frame) -> Result<(Self, Self), String> {
        KernelWork::count_boolean();
        let n = Vec3::new(plane.n.x, plane.n.y, plane.n.z);
        let (above, below) = self.0.split_by_plane(n, plane.origin.coords.dot(&plane.n));
        Ok((Self(above).checked()?, Self(below).checked()?))
    }

    pub(crate) fn simplified(&self, tolerance_mm: f64) -> Result<Self, String> {
        Self(self.0.simplify(tolerance_mm)).checked()
    }

    pub(crate) fn crosses_itself(&self) -> bool {
        self.0.has_self_intersections()
    }

    /// The solid of all points about which the surface winds at least once.
    pub(crate) fn rebuilt(&self) -> Result<Self, String> {
        Self(
            self.0
                .rebuild_solid(manifold_rust::types::WindingRule::Positive),
        )
        .checked()
    }

    fn checked(self) -> Result<Self, String> {
        match self.0.status() {
            Error::NoError => Ok(self),
            other => Err(other.to_str().to_owned()),
        }
    }
}
