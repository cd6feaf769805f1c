//! How a piece lies on a bed.

pub(crate) mod bed_fit;
pub(crate) mod flat_fit;
