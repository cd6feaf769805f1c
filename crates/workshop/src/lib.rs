//! Carries a plan out: cells, contacts, joints cut into pieces, assembly steps.
//!
//! The way through: [`cells`] parts the model along the cut tree; `contacts`
//! finds which bodies meet on which seam; `seam_layout` chooses one slide per
//! seam and lays joints out on its contacts; `carve` gives tails to one side
//! and takes sockets from the other; `steps` reads the assembly order off the
//! tree.
//!
//! ```
//! use planner::{ModelReference, PLAN_FORMAT, Plan, PlannedSeam, Printer, Region, Settings};
//! use solid::{Point, Solid};
//!
//! let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
//! let seam = PlannedSeam::at("S1", Region::Whole, [1.0, 0.0, 0.0], 150.0);
//! let plan = Plan {
//!     format: PLAN_FORMAT.into(), version: 1, model: ModelReference::default(),
//!     settings: Settings::default(),
//!     printers: vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)],
//!     seams: vec![seam],
//! };
//! let build = workshop::build(&plank, &plan).unwrap();
//! assert_eq!(build.pieces.len(), 2);
//! assert_eq!(build.steps.len(), 1);
//! ```
#![deny(missing_docs)]

mod alike;
mod around;
mod attempt;
mod bed_room;
mod build;
mod carve;
pub mod cells;
mod contacts;
mod earlier;
mod engrave;
mod faults;
mod jointed;
mod kept_seam;
mod keys;
mod label;
mod label_room;
mod leftovers;
mod meeting;
mod printers;
mod remnant;
mod replan;
mod resplit;
mod seam;
mod seam_layout;
mod seam_record;
mod seam_task;
mod split;
mod steps;
mod way;
mod whole;

pub use alike::Twin;
pub use build::{Build, BuildError, Piece, Remark, build, build_upon};
pub use contacts::Contact;
pub use engrave::engrave;
pub use kept_seam::Kept;
pub use label::Label;
pub use replan::{NoReplan, Replan, replan};
pub use resplit::{Resplit, resplit};
pub use seam::{JointShape, Seam};
pub use seam_record::{JointRecord, SeamRecord};
pub use split::{NoSplit, Split, split};
pub use steps::Step;
