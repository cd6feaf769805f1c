//! Closed triangle meshes: made, welded, mended, taken apart.

pub(crate) mod bodies;
pub(crate) mod cavities;
pub(crate) mod defects;
pub(crate) mod mend;
pub(crate) mod needles;
pub(crate) mod shapes;
pub(crate) mod solid_type;
pub(crate) mod weld;
