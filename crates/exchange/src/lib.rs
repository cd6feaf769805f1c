//! Model files in and out: STL, binary and ASCII, and the units they lack.
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

mod stl_read;
mod stl_write;
mod unit;

pub use stl_read::{ReadError, StlFlavour, flavour, read_stl};
pub use stl_write::{WriteError, write_stl};
pub use unit::{LengthUnit, UnknownUnit};
