//! How a piece lies on a bed.

pub(crate) mod bed_fit;
pub(crate) mod corners;
pub(crate) mod ears;
pub(crate) mod flat_fit;
pub(crate) mod footing;
pub(crate) mod hovering;
pub(crate) mod islands;
pub(crate) mod place;
pub(crate) mod room_on_bed;
pub(crate) mod slender_run;
pub(crate) mod stance;
pub(crate) mod support;
pub(crate) mod ways_down;
