//! Flat regions.

pub(crate) mod area_within;
pub(crate) mod islands;
pub(crate) mod outline;
