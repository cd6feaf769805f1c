//! Why a plan could not be carried out.

use design::{BadPlan, PieceId, SeamId};
use joinery::JointError;
use solid::KernelError;

/// A plan could not be carried out.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum BuildError {
    /// The plan is wrong.
    #[error(transparent)]
    Plan(#[from] BadPlan),
    /// The plan has terms for a contact that is not there.
    #[error("seam {seam} has terms for {} and {}, which do not meet on it", pieces[0], pieces[1])]
    NoSuchContact {
        /// The seam.
        seam: SeamId,
        /// The two pieces.
        pieces: [PieceId; 2],
    },
    /// The box of a seam that does not go right through stands in the material.
    #[error(
        "seam {seam} cuts within a box whose side goes through the material below it; make \
         within_mm larger, so that all its sides stand in the air"
    )]
    BoxInMaterial {
        /// The seam.
        seam: SeamId,
    },
    /// The box of a seam that does not go right through holds nothing below its
    /// plane.
    #[error(
        "seam {seam} cuts within a box that holds nothing below the seam's plane; move within_mm \
         or at_mm to where the material is"
    )]
    EmptyBox {
        /// The seam.
        seam: SeamId,
    },
    /// A body of the plan is not there, or there is no other.
    #[error(
        "body {body}: no body of the model holds its point by itself, apart from others; correct \
         its at_mm, or take the [[body]] out of the plan"
    )]
    NoSuchBody {
        /// The body.
        body: SeamId,
    },
    /// A recorded joint can not be made.
    #[error(transparent)]
    Record(#[from] JointError),
    /// The kernel refused the model.
    #[error(transparent)]
    Kernel(#[from] KernelError),
}
