//! Judges finished pieces: bed fit, wall thickness, assembly.
//!
//! Nothing here knows how the pieces were made. It looks at triangles, at the
//! stated placements and at the stated steps, so pieces read back from disk
//! are judged the same way as pieces just made.
//!
//! ```
//! use inspection::{Assembly, Limits, PieceInPlace, inspect};
//! use planner::Printer;
//! use solid::{Point, Solid};
//!
//! let block = Solid::cuboid(Point::origin(), Point::new(300.0, 20.0, 20.0));
//! let piece = PieceInPlace { id: "P01".into(), in_place: block.clone(), as_printed: block, printer: 0 };
//! let assembly = Assembly {
//!     pieces: vec![piece], seams: vec![], steps: vec![],
//!     printers: vec!["220x220x250".parse().unwrap()],
//! };
//! let findings = inspect(&assembly, &Limits::default());
//! assert_eq!(findings.findings[0].code, "does-not-fit");
//! ```
#![deny(missing_docs)]

mod assembly;
mod bed;
mod finding;
mod together;
mod verdict;
mod wall;

pub use assembly::{Assembly, ContactClaim, PieceInPlace, SeamClaim, StepClaim};
pub use finding::{Finding, Severity};
pub use verdict::{Limits, Verdict, inspect};
pub use wall::{ThinWall, thinnest_walls};
