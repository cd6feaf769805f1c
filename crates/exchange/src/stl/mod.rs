//! STL, binary and ASCII.

pub(crate) mod read;
pub(crate) mod write;
