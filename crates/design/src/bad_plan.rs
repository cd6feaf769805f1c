//! Why a plan cannot be carried out.

use printing::{BadBed, BrokenRule};

use crate::ids::SeamId;
use crate::rule_changes::BadChange;
use crate::tree::listed::BadTree;

/// A longer name is no name.
pub(crate) const LONGEST_NAME: usize = 80;

/// More are a slip of the pen, or a file made to eat the machine: every seam is
/// held against every piece.
pub(crate) const MOST_SEAMS: usize = 1000;

/// A plan that cannot be carried out.
#[derive(Clone, Debug, thiserror::Error, PartialEq)]
pub enum BadPlan {
    /// It is not TOML, or a field is wrong.
    #[error("{0}")]
    Syntax(String),
    /// It is of another kind or version.
    #[error("not a plan of version 1: format = \"{format}\", version = {version}")]
    Format {
        /// What stands there.
        format: String,
        /// What stands there.
        version: u32,
    },
    /// It has no printer.
    #[error("the plan names no printer; add a [[printer]]")]
    NoPrinter,
    /// Two printers have one name.
    #[error("two printers are called {0}; the cut list tells them apart by their names")]
    SameName(String),
    /// A printer's size is wrong.
    #[error("printer: {0}")]
    Printer(#[from] BadBed),
    /// A number of the settings is wrong.
    #[error("settings: {0}")]
    Rule(#[from] BrokenRule),
    /// A number of how the model is read is wrong.
    #[error("model: {0}")]
    Model(BrokenRule),
    /// A number set for one seam or contact is wrong.
    #[error("seam {seam}, joints: {why}")]
    Change {
        /// The seam.
        seam: SeamId,
        /// What is wrong.
        why: BadChange,
    },
    /// It has more seams than anyone puts together.
    #[error("it has {0} seams; a plan may have {MOST_SEAMS}")]
    TooManySeams(usize),
    /// Two seams have one id.
    #[error("the id {0} is given twice")]
    DoubleId(SeamId),
    /// A seam's normal has no length.
    #[error("seam {0}: its normal must be a direction of length one, and its place a number")]
    Normal(SeamId),
    /// A seam's slide is no direction in its plane.
    #[error("seam {0}: its slide must be a direction of length one in the plane of the seam")]
    Slide(SeamId),
    /// A body apart has no place, or its way in is no direction.
    #[error(
        "body {0}: at_mm must be a point in it, way_in, if there is one, a direction of length one, \
         and name, if there is one, a line of at most {LONGEST_NAME} characters"
    )]
    Body(SeamId),
    /// The box within which a seam cuts is none.
    #[error("seam {0}: within_mm must be two opposite corners of a box")]
    Box(SeamId),
    /// A seam cuts a side that another cuts already, or that does not exist.
    #[error("{seam} cuts '{region}', which {why}")]
    Region {
        /// The seam.
        seam: SeamId,
        /// What it says it cuts.
        region: String,
        /// What is wrong with that.
        why: BadTree,
    },
}
