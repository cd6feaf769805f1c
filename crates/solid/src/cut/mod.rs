//! Cutting a surface at a plane, without a boolean.

pub(crate) mod cap;
pub(crate) mod films;
pub(crate) mod parted;
