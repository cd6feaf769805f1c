//! Printers, bed fit, where to cut, the cut tree, `plan.toml`.
//!
//! ```
//! use planner::{Printer, block_fits};
//!
//! let printer: Printer = "220x220x250".parse().unwrap();
//! assert!(block_fits([216.0, 216.0, 250.0], &printer));
//! ```
#![deny(missing_docs)]

mod against;
mod apart;
mod around;
mod axes;
mod axis_sections;
mod bed_fit;
mod box_range;
mod boxes;
mod branches;
mod by_parts;
mod candidates;
mod certificate;
mod choice;
mod connected;
mod constraints;
mod crossing;
mod cut_tree;
mod equal_boxes;
mod find_cuts;
mod flat_fit;
mod independent_set;
mod lattice;
mod leaf;
mod leaning;
mod least;
mod leg;
mod part;
mod piece_cost;
mod plan;
mod planned_seam;
mod prefix_sum;
mod print_profile;
mod printer;
mod reach;
mod reach_fit;
mod region;
mod row;
mod rule_changes;
mod scarf;
mod seam_cost;
mod search;
mod section_profile;
mod settings;
mod side;
mod skin;
mod sliding_window;
mod spared;
mod square_cuts;
mod stand_in;
mod table;
mod weights;
mod wishes;

pub use around::{Around, KeptContact};
pub use bed_fit::{
    DoesNotFit, Placement, block_fits, excess_as_it_lies, fits_grown, place, place_jointed,
};
pub use certificate::Certificate;
pub use choice::JointChoice;
pub use equal_boxes::EqualBoxes;
pub use find_cuts::{FoundCuts, NoPlan, find_cuts, find_cuts_around, find_cuts_sparing};
pub use flat_fit::rectangle_fits;
pub use piece_cost::PLAIN_CONTACT;
pub use plan::{BadPlan, ModelReference, Node, PLAN_FORMAT, Plan};
pub use planned_seam::{PlannedContact, PlannedSeam, Terms};
pub use print_profile::PrintProfile;
pub use printer::{BadBed, Bed, MARGIN_MM, Printer};
pub use region::Region;
pub use rule_changes::{BadChange, RuleChanges};
pub use settings::Settings;
pub use side::{Side, UnknownSide};
pub use spared::Spared;
pub use weights::Weights;
pub use wishes::{Axis, BadWish, SeamAt, Whole, Wishes, corners};
