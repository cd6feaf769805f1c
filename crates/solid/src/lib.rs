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

mod area_within;
mod bodies;
mod boolean;
mod bounds;
mod disjoint_sets;
mod frame;
mod hull;
mod islands;
mod kernel;
mod measure;
mod mend;
mod outline;
mod rays;
mod section;
mod section_index;
mod shapes;
mod solid_type;
mod weld;

pub use area_within::area_within;
pub use boolean::KernelError;
pub use bounds::Bounds;
pub use disjoint_sets::DisjointSets;
pub use frame::Frame;
pub use hull::{Hull, HullFace};
pub use islands::{shared, unshared};
pub use measure::Moments;
pub use outline::{Outline, Ring, grow, rectangle, shrink};
pub use rays::{RayCaster, RayHit};
pub use section_index::SectionIndex;
pub use shapes::ShapeError;
pub use solid_type::{Solid, TriangleCorners};
pub use weld::{Defect, DefectKind, Defects};

/// A place, in millimetres.
pub type Point = nalgebra::Point3<f64>;
/// A direction or a displacement, in millimetres where it has a length.
pub type Vector = nalgebra::Vector3<f64>;
/// A rigid motion: a turn, then a shift in millimetres.
pub type Isometry = nalgebra::Isometry3<f64>;
