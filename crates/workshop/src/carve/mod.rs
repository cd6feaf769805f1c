//! Joints cut into pieces.

pub(crate) mod jointed;
pub(crate) mod keys;
pub(crate) mod pieces;
