//! Results of an earlier run that serve again where all that they came from is the same.

pub(crate) mod digests;
pub(crate) mod kind;
pub(crate) mod store;
