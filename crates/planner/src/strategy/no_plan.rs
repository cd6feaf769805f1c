//! Why no plan was found.

use solid::KernelError;

use crate::candidates::places::MOST_OF_ALL;

/// No plan was found.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoPlan {
    /// The kernel refused the model.
    #[error(transparent)]
    Kernel(#[from] KernelError),
    /// A wish leaves no plan.
    #[error(
        "this wish leaves no plan whose pieces all fit: {wish}; give it up or use a larger bed"
    )]
    Wish {
        /// In words.
        wish: String,
    },
    /// A seam of a piece that is there already is square to none of the axes.
    #[error("a seam of a printed piece is square to none of the model's axes")]
    Askew,
    /// More seams must be than a search counts.
    #[error(
        "{wished} seams are wished for, or there already, along one axis, and a search for a plan \
         goes up to {MOST_OF_ALL}"
    )]
    TooManySeams {
        /// How many must be along the axis that has most.
        wished: usize,
    },
    /// No way to cut it was found that leaves nothing that does not fit.
    #[error(
        "no way was found to cut it into pieces that fit a bed of {bed}, where a joint reaches \
         {reach_mm} mm past its seam; use a larger bed or smaller joints"
    )]
    TooSmall {
        /// The printer's sizes.
        bed: String,
        /// How far joints reach.
        reach_mm: f64,
    },
}
