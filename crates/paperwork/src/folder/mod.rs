//! The output folder: what a split owns of it, and how it is replaced.

pub(crate) mod journal;
pub(crate) mod output_folder;
pub(crate) mod owned;
