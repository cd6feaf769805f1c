//! What two solids share, measured from their triangles alone.

pub(crate) mod facets;
pub(crate) mod near;
mod pair;
mod sides;
