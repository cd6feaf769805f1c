//! What a search may not do: wishes, boxes to keep out of, fixed pieces.

pub(crate) mod constraints;
pub(crate) mod fixed;
pub(crate) mod keep_out;
