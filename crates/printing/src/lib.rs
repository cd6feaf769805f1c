//! Printers, print profiles and materials; how a piece lies on a bed, what its
//! print takes, and how pieces share plates.
//!
//! ```
//! use printing::{Printer, block_fits};
//!
//! let printer: Printer = "220x220x250".parse().unwrap();
//! assert!(block_fits([216.0, 216.0, 250.0], &printer));
//! ```
#![deny(missing_docs)]

mod broken_rule;
mod estimate;
mod lying;
mod material;
mod no_go;
mod plates;
mod print_profile;
mod printer;
mod span;

pub use broken_rule::{BrokenRule, within};
pub use estimate::print_bill::PrintBill;
pub use estimate::print_estimate::{PrintEstimate, print_estimate};
pub use estimate::print_price::PrintPrice;
pub use lying::bed_fit::{BedFit, block_fits};
pub use lying::ears::{EAR_MM, Ears};
pub use lying::flat_fit::rectangle_fits;
pub use lying::footing::{Footing, LEAST_FIRST_LAYER_MM2, LEAST_MM2_PER_CM3, LEAST_TIP_DEG};
pub use lying::islands::islands;
pub use lying::place::{Asked, DoesNotFit, Placement, SCRAPED_MIN_PER_CM2, place, place_jointed};
pub use lying::room_on_bed::excess_as_it_lies;
pub use lying::slender_run::SlenderRun;
pub use lying::stance::{Stance, Standing};
pub use lying::support::Support;
pub use material::Material;
pub use no_go::BedArea;
pub use plates::packing::{Plate, PlateCap, ToPack, pack};
pub use print_profile::PrintProfile;
pub use printer::{BadBed, Bed, MARGIN_MM, Printer};
pub use span::Span;
