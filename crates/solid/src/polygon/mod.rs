//! Flat regions.

pub(crate) mod area_within;
pub(crate) mod arms;
pub(crate) mod facet;
pub(crate) mod islands;
pub(crate) mod limbs;
pub(crate) mod outline;
