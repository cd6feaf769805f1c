//! 3MF, core specification.

pub(crate) mod affine;
pub(crate) mod read;
pub(crate) mod read_error;
pub(crate) mod strict;
pub(crate) mod write;
