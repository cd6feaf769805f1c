//! Questions to a solid: rays, hulls, sections, moments.

pub(crate) mod hull;
pub(crate) mod measure;
pub(crate) mod mostly_inside;
pub(crate) mod nearest;
pub(crate) mod passage;
pub(crate) mod rays;
pub(crate) mod section;
pub(crate) mod section_index;
pub(crate) mod self_touch;
pub(crate) mod shared;
