//! The model parted along the cut tree, and where its parts meet.

pub(crate) mod bodies;
pub mod cells;
pub(crate) mod contacts;
pub(crate) mod wall;
pub(crate) mod whole;
