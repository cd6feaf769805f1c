//! Judges finished pieces: bed fit, wall thickness, assembly.
//!
//! Nothing here knows how the pieces were made. It looks at triangles, at the
//! stated placements and at the stated steps, so pieces read back from disk
//! are judged the same way as pieces just made.
//!
//! ```
//! use design::{Assembly, PieceId, PieceInPlace, PrinterId};
//! use inspection::{Code, Limits, inspect};
//! use solid::{Point, Solid};
//!
//! let block = Solid::cuboid(Point::origin(), Point::new(300.0, 20.0, 20.0));
//! let piece = PieceInPlace {
//!     id: PieceId::cut(1, 2),
//!     in_place: block.clone(),
//!     as_printed: block,
//!     placed: solid::Isometry::identity(),
//!     printer: PrinterId::at(0),
//! };
//! let printers = vec!["220x220x250".parse().unwrap()];
//! let assembly = Assembly::new(vec![piece], vec![], vec![], printers).unwrap();
//! let findings = inspect(&assembly, &Limits::default());
//! assert_eq!(findings.findings[0].code, Code::DoesNotFit);
//! ```
#![deny(missing_docs)]

mod asked;
mod bed;
mod bend;
mod code;
mod finding;
mod held;
mod limits;
mod look;
mod reach;
mod surface;
mod together;
mod verdict;
mod wall;

pub use code::{Code, Severity};
pub use finding::Finding;
pub use held::play::play;
pub use limits::Limits;
pub use verdict::{Verdict, inspect, inspect_again};
