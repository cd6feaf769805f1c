//! Places where a cut is worth considering, and what it would meet.

pub(crate) mod axis_sections;
pub(crate) mod model_axes;
pub(crate) mod places;
pub(crate) mod proxy;
pub(crate) mod ripped;
pub(crate) mod same_section;
pub(crate) mod section_profile;
pub(crate) mod sliding_window;
