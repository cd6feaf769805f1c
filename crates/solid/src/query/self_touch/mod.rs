//! Whether the surface of a solid touches or crosses itself, exactly.

pub(crate) mod meets;
mod planar;
pub(crate) mod search;
