//! Forms that keep corners and faces apart, with faces of any number of corners.

pub(crate) mod faces;
pub(crate) mod obj;
pub(crate) mod ply;
