//! Carries a plan out: cells, contacts, joints cut into pieces, assembly steps,
//! labels.
//!
//! The way through: [`cells`] parts the model along the cut tree, and finds which
//! bodies meet on which seam; `layout` chooses one slide for each seam and lays
//! joints out on its contacts; `carve` gives tails to one side and takes sockets
//! from the other; `assembly` reads the order of the steps off the tree; `label`
//! engraves what is finished.
//!
//! ```
//! use design::{CutTree, ModelReference, Plan, PlannedSeam, Settings};
//! use printing::Printer;
//! use solid::{Point, Solid};
//!
//! let plank = Solid::cuboid(Point::origin(), Point::new(300.0, 90.0, 18.0));
//! let seam = PlannedSeam::at([1.0, 0.0, 0.0], 150.0);
//! let tree = CutTree::cut(None, seam, CutTree::uncut(), CutTree::uncut()).named(1);
//! let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
//! let plan = Plan::new(ModelReference::default(), Settings::default(), printers, tree).unwrap();
//! let build = workshop::build(&plank, &plan).unwrap();
//! assert_eq!(build.pieces.len(), 2);
//! assert_eq!(build.steps.len(), 1);
//! ```
#![deny(missing_docs)]

mod apart;
mod assembly;
mod build;
mod build_error;
mod carve;
mod clearances;
mod extend;
mod files;
mod label;
mod layer_pull;
mod layout;
mod measure;
mod partition;
mod piece;
mod remark;
mod split;
mod tried;

pub use apart::bodies_apart;
pub use assembly::congruent::Congruent;
pub use assembly::steps::Step;
pub use build::{Build, build, build_upon};
pub use build_error::BuildError;
pub use carve::jointed::jointed;
pub use extend::{Extended, build_extended};
pub use files::{BadFile, PieceFile, Written, written};
pub use label::engrave::engrave;
pub use label::groove::{engraved, groove, size_mm as label_size_mm};
pub use layout::bed_room::reaches;
pub use layout::joining::{
    Braces, Figures, Joined, Joining, NoJoint, Plain, SeamContact, WhyJoint,
};
pub use layout::kept::{FixedPiece, FixedPieces, Kept};
pub use layout::seam::{PlacedJoint, Seam};
pub use measure::{measured, priced, with_prints};
pub use partition::cells;
pub use partition::contacts::Contact;
pub use piece::Piece;
pub use remark::Remark;
pub use split::split;
pub use tried::{NoSplit, Split};
