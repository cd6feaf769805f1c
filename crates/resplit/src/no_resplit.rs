//! Why a split could not be made anew.

use design::{BadPlan, PieceId};
use solid::KernelError;
use workshop::{BadFile, BuildError};

use crate::replan::NoReplan;

/// A split could not be made anew.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum NoResplit {
    /// No plan was found around the printed pieces.
    #[error(transparent)]
    Replan(#[from] NoReplan),
    /// The files of printed pieces are not what the plan makes.
    #[error(
        "the files of {} are not what the plan makes: they were changed, or the plan was",
        join(.0)
    )]
    Changed(Vec<PieceId>),
    /// The labels of new pieces could not be cut.
    #[error("the labels could not be cut: {0}; split with --no-labels")]
    Labels(KernelError),
    /// A new piece has no form as a file.
    #[error(transparent)]
    File(#[from] BadFile),
    /// The kernel refused.
    #[error(transparent)]
    Kernel(#[from] KernelError),
}

impl From<BuildError> for NoResplit {
    fn from(e: BuildError) -> Self {
        Self::Replan(e.into())
    }
}

impl From<BadPlan> for NoResplit {
    fn from(e: BadPlan) -> Self {
        Self::Replan(e.into())
    }
}

fn join(ids: &[PieceId]) -> String {
    let ids: Vec<&str> = ids.iter().map(PieceId::as_str).collect();
    ids.join(", ")
}
