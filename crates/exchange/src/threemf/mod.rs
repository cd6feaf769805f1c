//! 3MF, core specification.

pub(crate) mod read;
pub(crate) mod strict;
pub(crate) mod write;
