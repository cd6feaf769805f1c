//! How few pieces there could be, and what equal boxes would make.

pub(crate) mod certificate;
pub(crate) mod deletion_filter;
pub(crate) mod equal_boxes;
pub(crate) mod independent_set;
pub(crate) mod laid;
pub(crate) mod lower_bounds;
pub(crate) mod separated_points;
