//! Watertight triangle solids: what they are, cutting, combining, measuring.
//!
//! The one type that matters is [`Solid`]: a closed, consistently oriented
//! triangle mesh in millimetres. There is no way to make one that leaks: it
//! comes from [`Solid::from_triangles`], which checks, from a constructor of a
//! simple shape, or from an operation on solids that keeps the promise.
//!
//! ```
//! use solid::{Point, Solid};
//!
//! let plank = Solid::cuboid(Point::new(0.0, 0.0, 0.0), Point::new(300.0, 90.0, 18.0));
//! assert!((plank.volume_mm3() - 300.0 * 90.0 * 18.0).abs() < 1e-6);
//! ```
#![deny(missing_docs)]

mod boolean;
mod bounds;
mod cut;
mod disjoint_sets;
mod frame;
mod mending;
mod mesh;
mod polygon;
mod query;

pub use boolean::kernel_error::KernelError;
pub use boolean::kernel_work::KernelWork;
pub use bounds::Bounds;
pub use disjoint_sets::DisjointSets;
pub use frame::Frame;
pub use mending::gaps::{Gap, gaps};
pub use mending::remedy::{Mended, Mending, Mends, Remedy};
pub use mesh::defects::{Defect, DefectKind, Defects};
pub use mesh::shapes::ShapeError;
pub use mesh::solid_type::{Solid, TriangleCorners};
pub use polygon::area_within::area_within;
pub use polygon::facet::facet;
pub use polygon::islands::{shared, unshared};
pub use polygon::limbs::{Limb, limbs};
pub use polygon::outline::{Outline, Ring, grow, rectangle, shrink};
pub use query::hull::{Hull, HullFace};
pub use query::measure::Moments;
pub use query::mostly_inside::mostly_inside;
pub use query::rays::{RayCaster, RayHit};
pub use query::section_index::SectionIndex;
pub use query::shared::facets::{Facets, Shared};

/// A place, in millimetres.
pub type Point = nalgebra::Point3<f64>;
/// A direction or a displacement, in millimetres where it has a length.
pub type Vector = nalgebra::Vector3<f64>;
/// A rigid motion: a turn, then a shift in millimetres.
pub type Isometry = nalgebra::Isometry3<f64>;
