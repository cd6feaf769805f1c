//! The plan of a split as checked data: settings, wishes, ids, the cut tree, its
//! one form in TOML, and the record of an assembly.
//!
//! A [`Plan`] in hand is checked, holds no mesh and names its cuts by typed ids.
//!
//! ```
//! use design::{CutTree, ModelReference, Plan, PlannedSeam, Settings};
//! use printing::Printer;
//!
//! let seam = PlannedSeam::at([1.0, 0.0, 0.0], 150.0);
//! let tree = CutTree::cut(None, seam, CutTree::uncut(), CutTree::uncut()).named(1);
//! let printers = vec![Printer::rectangular("bed-1", 220.0, 220.0, 250.0)];
//! let plan = Plan::new(ModelReference::default(), Settings::default(), printers, tree).unwrap();
//! assert_eq!(Plan::from_toml(&plan.to_toml().unwrap()).unwrap(), plan);
//! ```
#![deny(missing_docs)]

mod bad_plan;
mod bearing;
mod ids;
mod joint_choice;
mod lying_wish;
mod objective;
mod plan;
mod plan_file;
mod plan_text;
mod recall;
mod record;
mod rule_changes;
mod settings;
mod side;
mod tally;
mod tree;
mod wished;
mod wishes;

pub use bad_plan::BadPlan;
pub use bearing::{
    Bearing, HELD_MM, LIMB_MM, LIMB_MM2, ON_FLOOR_MM, SLIPS, STEEP, freed, gapes, tipped,
};
pub use ids::{BadId, CellId, PieceId, PlanSeam, PrinterId, SeamId};
pub use joint_choice::JointChoice;
pub use lying_wish::LyingWish;
pub use objective::emphasis::{Emphasis, Found};
pub use objective::prices::Prices;
pub use objective::rates::{FormerWeights, Rates};
pub use objective::whole::{BuildMeasures, PLAIN_CONTACT, SlideMeasures};
pub use objective::worth::{Term, Worth};
pub use plan::{ModelReference, Plan};
pub use plan_file::PlanFile;
pub use recall::digests::Digest;
pub use recall::kind::Recalled;
pub use recall::store::{Recall, Served};
pub use record::assembly::{Assembly, BadAssembly, PieceInPlace};
pub use record::entries::{ContactEntry, EstimateEntry, SeamEntry, two_digits};
pub use record::label::Label;
pub use record::piece_entry::{PieceEntry, rigid, rows, tidy};
pub use record::resplit_entry::ResplitEntry;
pub use record::seam_record::{JointRecord, SeamRecord};
pub use record::step_entry::{Closes, Play, Rest, StepEntry};
pub use rule_changes::{BadChange, RuleChanges};
pub use settings::Settings;
pub use side::{Side, UnknownSide};
pub use tally::{Counted, Tally};
pub use tree::body_apart::{BodyApart, Parting};
pub use tree::cell_spans::CellSpans;
pub use tree::cut_tree::{CutTree, Path, Region};
pub use tree::draft::Draft;
pub use tree::listed::{BadTree, Listed};
pub use tree::planned_seam::{PlannedContact, PlannedSeam};
pub use tree::seam_side::SeamSide;
pub use tree::terms::{SeamTerms, Terms};
pub use wished::{Axis, BadWish, SeamAt, Whole, corners};
pub use wishes::Wishes;
