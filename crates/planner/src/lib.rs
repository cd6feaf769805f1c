//! Where to cut: candidates, a lattice over them, what plans cost, the search,
//! the boards and legs that a model is made of, strategies for what one lattice
//! cannot do, and lower bounds.
//!
//! ```
//! use design::Settings;
//! use planner::{Brief, find_cuts};
//! use printing::Printer;
//! use solid::{Point, Solid};
//!
//! let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
//! let printers = [Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
//! let found = find_cuts(&Brief::new(&plank, &printers, &Settings::default())).unwrap();
//! assert_eq!(found.pieces, 2);
//! ```
#![deny(missing_docs)]

mod bounds;
mod candidates;
mod constraint;
mod cost;
mod lattice;
mod members;
mod search;
mod strategy;

pub use bounds::certificate::Certificate;
pub use bounds::equal_boxes::EqualBoxes;
pub use bounds::laid::Laid;
pub use constraint::fixed::{Fixed, FixedContact};
pub use constraint::keep_out::KeepOut;
pub use members::found::Members;
pub use members::meeting::{Meeting, MeetingKind};
pub use members::member::{Member, MemberKind};
pub use strategy::find::{Brief, FoundCuts, find_cuts, find_member_cuts};
pub use strategy::no_plan::NoPlan;
