//! Pictures by a small rasteriser.

pub(crate) mod arrow;
pub(crate) mod canvas;
pub(crate) mod colours;
pub(crate) mod edges;
pub(crate) mod outline;
pub(crate) mod place;
pub(crate) mod png_file;
pub(crate) mod raster;
pub(crate) mod scenes;
pub(crate) mod step;
