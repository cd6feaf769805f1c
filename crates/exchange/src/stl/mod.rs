//! STL, binary and ASCII.

pub(crate) mod flavour;
pub(crate) mod read;
pub(crate) mod read_error;
pub(crate) mod write;
