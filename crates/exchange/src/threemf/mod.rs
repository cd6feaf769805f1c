//! 3MF, core specification.

pub(crate) mod read;
pub(crate) mod write;
