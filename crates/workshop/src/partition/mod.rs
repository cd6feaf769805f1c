//! The model parted along the cut tree, and where its parts meet.

pub mod cells;
pub(crate) mod contacts;
pub(crate) mod whole;
