//! Pieces that share a bed.

pub(crate) mod bed_mask;
pub(crate) mod packing;
