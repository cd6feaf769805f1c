//! Model files in and out: STL, OBJ and PLY, binary and ASCII, with the units they lack,
//! and 3MF.
//!
//! Nothing here trusts the bytes: a file that is cut short, claims more than
//! it holds or has numbers that are none gives an error that names the place.
//!
//! ```
//! use solid::{Point, Solid};
//!
//! let block = Solid::cuboid(Point::origin(), Point::new(1.0, 2.0, 3.0));
//! let bytes = exchange::write_stl(&block).unwrap();
//! let soup = exchange::read_stl(&bytes).unwrap();
//! assert_eq!(soup.len(), 12);
//! ```
#![deny(missing_docs)]

mod digest;
mod format;
mod model;
mod polygons;
mod stl;
mod threemf;
mod unit;

pub use digest::digest;
pub use format::{ModelReadError, PieceFormat, read_model, read_triangles};
pub use model::{Model, Part};
pub use polygons::obj::ObjReadError;
pub use polygons::ply::PlyReadError;
pub use stl::flavour::{StlFlavour, flavour};
pub use stl::read::read_stl;
pub use stl::read_error::ReadError;
pub use stl::write::{WriteError, write_stl};
pub use threemf::read::{is_3mf, read_3mf};
pub use threemf::read_error::ThreemfReadError;
pub use threemf::write::{Named, ThreemfError, write_3mf};
pub use unit::{LengthUnit, UnknownUnit};
