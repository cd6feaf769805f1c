//! Planning and building around pieces that are printed already, and taking over
//! everything that did not change.
//!
//! [`resplit`] finds plans around the printed pieces and carries them out;
//! [`Candidate::taken_over`] gives one of them the ids, files and placements that
//! the earlier split had.
//!
//! ```no_run
//! # fn again(model: &solid::Solid, earlier: &resplit::Earlier) -> Result<(), resplit::NoResplit> {
//! let larger = [printing::Printer::rectangular("bed-2", 300.0, 300.0, 350.0)];
//! for candidate in resplit::resplit(model, earlier, &larger)? {
//!     let again = candidate.taken_over(earlier)?;
//!     assert!(again.lost(earlier).is_empty());
//! }
//! # Ok(())
//! # }
//! ```
#![deny(missing_docs)]

mod around_fixed;
mod congruent_again;
mod earlier;
mod keep_out;
mod no_resplit;
mod remnant;
mod replan;
mod resplit;
mod same_piece;
mod take_ids;
mod take_over;

pub use earlier::{Earlier, EarlierPiece};
pub use no_resplit::NoResplit;
pub use replan::NoReplan;
pub use resplit::{Candidate, Resplit, resplit};
