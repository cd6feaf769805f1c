//! The model in the little boxes between candidate cuts.

pub(crate) mod box_lattice;
pub(crate) mod box_range;
pub(crate) mod boxes;
pub(crate) mod connected;
pub(crate) mod face_areas;
pub(crate) mod kdop;
pub(crate) mod part;
pub(crate) mod place;
pub(crate) mod shown;
pub(crate) mod skin;
pub(crate) mod summed_area;
